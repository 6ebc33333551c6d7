/* demo/hair.h: beard, moustache, brows and hair, strand by strand.
 *
 * Strands are grown in locks: a guide is grown on the skin, and its fellows follow it and draw
 * closer towards the tip. A drawn strand stands for a few real hairs.
 */
#ifndef DEMO_HAIR_H
#define DEMO_HAIR_H

#include "frame.h"
#include "light.h"

enum { STRAND_POINTS = 12 };

typedef struct {
    vec3 at[STRAND_POINTS]; /* root first */
    vec3 out;               /* normal of the skin at the root */
    vec3 colour;
    float width; /* dm, at the root */
} strand;

typedef struct {
    strand *items;
    size_t n, room;
} hair;

/* Everything that grows on the head. */
bool hair_grow(hair *h, const figure *man);
/* Fibres standing off the cloth that f already shows. */
bool hair_fuzz(hair *h, const frame *f);
void hair_clear(hair *h);

/* Puts the hair into s->hair, so that it throws shadow. */
void hair_drop(const hair *h, scene *s);
void hair_draw(frame *f, const hair *h, const scene *s, const tb_job *job);

#endif
