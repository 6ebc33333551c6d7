/* cli/note.c: tombolo note: rings a spot of a project, with a word about it. */
#include "cli/project.h"
#include "cli/verbs.h"

#include "base/alloc.h"
#include "flow/notes.h"
#include "flow/report.h"

#include <stdio.h>
#include <string.h>

typedef struct {
    double radius_mm;
    int remove;
    bool json;
} values;

static const tb_arg OPTIONS[] = {
        {.name = "radius",
                .kind = TB_ARG_LENGTH,
                .offset = offsetof(values, radius_mm),
                .value = "LENGTH",
                .help = "of the ring"},
        {.name = "remove",
                .kind = TB_ARG_COUNT,
                .offset = offsetof(values, remove),
                .value = "N",
                .least = 1,
                .most = 1000000000,
                .help = "remove the note of this number instead"},
        TB_ARGS_COMMON(values),
};

static tb_status list_json(const tb_note *notes, size_t n, tb_error *err)
{
    json_t *list = json_array();
    for (size_t i = 0; i < n && list; i++) {
        const tb_note *note = &notes[i];
        json_t *one = json_pack("{s:I, s:o, s:o, s:o, s:s}", "note", (json_int_t)note->id, "x_mm",
                tb_json_number(note->x_mm, 3), "y_mm", tb_json_number(note->y_mm, 3), "radius_mm",
                tb_json_number(note->radius_mm, 3), "text", note->text);
        if (json_array_append_new(list, one)) {
            json_decref(list);
            list = NULL;
        }
    }
    tb_status status = list ? tb_cli_print_json(list, false, err) : tb_fail_memory(err);
    json_decref(list);
    return status;
}

static tb_status list_text(const tb_note *notes, size_t n, tb_error *err)
{
    for (size_t i = 0; i < n; i++)
        printf("%5lld  at %s, %s mm: %s\n", (long long)notes[i].id,
                tb_num_of(notes[i].x_mm, 1).text, tb_num_of(notes[i].y_mm, 1).text, notes[i].text);
    return tb_cli_print("", err);
}

/* Where they lie now depends on the photograph's size. */
static tb_status list(tb_project *project, tb_cli *cli, bool json, tb_error *err)
{
    const tb_project_state *now = tb_project_state_now(project);
    const uint8_t *photo;
    const char *name;
    size_t n_photo;
    tb_photo_info info = {0};
    tb_note *notes = NULL;
    tb_status status = tb_cli_pictures(cli, err);
    if (!status)
        status = tb_project_photo(project, &photo, &n_photo, &name, err);
    if (!status)
        status = tb_photo_look(&info, photo, n_photo, err);
    if (!status)
        status = tb_notes_place(&notes, now, &info, err);
    if (!status)
        status = json ? list_json(notes, now->n_notes, err) : list_text(notes, now->n_notes, err);
    tb_free(notes);
    return status;
}

static tb_status ring(
        tb_project *project, const values *v, const char *place, const char *text, tb_error *err)
{
    tb_note note = {.radius_mm = v->radius_mm};
    double p[3];
    char what[64];
    int n;
    tb_status status = tb_cli_point(p, &n, place, err);
    if (!status && strlen(text) >= sizeof note.text)
        status = tb_fail(err, TB_EINVAL, "a note holds %d bytes", (int)sizeof note.text - 1);
    if (status)
        return status;
    note.x_mm = p[0];
    note.y_mm = p[1];
    memcpy(note.text, text, strlen(text) + 1);
    status = tb_project_ring(project, &note, err);
    snprintf(what, sizeof what, "ringed: note %lld", (long long)note.id);
    return status ? status : tb_cli_done(project, v->json, what, err);
}

static tb_status run(tb_cli *cli, int n_words, char **words, tb_error *err)
{
    values v = {.radius_mm = 4};
    tb_project *project = NULL;
    int n;
    tb_status status = tb_args_read(&v, &n, OPTIONS, n_words, words, cli->unit, err);
    bool lists = n == 1 && !v.remove;
    if (!status && !(n == 3 && !v.remove) && n != 1)
        status = tb_fail(err, TB_EINVAL, "give a project, a place and a word: note FILE X,Y TEXT");
    if (!status)
        status = tb_cli_project(&project, words[0], !lists, err);
    if (!status && lists) {
        status = list(project, cli, v.json, err);
    } else if (!status && v.remove) {
        status = tb_project_unring(project, v.remove, err);
        if (!status)
            status = tb_cli_done(project, v.json, "removed", err);
    } else if (!status) {
        status = ring(project, &v, words[1], words[2], err);
    }
    tb_project_close(project);
    return status;
}

const tb_verb TB_VERB_NOTE = {
        .name = "note",
        .words = "FILE [X,Y TEXT]",
        .summary = "ring a spot of a project with a note, or list the notes",
        .text = "Rings a place, in millimetres from the board's top left, with a word about it.\n"
                "Without a place it lists the notes there are.",
        .options = OPTIONS,
        .run = run,
};
