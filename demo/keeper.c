/* keeper: renders the demo photograph.
 *
 *     keeper [--width N] OUT.jpg
 *
 * The same bytes on every run; the picture is 4 wide by 5 high, 1600 px wide unless told.
 */
#include "backdrop.h"
#include "base/alloc.h"
#include "develop.h"
#include "hair.h"
#include "skin.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <vips/vips.h>

enum { WIDTH_PX = 1600, WIDTH_LEAST_PX = 40, WIDTH_MOST_PX = 8000 };

static bool frame_init(frame *f, int width_px)
{
    f->width = width_px;
    f->height = width_px * 5 / 4;
    f->camera_z = 19;
    f->middle_y = -0.36f;
    f->focus_z = 0.7f;
    f->px_per_dm = (float)f->height / 4.15f;
    size_t n = (size_t)f->width * (size_t)f->height;
    f->light = tb_calloc(n, sizeof *f->light);
    f->depth = tb_malloc(n, sizeof *f->depth);
    f->what = tb_calloc(n, sizeof *f->what);
    for (size_t i = 0; f->depth && i < n; i++)
        f->depth[i] = FRAME_FAR;
    return f->light && f->depth && f->what;
}

static bool write_picture(const char *path, const uint8_t *rgb, const frame *f)
{
    size_t n = (size_t)f->width * (size_t)f->height * 3;
    VipsImage *picture =
            vips_image_new_from_memory(rgb, n, f->width, f->height, 3, VIPS_FORMAT_UCHAR);
    if (!picture)
        return false;
    picture->Type = VIPS_INTERPRETATION_sRGB;
    bool written = !vips_jpegsave(picture, path, "Q", 92, NULL);
    g_object_unref(picture);
    return written;
}

static bool render(const char *path, int width_px)
{
    tb_job job = {.n_threads = 2};
    scene s = {0};
    frame f = {0};
    hair h = {0};
    uint8_t *rgb = NULL;
    bool done = false;
    if (!frame_init(&f, width_px) || !scene_init(&s, &job))
        goto out;
    rgb = tb_malloc((size_t)f.width * (size_t)f.height, 3);
    if (!rgb || !hair_grow(&h, &s.man) || !backdrop_draw(&f, &job))
        goto out;
    hair_drop(&h, &s);
    skin_draw(&f, &s, &job);
    if (!hair_fuzz(&h, &f))
        goto out;
    hair_draw(&f, &h, &s, &job);
    if (!develop(rgb, &f, &job))
        goto out;
    done = write_picture(path, rgb, &f);
out:
    hair_clear(&h);
    scene_clear(&s);
    tb_free(f.light);
    tb_free(f.depth);
    tb_free(f.what);
    tb_free(rgb);
    return done;
}

int main(int argc, char **argv)
{
    int width_px = WIDTH_PX, at = 1;
    if (argc == 4 && strcmp(argv[1], "--width") == 0) {
        char *end = argv[2];
        long asked = strtol(argv[2], &end, 10);
        width_px = *end == '\0' && asked > 0 && asked <= WIDTH_MOST_PX ? (int)asked : 0;
        at = 3;
    }
    if (argc != at + 1 || width_px < WIDTH_LEAST_PX || width_px > WIDTH_MOST_PX) {
        fprintf(stderr, "usage: keeper [--width 40..8000] OUT.jpg\n");
        return 2;
    }
    if (vips_init(argv[0]) || !render(argv[at], width_px)) {
        fprintf(stderr, "keeper: %s could not be written: %s\n", argv[at], vips_error_buffer());
        return 4;
    }
    vips_shutdown();
    return 0;
}
