/* pattern/bank_tip.c: the tips of openings that come to a point sharper than pixels can draw.
 *
 * Where such an opening is narrower than a pixel it shows in crumbs, loose pixels and short rows of
 * them, or not at all: over as much as half a pixel by the tangent of half its angle. Its tip is
 * where its two sides meet. Each is told by the pixels along it from where the opening hangs
 * together, as a straight line or as one that bends evenly, and by what shows farther out: a crumb
 * lies between both sides, the wood about it beside one of them.
 */
#include "pattern/bank_side.h"

#include <math.h>
#include <stdint.h>

/* Steps to either side of the bank's; of a side; pixels that are looked at beyond. */
enum { LONG = 168, SIDE_MAX = 160, BEYOND_MAX = 128 };

/* A crumb may lie as far from where its opening hangs together, and pixels this far off the middle
 * have a say. */
#define HOP_PX 15.0
#define CORRIDOR_PX 2.0
enum { SEEN_PX = LONG + 16 };

/* Half the least angle of a tip, and how much it turns at least. */
#define LEAST_SINE 0.06
#define LEAST_TURN_RAD 2.0

/* A side lies off a straight line to the left by c0 + c1 along + c2 along². */
typedef struct {
    tb__straight line;
    double c[3];
    bool bent;
    int n_steps, n_dots;
    tb__dot dots[2 * SIDE_MAX + BEYOND_MAX];
} side;

typedef struct {
    int x, y;
    bool phase;
    int8_t beside; /* the side that a pixel of the phase lies beyond; -1: the nearer */
} pixel;

/* The side as a straight line about where it passes a place. */
static tb__straight tangent(const side *s, tb__spot at)
{
    const tb__straight *l = &s->line;
    double along = (at.x - l->x) * l->dx + (at.y - l->y) * l->dy;
    double off = s->c[0] + (s->c[1] + s->c[2] * along) * along;
    double slope = s->c[1] + 2 * s->c[2] * along, length = hypot(1, slope);
    return (tb__straight){l->x + along * l->dx + off * l->dy, l->y + along * l->dy - off * l->dx,
            (l->dx + slope * l->dy) / length, (l->dy - slope * l->dx) / length, 0};
}

static tb__dot dot_of(const side *s, const pixel *p)
{
    return tb__dot_at(&s->line, p->x, p->y, p->phase);
}

/* Lays a side so that it parts its dots, with less and less room to either side. */
static double lay(side *s)
{
    static const double ROOMS_PX[] = {0.3, 0.2, 0.13, 0.09, 0.06, 0.03};
    double worst = 1;
    for (int i = 0; i < 6 && worst > 0; i++) {
        worst = tb__separate(s->c, s->bent, ROOMS_PX[i], 4, s->dots, s->n_dots);
        if (worst > 0.6)
            break;
    }
    return worst;
}

/* The longest line along the steps before the turning, or behind it, that parts all the pixels
 * beside them. One that bends is told by a longer stretch. */
static bool follow(side *s, const tb__tone *tone, const tb__spot *chain, int step, bool before)
{
    static const struct {
        int n;
        bool bent;
    } TRIES[] = {{SIDE_MAX, false}, {120, false}, {90, false}, {72, false}, {54, false},
            {40, false}, {110, true}, {80, true}, {56, true}, {40, true}, {26, false}, {20, false},
            {26, true}, {15, false}, {11, false}};
    for (size_t i = 0; i < sizeof TRIES / sizeof *TRIES; i++) {
        int n = TRIES[i].n;
        const tb__spot *steps = chain + (before ? step - n : step + 1);
        if (!tb__is_even(steps, n, TRIES[i].bent))
            continue;
        s->line = tb__straight_fit(steps, n);
        s->n_steps = n;
        s->n_dots = tb__list_dots(s->dots, &s->line, tone, steps, n);
        s->c[0] = s->c[1] = s->c[2] = 0;
        s->bent = TRIES[i].bent;
        if (lay(s) <= TB__MOST_WRONG_PX)
            return true;
    }
    return false;
}

