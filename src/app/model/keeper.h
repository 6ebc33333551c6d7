/* app/model/keeper.h: the demo photograph, rendered when somebody asks for it.
 *
 * The program that renders it lies beside the app: in the build folder, or where it is installed.
 * It takes some seconds.
 */
#ifndef TB_APP_KEEPER_H
#define TB_APP_KEEPER_H

#include <gio/gio.h>

void tb_keeper_render_async(
        GCancellable *cancellable, GAsyncReadyCallback done_cb, gpointer payload);
/* The file, in the cache folder. */
GFile *tb_keeper_render_finish(GAsyncResult *result, GError **error);

#endif
