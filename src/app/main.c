/* app/main.c: tombolo-bench: the desktop app. */
#include "app/ui/application.h"
#include "base/alloc.h"
#include "flow/local.h"
#include "photo/photo.h"

int main(int argc, char **argv)
{
    tb_error err = {0};
    tb_alloc_prepare();
    tb_local_start();
    if (tb_photo_start((int)g_get_num_processors(), &err)) {
        g_printerr("tombolo-bench: %s\n", err.text);
        return 2;
    }
    g_autoptr(AdwApplication) application = tb_application_new();
    int status = g_application_run(G_APPLICATION(application), argc, argv);
    return status;
}
