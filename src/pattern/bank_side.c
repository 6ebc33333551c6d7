/* pattern/bank_side.c: see bank_side.h. */
#include "pattern/bank_side.h"

#include "pattern/outline.h"

#include <math.h>

/* A step along the outline: from the vertex (x, y) in a direction. */
typedef struct {
    int x, y, direction;
} crack;

/* The pixel ahead of a vertex, to the right or left hand of the direction. */
static bool ahead(const tb__tone *tone, const crack *c, int hand)
{
    int dx = TB_STEP_X[c->direction], dy = TB_STEP_Y[c->direction];
    return tb__is_phase(tone, c->x + (dx - hand * dy - 1) / 2, c->y + (dy + hand * dx - 1) / 2);
}

/* Lists the middles of reach + 1 steps, the first that of c, with the phase to the right (hand 1)
 * or to the left (-1). Returns whether the outline came round to c. */
static bool list_middles(
        tb__spot *to, int stride, int reach, const tb__tone *tone, crack c, int hand)
{
    const crack first = c;
    bool closed = false;
    for (int i = 0; i <= reach; i++) {
        int dx = TB_STEP_X[c.direction], dy = TB_STEP_Y[c.direction];
        to[i * stride] = (tb__spot){c.x + 0.5 * dx, c.y + 0.5 * dy};
        c.x += dx;
        c.y += dy;
        if (!ahead(tone, &c, hand))
            c.direction = (c.direction + 4 + hand) & 3;
        else if (ahead(tone, &c, -hand))
            c.direction = (c.direction + 4 - hand) & 3;
        closed |= c.x == first.x && c.y == first.y && c.direction == first.direction;
    }
    return closed;
}

/* The side of the bank's pixel that faces the phase: 0 right, 1 below, 2 left, 3 above. */
static int facing_side(const tb__bank *b, const tb__tone *tone, int x, int y)
{
    bool level = fabs(b->nx) > fabs(b->ny);
    for (int i = 0; i < 2; i++, level = !level) {
        int k = level ? (b->nx < 0 ? 0 : 2) : (b->ny < 0 ? 1 : 3);
        if (tb__is_phase(tone, x + TB_STEP_X[k], y + TB_STEP_Y[k]))
            return k;
    }
    return -1;
}

bool tb__chain_list(
        tb__spot *chain, int reach, bool *closed, const tb__bank *b, const tb__tone *tone)
{
    static const int FIRST_X[4] = {1, 0, 0, 1}, FIRST_Y[4] = {1, 1, 0, 0};
    int x = (int)floor(b->x), y = (int)floor(b->y), k = facing_side(b, tone, x, y);
    if (k < 0)
        return false;
    crack on = {x + FIRST_X[k], y + FIRST_Y[k], (k + 3) & 3}, back = on;
    back.x += TB_STEP_X[on.direction];
    back.y += TB_STEP_Y[on.direction];
    back.direction = (on.direction + 2) & 3;
    *closed = list_middles(chain + reach, 1, reach, tone, on, 1);
    list_middles(chain + reach, -1, reach, tone, back, -1);
    for (int i = 0; i <= reach && !*closed; i++)
        *closed = chain[i].x == chain[2 * reach].x && chain[i].y == chain[2 * reach].y;
    return true;
}

/* The sums are exact: steps lie on halves of pixels, near each other. The direction is that in
 * which the points spread most, by half an angle's cosine and sine. */
