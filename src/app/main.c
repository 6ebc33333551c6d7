/* app/main.c: tombolo-bench: the desktop app. */
#include "app/ui/application.h"
#include "base/alloc.h"
#include "photo/photo.h"

#include <glib/gi18n.h>

int main(int argc, char **argv)
{
    tb_error err = {0};
    tb_alloc_prepare();
    bindtextdomain(GETTEXT_PACKAGE, LOCALEDIR);
    bind_textdomain_codeset(GETTEXT_PACKAGE, "UTF-8");
    textdomain(GETTEXT_PACKAGE);
    if (tb_photo_start((int)g_get_num_processors(), &err)) {
        g_printerr("tombolo-bench: %s\n", err.text);
        return 2;
    }
    g_autoptr(AdwApplication) application = tb_application_new();
    int status = g_application_run(G_APPLICATION(application), argc, argv);
    return status;
}
