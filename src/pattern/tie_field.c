/* pattern/tie_field.c: what wood gains or loses at each place, as the eye sees it.
 *
 * Likeness is lost by J, the weighted integral of the square of G (p - t): pattern p less picture
 * t, blurred by the eye's G. Adding wood d to p changes J by the integral of d (2 (P - T) + G G d),
 * where P and T are p and t blurred twice. The last part depends on the shape of d alone; for a
 * long strip it has a closed form (strip_share). Taking a room d away changes J by the integral of
 * d (2 (T - P) + G G d), and over a room standing free G G d is P itself.
 *
 * So two smooth fields say all there is to say, and a grid of a quarter bridge is fine enough.
 * Without a picture, the pattern as it came is taken for it.
 */
#include "pattern/tie_private.h"

#include "base/alloc.h"
#include "image/filter.h"
#include "pattern/cells.h"

#include <string.h>

/* Without a picture: how many times its own area of bridge an island is worth. A judgement: who
 * drew it wants it kept, unless its bridge would be several times its size. */
static const float WORTH_UNSEEN = 4;

static void average_pattern(float *means, const tb__tie *t, const tb__field *field)
{
    tb__cell_means(means, t->wood, NULL, 0, field->cell_px, t->job);
}

/* Of what the picture wants. */
static void average_picture(float *means, const tb__tie *t, const tb__field *field)
{
    const tb_tie_options *o = t->options;
    tb__cell_means(means, NULL, o->tone, o->cut_line, field->cell_px, t->job);
    for (size_t i = 0, n = (size_t)field->width * (size_t)field->height; i < n; i++)
        means[i] = -means[i];
}

/* As the eye blurs, twice. Blurring may put other memory in the place of *means. */
static tb_status blur(float **means, const tb__tie *t, const tb__field *field, tb_error *err)
{
    double scale = t->wood->px_per_mm / field->cell_px;
    tb_plane plane = {field->width, field->height, scale, *means};
    tb_status status = tb_blur(&plane, TB_EYE_BLUR_MM * sqrt(2), t->job, err);
    *means = plane.px;
    return status;
}

/* The mean over a long strip of what the strip, blurred twice, comes to. */
static float strip_share(double width_mm)
{
    double s = TB_EYE_BLUR_MM * sqrt(2), r = width_mm / s;
    return (float)(erf(r / sqrt(2)) - sqrt(2 / acos(-1)) / r * (1 - exp(-r * r / 2)));
}

static void make_kernel(tb__field *f, double sigma)
{
    f->reach = (int)ceil(3 * sigma);
    f->reach = f->reach < TB__REACH_MAX ? f->reach : TB__REACH_MAX;
    double sum = 0;
    for (int k = -f->reach; k <= f->reach; k++)
        sum += exp(-k * k / (2 * sigma * sigma));
    for (int k = 0; k <= f->reach; k++)
        f->kernel[k] = (float)(exp(-k * k / (2 * sigma * sigma)) / sum);
}

/* How much of the disc about a cell's middle lies in each cell near it, by 16 × 16 samples a cell.
 */
static void make_disc(tb__field *f, double radius)
{
    enum { SAMPLES = 16 };
    f->disc_reach = (int)ceil(radius - 0.5);
    f->disc_reach = f->disc_reach < TB__DISC_REACH_MAX ? f->disc_reach : TB__DISC_REACH_MAX;
    int across = (2 * f->disc_reach + 1) * SAMPLES;
    double sum = 0;
    for (int y = 0; y < across; y++)
        for (int x = 0; x < across; x++) {
            double dx = (x + 0.5 - across / 2.0) / SAMPLES, dy = (y + 0.5 - across / 2.0) / SAMPLES;
            if (dx * dx + dy * dy > radius * radius)
                continue;
            f->disc[y / SAMPLES][x / SAMPLES] += 1;
            sum += 1;
        }
    for (int y = 0; y <= 2 * f->disc_reach; y++)
        for (int x = 0; x <= 2 * f->disc_reach; x++)
            f->disc[y][x] /= (float)sum;
}

/* Where what the picture wants changes by so much in a mm, half of a bridge is hidden. A judgement.
 */
static const double HIDING_PER_MM = 0.06;

/* By how steep the picture is about each cell, as far as the eye's blur reaches. */
static tb_status find_flat(tb__field *f, const tb__tie *t, tb_error *err)
{
    double cell_mm = f->cell_px / t->wood->px_per_mm;
    for (int y = 0; y < f->height; y++)
        for (int x = 0; x < f->width; x++) {
            int left = x > 0 ? x - 1 : x, right = x + 1 < f->width ? x + 1 : x;
            int up = y > 0 ? y - 1 : y, down = y + 1 < f->height ? y + 1 : y;
            float dx = f->picture[y * f->width + right] - f->picture[y * f->width + left];
            float dy = f->picture[down * f->width + x] - f->picture[up * f->width + x];
            f->flat[y * f->width + x] = sqrtf(dx * dx + dy * dy) / (float)(2 * cell_mm);
        }
    tb_status status = blur(&f->flat, t, f, err);
    for (int i = 0; !status && i < f->width * f->height; i++) {
        float steep = f->flat[i] / (float)HIDING_PER_MM;
        f->flat[i] = t->options->tone ? 1 / (1 + steep * steep) : 0;
    }
    return status;
}

