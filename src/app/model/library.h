/* app/model/library.h: where projects lie, and which were open lately.
 *
 * A new project lies in the user's data folder until it is given a name of its own.
 */
#ifndef TB_APP_LIBRARY_H
#define TB_APP_LIBRARY_H

#include "app/model/work.h"

/* Where new projects lie, whether it is there yet or not. To be freed by g_free(). */
char *tb_library_folder(void);

/* A project is opened, anything else is taken for a photograph and becomes a new project
 * with these settings; NULL: as they come. */
TbWork *tb_library_open(const char *path, const tb_settings *start, GError **error);

/* The same, and a picture of two tones is taken for a pattern, straightened and kept as drawn, as
 * the command line takes it; *drawn tells. Looking at it is a worker's. */
void tb_library_open_async(
        const char *path, const tb_settings *start, GAsyncReadyCallback done_cb, gpointer payload);
TbWork *tb_library_open_finish(GAsyncResult *result, bool *drawn, GError **error);

/* Paths of the projects that were open lately, newest first, at most `most`. */
char **tb_library_recent(unsigned most);

/* A project's name is its file's without the ending, in the file system's letters. To be freed by
 * g_free(). */
char *tb_library_name(const char *path);

/* Where a file lies, for people: "~/Documents/keeper.pdf". To be freed by g_free(). */
char *tb_library_place(const char *path);

#endif
