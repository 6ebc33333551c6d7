/* flow/custom.h: what is usual where the user lives, as the locale tells it: LC_MEASUREMENT for the
 * unit, LC_PAPER for the paper, each by itself (en_CA is millimetres on Letter). The plain C locale
 * says nothing about that; millimetres and A4 are most people's. To be asked after setlocale(). */
#ifndef TB_FLOW_CUSTOM_H
#define TB_FLOW_CUSTOM_H

#include "base/num.h"

tb_unit tb_custom_unit(void);
const char *tb_custom_paper(void); /* a name of facts/paper.h; static */

#endif
