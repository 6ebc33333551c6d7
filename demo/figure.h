/* demo/figure.h: the keeper himself, as signed distances.
 *
 * The figure is made of parts; each part is its own function so that hair can be rooted on one of
 * them alone. Points are in decimetres of the room unless a name says `_local`.
 */
#ifndef DEMO_FIGURE_H
#define DEMO_FIGURE_H

#include "vec.h"

#include <stdbool.h>

typedef enum {
    STUFF_NONE,
    STUFF_SKIN,
    STUFF_EYE,
    STUFF_BEARD, /* the ground below the strands */
    STUFF_CAP,
    STUFF_COAT,
    STUFF_JERSEY,
    STUFF_BUTTON,
} stuff;

typedef struct {
    frame3 head; /* origin between the ears at the height of the eyes */
    frame3 cap;  /* origin in the middle of the brim's lower edge */
    frame3 body; /* origin below the chin, in the middle of the neck */
} figure;

figure figure_pose(void);

/* The whole figure. */
float figure_distance(const figure *f, vec3 p);
/* One part of it, and which part is nearest. */
float figure_part(const figure *f, stuff what, vec3 p);
stuff figure_stuff(const figure *f, vec3 p);

/* Parts, in the head's frame. */
float face_distance(vec3 local);
float beard_ground_distance(vec3 local);
float eyeball_distance(vec3 local);
vec3 eyeball_centre(bool left);

/* 0..1, where the beard grows. */
float beard_share(vec3 local);

/* Parts, in the frames of cap and body. */
float cap_distance(vec3 local);
float coat_distance(vec3 local);
float jersey_distance(vec3 local);
/* 0 on the yarn .. 1 between two stitches; and how far it is to the lower edge of a lapel. */
float cap_stitch(vec3 local);
float lapel_seam(vec3 local);
/* Buttons lie on the coat: how far the coat is says how high they stand. */
float button_distance(vec3 local, float coat);

#endif
