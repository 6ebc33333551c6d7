/* image/tone.h: from lightness to the tone that is cut in two.
 *
 * Three steps, each of a size in mm, so the same photograph gives the same picture at any
 * resolution: edge-keeping smoothing; evening of the light, half way between the picture as it is
 * and each place measured against its surroundings; and line emphasis, which keeps a jaw or a
 * smile that is darker than both its sides though lighter than the cut line.
 *
 * All three are smooth in space, so they are worked out as two coefficients on a coarse grid, and
 * the tone at a pixel is  gain × lightness + shift  with both enlarged to it.
 *
 * In     lightness: L*, 0..100
 * Out    tone: about the scale of L*, not bounded
 * Errors TB_EINVAL, TB_ENOMEM, TB_ECANCELLED; *out is NULL then
 * Source He, Sun & Tang 2010 and He & Sun 2015 (guided filter, coarse coefficients);
 *        Winnemoeller, Kyprianidis & Olsen 2012 (difference of Gaussians);
 *        Otsu 1979 (cut line)
 */
#ifndef TB_IMAGE_TONE_H
#define TB_IMAGE_TONE_H

#include "base/job.h"
#include "image/plane.h"

typedef struct {
    double smooth_mm;   /* size of the smoothing window; 2 */
    double smooth_l;    /* contrast in L* that counts as an edge; 8 */
    double fine_mm;     /* sigma of a last small blur against grain; 0.15 */
    double evening;     /* 0 as it is … 1 evened all over */
    double surround_mm; /* sigma of a place's surroundings */
    double line_mm;     /* sigma of the finest lines; 0.6 */
    double lines;       /* strength of line emphasis, 0 … */
} tb_tone_options;

#define TB_TONE_OPTIONS_INIT                                                                       \
    {                                                                                              \
        2, 8, 0.15, 0.5, 24, 0.6, 1                                                                \
    }

/* The coefficients, on blocks of `factor` pixels a side. */
typedef struct {
    tb_plane *gain, *shift;
    tb_plane *even; /* of the blocks' means, before lines: what the cut line is found on */
    tb_plane *tone; /* with lines: what a quick preview shows */
    int factor;
} tb_tone_map;

TB_NODISCARD tb_status tb_tone_map_new(tb_tone_map **out, const tb_plane *lightness,
        const tb_tone_options *options, const tb_job *job, tb_error *err);
void tb_tone_map_free(tb_tone_map *map);

TB_NODISCARD tb_status tb_tone_apply(tb_plane **out, const tb_plane *lightness,
        const tb_tone_map *map, double fine_mm, const tb_job *job, tb_error *err);

/* The level that parts the values into two classes of the least spread within (Otsu), to a 4096th
 * of their range; half a percent of outliers at each end don't count. weight may be NULL, else it
 * is of the same size, >= 0, and tells how much each pixel counts. One value alone gives itself. */
double tb_otsu(const tb_plane *plane, const tb_plane *weight);

#endif
