/* app/ui/application.h: opens windows and files; holds nothing else. */
#ifndef TB_APP_APPLICATION_H
#define TB_APP_APPLICATION_H

#include <adwaita.h>

#define TB_APPLICATION_ID "org.tombolo.Tombolo"

AdwApplication *tb_application_new(void);

#endif