static bool meet(tb__spot *tip, tb__straight lines[2], const side sides[2])
{
    enum { ROUNDS = 4 };
    for (int round = 0; round < ROUNDS; round++) {
        for (int k = 0; k < 2; k++)
            lines[k] = tangent(&sides[k], *tip);
        if (tb__chain_turn(&lines[0], &lines[1]) < LEAST_TURN_RAD ||
                fabs(lines[0].dx * lines[1].dy - lines[0].dy * lines[1].dx) < LEAST_SINE)
            return false;
        *tip = tb__meeting(&lines[0], &lines[1]);
    }
    return true;
}

/* Pixels about the middle between the sides, from the turning to beyond the tip. */
static int list_beyond(
        pixel *list, const tb__tone *tone, tb__spot end, tb__spot tip, const tb__straight lines[2])
{
    double ax = lines[0].dx - lines[1].dx, ay = lines[0].dy - lines[1].dy, length = hypot(ax, ay);
    ax /= length, ay /= length;
    double far = (tip.x - end.x) * ax + (tip.y - end.y) * ay + 2;
    int n = 0, left = (int)floor(fmin(end.x, end.x + far * ax) - CORRIDOR_PX);
    int right = (int)ceil(fmax(end.x, end.x + far * ax) + CORRIDOR_PX);
    int top = (int)floor(fmin(end.y, end.y + far * ay) - CORRIDOR_PX);
    int bottom = (int)ceil(fmax(end.y, end.y + far * ay) + CORRIDOR_PX);
    for (int y = top; y < bottom; y++)
        for (int x = left; x < right && n < BEYOND_MAX; x++) {
            double dx = x + 0.5 - tip.x, dy = y + 0.5 - tip.y;
            double along = dx * ax + dy * ay, across = dx * ay - dy * ax;
            if (fabs(across) < CORRIDOR_PX && along <= 2 && along > 2.2 - far)
                list[n++] = (pixel){x, y, tb__is_phase(tone, x, y), -1};
        }
    return n;
}

static double settle(side sides[2])
{
    return fmax(lay(&sides[0]), lay(&sides[1]));
}

/* An opening's pixel lies between both sides, a pixel of wood beyond one of them: that within which
 * it lies less. Returns which pixel of wood lies farthest within its side, -1: none does. */
static int take_beyond(side sides[2], const pixel *list, int n)
{
    double most = TB__MOST_WRONG_PX / 4;
    int inmost = -1;
    for (int k = 0; k < 2; k++)
        sides[k].n_dots = 2 * sides[k].n_steps;
    for (int i = 0; i < n; i++) {
        tb__dot dots[2] = {dot_of(&sides[0], &list[i]), dot_of(&sides[1], &list[i])};
        double off[2] = {tb__dot_off(sides[0].c, &dots[0]), tb__dot_off(sides[1].c, &dots[1])};
        int beside = list[i].beside >= 0 ? list[i].beside : off[1] < off[0];
        for (int k = 0; k < 2; k++)
            if (!list[i].phase || k == beside)
                sides[k].dots[sides[k].n_dots++] = dots[k];
        if (list[i].phase && off[beside] > most) {
            most = off[beside];
            inmost = i;
        }
    }
    return inmost;
}

/* Lays the sides by what lies beyond, too. If wood is left within, it may lie beyond the other
 * side.
 */
static double take_all(side sides[2], pixel *list, int n)
{
    take_beyond(sides, list, n);
    double worst = settle(sides);
    int wrong = take_beyond(sides, list, n);
    if (wrong < 0)
        return worst;
    side before[2] = {sides[0], sides[1]};
    double off[2];
    for (int k = 0; k < 2; k++) {
        tb__dot dot = dot_of(&sides[k], &list[wrong]);
        off[k] = tb__dot_off(sides[k].c, &dot);
    }
    list[wrong].beside = off[1] >= off[0];
    take_beyond(sides, list, n);
    double other = settle(sides);
    if (other > worst) {
        sides[0] = before[0];
        sides[1] = before[1];
    }
    return fmin(worst, other);
}

/* Whether a pixel that shows lies among those between the sides. */
static bool holds(const pixel *list, int n, int x, int y)
{
    for (int i = 0; i < n; i++)
        if (list[i].x == x && list[i].y == y)
            return true;
    return false;
}

