/* pattern/bank_corner.c: the corners of banks.
 *
 * The steps of the outline to either side of the bank's pixel make a chain. The corner is where the
 * chain turns most between two straight lines, and its tip where they meet: a sharp one lies well
 * beyond the last pixel in which it shows.
 */
#include "pattern/bank.h"

#include <math.h>

#define PI 3.14159265358979323846

/* Steps to either side; those at which a corner may be; those that first tell where it is. */
enum { CHAIN = 32, SEARCH = 8, FIRST = 7 };

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

/* How far off the pixels a line is laid where there is room, by how much one of them may lie on its
 * wrong side, and of how many steps a side is for the corner to be certain. */
#define ROOM_PX 0.3
#define MOST_WRONG_PX 0.08
enum { SEPARATE_ROUNDS = 6, LONGEST = 26, CERTAIN = 11 };

/* A tip lies beyond the last pixel in which it shows by no more than this: where the corner is a
 * pixel wide, and half of one. */
static double most_beyond_px(double turn_rad)
{
    double half = (PI - fabs(turn_rad)) / 2;
    return 0.7 / tan(fmax(half, 0.05)) + 0.5;
}

/* Beyond so many times as far, the lines that meet there tell of no corner here. */
#define NO_TIP 3.0

static const int STEP_X[4] = {1, 0, -1, 0}, STEP_Y[4] = {0, 1, 0, -1};

/* A step along the outline: from the vertex (x, y) in a direction. */
typedef struct {
    int x, y, direction;
} crack;

/* The pixel ahead of a vertex, to the right or left hand of the direction. */
static bool ahead(const tb__tone *tone, const crack *c, int hand)
{
    int dx = STEP_X[c->direction], dy = STEP_Y[c->direction];
    return tb__is_phase(tone, c->x + (dx - hand * dy - 1) / 2, c->y + (dy + hand * dx - 1) / 2);
}

/* Lists the middles of CHAIN + 1 steps, the first that of c, with the phase to the right (hand 1)
 * or to the left (-1). */
static void list_middles(tb__spot *to, int stride, const tb__tone *tone, crack c, int hand)
{
    for (int i = 0; i <= CHAIN; i++) {
        int dx = STEP_X[c.direction], dy = STEP_Y[c.direction];
        to[i * stride] = (tb__spot){c.x + 0.5 * dx, c.y + 0.5 * dy};
        c.x += dx;
        c.y += dy;
        if (!ahead(tone, &c, hand))
            c.direction = (c.direction + 4 + hand) & 3;
        else if (ahead(tone, &c, -hand))
            c.direction = (c.direction + 4 - hand) & 3;
    }
}

/* The side of the bank's pixel that faces the phase: 0 right, 1 below, 2 left, 3 above. */
static int facing_side(const tb__bank *b, const tb__tone *tone, int x, int y)
{
    bool level = fabs(b->nx) > fabs(b->ny);
    for (int i = 0; i < 2; i++, level = !level) {
        int k = level ? (b->nx < 0 ? 0 : 2) : (b->ny < 0 ? 1 : 3);
        if (tb__is_phase(tone, x + STEP_X[k], y + STEP_Y[k]))
            return k;
    }
    return -1;
}

/* The steps on either side of the bank's own, which is in the middle; the phase lies to the right
 * of the chain. */
static bool list_chain(tb__spot chain[2 * CHAIN + 1], const tb__bank *b, const tb__tone *tone)
{
    static const int FIRST_X[4] = {1, 0, 0, 1}, FIRST_Y[4] = {1, 1, 0, 0};
    int x = (int)floor(b->x), y = (int)floor(b->y), k = facing_side(b, tone, x, y);
    if (k < 0)
        return false;
    crack on = {x + FIRST_X[k], y + FIRST_Y[k], (k + 3) & 3}, back = on;
    back.x += STEP_X[on.direction];
    back.y += STEP_Y[on.direction];
    back.direction = (on.direction + 2) & 3;
    list_middles(chain + CHAIN, 1, tone, on, 1);
    list_middles(chain + CHAIN, -1, tone, back, -1);
    return true;
}

/* The straight line with the least squares of distances, its direction along the chain. */
static tb__straight fit_straight(const tb__spot *p, int n)
{
    double x = 0, y = 0, xx = 0, xy = 0, yy = 0;
    for (int i = 0; i < n; i++)
        x += p[i].x / n, y += p[i].y / n;
    for (int i = 0; i < n; i++) {
        double dx = p[i].x - x, dy = p[i].y - y;
        xx += dx * dx / n, xy += dx * dy / n, yy += dy * dy / n;
    }
    double turn = 0.5 * atan2(2 * xy, xx - yy), c = cos(turn), s = sin(turn);
    tb__straight line = {x, y, c, s, sqrt(fmax(xx * s * s - 2 * xy * s * c + yy * c * c, 0))};
    if ((p[n - 1].x - p[0].x) * c + (p[n - 1].y - p[0].y) * s < 0)
        line.dx = -c, line.dy = -s;
    return line;
}

/* The pixels on either side of the middle of a step. */
static void pixels_beside(int x[2], int y[2], const tb__spot *middle)
{
    bool level = middle->x != floor(middle->x);
    for (int k = 0; k < 2; k++) {
        x[k] = (int)floor(middle->x) - (level ? 0 : k);
        y[k] = (int)floor(middle->y) - (level ? k : 0);
    }
}

/* A pixel's centre beside a line: along it, off it to the left, and on which side it belongs. */
typedef struct {
    double along, off, side;
} dot;

