/* demo/skin.h: what the figure's surfaces look like. */
#ifndef DEMO_SKIN_H
#define DEMO_SKIN_H

#include "frame.h"
#include "light.h"

/* Draws the figure without its hair: fills light and depth where it is seen. */
void skin_draw(frame *f, const scene *s, const tb_job *job);

#endif
