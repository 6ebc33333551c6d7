/* tests/project/made.h: what the tests of a project work on. */
#ifndef TB_TESTS_PROJECT_MADE_H
#define TB_TESTS_PROJECT_MADE_H

#include "project/history.h"
#include "project/project.h"

/* An invented photograph's bytes: a project never looks inside. */
extern const uint8_t MADE_PHOTO[48];

tb_project_start made_start(void);
/* A folder of its own, in memory where that can be had, and a file's name in it; to be freed. */
char *made_folder(void);
char *made_path(const char *folder, const char *name);
void made_remove(char *folder);

/* A stroke like those of a hand at work: the same for the same number. */
tb_stroke made_stroke(unsigned number);

/* One step of a designer's evening: a stroke, a slider, a note, an undo … the same for the same
 * number and state. Its status is the project's. */
tb_status made_step(tb_project *project, unsigned number, tb_error *err);

/* All that a project says, as one text that two projects can be compared by; to be freed by
 * g_free(). NULL when it can't say it (a damaged photograph). */
char *made_digest(tb_project *project);

#endif
