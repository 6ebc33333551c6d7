/* facts/name.h: names as people type them. Private to src/facts. */
#ifndef TB_FACTS_NAME_H
#define TB_FACTS_NAME_H

#include <stdbool.h>

/* Whether both name the same row: case, spaces, dashes and a leading "#" or "No." do not count, so
 * "#2/0", "No. 2/0" and "2/0" are the same. NULL is no name. */
bool tb__same_name(const char *a, const char *b);

#endif
