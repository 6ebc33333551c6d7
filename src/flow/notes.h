/* flow/notes.h: a project's notes as they lie on the board now.
 *
 * A note follows the photograph as strokes do: where the size, the crop or the turn is another than
 * when it was ringed, it stays on what it was written about, and its ring grows with the picture.
 * Who changes a note hands over its place of now.
 *
 * Errors  TB_EINVAL: settings that give no board; TB_ENOMEM
 */
#ifndef TB_FLOW_NOTES_H
#define TB_FLOW_NOTES_H

#include "photo/photo.h"
#include "project/project.h"
#include "sheet/sheet.h"

/* In the project's order, as many; tb_free(). NULL where there are none. */
TB_NODISCARD tb_status tb_notes_place(
        tb_note **out, const tb_project_state *state, const tb_photo_info *photo, tb_error *err);

/* As the sheets take them: the n that lie on the board. Likewise tb_free() and NULL. */
TB_NODISCARD tb_status tb_notes_for_sheets(tb_sheet_note **out, size_t *n,
        const tb_project_state *state, const tb_photo_info *photo, tb_error *err);

#endif
