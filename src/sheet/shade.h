/* sheet/shade.h: planes of shadow for the preview. Internal to this folder.
 *
 * A plane is 8 bit, [height][width], without gaps between its rows.
 */
#ifndef TB_SHEET_SHADE_H
#define TB_SHEET_SHADE_H

#include <stdbool.h>
#include <stdint.h>

/* How far a place lies from wood when one walks up and, at every row, slope columns to the left:
 * 0 on wood, else the rows walked, 255 for more or none. from is [height][stride], 128 and more
 * is wood; 0 <= slope <= 1. */
void tb__shade_reach(
        uint8_t *to, const uint8_t *from, int stride, int width, int height, double slope);

/* Softened by a bell about radius wide; false without memory. */
bool tb__shade_blur(uint8_t *px, int width, int height, int radius);

#endif
