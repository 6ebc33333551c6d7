/* app/ui/note-dialog.h: asks for the words of a ringed spot. */
#ifndef TB_APP_NOTE_DIALOG_H
#define TB_APP_NOTE_DIALOG_H

#include "app/model/desk.h"

#include <gtk/gtk.h>

/* Rings the spot when the user agrees; a note that is there already can be changed or taken away.
 * One without words is none. */
void tb_note_dialog_ask(GtkWindow *parent, TbDesk *desk, double x_mm, double y_mm);

#endif
