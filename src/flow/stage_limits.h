/* flow/stage_limits.h: from stock, blade and wishes to plain limits, and to what each stage needs.
 *
 * Internal to flow.
 */
#ifndef TB_FLOW_STAGE_LIMITS_H
#define TB_FLOW_STAGE_LIMITS_H

#include "facts/blade.h"
#include "facts/stock.h"
#include "image/tone.h"
#include "pattern/limits.h"
#include "pattern/split.h"
#include "photo/photo.h"
#include "project/settings.h"

/* TB_EINVAL names what is unknown or out of range. */
TB_NODISCARD tb_status tb__settings_check(const tb_settings *settings, tb_error *err);
TB_NODISCARD tb_status tb__tools_of(
        tb_stock *stock, const tb_blade **blade, const tb_settings *settings, tb_error *err);
TB_NODISCARD tb_status tb__limits_of(tb_limits *limits, const tb_settings *settings, tb_error *err);

/* The part of the photograph that the board shows, and the board's size. TB_EINVAL when the board
 * at the coarsest resolution is still out of limits. */
TB_NODISCARD tb_status tb__view_of(tb_photo_view *view, const tb_settings *settings,
        const tb_photo_info *photo, tb_error *err);

tb_tone_options tb__tone_options_of(const tb_settings *settings, double shorter_side_mm);
tb_tidy_options tb__tidy_options_of(const tb_settings *settings, const tb_limits *limits);

#endif
