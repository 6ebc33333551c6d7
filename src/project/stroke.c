/* project/stroke.c: see stroke.h. */
#include "project/stroke.h"

#include "base/alloc.h"
#include "base/array.h"
#include "project/pack.h"

enum { VERSION = 1, LEAST_BYTES_A_POINT = 3 };

tb_status tb_stroke_encode(uint8_t **bytes, size_t *n_bytes, const tb_stroke *stroke, tb_error *err)
{
    *bytes = NULL;
    *n_bytes = 0;
    tb_status status = tb_stroke_check(stroke, err);
    if (status)
        return status;
    tb_packer packer = {0};
    tb_stroke_point before = {0, 0, 0};
    tb_pack_uint(&packer, VERSION);
    tb_pack_uint(&packer, stroke->kind);
    tb_pack_uint(&packer, (uint64_t)stroke->amount);
    tb_pack_uint(&packer, stroke->n_points);
    for (size_t i = 0; i < stroke->n_points; i++) {
        tb_stroke_point p = stroke->points[i];
        tb_pack_int(&packer, (int64_t)p.x_um - before.x_um);
        tb_pack_int(&packer, (int64_t)p.y_um - before.y_um);
        tb_pack_int(&packer, (int64_t)p.width_um - before.width_um);
        before = p;
    }
    if (packer.failed) {
        tb_free(packer.bytes);
        return tb_fail_memory(err);
    }
    *bytes = packer.bytes;
    *n_bytes = packer.n;
    return TB_OK;
}

/* before + step, or a value that tb_stroke_check() refuses. */
static int32_t stepped(int32_t before, int64_t step)
{
    const int64_t far = 4 * (int64_t)TB_STROKE_MAX_UM;
    return step > far || step < -far ? INT32_MAX : (int32_t)(before + step);
}

tb_status tb_stroke_decode(tb_stroke *stroke, const uint8_t *bytes, size_t n_bytes, tb_error *err)
{
    *stroke = (tb_stroke){0};
    tb_unpacker in = {bytes, bytes + n_bytes, false};
    if (tb_unpack_uint(&in, UINT64_MAX) != VERSION)
        return tb_fail(err, TB_EREAD, "a stroke is damaged, or was written by a newer version");
    stroke->kind = (tb_stroke_kind)tb_unpack_uint(&in, TB_N_STROKE_KINDS - 1);
    stroke->amount = (int)tb_unpack_uint(&in, TB_STROKE_MAX_AMOUNT);
    size_t n = (size_t)tb_unpack_uint(&in, TB_STROKE_MAX_POINTS);
    if (in.failed || n > (size_t)(in.end - in.at) / LEAST_BYTES_A_POINT)
        return tb_fail(err, TB_EREAD, "a stroke is damaged");
    if (!tb_array_reserve(&stroke->points, &stroke->room, 0, n))
        return tb_fail_memory(err);
    tb_stroke_point p = {0, 0, 0};
    for (; stroke->n_points < n; stroke->points[stroke->n_points++] = p) {
        p.x_um = stepped(p.x_um, tb_unpack_int(&in));
        p.y_um = stepped(p.y_um, tb_unpack_int(&in));
        p.width_um = stepped(p.width_um, tb_unpack_int(&in));
        stroke->points[stroke->n_points] = p;
        if (in.failed || tb_stroke_check(&(tb_stroke){.points = &p, .n_points = 1}, NULL))
            break;
    }
    if (stroke->n_points == n && tb_unpack_done(&in) && !tb_stroke_check(stroke, NULL))
        return TB_OK;
    tb_stroke_clear(stroke);
    return tb_fail(err, TB_EREAD, "a stroke is damaged");
}
