/* app/main.c: tombolo-bench: the desktop app. */
#include "app/model/place.h"
#include "app/ui/application.h"
#include "base/alloc.h"
#include "photo/photo.h"

#include <glib/gi18n.h>

int main(int argc, char **argv)
{
    tb_error err = {0};
    tb_alloc_prepare();
    g_autofree char *languages = tb_place_find("../../po", "../share/locale");
    bindtextdomain(GETTEXT_PACKAGE, languages ? languages : LOCALEDIR);
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
