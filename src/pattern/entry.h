/* pattern/entry.h: where the blade gets into an opening.
 *
 * Errors TB_ENOMEM, TB_ECANCELLED
 */
#ifndef TB_PATTERN_ENTRY_H
#define TB_PATTERN_ENTRY_H

#include "image/label.h"

typedef struct {
    double x_px, y_px; /* its centre */
    double radius_px;  /* to the line, by breadth.h; for large discs to about half a pixel */
} tb_disc;

#define TB_DISC_UNKNOWN (-1.0)

/* How finely discs are told. Where pieces are so many that no saw will ever see them, it would take
 * minutes to be as careful with each as with a few hundred. Depends on the pieces alone. */
typedef enum {
    TB_DISCS_BY_PIXEL, /* to about half a pixel */
    TB_DISCS_FINE,
    TB_DISCS_FINEST, /* small ones about a few places each */
} tb_disc_care;
tb_disc_care tb_discs_care(const tb_labels *openings);

/* The largest disc in every piece of `openings` whose radius is TB_DISC_UNKNOWN; the others are
 * left as they are. discs has n_pieces. d2 is the squared distance in the openings, capped at
 * cap_px. */
TB_NODISCARD tb_status tb_discs_find(tb_disc *discs, const tb_labels *openings, const tb_mask *mask,
        const uint16_t *d2, int cap_px, const tb_job *job, tb_error *err);

#endif
