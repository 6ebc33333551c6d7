/* app/model/keeper.c: see keeper.h. */
#include "app/model/keeper.h"

#include "app/model/errors.h"
#include "base/status.h"
#include "flow/place.h"

#include <glib/gi18n.h>

static void rendered_cb(GObject *source, GAsyncResult *result, gpointer payload)
{
    g_autoptr(GTask) task = payload;
    GError *error = NULL;
    if (g_subprocess_wait_check_finish(G_SUBPROCESS(source), result, &error))
        g_task_return_pointer(
                task, g_file_new_for_path(g_task_get_task_data(task)), g_object_unref);
    else
        g_task_return_error(task, error);
}

void tb_keeper_render_async(
        GCancellable *cancellable, GAsyncReadyCallback done_cb, gpointer payload)
{
    g_autoptr(GTask) task = g_task_new(NULL, cancellable, done_cb, payload);
    g_autofree char *program = tb_place_find("../../demo/keeper", "../libexec/tombolo/keeper");
    g_autofree char *folder = g_build_filename(g_get_user_cache_dir(), "tombolo", NULL);
    char *path = g_build_filename(folder, "keeper.jpg", NULL);
    GError *error = NULL;
    g_task_set_task_data(task, path, g_free);
    g_mkdir_with_parents(folder, 0700);
    if (g_file_test(path, G_FILE_TEST_EXISTS)) {
        g_task_return_pointer(task, g_file_new_for_path(path), g_object_unref);
        return;
    }
    if (!program) {
        g_task_return_new_error(task, TB_WORK_ERROR, TB_EREAD,
                _("the program that renders the lighthouse keeper is not installed"));
        return;
    }
    g_autoptr(GSubprocess) child = g_subprocess_new(
            G_SUBPROCESS_FLAGS_STDOUT_SILENCE, &error, program, "--width", "1200", path, NULL);
    if (child)
        g_subprocess_wait_check_async(child, cancellable, rendered_cb, g_object_ref(task));
    else
        g_task_return_error(task, error);
}

GFile *tb_keeper_render_finish(GAsyncResult *result, GError **error)
{
    return g_task_propagate_pointer(G_TASK(result), error);
}
