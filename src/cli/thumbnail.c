/* cli/thumbnail.c: tombolo-thumbnail: what a file manager shows for a project.
 *
 *     tombolo-thumbnail PROJECT OUT.png LONGEST_PX
 *
 * The pattern is worked out anew, coarsely: the project is the only thing read, so that a thumbnail
 * can't be older than it. Files come from anywhere, and nobody watches: the checks of project and
 * photograph hold as everywhere, and memory and time have limits besides.
 */
#define _POSIX_C_SOURCE 200809L
#include "base/alloc.h"
#include "facts/stock.h"
#include "flow/flow.h"
#include "flow/output.h"
#include "photo/photo.h"
#include "project/project.h"
#include "sheet/picture.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>

static const double COARSE_PX_PER_MM = 4;
enum { LEAST_PX = 64, MOST_PX = 1024, SECONDS_MOST = 30 };

/* A build with sanitizers takes whole terabytes of addresses. */
static void set_limits(void)
{
    const struct rlimit seconds = {SECONDS_MOST, SECONDS_MOST};
    const struct rlimit bytes = {(rlim_t)2 << 30, (rlim_t)2 << 30};
    setrlimit(RLIMIT_CPU, &seconds);
#ifndef __SANITIZE_ADDRESS__
    setrlimit(RLIMIT_AS, &bytes);
#else
    (void)bytes;
#endif
}

static tb_status work_out(tb_flow **flow, tb_project *project, tb_error *err)
{
    const tb_project_state *state = tb_project_state_now(project);
    tb_settings settings = state->settings;
    const uint8_t *photo;
    size_t n_photo;
    tb_status status = tb_project_photo(project, &photo, &n_photo, NULL, err);
    if (settings.px_per_mm > COARSE_PX_PER_MM)
        settings.px_per_mm = COARSE_PX_PER_MM;
    if (!status)
        status = tb_flow_new(flow, photo, n_photo, err);
    if (!status)
        status = tb_flow_set(*flow, &settings, err);
    if (!status)
        status = tb_flow_set_strokes(*flow, state->strokes, state->n_strokes, err);
    return status ? status : tb_flow_update(*flow, NULL, err);
}

static tb_status draw(tb_bytes *png, const tb_project_state *state, const tb_outcome *outcome,
        int longest_px, tb_error *err)
{
    tb_outline_options options = TB_OUTLINE_OPTIONS_INIT;
    tb_outline *outline = NULL;
    tb_stock stock;
    options.turn_mm = outcome->limits.turn_radius_mm;
    tb_status status = tb_stock_find(&stock, state->settings.stock, err);
    if (!status)
        status = tb_outline_trace(&outline, outcome->pattern, &options, NULL, err);
    if (!status) {
        tb_sheet_content content = {.mask = outcome->pattern,
                .outline = outline,
                .inspection = outcome->inspection,
                .species = stock.name,
                .thickness_mm = stock.thickness_mm,
                .grain_rad = state->settings.grain_rad};
        status = tb_preview_png(png, &content, longest_px, NULL, err);
    }
    tb_outline_free(outline);
    return status;
}

static tb_status make(const char *path, const char *out, int longest_px, tb_error *err)
{
    tb_project *project = NULL;
    tb_flow *flow = NULL;
    tb_bytes png = {0};
    tb_status status = tb_project_open(&project, path, false, err);
    if (!status)
        status = work_out(&flow, project, err);
    if (!status)
        status = draw(&png, tb_project_state_now(project), tb_flow_outcome(flow), longest_px, err);
    if (!status)
        status = tb_outputs_replace(out, png.data, png.n, err);
    tb_bytes_clear(&png);
    tb_flow_free(flow);
    tb_project_close(project);
    return status;
}

int main(int argc, char **argv)
{
    tb_error err = {0};
    char *end;
    long longest_px = argc == 4 ? strtol(argv[3], &end, 10) : 0;
    if (longest_px < 1 || *end) {
        fputs("usage: tombolo-thumbnail PROJECT OUT.png LONGEST_PX\n", stderr);
        return 2;
    }
    longest_px = longest_px < LEAST_PX ? LEAST_PX : longest_px > MOST_PX ? MOST_PX : longest_px;
    tb_alloc_prepare();
    set_limits();
    tb_status status = tb_photo_start(1, &err);
    if (!status) {
        status = make(argv[1], argv[2], (int)longest_px, &err);
        tb_photo_stop();
    }
    if (status)
        fprintf(stderr, "tombolo-thumbnail: %s\n", err.text);
    return status ? 1 : 0;
}
