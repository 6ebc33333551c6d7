/* cli/undo.c: tombolo undo and tombolo redo. */
#include "cli/project.h"
#include "cli/verbs.h"

#include <stdio.h>

typedef struct {
    int times;
    bool json;
} values;

static const tb_arg OPTIONS[] = {
        {.name = "times",
                .letter = 'n',
                .kind = TB_ARG_COUNT,
                .offset = offsetof(values, times),
                .value = "N",
                .least = 1,
                .most = 1000000,
                .help = "so many actions"},
        TB_ARGS_COMMON(values),
};

static tb_status move(bool back, tb_cli *cli, int n_words, char **words, tb_error *err)
{
    values v = {.times = 1};
    tb_project *project = NULL;
    char name[TB_ACTION_NAME_ROOM] = "", what[TB_ACTION_NAME_ROOM + 16];
    int n;
    tb_status status = tb_args_read(&v, &n, OPTIONS, n_words, words, cli->unit, err);
    if (!status && n != 1)
        status = tb_fail(err, TB_EINVAL, "give one project");
    if (!status)
        status = tb_cli_project(&project, words[0], true, err);
    for (int i = 0; i < v.times && !status; i++) {
        (void)(back ? tb_project_undo_name(project, name) : tb_project_redo_name(project, name));
        status = back ? tb_project_undo(project, err) : tb_project_redo(project, err);
    }
    if (!status && v.times > 1)
        snprintf(what, sizeof what, "%s: %d actions", back ? "undone" : "redone", v.times);
    else
        snprintf(what, sizeof what, "%s: %s", back ? "undone" : "redone", name);
    if (!status)
        status = tb_cli_done(project, v.json, what, err);
    tb_project_close(project);
    return status;
}

static tb_status undo(tb_cli *cli, int n_words, char **words, tb_error *err)
{
    return move(true, cli, n_words, words, err);
}

static tb_status redo(tb_cli *cli, int n_words, char **words, tb_error *err)
{
    return move(false, cli, n_words, words, err);
}

const tb_verb TB_VERB_UNDO = {
        .name = "undo",
        .words = "FILE",
        .summary = "take back the last action of a project",
        .text = "Takes back the last stroke, setting or note; as often as there are any, also "
                "long\n"
                "after they were made. What is taken back can be had again by redo.",
        .options = OPTIONS,
        .run = undo,
};

const tb_verb TB_VERB_REDO = {
        .name = "redo",
        .words = "FILE",
        .summary = "do again what undo took back",
        .text = "Does again what undo took back, until something else is done.",
        .options = OPTIONS,
        .run = redo,
};
