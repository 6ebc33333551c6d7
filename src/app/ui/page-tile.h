/* app/ui/page-tile.h: one of all pages on the board, with its name below it.
 *
 * Action  page.open
 */
#ifndef TB_APP_PAGE_TILE_H
#define TB_APP_PAGE_TILE_H

#include "app/ui/sheet-view.h"

#define TB_TYPE_PAGE_TILE (tb_page_tile_get_type())
G_DECLARE_FINAL_TYPE(TbPageTile, tb_page_tile, TB, PAGE_TILE, GtkFlowBoxChild)

GtkWidget *tb_page_tile_new(void);

/* What is written below it, and what a screen reader calls it. */
void tb_page_tile_set_name(TbPageTile *self, const char *name, const char *told);
/* Borrowed. */
TbSheetView *tb_page_tile_view(TbPageTile *self);

#endif
