/* app/model/pictures.h: the photographs in the user's picture folder, and cards of them and of
 * patterns begun: small pictures of one size.
 *
 * Only ordinary files, no links, are looked at, in that folder and in the folders right in it. What
 * is not a photograph within the limits of photo/photo.h has no card. A project's card is its
 * pattern in wood, worked out by a program of its own and kept until the project changes. All is a
 * worker's work.
 */
#ifndef TB_APP_PICTURES_H
#define TB_APP_PICTURES_H

#include <gio/gio.h>

/* Pixels a side: sharp on a screen of two pixels to the point. */
enum { TB_CARD_PX = 320 };

/* Paths, the newest first, at most `most`. No folder: none. */
void tb_pictures_list_async(unsigned most, GAsyncReadyCallback done_cb, gpointer payload);
char **tb_pictures_list_finish(GAsyncResult *result);

/* 8-bit sRGB [TB_CARD_PX][TB_CARD_PX][3]. NULL: there is none. */
void tb_pictures_card_async(const char *path, GAsyncReadyCallback done_cb, gpointer payload);
GBytes *tb_pictures_card_finish(GAsyncResult *result);

#endif
