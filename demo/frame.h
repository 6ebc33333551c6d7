/* demo/frame.h: the camera and the picture as it grows.
 *
 * The camera stands on the z axis and looks along -z; the picture's middle shows (0, middle_y).
 * Light is linear and unbounded until it is developed.
 */
#ifndef DEMO_FRAME_H
#define DEMO_FRAME_H

#include "vec.h"

#include <stdbool.h>
#include <stddef.h>

typedef struct {
    int width, height;   /* px */
    float camera_z;      /* dm */
    float middle_y;      /* dm */
    float px_per_dm;     /* at z = focus_z */
    float focus_z;       /* dm */
    vec3 *light;         /* [height][width] */
    float *depth;        /* z of what is seen, dm; FRAME_FAR where only the backdrop is */
    unsigned char *what; /* the stuff that is seen there */
} frame;

#define FRAME_FAR (-1e3f)

/* The point in the plane of focus that the pixel's centre shows. */
static inline vec3 frame_point(const frame *f, float x_px, float y_px)
{
    return vec((x_px - 0.5f * (float)f->width) / f->px_per_dm,
            (0.5f * (float)f->height - y_px) / f->px_per_dm + f->middle_y, f->focus_z);
}

static inline vec3 frame_camera(const frame *f)
{
    return vec(0, f->middle_y, f->camera_z);
}

/* Where p falls in the picture (x, y in pixels); z is left as it is. */
static inline vec3 frame_project(const frame *f, vec3 p)
{
    float s = (f->camera_z - f->focus_z) / (f->camera_z - p.z) * f->px_per_dm;
    return vec(p.x * s + 0.5f * (float)f->width, 0.5f * (float)f->height - (p.y - f->middle_y) * s,
            p.z);
}

#endif
