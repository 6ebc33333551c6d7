/* flow/look.c: see look.h. */
#include "flow/look.h"

#include <string.h>

/* The smallest rectangle that holds every difference between two masks of one size. */
static tb_rect difference(const tb_mask *a, const tb_mask *b)
{
    const size_t w = (size_t)a->width_px;
    tb_rect all = {0, 0, 0, 0};
    for (int y = 0; y < a->height_px; y++) {
        const uint8_t *p = a->px + (size_t)y * w, *q = b->px + (size_t)y * w;
        if (memcmp(p, q, w) == 0)
            continue;
        int left = 0, right = a->width_px;
        while (p[left] == q[left])
            left++;
        while (p[right - 1] == q[right - 1])
            right--;
        all = tb_rect_join(all, (tb_rect){left, y, right, y + 1});
    }
    return all;
}

static bool same_size(const tb_mask *a, const tb_mask *b)
{
    return a->width_px == b->width_px && a->height_px == b->height_px;
}

static void forget(tb__look *look)
{
    tb_result_release(look->seen);
    look->seen = NULL;
}

tb_status tb__look_over(tb__look *look, tb_result *result, const tb_job *job, tb_error *err)
{
    if (!look->has_looked) {
        tb_status status =
                tb_inspect(&result->inspection, result->pattern, &result->limits, job, err);
        look->has_looked = !status;
        return status;
    }
    if (!look->inspector && !(look->inspector = tb_inspector_new()))
        return tb_fail_memory(err);
    tb_rect changed;
    bool again = look->seen && same_size(look->seen->pattern, result->pattern);
    if (again)
        changed = difference(look->seen->pattern, result->pattern);
    forget(look);
    tb_status status = tb_reinspect(&result->inspection, look->inspector, result->pattern,
            &result->limits, again ? &changed : NULL, job, err);
    if (!status) {
        look->seen = result;
        atomic_fetch_add(&result->n_holders, 1);
    }
    return status;
}

void tb__look_clear(tb__look *look)
{
    forget(look);
    tb_inspector_free(look->inspector);
    *look = (tb__look){0};
}
