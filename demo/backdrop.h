/* demo/backdrop.h: the watch room behind the keeper, far out of focus. */
#ifndef DEMO_BACKDROP_H
#define DEMO_BACKDROP_H

#include "base/job.h"
#include "frame.h"

/* Fills f->light wherever nothing nearer will be drawn over it; false when memory ran out. */
bool backdrop_draw(frame *f, const tb_job *job);

#endif
