/* flow/place.h: where the program's own files lie: in the build folder or where it was
 * installed, wherever that is; both are seen from the program itself. */
#ifndef TB_FLOW_PLACE_H
#define TB_FLOW_PLACE_H

/* The first of two paths that is there, from the program's own folder: one of the build, one of an
 * installation. NULL when neither is. To be freed by g_free(). */
char *tb_place_find(const char *built, const char *installed);

#endif
