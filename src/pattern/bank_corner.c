/* pattern/bank_corner.c: the corners of banks.
 *
 * The steps of the outline to either side of the bank's pixel make a chain. The corner is where the
 * chain turns most between two straight lines, and its tip where they meet: a sharp one lies well
 * beyond the last pixel in which it shows.
 */
#include "pattern/bank_side.h"

#include <math.h>

#define PI 3.14159265358979323846

/* Steps at which a corner may be; those that first tell where it is. */
enum { CHAIN = TB__CHAIN, SEARCH = 8, FIRST = 7 };

/* The middles of the sides along a straight line leave a root mean square of 0.29 pixels. */
#define STRAIGHT_LEFT_PX 0.34

/* What a corner turns at least, and how nearly it may come right back. */
#define LEAST_TURN_RAD 0.35
#define LEAST_SINE 0.15

/* How a tip is drawn back, and how far within its sides a pixel's centre must lie to hinder it. */
#define TIP_STEP_PX 0.1
#define TIP_ROOM_PX 0.05
/* One that has to be drawn back farther, or leaves a pixel out by more, is round. */
#define MOST_BACK_PX 0.5
#define LEFT_OUT_PX 0.3
enum { TIP_LOOK = 4, TIP_STEPS = 40 };

/* A turn beyond this is a tip that the pixels may not draw to its end. */
#define SHARP_RAD 2.1

/* Of how many steps a side is at most, at least, and for the corner to be certain. */
enum { LONGEST = 26, FEWEST = 5, CERTAIN = 11, SEPARATE_ROUNDS = 6 };

double tb__most_beyond_px(double turn_rad)
{
    double half = (PI - fabs(turn_rad)) / 2;
    return 0.7 / tan(fmax(half, 0.05)) + 0.5;
}

/* Beyond so many times as far, the lines that meet there tell of no corner here. */
#define NO_TIP 3.0

/* A straight line is known best by the pixels that it parts: *line becomes the longest before the
 * step, or behind it, that parts them all. Returns of how many steps it is; 0: there is none. */
static int sharpen(
        tb__straight *line, const tb__tone *tone, const tb__spot *chain, int step, bool before)
{
    static const int LENGTHS[] = {LONGEST, 20, 15, 11, 8};
    for (int i = 0; i < 5; i++) {
        int n = LENGTHS[i];
        if (before ? step - n < 0 : step + n > 2 * CHAIN)
            continue;
        const tb__spot *steps = chain + (before ? step - n : step + 1);
        if (!tb__is_even(steps, n, false))
            continue;
        tb__straight here = tb__straight_fit(steps, n);
        tb__dot dots[2 * LONGEST];
        double c[3] = {0};
        int n_dots = tb__list_dots(dots, &here, tone, steps, n);
        if (tb__separate(c, false, TB__ROOM_PX, SEPARATE_ROUNDS, dots, n_dots) <=
                TB__MOST_WRONG_PX) {
            double length = hypot(1, c[1]), dx = here.dx, dy = here.dy;
            *line = (tb__straight){here.x + c[0] * dy, here.y - c[0] * dx,
                    (dx + c[1] * dy) / length, (dy - c[1] * dx) / length, here.left};
            return n;
        }
    }
    return 0;
}

/* The longest straight line that ends before a step of the chain, or begins behind it. */
static tb__straight longest_straight(const tb__spot *chain, int step, bool before)
{
    static const int LENGTHS[] = {20, 14, 10, 7, 5};
    tb__straight line = {0};
    for (int i = 0; i < 5; i++) {
        int n = LENGTHS[i];
        line = tb__straight_fit(chain + (before ? step - n : step + 1), n);
        if (line.left <= STRAIGHT_LEFT_PX)
            break;
    }
    return line;
}

/* One that comes right back may seem to turn either way: it turns round a point of what is no
 * phase, as one of the phase is a tip of its own. */
double tb__chain_turn(const tb__straight *in, const tb__straight *out)
{
    double turn = -atan2(in->dx * out->dy - in->dy * out->dx, in->dx * out->dx + in->dy * out->dy);
    return turn < -2.5 ? -turn : turn;
}

/* The step, of those at which a corner may be, that lies farthest out in a direction. */
static int farthest_step(const tb__spot *chain, double x, double y)
{
    int best = CHAIN;
    double most = -INFINITY;
    for (int i = CHAIN - SEARCH; i <= CHAIN + SEARCH; i++) {
        double off = chain[i].x * x + chain[i].y * y;
        if (off > most + 1e-9) {
            most = off;
            best = i;
        }
    }
    return best;
}

/* Whether the chain comes back on itself about a step: lines across such an end tell nothing. */
static bool is_hairpin(const tb__spot *chain, int step)
{
    const tb__spot *a = chain + step - 4, *b = chain + step + 4, *end = chain + step;
    return hypot(a->x - b->x, a->y - b->y) < 1.6 && hypot(a->x - end->x, a->y - end->y) > 2;
}

/* The step about which short lines turn most. The line in before one step is the line out behind
 * another. */
