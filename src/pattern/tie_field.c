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

#include <string.h>

/* Without a picture: how many times its own area of bridge an island is worth. A judgement: who
 * drew it wants it kept, unless its bridge would be several times its size. */
static const float WORTH_UNSEEN = 4;

typedef struct {
    const tb__tie *t;
    tb__field *field;
    bool of_tone; /* means of the tone, else of the pattern */
    float *means, *across;
} pass;

static void mean_rows(void *payload, size_t first, size_t end)
{
    const pass *p = payload;
    const tb__field *f = p->field;
    const tb_tie_options *o = p->t->options;
    const tb_mask *wood = p->t->wood;
    for (size_t cy = first; cy < end && !tb_job_stopped(p->t->job); cy++)
        for (int cx = 0; cx < f->width; cx++) {
            int left = cx * f->cell_px, top = (int)cy * f->cell_px;
            int right = left + f->cell_px, bottom = top + f->cell_px;
            right = right < wood->width_px ? right : wood->width_px;
            bottom = bottom < wood->height_px ? bottom : wood->height_px;
            float sum = 0;
            for (int y = top; y < bottom; y++) {
                size_t row = (size_t)y * (size_t)wood->width_px;
                if (p->of_tone)
                    for (int x = left; x < right; x++)
                        sum += (float)tb_likeness_want(o->tone->px[row + (size_t)x], o->cut_line);
                else
                    for (int x = left; x < right; x++)
                        sum += wood->px[row + (size_t)x];
            }
            p->means[cy * (size_t)f->width + (size_t)cx] =
                    sum / (float)((right - left) * (bottom - top));
        }
}

static void across_rows(void *payload, size_t first, size_t end)
{
    const pass *p = payload;
    const tb__field *f = p->field;
    for (size_t y = first; y < end; y++) {
        const float *row = p->means + y * (size_t)f->width;
        float *to = p->across + y * (size_t)f->width;
        for (int x = 0; x < f->width; x++) {
            float sum = f->kernel[0] * row[x];
            for (int k = 1; k <= f->reach; k++)
                sum += f->kernel[k] *
                       (row[x < k ? 0 : x - k] + row[x + k < f->width ? x + k : f->width - 1]);
            to[x] = sum;
        }
    }
}

static void down_rows(void *payload, size_t first, size_t end)
{
    const pass *p = payload;
    const tb__field *f = p->field;
    size_t width = (size_t)f->width;
    int last = f->height - 1;
    for (int y = (int)first; y < (int)end; y++) {
        float *to = p->means + (size_t)y * width;
        const float *row = p->across + (size_t)y * width;
        for (size_t x = 0; x < width; x++)
            to[x] = f->kernel[0] * row[x];
        for (int k = 1; k <= f->reach; k++) {
            const float *above = p->across + (size_t)(y < k ? 0 : y - k) * width;
            const float *below = p->across + (size_t)(y + k < last ? y + k : last) * width;
            for (size_t x = 0; x < width; x++)
                to[x] += f->kernel[k] * (above[x] + below[x]);
        }
    }
}

static tb_status blur(float *means, const tb__tie *t, tb__field *field, tb_error *err)
{
    size_t rows = (size_t)field->height;
    pass p = {t, field, false, means, tb_malloc(rows * (size_t)field->width, sizeof *p.across)};
    if (!p.across)
        return tb_fail_memory(err);
    tb_job_rows(t->job, rows, 8, across_rows, &p);
    tb_job_rows(t->job, rows, 8, down_rows, &p);
    tb_free(p.across);
    return TB_OK;
}

