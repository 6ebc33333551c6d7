/* Memory that runs out in the course of the flow: an allocation of the core's fails, from the
 * photograph's bytes to the inspection and the plan, with strokes of every kind. It says so, leaks
 * nothing, and the next try gives the pattern all the same.
 *
 * One in TB_ALLOC_STRIDE (7) is tried, from a place that changes from run to run; ./dev fuzz tries
 * every one of them. */
#include "../base/alloc_failing.h"
#include "flow/flow.h"
#include "flow/sawing.h"
#include "scene.h"

#include <glib.h>
#include <stdlib.h>
#include <string.h>

static tb_stroke strokes[TB_N_STROKE_KINDS];
static tb_drawn drawn[TB_N_STROKE_KINDS];
static tb_settings settings = TB_SETTINGS_INIT;

static void prepare(void)
{
    settings.width_mm = 32;
    settings.height_mm = 40;
    settings.px_per_mm = 4;
    settings.frame_mm = 3;
    settings.evening = 0.5;
    settings.split_line = 1;
    settings.saw_order = TB_ORDER_WEAK_FIRST;
    strcpy(settings.stock, "walnut-6");
    for (int i = 0; i < TB_N_STROKE_KINDS; i++) {
        strokes[i] = (tb_stroke)TB_STROKE_INIT((tb_stroke_kind)i);
        for (int k = 0; k < 3; k++)
            g_assert_cmpint(tb_stroke_add(&strokes[i], 6 + 2 * i + k, 8 + 2 * i, 1.5, NULL), ==, 0);
        drawn[i] = (tb_drawn){.id = i + 1, .stroke = strokes[i], .framed = &settings};
    }
}

static tb_status whole_way(tb_flow *flow, tb_error *err)
{
    tb_status status = tb_flow_set(flow, &settings, err);
    if (!status)
        status = tb_flow_set_strokes(flow, drawn, TB_N_STROKE_KINDS, err);
    if (!status)
        status = tb_flow_update(flow, NULL, err);
    if (!status)
        status = tb_flow_set_strokes(flow, drawn, TB_N_STROKE_KINDS / 2, err);
    if (!status)
        status = tb_flow_update(flow, NULL, err);
    if (status)
        return status;
    const tb_outcome *outcome = tb_flow_outcome(flow);
    tb_plan *plan;
    status = tb_sawing_plan(&plan, outcome->inspection, outcome->pattern, &settings, NULL, err);
    tb_plan_free(plan);
    return status;
}

static uint8_t *pattern_of(const uint8_t *photo, size_t n_photo, size_t *n_px)
{
    tb_flow *flow;
    g_assert_cmpint(tb_flow_new(&flow, photo, n_photo, NULL), ==, TB_OK);
    g_assert_cmpint(whole_way(flow, NULL), ==, TB_OK);
    const tb_mask *pattern = tb_flow_outcome(flow)->pattern;
    *n_px = tb_mask_area_px(pattern);
    uint8_t *px = g_memdup2(pattern->px, *n_px);
    tb_flow_free(flow);
    return px;
}

static void test_memory__runs_out_anywhere_on_the_way(void)
{
    size_t n_photo, n_px;
    uint8_t *photo = scene_head(&n_photo, 160, 200);
    g_autofree uint8_t *should = pattern_of(photo, n_photo, &n_px);
    unsigned n_told = 0;
    bool failed = true;
    const char *wanted = g_getenv("TB_ALLOC_STRIDE");
    const int stride = wanted ? atoi(wanted) : 7;
    long before = alloc_n_live();
    for (long n = 1 + g_random_int_range(0, stride); failed; n += stride) {
        tb_flow *flow = NULL;
        tb_error err = {0};
        alloc_fail_at(n);
        tb_status status = tb_flow_new(&flow, photo, n_photo, &err);
        if (!status)
            status = whole_way(flow, &err);
        failed = alloc_has_failed();
        alloc_fail_at(0);
        g_assert_cmpstr(err.text, ==, status ? err.text : "");
        g_assert_true(status == TB_OK || status == TB_ENOMEM);
        n_told += status == TB_ENOMEM;
        if (flow && n % 5 == 0) {
            g_assert_cmpint(whole_way(flow, NULL), ==, TB_OK);
            g_assert_cmpmem(tb_flow_outcome(flow)->pattern->px, n_px, should, n_px);
        }
        tb_flow_free(flow);
        g_assert_cmpint(alloc_n_live(), ==, before);
    }
    g_test_message("%u allocations failed in turn", n_told);
    g_assert_cmpuint(n_told, >, 100);
    free(photo);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_assert_cmpint(tb_photo_start(1, NULL), ==, TB_OK);
    prepare();
    g_test_add_func(
            "/memory/runs_out_anywhere_on_the_way", test_memory__runs_out_anywhere_on_the_way);
    int failed = g_test_run();
    for (int i = 0; i < TB_N_STROKE_KINDS; i++)
        tb_stroke_clear(&strokes[i]);
    tb_photo_stop();
    return failed;
}
