/* pattern/tie_balance.c: outlines moved a little, so that the light comes out right.
 *
 * What is all wood in the picture's middle tones is too light by the whole pattern's account, and
 * thick strands and bridges make it lighter; what is all open is too dark. Where the eye's blur
 * sees too much light, openings in broad wood grow by a pixel or two, and where it sees too little,
 * wide openings shrink: less than a line's width on paper, and more likeness than all bridges cost.
 * Nothing thin is touched: what gives way stays as wide as advised.
 */
#include "pattern/tie_private.h"

#include "image/width.h"

/* How far outlines move, and by how much the light must be wrong for it, step by step. Steps are of
 * a tenth of a millimetre. A judgement: it is not to be seen. */
enum { N_STEPS = 2 };
static const double STEP_MM = 0.1;
static const float LEAST_EXCESS[N_STEPS] = {0.1f, 0.2f};

/* What opening takes off a corner is thinner than this. */
static const double CORNER_MM = 0.3;

/* An opening that may shrink is at least so wide. */
static const double WIDE_MM = 2.8;

typedef struct {
    const tb__tie *t;
    const tb_mask *broad; /* wood that may give way */
    const tb_mask *slim;  /* wood, and openings that are not to shrink */
    const tb_mask *near;  /* within a step of the other phase */
    float least;
    uint8_t from; /* what is turned: wood or opening */
} sweep;

/* Of one cell's pixels in a row. */
static void turn_px(const sweep *s, size_t at, int n)
{
    uint8_t *restrict wood = s->t->wood->px + at;
    const uint8_t *restrict near = s->near->px + at, *restrict broad = s->broad->px + at,
                            *restrict slim = s->slim->px + at;
    const tb_tie_options *o = s->t->options;
    const tb_mask *painted = s->from ? o->painted_wood : o->painted_opening;
    for (int i = 0; i < n; i++)
        if (near[i] && (s->from ? wood[i] & broad[i] : (wood[i] | slim[i]) ^ 1) &&
                !(painted && painted->px[at + (size_t)i]))
            wood[i] = !s->from;
}

static void sweep_rows(void *payload, size_t first, size_t end)
{
    const sweep *s = payload;
    const tb__field *f = s->t->field;
    int width = s->t->wood->width_px, height = s->t->wood->height_px, size = f->cell_px;
    int frame = (int)ceil(s->t->options->limits.frame_mm * s->t->wood->px_per_mm);
    for (int cy = (int)first; cy < (int)end; cy++)
        for (int cx = 0; cx < f->width; cx++) {
            float excess = 2 * (f->pattern[cy * f->width + cx] - f->picture[cy * f->width + cx]);
            if (s->from ? excess <= s->least : excess >= -s->least)
                continue;
            int left = cx * size > frame ? cx * size : frame;
            int right = (cx + 1) * size < width - frame ? (cx + 1) * size : width - frame;
            for (int y = cy * size; y < (cy + 1) * size && y < height - frame && left < right; y++)
                if (y >= frame)
                    turn_px(s, (size_t)y * (size_t)width + (size_t)left, right - left);
        }
}

/* Everything within a step of the other phase: of an opening where from is wood. */
static tb_status find_near(tb_mask **out, const tb__tie *t, uint8_t from, tb_error *err)
{
    if (!from)
        return tb_grow_wood(out, t->wood, STEP_MM, t->job, err);
    tb_mask *openings = NULL;
    tb_status status = tb_mask_copy(&openings, t->wood, err);
    if (status)
        return status;
    tb_mask_invert(openings);
    status = tb_grow_wood(out, openings, STEP_MM, t->job, err);
    tb_mask_free(openings);
    return status;
}

static tb_status move_outlines(tb__tie *t, sweep *s, uint8_t from, tb_error *err)
{
    tb_mask *near = NULL;
    tb_status status = find_near(&near, t, from, err);
    if (status)
        return status;
    s->from = from;
    s->near = near;
    tb_job_rows(t->job, (size_t)t->field->height, 8, sweep_rows, s);
    tb_mask_free(near);
    return TB_OK;
}

/* Wood that may give way: broad, and not where something thin is rooted in it. What the opening
 * takes off corners is nothing thin. */
static tb_status find_broad(tb_mask **out, const tb__tie *t, tb_error *err)
{
    const tb_limits *limits = &t->options->limits;
    double give_mm = 2 * N_STEPS * STEP_MM + 1 / t->wood->px_per_mm;
    double broad_mm = fmax(limits->bridge_should_mm, limits->bridge_across_mm) + give_mm;
    tb_mask *rest = NULL, *thin = NULL, *roots = NULL;
    tb_status status = tb_open_wood(out, t->wood, broad_mm, false, t->job, err);
    if (!status)
        status = tb_mask_copy(&rest, t->wood, err);
    if (!status) {
        tb_mask_take(rest, *out);
        status = tb_open_wood(&thin, rest, CORNER_MM, false, t->job, err);
    }
    if (!status)
        status = tb_grow_wood(&roots, thin, limits->bridge_must_mm / 2 + give_mm, t->job, err);
    if (!status)
        tb_mask_take(*out, roots);
    tb_mask_free(rest);
    tb_mask_free(thin);
    tb_mask_free(roots);
    return status;
}

tb_status tb__balance(tb__tie *t, tb_error *err)
{
    tb_mask *broad = NULL, *slim = NULL;
    tb_status status = find_broad(&broad, t, err);
    if (!status)
        status = tb_close_wood(&slim, t->wood, WIDE_MM, t->job, err);
    sweep s = {.t = t, .broad = broad, .slim = slim};
    for (int i = 0; i < N_STEPS && !status; i++) {
        s.least = LEAST_EXCESS[i];
        status = tb__field_update(t, err);
        if (!status)
            status = move_outlines(t, &s, 1, err);
        if (!status)
            status = move_outlines(t, &s, 0, err);
    }
    tb_mask_free(broad);
    tb_mask_free(slim);
    return status;
}
