/* base/clones.h: TB_CLONES before a function's definition compiles it, with what is inlined into
 * it, once for every x86-64 machine and once for those with 256-bit registers. The processor
 * chooses when the program starts. Bytes stay the same: fused multiply-add is not part of it.
 *
 * For loops that were measured to gain by it, and nothing else.
 */
#ifndef TB_BASE_CLONES_H
#define TB_BASE_CLONES_H

#if defined(__x86_64__) && defined(__gnu_linux__) && !defined(__SANITIZE_ADDRESS__)
#define TB_CLONES __attribute__((target_clones("avx2", "default")))
#else
#define TB_CLONES
#endif

#endif
