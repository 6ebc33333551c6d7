/* pattern/limits.h: what a pattern must keep to be sawn. Plain numbers: src/facts knows where they
 * come from, src/flow puts them together from stock, blade and the user's wishes.
 */
#ifndef TB_PATTERN_LIMITS_H
#define TB_PATTERN_LIMITS_H

#include "base/status.h"

typedef struct {
    double bridge_must_mm;      /* wood joining two parts: never narrower */
    double bridge_should_mm;    /* better not narrower */
    double kerf_mm;             /* slot narrower than slot_must × kerf can't be sawn as drawn */
    double slot_must_kerfs;     /* 1 */
    double slot_should_kerfs;   /* 2 */
    double drill_mm;            /* entry hole */
    double drill_room_mm;       /* an opening must hold a disc of drill_mm + this: 0.5 */
    double hole_clear_mm;       /* entry hole's edge to the line: 0.3 */
    double turn_radius_mm;      /* tightest turn of the blade */
    double frame_mm;            /* wood between an opening and the board's edge: 6 */
    double speck_mm2;           /* smaller is not worth sawing: 2 */
    double thickness_mm;        /* of the stock */
    double strength_along_mpa;  /* bending strength along the grain (mean, clear wood) */
    double strength_across_mpa; /* and across it */
    double grain_rad;           /* direction of the grain; 0 = along x */
    double safety;              /* 3 solid, 2 plywood */
    double load_n;              /* handling load on the worst point: 5 */
    double bridge_across_mm;    /* a bridge across the grain: never narrower. Half the thickness of
                                   solid wood; 0 for plywood: no such rule */
    double split_kerf_mm;       /* kerf that comes off the wood's width when the sawyer splits the
                                   line; 0: the saw runs on the waste side of it */
} tb_limits;

/* 6.5 mm birch plywood, grain upright, blade No. 2/0, 1.0 mm drill. */
#define TB_LIMITS_INIT                                                                             \
    {                                                                                              \
        1.6, 2.5, 0.33, 1, 2, 1.0, 0.5, 0.3, 1.1, 6, 2, 6.4, 50.9, 29.0, 1.5707963267948966, 2, 5, \
                0, 0                                                                               \
    }

/* TB_EINVAL, naming the limit, unless every number is finite and makes sense. */
TB_NODISCARD tb_status tb_limits_check(const tb_limits *limits, tb_error *err);

#endif
