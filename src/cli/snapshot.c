/* cli/snapshot.c: tombolo snapshot and tombolo restore. */
#include "cli/project.h"
#include "cli/verbs.h"

#include "base/alloc.h"

#include <stdio.h>

typedef struct {
    bool json;
} values;

static const tb_arg OPTIONS[] = {TB_ARGS_COMMON(values)};

static tb_status list_json(const tb_snapshot *snapshots, size_t n, tb_error *err)
{
    json_t *all = json_array();
    for (size_t i = 0; i < n && all; i++) {
        json_t *one = json_pack("{s:s, s:I, s:s}", "name", snapshots[i].name, "action",
                (json_int_t)snapshots[i].action, "at", tb_cli_time_of(snapshots[i].at_s).text);
        if (json_array_append_new(all, one)) {
            json_decref(all);
            all = NULL;
        }
    }
    tb_status status = all ? tb_cli_print_json(all, false, err) : tb_fail_memory(err);
    json_decref(all);
    return status;
}

static tb_status list(tb_project *project, bool json, tb_error *err)
{
    tb_snapshot *snapshots;
    size_t n;
    tb_status status = tb_project_snapshots(&snapshots, &n, project, err);
    if (status)
        return status;
    if (json) {
        status = list_json(snapshots, n, err);
    } else {
        for (size_t i = 0; i < n; i++)
            printf("%s  %s\n", tb_cli_time_of(snapshots[i].at_s).text, snapshots[i].name);
        status = tb_cli_print("", err);
    }
    tb_free(snapshots);
    return status;
}

static tb_status name_it(bool take, tb_cli *cli, int n_words, char **words, tb_error *err)
{
    values v = {0};
    tb_project *project = NULL;
    char what[TB_SNAPSHOT_NAME_ROOM + 24];
    int n;
    tb_status status = tb_args_read(&v, &n, OPTIONS, n_words, words, cli->unit, err);
    bool lists = n == 1 && take;
    if (!status && n != 2 && !lists)
        status = tb_fail(err, TB_EINVAL, "give a project and the snapshot's name");
    if (!status)
        status = tb_cli_project(&project, words[0], !lists, err);
    if (!status && lists)
        status = list(project, v.json, err);
    else if (!status)
        status = take ? tb_project_snapshot(project, words[1], err)
                      : tb_project_restore(project, words[1], err);
    if (!status && !lists) {
        snprintf(what, sizeof what, "%s: %.*s", take ? "kept" : "returned to",
                TB_SNAPSHOT_NAME_ROOM - 1, words[1]);
        status = tb_cli_done(project, v.json, what, err);
    }
    tb_project_close(project);
    return status;
}

static tb_status snapshot(tb_cli *cli, int n_words, char **words, tb_error *err)
{
    return name_it(true, cli, n_words, words, err);
}

static tb_status restore(tb_cli *cli, int n_words, char **words, tb_error *err)
{
    return name_it(false, cli, n_words, words, err);
}

const tb_verb TB_VERB_SNAPSHOT = {
        .name = "snapshot",
        .words = "FILE [NAME]",
        .summary = "give the present state of a project a name, or list those named",
        .text = "Keeps how the project stands now under a name, to return to by restore.\n"
                "Without a name it lists the snapshots there are.",
        .options = OPTIONS,
        .run = snapshot,
};

const tb_verb TB_VERB_RESTORE = {
        .name = "restore",
        .words = "FILE NAME",
        .summary = "return to a snapshot of a project",
        .text = "Returns to how things stood at a snapshot. That can be undone like anything else.",
        .options = OPTIONS,
        .run = restore,
};