static tb_status average(
        float *means, const tb__tie *t, tb__field *field, bool of_tone, tb_error *err)
{
    pass p = {t, field, of_tone, means, NULL};
    tb_job_rows(t->job, (size_t)field->height, 8, mean_rows, &p);
    return tb_job_stopped(t->job) ? tb_fail_cancelled(err) : TB_OK;
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

tb_status tb__field_new(tb__field **out, const tb__tie *t, tb_error *err)
{
    *out = NULL;
    tb__field *f = tb_calloc(1, sizeof *f);
    if (!f)
        return tb_fail_memory(err);
    f->worth_factor = t->options->tone ? 1 : WORTH_UNSEEN;
    f->cell_px = (int)(t->bridge_px / 4) > 1 ? (int)(t->bridge_px / 4) : 1;
    f->width = (t->wood->width_px + f->cell_px - 1) / f->cell_px;
    f->height = (t->wood->height_px + f->cell_px - 1) / f->cell_px;
    size_t n = (size_t)f->width * (size_t)f->height;
    f->pattern = tb_malloc(n, sizeof *f->pattern);
    f->picture = tb_malloc(n, sizeof *f->picture);
    f->open = tb_malloc(n, sizeof *f->open);
    f->loss = tb_malloc(n, sizeof *f->loss);
    f->strip = tb_malloc(n, sizeof *f->strip);
    f->strip_share = strip_share(t->options->limits.bridge_must_mm);
    make_kernel(f, TB_EYE_BLUR_MM * sqrt(2) * t->wood->px_per_mm / f->cell_px);
    make_disc(f, t->bridge_px / 2 / f->cell_px);
    tb_status status = TB_OK;
    if (!f->pattern || !f->picture || !f->open || !f->loss || !f->strip)
        status = tb_fail_memory(err);
    if (!status)
        status = average(f->picture, t, f, t->options->tone, err);
    if (!status)
        status = blur(f->picture, t, f, err);
    if (status)
        tb__field_free(f);
    else
        *out = f;
    return status;
}

static float weight_at(const tb__tie *t, int x_px, int y_px)
{
    const tb_plane *weight = t->options->weight;
    return weight ? weight->px[(size_t)y_px * (size_t)weight->width_px + (size_t)x_px] : 1;
}

/* Beyond the board's edge there is no wood to be had: as dear as can be. */
static float loss_at(const tb__field *f, int x, int y)
{
    if (x < 0 || y < 0 || x >= f->width || y >= f->height)
        return 1;
    return f->loss[(size_t)y * (size_t)f->width + (size_t)x];
}

static void strip_rows(void *payload, size_t first, size_t end)
{
    const tb__tie *t = payload;
    const tb__field *f = t->field;
    int reach = f->disc_reach;
    for (int y = (int)first; y < (int)end; y++)
        for (int x = 0; x < f->width; x++) {
            float mean = 0;
            for (int dy = -reach; dy <= reach; dy++)
                for (int dx = -reach; dx <= reach; dx++)
                    mean += f->disc[dy + reach][dx + reach] * loss_at(f, x + dx, y + dy);
            f->strip[(size_t)y * (size_t)f->width + (size_t)x] = mean;
        }
}

tb_status tb__field_update(const tb__tie *t, tb_error *err)
{
    tb__field *f = t->field;
    size_t n = (size_t)f->width * (size_t)f->height;
    tb_status status = average(f->pattern, t, f, false, err);
    if (status)
        return status;
    for (size_t i = 0; i < n; i++)
        f->open[i] = 1 - f->pattern[i];
    status = blur(f->pattern, t, f, err);
    if (status)
        return status;
    for (int y = 0; y < f->height; y++)
        for (int x = 0; x < f->width; x++)
            f->loss[y * f->width + x] =
                    f->open[y * f->width + x] * tb__field_cost(t, x * f->cell_px, y * f->cell_px);
    tb_job_rows(t->job, (size_t)f->height, 8, strip_rows, (void *)(uintptr_t)t);
    return TB_OK;
}

void tb__field_free(tb__field *field)
{
    if (!field)
        return;
    tb_free(field->pattern);
    tb_free(field->picture);
    tb_free(field->open);
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
    return weight_at(t, x_px, y_px) * (excess + f->strip_share);
}

float tb__field_worth(const tb__tie *t, int x_px, int y_px)
{
    const tb__field *f = t->field;
    size_t cell = cell_at(f, x_px, y_px);
    float worth = 2 * f->picture[cell] - f->pattern[cell];
    return weight_at(t, x_px, y_px) * worth * f->worth_factor;
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