/* Turns the line so that it keeps off the dots of either side by as much as there is room for: the
 * squares of what is short of ROOM_PX are the least. Returns by how much the worst lies on the
 * wrong side. */
static double separate(tb__straight *line, dot *dots, int n)
{
    double worst = 0;
    for (int round = 0; round <= SEPARATE_ROUNDS; round++) {
        double s = 1e-9, sa = 0, saa = 1e-6, st = 0, sta = 0;
        worst = 0;
        for (int i = 0; i < n; i++) {
            const dot *d = &dots[i];
            double room = d->side * d->off, wanted = d->off - d->side * ROOM_PX;
            worst = -room > worst ? -room : worst;
            if (room >= ROOM_PX)
                continue;
            s += 1, sa += d->along, saa += d->along * d->along;
            st += wanted, sta += wanted * d->along;
        }
        if (round == SEPARATE_ROUNDS)
            break;
        double det = s * saa - sa * sa;
        if (det < 1e-6)
            break;
        double move = (st * saa - sta * sa) / det, slope = (sta * s - st * sa) / det;
        for (int i = 0; i < n; i++)
            dots[i].off -= move + slope * dots[i].along;
        double dx = line->dx, dy = line->dy, length = hypot(1, slope);
        line->x += move * dy, line->y -= move * dx;
        line->dx = (dx + slope * dy) / length, line->dy = (dy - slope * dx) / length;
    }
    return worst;
}

/* The pixels beside n steps of the chain, as dots about a line; returns how many. */
static int list_dots(dot dots[2 * LONGEST], const tb__straight *line, const tb__tone *tone,
        const tb__spot *steps, int n)
{
    for (int k = 0; k < n; k++) {
        int x[2], y[2];
        pixels_beside(x, y, &steps[k]);
        for (int j = 0; j < 2; j++) {
            double dx = x[j] + 0.5 - line->x, dy = y[j] + 0.5 - line->y;
            dots[2 * k + j] = (dot){dx * line->dx + dy * line->dy, dx * line->dy - dy * line->dx,
                    tb__is_phase(tone, x[j], y[j]) ? -1 : 1};
        }
    }
    return 2 * n;
}

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
        tb__straight here = fit_straight(steps, n);
        dot dots[2 * LONGEST];
        if (separate(&here, dots, list_dots(dots, &here, tone, steps, n)) <= MOST_WRONG_PX) {
            *line = here;
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
        line = fit_straight(chain + (before ? step - n : step + 1), n);
        if (line.left <= STRAIGHT_LEFT_PX)
            break;
    }
    return line;
}

/* By how much the chain turns, to the left above 0. One that comes right back may seem to turn
 * either way: it turns round a point of what is no phase, as one of the phase is a tip of its own.
 */
static double turn_of(const tb__straight *in, const tb__straight *out)
{
    double turn = -atan2(in->dx * out->dy - in->dy * out->dx, in->dx * out->dx + in->dy * out->dy);
    return turn < -2.5 ? -turn : turn;
}

/* The step at which the chain turns: first where short lines turn most, then, as a corner may be
 * too sharp for that, the one that lies farthest out. */
static int corner_step(tb__straight *in, tb__straight *out, const tb__spot *chain)
{
    int best = CHAIN;
    double most = -INFINITY;
    for (int i = CHAIN - SEARCH; i <= CHAIN + SEARCH; i++) {
        *in = fit_straight(chain + i - FIRST, FIRST);
        *out = fit_straight(chain + i + 1, FIRST);
        double good = fabs(turn_of(in, out)) - 3 * (in->left * in->left + out->left * out->left);
        if (good > most) {
            most = good;
            best = i;
        }
    }
    for (int round = 0; round < 2; round++) {
        *in = longest_straight(chain, best, true);
        *out = longest_straight(chain, best, false);
        double x = in->dx - out->dx, y = in->dy - out->dy;
        most = -INFINITY;
        for (int i = CHAIN - SEARCH; i <= CHAIN + SEARCH; i++) {
            double off = chain[i].x * x + chain[i].y * y;
            if (off > most + 1e-9) {
                most = off;
                best = i;
            }
        }
    }
    return best;
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

void tb__corner_find(tb__corner *out, const tb__bank *bank, const tb__tone *tone)
{
    tb__spot chain[2 * CHAIN + 1];
    tb__straight in, on;
    *out = (tb__corner){.found = false};
    if (!list_chain(chain, bank, tone))
        return;
    int step = corner_step(&in, &on, chain);
    int before = sharpen(&in, tone, chain, step, true);
    int behind = sharpen(&on, tone, chain, step, false);
    double turn = turn_of(&in, &on), sine = in.dx * on.dy - in.dy * on.dx;
    if (fabs(turn) < LEAST_TURN_RAD || fabs(sine) < LEAST_SINE)
        return;
    double way = ((on.x - in.x) * on.dy - (on.y - in.y) * on.dx) / sine;
    tb__spot tip = {in.x + way * in.dx, in.y + way * in.dy};
    double back = turn > 0 ? draw_back(&tip, &chain[step], tone, &in, &on) : 0;
    double off = hypot(tip.x - chain[step].x, tip.y - chain[step].y), most = most_beyond_px(turn);
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
    out->side[0] = (tb__straight){tip.x, tip.y, -in.dx, -in.dy, in.left};
    out->side[1] = (tb__straight){tip.x, tip.y, on.dx, on.dy, on.left};
}
