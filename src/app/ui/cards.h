/* app/ui/cards.h: equal cards to press, in as many columns as the width holds, at most six, the
 * block of them in the middle: a picture above, one line of a name below. A card opens its path
 * (win.open-path). */
#ifndef TB_APP_CARDS_H
#define TB_APP_CARDS_H

#include <gtk/gtk.h>

#define TB_TYPE_CARDS (tb_cards_get_type())
G_DECLARE_FINAL_TYPE(TbCards, tb_cards, TB, CARDS, GtkWidget)

GtkWidget *tb_cards_new(const char *heading);

/* The picture is square: 8-bit sRGB [TB_CARD_PX][TB_CARD_PX][3]; NULL: none yet. Returns the card.
 */
GtkWidget *tb_cards_add(TbCards *self, const char *path, const char *name, GBytes *picture);
void tb_cards_show(GtkWidget *card, GBytes *picture);
void tb_cards_clear(TbCards *self);

#endif
