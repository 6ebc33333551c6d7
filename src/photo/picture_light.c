/* photo/picture_light.c: taking out the light in which a pattern was photographed or scanned.
 *
 * Paper is paper everywhere: where it looks darker, the light was weaker. Its tone is known at the
 * lighter places; closed over what is dark, and smoothed, it gives the light all over, and the
 * picture is divided by that. Shadows narrower than the closing's window are left as they are.
 */
#include "photo/picture_private.h"

#include "base/alloc.h"

#include <math.h>
#include <vips/vips.h>

/* The light is looked at in cells, and closed over so many of them: what is dark over more than a
 * quarter of the picture would be taken for a shadow. */
enum { CELLS = 240, WINDOW = CELLS / 4 + 1, PAPER = 245 };
static const double SMOOTH = CELLS / 30.0;

/* Puts what an operation made in the image's place, worked out: whatever reads it by windows would
 * have each of its pixels made anew for each of them. */
static bool step(VipsImage **image, VipsImage *made, int failed)
{
    VipsImage *kept = failed ? NULL : vips_image_copy_memory(made);
    if (!failed)
        g_object_unref(made);
    if (!kept)
        return false;
    g_object_unref(*image);
    *image = kept;
    return true;
}

/* The greatest of each window, then the least of the greatest; across and down by turns. */
static bool close_over(VipsImage **image)
{
    bool good = true;
    for (int i = 0; i < 4 && good; i++) {
        VipsImage *out = NULL;
        int width = i % 2 ? 1 : WINDOW, height = i % 2 ? WINDOW : 1, index = i < 2 ? WINDOW - 1 : 0;
        int failed = vips_rank(*image, &out, width, height, index, NULL);
        good = step(image, out, failed);
    }
    return good;
}

/* The light in the picture, as large as it. */
static bool find_light(VipsImage **image, const tb__grey *grey)
{
    double cell = fmax(1, fmin(grey->width_px, grey->height_px) / (double)CELLS);
    VipsImage *out = NULL;
    int failed = vips_shrink(*image, &out, cell, cell, NULL);
    if (!step(image, out, failed) || !close_over(image))
        return false;
    failed = vips_gaussblur(*image, &out, SMOOTH, NULL);
    if (!step(image, out, failed))
        return false;
    failed = vips_resize(*image, &out, (double)grey->width_px / (*image)->Xsize, "vscale",
            (double)grey->height_px / (*image)->Ysize, "kernel", VIPS_KERNEL_LINEAR, NULL);
    return step(image, out, failed) && (*image)->Xsize == grey->width_px &&
           (*image)->Ysize == grey->height_px;
}

tb_status tb__light_even(tb__grey *grey, tb_error *err)
{
    size_t area = (size_t)grey->width_px * (size_t)grey->height_px, n = 0;
    VipsImage *image = vips_image_new_from_memory(
            grey->px, area, grey->width_px, grey->height_px, 1, VIPS_FORMAT_UCHAR);
    uint8_t *light = NULL;
    if (image && find_light(&image, grey))
        light = vips_image_write_to_memory(image, &n);
    g_clear_object(&image);
    vips_error_clear();
    if (!light || n != area) {
        g_free(light);
        return tb_fail_memory(err);
    }
    for (size_t i = 0; i < area; i++) {
        int even = grey->px[i] * PAPER / (light[i] ? light[i] : 1);
        grey->px[i] = (uint8_t)(even < 255 ? even : 255);
    }
    g_free(light);
    return TB_OK;
}
