/* cli/info.c: tombolo info: what a project holds, and how its pattern stands. */
#include "cli/project.h"
#include "cli/verbs.h"

#include "base/alloc.h"
#include "cli/say.h"
#include "flow/assess.h"

#include <stdio.h>

typedef struct {
    int unit;
    bool json;
} values;

static const tb_arg OPTIONS[] = {TB_ARG_UNIT(values), TB_ARGS_COMMON(values)};

typedef struct {
    const char *path, *photo_name;
    tb_project *project;
    tb_assessment *seen; /* NULL: no pattern comes of it, err says why */
    tb_error err;
    size_t n_snapshots, n_photo;
} project_info;

static const char *verdict_of(const project_info *info, tb_verdict *room)
{
    if (!info->seen)
        return info->err.text;
    *room = tb_verdict_of(info->seen->inspection);
    return room->text;
}

static tb_status tell_json(const project_info *info, tb_error *err)
{
    const tb_project_state *now = tb_project_state_now(info->project);
    const tb_inspection *i = info->seen ? info->seen->inspection : NULL;
    tb_verdict room;
    double width = info->seen ? info->seen->width_mm : now->settings.width_mm;
    double height = info->seen ? info->seen->height_mm : now->settings.height_mm;
    json_t *size = json_pack("[o, o]", tb_json_number(width, 3), tb_json_number(height, 3));
    json_t *said = json_pack(
            "{s:s, s:o, s:I, s:I, s:I, s:I, s:I, s:s, s:s, s:s, s:s, s:s, s:s, s:s, s:I, s:s, s:s}",
            "file", info->path, "size_mm", size, "strokes", (json_int_t)now->n_strokes, "undone",
            (json_int_t)now->n_undone, "actions", (json_int_t)now->n_actions, "notes",
            (json_int_t)now->n_notes, "snapshots", (json_int_t)info->n_snapshots, "title",
            now->words.title, "designer", now->words.designer, "credit", now->words.credit,
            "permission", now->words.permission, "stock", now->settings.stock, "blade",
            now->settings.blade, "photo", info->photo_name, "photo_bytes",
            (json_int_t)info->n_photo, "remark", tb_project_remark(info->project), "verdict",
            verdict_of(info, &room));
    if (said && i &&
            (json_object_set_new(said, "must", json_integer(i->n_must)) ||
                    json_object_set_new(said, "should", json_integer(i->n_should)) ||
                    json_object_set_new(
                            said, "minutes", tb_json_number(info->seen->plan->minutes, 0)))) {
        json_decref(said);
        said = NULL;
    }
    tb_status status = said ? tb_cli_print_json(said, false, err) : tb_fail_memory(err);
    json_decref(said);
    return status;
}

static tb_status tell(const project_info *info, const tb_cli *cli, tb_error *err)
{
    const tb_project_state *now = tb_project_state_now(info->project);
    const tb_settings *s = &now->settings;
    if (now->words.title[0])
        printf("%s\n", now->words.title);
    if (tb_project_remark(info->project)[0])
        printf("%s\n", tb_project_remark(info->project));
    printf("%s in %s, blade %s\n",
            tb_cli_size(info->seen ? info->seen->width_mm : s->width_mm,
                    info->seen ? info->seen->height_mm : s->height_mm, cli->unit)
                    .text,
            s->stock, s->blade);
    printf("photograph: %s, %zu bytes\n", info->photo_name[0] ? info->photo_name : "(unnamed)",
            info->n_photo);
    printf("strokes: %zu, notes: %zu, snapshots: %zu; to undo: %zu, to redo: %zu\n", now->n_strokes,
            now->n_notes, info->n_snapshots, now->n_actions, now->n_undone);
    if (now->words.credit[0])
        printf("credit: %s\n", now->words.credit);
    if (now->words.permission[0])
        printf("permission: %s\n", now->words.permission);
    printf("%s\n",
            info->seen ? tb_say_verdict(info->seen->inspection, cli->unit).text : info->err.text);
    if (info->seen)
        tb_cli_print_plan(info->seen->plan, info->seen->inspection->cut_length_mm, s, cli->unit);
    return tb_cli_print("", err);
}

static tb_status gather(project_info *info, tb_cli *cli, tb_error *err)
{
    tb_snapshot *snapshots;
    const uint8_t *photo;
    tb_wishes wishes = {0};
    tb_status status = tb_cli_project(&info->project, info->path, false, err);
    if (!status)
        status = tb_project_photo(info->project, &photo, &info->n_photo, &info->photo_name, err);
    if (status)
        return status;
    status = tb_project_snapshots(&snapshots, &info->n_snapshots, info->project, err);
    if (status)
        return status;
    tb_free(snapshots);
    status = tb_cli_pictures(cli, err);
    if (status)
        return status;
    status = tb_assess(&info->seen, info->path, &wishes, &cli->job, &info->err);
    tb_cli_progress_end();
    if (status == TB_ECANCELLED || status == TB_ENOMEM) {
        *err = info->err;
        return status;
    }
    return TB_OK;
}

static tb_status run(tb_cli *cli, int n_words, char **words, tb_error *err)
{
    values v = {0};
    project_info info = {.path = NULL};
    int n;
    tb_status status = tb_args_read(&v, &n, OPTIONS, n_words, words, cli->unit, err);
    tb_cli_speak(cli, v.unit);
    if (!status && n != 1)
        status = tb_fail(err, TB_EINVAL, "give one project");
    info.path = words[0];
    if (!status)
        status = gather(&info, cli, err);
    if (!status)
        status = v.json ? tell_json(&info, err) : tell(&info, cli, err);
    tb_assessment_free(info.seen);
    tb_project_close(info.project);
    return status;
}

const tb_verb TB_VERB_INFO = {
        .name = "info",
        .words = "FILE",
        .summary = "say what a project holds",
        .text = "Shows a project's size, wood, strokes and notes, and makes its pattern to say\n"
                "whether it can be sawn. Changes nothing, and may be asked while the bench has\n"
                "the project open.",
        .options = OPTIONS,
        .run = run,
};