tb_status tb__field_new(tb__field **out, const tb__tie *t, tb_error *err)
{
    *out = NULL;
    tb__field *f = tb_calloc(1, sizeof *f);
    if (!f)
        return tb_fail_memory(err);
    f->worth_factor = t->options->tone ? 1 : WORTH_UNSEEN;
    f->cell_px = (int)(t->bridge_px / 4) > 1 ? (int)(t->bridge_px / 4) : 1;
    f->width = tb__n_cells(t->wood->width_px, f->cell_px);
    f->height = tb__n_cells(t->wood->height_px, f->cell_px);
    size_t n = (size_t)f->width * (size_t)f->height;
    f->pattern = tb_malloc(n, sizeof *f->pattern);
    f->picture = tb_malloc(n, sizeof *f->picture);
    f->open = tb_malloc(n, sizeof *f->open);
    f->flat = tb_malloc(n, sizeof *f->flat);
    f->loss = tb_malloc(n, sizeof *f->loss);
    f->strip = tb_malloc(n, sizeof *f->strip);
    f->strip_share = strip_share(t->options->limits.bridge_must_mm);
    make_kernel(f, TB_EYE_BLUR_MM * sqrt(2) * t->wood->px_per_mm / f->cell_px);
    make_disc(f, t->bridge_px / 2 / f->cell_px);
    tb_status status = TB_OK;
    if (!f->pattern || !f->picture || !f->open || !f->flat || !f->loss || !f->strip)
        status = tb_fail_memory(err);
    if (!status) {
        if (t->options->tone)
            average_picture(f->picture, t, f);
        else
            average_pattern(f->picture, t, f);
        status = blur(&f->picture, t, f, err);
    }
    if (!status)
        status = find_flat(f, t, err);
    if (status)
        tb__field_free(f);
    else
        *out = f;
    return status;
}

float tb__field_weight(const tb__tie *t, int x_px, int y_px)
{
    const tb_plane *weight = t->options->weight;
    return weight ? weight->px[(size_t)y_px * (size_t)weight->width_px + (size_t)x_px] : 1;
}

/* Beyond the board's edge there is no wood to be had: as dear as can be. */
static const float LOSS_BEYOND = 1;

static void loss_rows(void *payload, size_t first, size_t end)
{
    const tb__tie *t = payload;
    const tb__field *f = t->field;
    for (int y = (int)first; y < (int)end; y++)
        for (int x = 0; x < f->width; x++) {
            size_t cell = (size_t)y * (size_t)f->width + (size_t)x;
            f->loss[cell] = f->open[cell] * tb__field_cost(t, x * f->cell_px, y * f->cell_px);
        }
}

/* A row of the strip, one cell of the disc after the other. */
static void strip_rows(void *payload, size_t first, size_t end)
{
    const tb__tie *t = payload;
    const tb__field *f = t->field;
    int reach = f->disc_reach, width = f->width;
    for (int y = (int)first; y < (int)end; y++) {
        float *restrict to = f->strip + (size_t)y * (size_t)width;
        memset(to, 0, (size_t)width * sizeof *to);
        for (int dy = -reach; dy <= reach; dy++)
            for (int dx = -reach; dx <= reach; dx++) {
                float share = f->disc[dy + reach][dx + reach], beyond = share * LOSS_BEYOND;
                bool outside = y + dy < 0 || y + dy >= f->height;
                const float *restrict row =
                        f->loss + (size_t)(outside ? y : y + dy) * (size_t)width;
                int left = dx < 0 ? -dx : 0, right = dx > 0 ? width - dx : width;
                left = outside || left > width ? width : left;
                right = right < left ? left : right;
                for (int x = 0; x < left; x++)
                    to[x] += beyond;
                for (int x = left; x < right; x++)
                    to[x] += share * row[x + dx];
                for (int x = right; x < width; x++)
                    to[x] += beyond;
            }
    }
}

tb_status tb__field_update(const tb__tie *t, tb_error *err)
{
    tb__field *f = t->field;
    size_t n = (size_t)f->width * (size_t)f->height;
    average_pattern(f->pattern, t, f);
    for (size_t i = 0; i < n; i++)
        f->open[i] = 1 - f->pattern[i];
    tb_status status = blur(&f->pattern, t, f, err);
    if (status)
        return status;
    tb__tie reader = *t;
    tb_job_rows(t->job, (size_t)f->height, 8, loss_rows, &reader);
    tb_job_rows(t->job, (size_t)f->height, 8, strip_rows, &reader);
    return TB_OK;
}