tb__straight tb__straight_fit(const tb__spot *p, int n)
{
    double x = 0, y = 0, xx = 0, xy = 0, yy = 0, share = 1.0 / n, c = 1, s = 0;
    for (int i = 0; i < n; i++) {
        double dx = p[i].x - p[0].x, dy = p[i].y - p[0].y;
        x += dx, y += dy, xx += dx * dx, xy += dx * dy, yy += dy * dy;
    }
    x *= share, y *= share;
    xx = xx * share - x * x, xy = xy * share - x * y, yy = yy * share - y * y;
    double more = xx - yy, twice = sqrt(more * more + 4 * xy * xy);
    if (twice > 0) {
        double larger = sqrt((1 + fabs(more) / twice) / 2), lesser = xy / (twice * larger);
        c = more >= 0 ? larger : fabs(lesser);
        s = more >= 0 ? lesser : copysign(larger, xy);
    }
    double left = (xx + yy - twice) / 2;
    if ((p[n - 1].x - p[0].x) * c + (p[n - 1].y - p[0].y) * s < 0)
        c = -c, s = -s;
    return (tb__straight){p[0].x + x, p[0].y + y, c, s, left > 0 ? sqrt(left) : 0};
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

/* The middles of the steps of one line lie within this of the way from the first to the last. */
#define MOST_UNEVEN_PX 1.5

bool tb__is_even(const tb__spot *p, int n, bool bent)
{
    double dx = p[n - 1].x - p[0].x, dy = p[n - 1].y - p[0].y, length = hypot(dx, dy);
    if (length < 1)
        return false;
    dx /= length, dy /= length;
    const tb__spot *middle = &p[n / 2];
    double height = bent ? (middle->x - p[0].x) * dy - (middle->y - p[0].y) * dx : 0;
    double along = (middle->x - p[0].x) * dx + (middle->y - p[0].y) * dy;
    double bend = height / fmax(along * (length - along), 1);
    for (int i = 1; i < n - 1; i++) {
        double x = p[i].x - p[0].x, y = p[i].y - p[0].y, v = x * dx + y * dy;
        double off = x * dy - y * dx - bend * v * (length - v);
        if (fabs(off) > MOST_UNEVEN_PX)
            return false;
    }
    return true;
}

/* A line that moves, or turns over a pixel's length, by less has come to rest. */
#define STILL_PX 1e-6

/* The parabola, or the straight line, with the least squares of the sums. */
static void solve(double c[3], bool bent, const double m[5], const double b[3], int n)
{
    double det = m[0] * m[2] - m[1] * m[1];
    c[0] = c[1] = c[2] = 0;
    if (bent)
        tb__parabola_solve(c, m, b, n);
    else if (det >= 1e-6) {
        c[0] = (b[0] * m[2] - b[1] * m[1]) / det;
        c[1] = (b[1] * m[0] - b[0] * m[1]) / det;
    }
}

/* Newton's steps: they end where no dot becomes short, or stops being. */
double tb__separate(double c[3], bool bent, double room_px, int rounds, const tb__dot *dots, int n)
{
    double worst = 0;
    for (int round = 0; round <= rounds; round++) {
        double m[5] = {1e-9, 0, 1e-6, 0, 1e-3}, b[3] = {0}, move[3];
        bool all = bent && round == 0 && c[0] == 0;
        double near_px = all ? INFINITY : room_px, aim_px = all ? 0.5 : room_px;
        int n_short = 0;
        worst = 0;
        for (int i = 0; i < n; i++) {
            const tb__dot *d = &dots[i];
            double off = tb__dot_off(c, d), room = d->side * off;
            worst = -room > worst ? -room : worst;
            if (room >= near_px)
                continue;
            double u = off - d->side * aim_px, v = d->along, v2 = v * v;
            n_short++;
            m[0] += 1, m[1] += v, m[2] += v2;
            b[0] += u, b[1] += u * v;
            if (bent)
                m[3] += v2 * v, m[4] += v2 * v2, b[2] += u * v2;
        }
        if (round == rounds || n_short == 0)
            break;
        solve(move, bent, m, b, n_short);
        if (fabs(move[0]) < STILL_PX && fabs(move[1]) < STILL_PX && fabs(move[2]) < STILL_PX)
            break;
        for (int k = 0; k < 3; k++)
            c[k] += move[k];
    }
    return worst;
}

int tb__list_dots(
        tb__dot *dots, const tb__straight *line, const tb__tone *tone, const tb__spot *steps, int n)
{
    for (int k = 0; k < n; k++) {
        int x[2], y[2];
        pixels_beside(x, y, &steps[k]);
        for (int j = 0; j < 2; j++)
            dots[2 * k + j] = tb__dot_at(line, x[j], y[j], tb__is_phase(tone, x[j], y[j]));
    }
    return 2 * n;
}

tb__spot tb__meeting(const tb__straight *a, const tb__straight *b)
{
    double sine = a->dx * b->dy - a->dy * b->dx;
    double way = ((b->x - a->x) * b->dy - (b->y - a->y) * b->dx) / sine;
    return (tb__spot){a->x + way * a->dx, a->y + way * a->dy};
}