/* A side as a straight line from the tip: of one that bends, the way to a place on it. */
static tb__ray away_from_tip(const side *s, tb__spot tip, const tb__straight *at_tip, double sign)
{
    double way = sign * fmin(0.7 * s->n_steps, TB__BANK_PX);
    tb__spot near = {tip.x + way * at_tip->dx, tip.y + way * at_tip->dy};
    tb__straight there = tangent(s, near);
    double dx = there.x - tip.x, dy = there.y - tip.y, reach = hypot(dx, dy);
    return (tb__ray){tip.x, tip.y, dx / reach, dy / reach, reach};
}

/* The tip about a turning on the outline by the pixel (x, y) where the opening hangs together. */
static bool find_tip(tb__corner *out, const tb__bank *bank, const tb__tone *tone,
        const tb__turning *at, int x, int y)
{
    enum { ROUNDS = 3 };
    tb__spot chain[2 * LONG + 1], tip = at->end;
    tb__straight lines[2];
    side sides[2];
    pixel list[BEYOND_MAX];
    bool closed;
    double worst = 1;
    int n = 0, bank_x = (int)floor(bank->x), bank_y = (int)floor(bank->y);
    tb__bank solid = *bank;
    solid.x = x + 0.5, solid.y = y + 0.5;
    out->seen_px = SEEN_PX;
    if (!tb__chain_list(chain, LONG, &closed, &solid, tone))
        return false;
    for (int k = 0; k < 2; k++)
        if (!follow(&sides[k], tone, chain, LONG + at->step, k == 0))
            return false;
    for (int round = 0;; round++) {
        if (!meet(&tip, lines, sides))
            return false;
        double beyond = hypot(tip.x - at->end.x, tip.y - at->end.y);
        if (beyond > tb__most_beyond_px(tb__chain_turn(&lines[0], &lines[1])) + 1)
            return false;
        if (round == ROUNDS)
            break;
        n = list_beyond(list, tone, at->end, tip, lines);
        worst = take_all(sides, list, n);
    }
    bool loose = x != bank_x || y != bank_y;
    if (worst > TB__MOST_WRONG_PX || (loose && !holds(list, n, bank_x, bank_y)))
        return false;
    *out = (tb__corner){true, true, tip,
            {away_from_tip(&sides[0], tip, &lines[0], -1),
                    away_from_tip(&sides[1], tip, &lines[1], 1)},
            x, y, SEEN_PX};
    return true;
}

bool tb__tip_find(
        tb__corner *out, const tb__bank *bank, const tb__tone *tone, const tb__turning *at)
{
    return find_tip(out, bank, tone, at, (int)floor(bank->x), (int)floor(bank->y));
}

/* The nearest place within reach where an opening hangs together, away from the phase. */
static bool find_solid(tb__bank *solid, tb__spot chain[2 * TB__CHAIN + 1], const tb__bank *crumb,
        const tb__tone *tone)
{
    tb__bank at = *crumb;
    double least = HOP_PX;
    for (int dy = (int)-HOP_PX; dy <= HOP_PX; dy++)
        for (int dx = (int)-HOP_PX; dx <= HOP_PX; dx++) {
            int x = (int)floor(crumb->x) + dx, y = (int)floor(crumb->y) + dy;
            bool closed;
            if (hypot(dx, dy) >= least || dx * crumb->nx + dy * crumb->ny <= 0 ||
                    tb__is_phase(tone, x, y))
                continue;
            at.x = x + 0.5, at.y = y + 0.5;
            if (!tb__chain_list(chain, TB__CHAIN, &closed, &at, tone) || closed)
                continue;
            least = hypot(dx, dy);
            *solid = at;
        }
    bool closed;
    return least < HOP_PX && tb__chain_list(chain, TB__CHAIN, &closed, solid, tone);
}

bool tb__broken_tip_find(tb__corner *out, const tb__bank *bank, const tb__tone *tone)
{
    tb__spot chain[2 * TB__CHAIN + 1];
    tb__bank solid;
    out->seen_px = SEEN_PX;
    if (!find_solid(&solid, chain, bank, tone))
        return false;
    tb__turning at = tb__turning_find(chain, bank);
    return find_tip(out, bank, tone, &at, (int)floor(solid.x), (int)floor(solid.y));
}
