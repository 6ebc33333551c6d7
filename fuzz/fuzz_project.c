/* Any bytes as a project's file: refused, or a project in which one can go on working. */
#define _DEFAULT_SOURCE
#include "fuzz.h"

#include "base/alloc.h"
#include "project/history.h"
#include "project/project.h"

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

static void work(tb_project *project)
{
    tb_stroke stroke = TB_STROKE_INIT(TB_STROKE_BRIDGE);
    const uint8_t *photo;
    tb_action_line *lines;
    uint8_t *png;
    size_t n;
    size_t before = tb_project_state_now(project)->n_strokes;
    if (!tb_project_photo(project, &photo, &n, NULL, NULL) && n > 0 && photo[n - 1] == 0 && !photo)
        abort();
    if (!tb_project_history(&lines, &n, project, NULL))
        tb_free(lines);
    if (!tb_project_preview(&png, &n, project, NULL))
        tb_free(png);
    if (tb_stroke_add(&stroke, 10, 20, 2, NULL) || tb_stroke_add(&stroke, 15, 20, 2, NULL))
        abort();
    if (tb_project_draw(project, &stroke, NULL) == TB_OK) {
        if (tb_project_state_now(project)->n_strokes != before + 1)
            abort();
        if (tb_project_undo(project, NULL) == TB_OK &&
                tb_project_state_now(project)->n_strokes != before)
            abort();
    }
    tb_stroke_clear(&stroke);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char path[64], journal[80];
    snprintf(path, sizeof path, "%s/tombolo-fuzz-%ld",
            access("/dev/shm", W_OK) ? "/tmp" : "/dev/shm", (long)getpid());
    snprintf(journal, sizeof journal, "%s-journal", path);
    FILE *file = fopen(path, "wb");
    if (!file || fwrite(data, 1, size, file) != size || fclose(file))
        abort();
    tb_project *project;
    tb_error err = {TB_OK, ""};
    if (tb_project_open(&project, path, true, &err) == TB_OK)
        work(project);
    else if (!err.text[0] || project)
        abort();
    tb_project_close(project);
    unlink(path);
    unlink(journal);
    return 0;
}
