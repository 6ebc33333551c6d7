/* photo/profile.h: an embedded colour profile as three tables; private to src/photo.
 *
 * Most profiles of cameras are three curves and a matrix. The light of a pixel is then a sum of
 * three values, one a channel, and no colour management is needed pixel by pixel.
 */
#ifndef TB_PHOTO_PROFILE_H
#define TB_PHOTO_PROFILE_H

#include <stdbool.h>
#include <stdint.h>
#include <vips/vips.h>

enum { TB__PROFILE_VALUES = 256 };

/* Linear light (Rec. 709 luminance, white = 1) of each value in each channel. */
typedef struct {
    double light[3][TB__PROFILE_VALUES];
} tb__profile;

/* False, and nothing said, unless the image is 8-bit RGB with a profile of that kind: then the
 * colour management must do it. */
bool tb__profile_read(tb__profile *out, const VipsImage *image);

#endif
