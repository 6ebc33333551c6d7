/* cli/project.c: see project.h. */
#define _POSIX_C_SOURCE 200809L
#include "cli/project.h"

#include <stdio.h>
#include <string.h>
#include <time.h>

tb_status tb_cli_project(tb_project **out, const char *path, bool to_change, tb_error *err)
{
    tb_status status = tb_project_open(out, path, to_change, err);
    if (status)
        return tb_cli_name_file(err, path);
    if (to_change && !tb_project_can_change(*out)) {
        status = tb_fail(err, TB_EWRITE, "%s", tb_project_remark(*out));
        tb_cli_name_file(err, path);
        tb_project_close(*out);
        *out = NULL;
    }
    return status;
}

/* A comma parts the numbers here, so each is cut out before it is read. */
tb_status tb_cli_point(double xyw[3], int *n, const char *word, tb_error *err)
{
    const char *at = word, *end;
    char number[32];
    for (*n = 0; *n < 3; at += *at == ',') {
        size_t length = strcspn(at, ",");
        if (length == 0 || length >= sizeof number)
            break;
        memcpy(number, at, length);
        number[length] = '\0';
        if (!tb_num_read(number, &end, &xyw[*n]) || *end)
            break;
        (*n)++;
        at += length;
        if (!*at && *n >= 2)
            return TB_OK;
    }
    return tb_fail(err, TB_EINVAL,
            "'%.60s' is no place: give X,Y or X,Y,WIDTH in mm from the board's top left", word);
}

tb_status tb_cli_done(const tb_project *project, bool json, const char *what, tb_error *err)
{
    const tb_project_state *now = tb_project_state_now(project);
    char text[200];
    snprintf(text, sizeof text, "%s; strokes: %zu, to undo: %zu, to redo: %zu\n", what,
            now->n_strokes, now->n_actions, now->n_undone);
    if (!json)
        return tb_cli_print(text, err);
    json_t *said = json_pack("{s:s, s:I, s:I, s:I, s:I, s:I}", "done", what, "action",
            (json_int_t)now->head, "strokes", (json_int_t)now->n_strokes, "undone",
            (json_int_t)now->n_undone, "actions", (json_int_t)now->n_actions, "notes",
            (json_int_t)now->n_notes);
    tb_status status = said ? tb_cli_print_json(said, true, err) : tb_fail_memory(err);
    json_decref(said);
    return status;
}

tb_cli_time tb_cli_time_of(int64_t at_s)
{
    tb_cli_time out = {""};
    time_t at = (time_t)at_s;
    struct tm tm;
    if (gmtime_r(&at, &tm))
        strftime(out.text, sizeof out.text, "%Y-%m-%dT%H:%M:%SZ", &tm);
    return out;
}
