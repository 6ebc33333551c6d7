/* demo/light.h: the lamps, and how much of each reaches a point.
 *
 * A broad window on the viewer's left is the key; the room gives a weak fill; the window behind on
 * the right draws a rim.
 */
#ifndef DEMO_LIGHT_H
#define DEMO_LIGHT_H

#include "field.h"
#include "figure.h"

typedef struct {
    figure man;
    field distance;                  /* figure_distance, coarse */
    field hair;                      /* length of hair in a cell, dm */
    vec3 key_way, rim_way, key, rim; /* directions towards the lamps; colours */
} scene;

bool scene_init(scene *s, const tb_job *job);
void scene_clear(scene *s);

/* 0 dark .. 1 free, softly; from a point at least start dm off the surface. */
float scene_shadow(const scene *s, vec3 p, vec3 way, float softness, float start);

/* What the hair between p and the lamp lets through. */
float scene_hair_shadow(const scene *s, vec3 p, vec3 way);

/* 0..1, how open the surroundings of a surface point are. */
float scene_openness(const scene *s, vec3 p, vec3 normal);

/* The key's colour at p: its window is near, so it falls off across the figure. */
vec3 scene_key(const scene *s, vec3 p);

/* Light of the room from all sides, for a surface facing normal. */
vec3 scene_fill(vec3 normal);

#endif