void tb__field_free(tb__field *field)
{
    if (!field)
        return;
    tb_free(field->pattern);
    tb_free(field->picture);
    tb_free(field->open);
    tb_free(field->flat);
    tb_free(field->loss);
    tb_free(field->strip);
    tb_free(field);
}

static size_t cell_at(const tb__field *f, int x_px, int y_px)
{
    return (size_t)(y_px / f->cell_px) * (size_t)f->width + (size_t)(x_px / f->cell_px);
}

float tb__field_cost(const tb__tie *t, int x_px, int y_px)
{
    const tb__field *f = t->field;
    size_t cell = cell_at(f, x_px, y_px);
    float excess = 2 * (f->pattern[cell] - f->picture[cell]);
    return tb__field_weight(t, x_px, y_px) * (excess + f->strip_share);
}

float tb__field_worth(const tb__tie *t, int x_px, int y_px)
{
    const tb__field *f = t->field;
    size_t cell = cell_at(f, x_px, y_px);
    float worth = 2 * f->picture[cell] - f->pattern[cell];
    return tb__field_weight(t, x_px, y_px) * worth * f->worth_factor;
}

/* A disc's cells: shares of them that it would turn into wood. */
enum { MOST_CELLS = 2 * (TB__DISC_REACH_MAX + 1) + 1 };

typedef struct {
    int left, top, across; /* cells */
    float share[MOST_CELLS][MOST_CELLS];
} cover;

static void cover_of(cover *c, const tb__tie *t, double x_px, double y_px, double radius)
{
    const tb_mask *wood = t->wood;
    int size = t->field->cell_px;
    memset(c, 0, sizeof *c);
    c->left = (int)floor((x_px - radius) / size);
    c->top = (int)floor((y_px - radius) / size);
    c->across = (int)ceil(2 * radius / size) + 1;
    c->across = c->across < MOST_CELLS ? c->across : MOST_CELLS;
    for (int y = (int)(y_px - radius); y <= (int)(y_px + radius); y++)
        for (int x = (int)(x_px - radius); x <= (int)(x_px + radius); x++) {
            double dx = x + 0.5 - x_px, dy = y + 0.5 - y_px;
            if (x < 0 || y < 0 || x >= wood->width_px || y >= wood->height_px ||
                    dx * dx + dy * dy > radius * radius ||
                    wood->px[(size_t)y * (size_t)wood->width_px + (size_t)x])
                continue;
            c->share[y / size - c->top][x / size - c->left] += 1 / (float)(size * size);
        }
}

static float kernel_at(const tb__field *f, int by)
{
    by = by < 0 ? -by : by;
    return by <= f->reach ? f->kernel[by] : 0;
}

/* What the cover's own blur comes to. */
static float own_share(const tb__field *f, const cover *c)
{
    float sum = 0;
    for (int y = 0; y < c->across; y++)
        for (int x = 0; x < c->across; x++)
            for (int v = 0; c->share[y][x] > 0 && v < c->across; v++)
                for (int u = 0; u < c->across; u++)
                    sum += c->share[y][x] * c->share[v][u] * kernel_at(f, u - x) *
                           kernel_at(f, v - y);
    return sum;
}

static void add_cover(tb__field *f, const cover *c)
{
    for (int i = 0; i < c->across * c->across; i++) {
        float share = c->share[i / c->across][i % c->across];
        int cx = c->left + i % c->across, cy = c->top + i / c->across;
        for (int dy = -f->reach; share > 0 && dy <= f->reach; dy++)
            for (int dx = -f->reach; dx <= f->reach; dx++) {
                int x = cx + dx, y = cy + dy;
                if (x >= 0 && y >= 0 && x < f->width && y < f->height)
                    f->pattern[y * f->width + x] += share * kernel_at(f, dx) * kernel_at(f, dy);
            }
    }
}

float tb__field_try_disc(const tb__tie *t, double x_px, double y_px)
{
    tb__field *f = t->field;
    cover c;
    cover_of(&c, t, x_px, y_px, t->bridge_px / 2);
    float cost = own_share(f, &c);
    for (int y = 0; y < c.across; y++)
        for (int x = 0; x < c.across; x++) {
            size_t cell = (size_t)(c.top + y) * (size_t)f->width + (size_t)(c.left + x);
            if (c.share[y][x] > 0)
                cost += 2 * c.share[y][x] * (f->pattern[cell] - f->picture[cell]);
        }
    if (cost < 0)
        add_cover(f, &c);
    return cost;
}
