/* pattern/rim.c: where the frame is cut through.
 *
 * What is sawn away at the board's edge belongs to no opening that needs an entry hole, and the
 * wood may hang together all the same: nothing else would tell of it.
 */
#include "pattern/survey.h"

#include <math.h>

typedef struct {
    int x_px, y_px;
} spot;

static int n_rim(const tb_mask *mask)
{
    return 2 * (mask->width_px + mask->height_px) - 4;
}

/* The i-th of the outermost pixels, clockwise from the top left. */
static spot rim_at(const tb_mask *mask, int i)
{
    int w = mask->width_px - 1, h = mask->height_px - 1;
    if (i < w)
        return (spot){i, 0};
    if (i < w + h)
        return (spot){w, i - w};
    return i < 2 * w + h ? (spot){2 * w + h - i, h} : (spot){0, 2 * (w + h) - i};
}

static bool rim_wood(const tb_mask *mask, int i)
{
    spot s = rim_at(mask, i % n_rim(mask));
    return mask->px[(size_t)s.y_px * (size_t)mask->width_px + (size_t)s.x_px];
}

/* Whether what is sawn away there goes half through a frame of proper width: not a mere nick. */
static bool goes_deep(const tb__survey *s, spot at)
{
    int32_t piece = tb_labels_at(s->openings, at.x_px, at.y_px);
    if (piece < 0)
        return false;
    const tb_piece *p = &s->openings->pieces[piece];
    const int w = s->mask->width_px, h = s->mask->height_px;
    int depth_px = at.y_px == 0       ? p->bottom_px
                   : at.y_px == h - 1 ? h - p->top_px
                   : at.x_px == 0     ? p->right_px
                                      : w - p->left_px;
    return depth_px >= s->limits->frame_mm / 2 * s->px_per_mm;
}

/* A stretch of n pixels of the rim, from the first on, that is sawn away. */
static tb_status add_open_frame(tb__survey *s, int first, int n)
{
    const tb_mask *mask = s->mask;
    const double frame_px = s->limits->frame_mm * s->px_per_mm;
    spot middle = rim_at(mask, (first + n / 2) % n_rim(mask));
    spot a = rim_at(mask, first), b = rim_at(mask, (first + n - 1) % n_rim(mask));
    /* Over a corner it is the board's shape: a round corner, as many boards have. */
    if ((a.x_px != b.x_px && a.y_px != b.y_px) || !goes_deep(s, middle))
        return TB_OK;
    tb_finding *finding = tb__add_finding(
            s, TB_FINDING_THIN_FRAME, TB_SHOULD, middle.x_px + 0.5, middle.y_px + 0.5);
    if (!finding)
        return TB_ENOMEM;
    finding->measured = 0;
    finding->limit = s->limits->frame_mm;
    tb__advise(finding, "The frame is cut through here: paint wood over it to make it whole.");
    double left = fmin(a.x_px, b.x_px), top = fmin(a.y_px, b.y_px);
    double right = fmax(a.x_px, b.x_px) + 1, bottom = fmax(a.y_px, b.y_px) + 1;
    left = right >= mask->width_px ? fmin(left, right - frame_px) : left;
    top = bottom >= mask->height_px ? fmin(top, bottom - frame_px) : top;
    right = left <= 0 ? fmax(right, frame_px) : right;
    bottom = top <= 0 ? fmax(bottom, frame_px) : bottom;
    tb_point box[4] = {{left, top}, {right, top}, {right, bottom}, {left, bottom}};
    return tb__set_extent(s, finding, box, 4);
}

/* Where most of the rim is wood the board has a frame, and openings in the rim cut it through; else
 * it is a shape of its own. */
tb_status tb__inspect_rim(tb__survey *s)
{
    const tb_mask *mask = s->mask;
    const int n = n_rim(mask);
    int n_wood = 0, start = 0;
    for (int i = 0; i < n; i++) {
        n_wood += rim_wood(mask, i);
        start = rim_wood(mask, i) ? i : start;
    }
    const bool has_frame = s->limits->frame_mm > 0 && 4 * n_wood >= 3 * n;
    tb_status status = TB_OK;
    for (int i = 1, gap = 0; i <= n && !status && has_frame; i++) {
        bool wood = rim_wood(mask, start + i);
        if (wood && gap > 0)
            status = add_open_frame(s, (start + i - gap) % n, gap);
        gap = wood ? 0 : gap + 1;
    }
    return status;
}
