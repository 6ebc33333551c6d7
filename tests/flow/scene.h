/* tests/flow/scene.h: small invented photographs for the tests of the flow. */
#ifndef TB_TESTS_FLOW_SCENE_H
#define TB_TESTS_FLOW_SCENE_H

#include <stddef.h>
#include <stdint.h>

/* An 8-bit grey PNG; to be freed by free(). */
uint8_t *scene_png(size_t *n_bytes, const uint8_t *grey, int width_px, int height_px);

/* A dark head with a light face, eyes, a mouth and a collar before a wall with a lamp; any size. */
uint8_t *scene_head(size_t *n_bytes, int width_px, int height_px);

#endif
