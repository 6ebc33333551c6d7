/* flow/notes.c: see notes.h. */
#include "flow/notes.h"

#include "base/alloc.h"
#include "flow/stage_limits.h"
#include "flow/strokes.h"

#include <math.h>
#include <string.h>

static int32_t um_of(double mm)
{
    return (int32_t)lround(mm * 1e3);
}

/* The ring moves and grows as a dab of the brush would. */
static void follow(tb_note *note, const tb_photo_view *then, const tb_photo_view *now)
{
    const tb_stroke_point was = {um_of(note->x_mm), um_of(note->y_mm), um_of(2 * note->radius_mm)};
    const tb_stroke_point is = tb__point_follow(was, then, now, false);
    note->x_mm += (is.x_um - was.x_um) / 1e3;
    note->y_mm += (is.y_um - was.y_um) / 1e3;
    note->radius_mm += (is.width_um - was.width_um) / 2e3;
}

tb_status tb_notes_place(
        tb_note **out, const tb_project_state *state, const tb_photo_info *photo, tb_error *err)
{
    tb_photo_view now, then;
    *out = NULL;
    if (state->n_notes == 0)
        return TB_OK;
    tb_status status = tb__view_of(&now, &state->settings, photo, err);
    if (status)
        return status;
    tb_note *notes = tb_malloc(state->n_notes, sizeof *notes);
    if (!notes)
        return tb_fail_memory(err);
    for (size_t i = 0; i < state->n_notes && !status; i++) {
        notes[i] = state->notes[i];
        status = tb__view_of(&then, notes[i].framed, photo, err);
        if (!status)
            follow(&notes[i], &then, &now);
    }
    if (status)
        tb_free(notes);
    else
        *out = notes;
    return status;
}

tb_status tb_notes_for_sheets(tb_sheet_note **out, size_t *n, const tb_project_state *state,
        const tb_photo_info *photo, tb_error *err)
{
    tb_photo_view view;
    tb_note *notes;
    *out = NULL;
    *n = 0;
    tb_status status = tb_notes_place(&notes, state, photo, err);
    if (status || !notes)
        return status;
    status = tb__view_of(&view, &state->settings, photo, err);
    if (!status && !(*out = tb_malloc(state->n_notes, sizeof **out)))
        status = tb_fail_memory(err);
    for (size_t i = 0; i < state->n_notes && !status; i++) {
        const tb_note *note = &notes[i];
        const double x_px = note->x_mm * view.px_per_mm, y_px = note->y_mm * view.px_per_mm;
        tb_sheet_note *to = &(*out)[*n];
        if (x_px < 0 || y_px < 0 || x_px > view.width_px || y_px > view.height_px)
            continue;
        *to = (tb_sheet_note){note->x_mm, note->y_mm, note->radius_mm, ""};
        _Static_assert(sizeof to->text == sizeof note->text, "a note is printed whole");
        memcpy(to->text, note->text, sizeof to->text);
        ++*n;
    }
    tb_free(notes);
    return status;
}
