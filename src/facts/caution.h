/* facts/caution.h: the cautions that the tool shows in the app, on the first sheet and in the
 * README, in this order. */
#ifndef TB_FACTS_CAUTION_H
#define TB_FACTS_CAUTION_H

/* The i-th caution, from 0, one sentence or two with a full stop; NULL past the last. */
const char *tb_caution_at(int i);

/* On the rights of the photographer and of the person shown. */
const char *tb_caution_permission(void);

#endif
