/* image/distance.h: exact Euclidean distance, squared, in pixels.
 *
 * The squared distance from the centre of every wood pixel to the centre of the nearest pixel that
 * is not wood; 0 where there is no wood. A strip n pixels wide holds a largest distance of
 * (n + 1) / 2, so a wood pixel at distance d lies d - 0.5 from the line.
 *
 * What lies outside the picture counts as not wood if edge_is_opening, else as wood without end
 * (a picture with no opening then holds the cap, or INT32_MAX, everywhere).
 *
 * Capped: values are min(d², cap_px²); cap_px 1 … 255. Enough for widths, and far cheaper.
 * Errors  TB_EINVAL for a cap out of range, TB_ENOMEM, TB_ECANCELLED; *out is NULL then
 * Source  Meijster, Roerdink & Hesselink 2000; Felzenszwalb & Huttenlocher 2012
 */
#ifndef TB_IMAGE_DISTANCE_H
#define TB_IMAGE_DISTANCE_H

#include "base/job.h"
#include "image/mask.h"

#include <stdbool.h>

/* To be freed by tb_free(). */
TB_NODISCARD tb_status tb_distance_full(
        int32_t **out, const tb_mask *mask, bool edge_is_opening, const tb_job *job, tb_error *err);
TB_NODISCARD tb_status tb_distance_capped(uint16_t **out, const tb_mask *mask, int cap_px,
        bool edge_is_opening, const tb_job *job, tb_error *err);

/* The other way round: of every opening's pixel to the nearest wood; outside is wood. */
TB_NODISCARD tb_status tb_distance_in_openings(
        uint16_t **out, const tb_mask *mask, int cap_px, const tb_job *job, tb_error *err);

#endif