static int turning_step(const tb__spot *chain)
{
    enum { BEGIN = CHAIN - SEARCH - FIRST, N_LINES = 2 * SEARCH + FIRST + 2 };
    tb__straight lines[N_LINES];
    int best = CHAIN;
    double most = -INFINITY;
    for (int i = 0; i < N_LINES; i++)
        lines[i] = tb__straight_fit(chain + BEGIN + i, FIRST);
    for (int i = CHAIN - SEARCH; i <= CHAIN + SEARCH; i++) {
        const tb__straight *in = &lines[i - FIRST - BEGIN], *out = &lines[i + 1 - BEGIN];
        double good =
                fabs(tb__chain_turn(in, out)) - 3 * (in->left * in->left + out->left * out->left);
        if (good > most) {
            most = good;
            best = i;
        }
    }
    return best;
}

tb__turning tb__turning_find(const tb__spot chain[2 * CHAIN + 1], const tb__bank *bank)
{
    tb__straight in, out;
    int best = farthest_step(chain, -bank->nx, -bank->ny);
    if (!is_hairpin(chain, best))
        best = turning_step(chain);
    for (int round = 0; round < 2; round++) {
        in = longest_straight(chain, best, true);
        out = longest_straight(chain, best, false);
        best = farthest_step(chain, in.dx - out.dx, in.dy - out.dy);
    }
    return (tb__turning){chain[best], best - CHAIN, in, out};
}

/* Looks at the pixels about the tip of a corner of what is no phase: does it hold any of the phase,
 * or does it leave out any that is none? */
static bool is_wrong(const tb__tone *tone, tb__spot tip, const tb__straight *in,
        const tb__straight *out, bool left_out)
{
    int x = (int)floor(tip.x), y = (int)floor(tip.y);
    for (int py = y - TIP_LOOK; py <= y + TIP_LOOK; py++)
        for (int px = x - TIP_LOOK; px <= x + TIP_LOOK; px++) {
            double dx = px + 0.5 - tip.x, dy = py + 0.5 - tip.y;
            double beyond = fmax(in->dx * dy - in->dy * dx, out->dx * dy - out->dy * dx);
            bool wrong = left_out ? beyond > LEFT_OUT_PX : beyond < -TIP_ROOM_PX;
            if (wrong && tb__is_phase(tone, px, py) != left_out)
                return true;
        }
    return false;
}

/* Back along the middle between its sides, until the corner holds nothing that it can't; but not
 * behind the centre of the last pixel in which it shows, on one side of which lies `last`. Returns
 * how far that is. */
static double draw_back(tb__spot *tip, const tb__spot *last, const tb__tone *tone,
        const tb__straight *in, const tb__straight *out)
{
    double x = out->dx - in->dx, y = out->dy - in->dy, length = hypot(x, y), way = 0;
    x /= length, y /= length;
    for (int i = 0; i < TIP_STEPS && is_wrong(tone, *tip, in, out, false); i++) {
        if ((tip->x - last->x) * x + (tip->y - last->y) * y > 0.5 - TIP_STEP_PX)
            break;
        tip->x += TIP_STEP_PX * x;
        tip->y += TIP_STEP_PX * y;
        way += TIP_STEP_PX;
    }
    return way;
}

/* A side as far as the steps go by which it is known. */
static tb__ray ray_of(tb__spot tip, double dx, double dy, const tb__spot *last)
{
    double reach = (last->x - tip.x) * dx + (last->y - tip.y) * dy;
    return (tb__ray){tip.x, tip.y, dx, dy, fmin(fmax(reach, 0), TB__BANK_PX)};
}

void tb__corner_find(tb__corner *out, const tb__bank *bank, const tb__tone *tone)
{
    tb__spot chain[2 * CHAIN + 1];
    tb__straight in, on;
    *out = (tb__corner){.opening_x = (int)floor(bank->x), .opening_y = (int)floor(bank->y)};
    bool closed;
    if (!tb__chain_list(chain, CHAIN, &closed, bank, tone))
        return;
    if (closed && tone->phase && tb__broken_tip_find(out, bank, tone))
        return;
    tb__turning at = tb__turning_find(chain, bank);
    if (tone->phase && tb__chain_turn(&at.in, &at.out) > SHARP_RAD &&
            tb__tip_find(out, bank, tone, &at))
        return;
    int step = CHAIN + at.step;
    in = at.in, on = at.out;
    int before = sharpen(&in, tone, chain, step, true);
    int behind = sharpen(&on, tone, chain, step, false);
    double turn = tb__chain_turn(&in, &on), sine = in.dx * on.dy - in.dy * on.dx;
    if (fabs(turn) < LEAST_TURN_RAD || fabs(sine) < LEAST_SINE)
        return;
    tb__spot tip = tb__meeting(&in, &on);
    double back = turn > 0 ? draw_back(&tip, &chain[step], tone, &in, &on) : 0;
    double off = hypot(tip.x - chain[step].x, tip.y - chain[step].y),
           most = tb__most_beyond_px(turn);
    if (off > NO_TIP * most)
        return;
    out->found = true;
    out->sure = before >= CERTAIN && behind >= CERTAIN && back <= MOST_BACK_PX && off <= most &&
                (turn < 0 || !is_wrong(tone, tip, &in, &on, true));
    if (off > most) {
        tip.x += (chain[step].x - tip.x) * (1 - most / off);
        tip.y += (chain[step].y - tip.y) * (1 - most / off);
    }
    out->tip = tip;
    out->side[0] = ray_of(tip, -in.dx, -in.dy, &chain[step - (before ? before : FEWEST)]);
    out->side[1] = ray_of(tip, on.dx, on.dy, &chain[step + (behind ? behind : FEWEST)]);
}
