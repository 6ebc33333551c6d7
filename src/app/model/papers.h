/* app/model/papers.h: sheets and share copies of a piece of work, made in a worker.
 *
 * What is made is of the pattern as it stands when the call is made; drawing on goes on meanwhile.
 * A file appears whole or not at all, and replaces what the user chose to replace.
 */
#ifndef TB_APP_PAPERS_H
#define TB_APP_PAPERS_H

#include "app/model/pages.h"
#include "app/model/work.h"
#include "sheet/picture.h"
#include "sheet/sheet.h"

typedef struct {
    char *path; /* where to */
    bool share; /* a copy to send, by the name's ending; else sheets */
    bool set;   /* everything, in a new folder of the project's name that is made in path */
    tb_sheet_options sheet;
    tb_share_options copy; /* kind and credit are filled in */
} tb_papers_wish;

/* The wish is copied. Finishes with the account of the sheets (empty for a share copy and a set).
 */
void tb_papers_make_async(
        TbWork *work, const tb_papers_wish *wish, GAsyncReadyCallback done_cb, gpointer payload);
bool tb_papers_make_finish(
        TbWork *work, GAsyncResult *result, tb_sheet_account *account, GError **error);

/* The sheets of a wish, to be looked at; it needs no path. */
void tb_papers_look_async(
        TbWork *work, const tb_papers_wish *wish, GAsyncReadyCallback done_cb, gpointer payload);
TbPages *tb_papers_look_finish(TbWork *work, GAsyncResult *result, GError **error);

/* Where it went: of a set the folder that was made. Borrowed from the result. */
const char *tb_papers_path(GAsyncResult *result);

#endif
