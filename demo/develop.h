/* demo/develop.h: from light to a picture: lens, film and print. */
#ifndef DEMO_DEVELOP_H
#define DEMO_DEVELOP_H

#include "base/job.h"
#include "frame.h"

#include <stdint.h>

/* Writes 8-bit sRGB, three bytes a pixel, to rgb; uses f->light up. False when memory ran out. */
bool develop(uint8_t *rgb, frame *f, const tb_job *job);

#endif
