/* flow/title.h: what to call a piece that nobody has named. */
#ifndef TB_FLOW_TITLE_H
#define TB_FLOW_TITLE_H

#include "project/project.h"

/* title; where that is empty, the file's name without folder and ending, its underscores as blanks;
 * file may be NULL. "grand_father.jpg" gives "grand father". */
void tb_title_of(char to[TB_WORDS_ROOM], const char *title, const char *file);

#endif
