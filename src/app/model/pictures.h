/* app/model/pictures.h: the photographs in the user's picture folder, and small pictures of them.
 *
 * Only ordinary files, no links, are looked at, in that folder and in the folders right in it. What
 * is not a photograph within the limits of photo/photo.h has no small picture. Both are a worker's
 * work.
 */
#ifndef TB_APP_PICTURES_H
#define TB_APP_PICTURES_H

#include "app/model/picture.h"

#include <gio/gio.h>

/* Paths, the newest first, at most `most`. No folder: none. */
void tb_pictures_list_async(unsigned most, GAsyncReadyCallback done_cb, gpointer payload);
char **tb_pictures_list_finish(GAsyncResult *result);

/* The photograph, upright, with sides of at most longest_px. NULL: it is none. */
void tb_pictures_small_async(
        const char *path, int longest_px, GAsyncReadyCallback done_cb, gpointer payload);
tb_picture *tb_pictures_small_finish(GAsyncResult *result);

#endif
