/* cli/history.c: tombolo history: what was done to a project. */
#include "cli/project.h"
#include "cli/verbs.h"

#include "base/alloc.h"

#include <stdio.h>

typedef struct {
    bool json;
} values;

static const tb_arg OPTIONS[] = {TB_ARGS_COMMON(values)};

static tb_status tell_json(const tb_action_line *lines, size_t n, tb_error *err)
{
    json_t *list = json_array();
    for (size_t i = 0; i < n && list; i++) {
        json_t *line = json_pack("{s:I, s:s, s:s, s:b}", "id", (json_int_t)lines[i].id, "at",
                tb_cli_time_of(lines[i].at_s).text, "name", lines[i].name, "undone",
                (int)lines[i].undone);
        if (json_array_append_new(list, line)) {
            json_decref(list);
            list = NULL;
        }
    }
    tb_status status = list ? tb_cli_print_json(list, false, err) : tb_fail_memory(err);
    json_decref(list);
    return status;
}

static tb_status tell(const tb_action_line *lines, size_t n, tb_error *err)
{
    for (size_t i = 0; i < n; i++)
        printf("%5lld  %s  %s%s\n", (long long)lines[i].id, tb_cli_time_of(lines[i].at_s).text,
                lines[i].name, lines[i].undone ? "  (undone)" : "");
    return tb_cli_print("", err);
}

static tb_status run(tb_cli *cli, int n_words, char **words, tb_error *err)
{
    values v = {0};
    tb_project *project = NULL;
    tb_action_line *lines = NULL;
    size_t n_lines = 0;
    int n;
    tb_status status = tb_args_read(&v, &n, OPTIONS, n_words, words, cli->unit, err);
    if (!status && n != 1)
        status = tb_fail(err, TB_EINVAL, "give one project");
    if (!status)
        status = tb_cli_project(&project, words[0], false, err);
    if (!status)
        status = tb_project_history(&lines, &n_lines, project, err);
    if (!status)
        status = v.json ? tell_json(lines, n_lines, err) : tell(lines, n_lines, err);
    tb_free(lines);
    tb_project_close(project);
    return status;
}

const tb_verb TB_VERB_HISTORY = {
        .name = "history",
        .words = "FILE",
        .summary = "list what was done to a project",
        .text = "Lists every action from the start, with what undo has taken back at its end.",
        .options = OPTIONS,
        .run = run,
};
