/* fuzz/fuzz.h: the one function of a fuzz target, as libFuzzer calls it. A target returns 0, or
 * aborts when a promise was broken. */
#ifndef TB_FUZZ_FUZZ_H
#define TB_FUZZ_FUZZ_H

#include <stddef.h>
#include <stdint.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#endif
