/* cli/piece.h: a finished pattern, made ready to be drawn: what sheets and share begin with. */
#ifndef TB_CLI_PIECE_H
#define TB_CLI_PIECE_H

#include "cli/cli.h"
#include "facts/stock.h"
#include "flow/assess.h"
#include "flow/local.h"
#include "flow/output.h"
#include "sheet/sheet.h"

/* The choices of --wood, in the order of tb_wood_tone. */
extern const char *const TB_PIECE_WOODS[];

typedef struct {
    const char *path;
    tb_wishes wishes;
    const char *title, *designer, *credit, *permission; /* NULL: the project's */
} tb_piece_wishes;

typedef struct {
    tb_assessment *seen;
    tb_outline *outline;
    tb_stock stock;
    tb_remark remark;
    tb_language language;
    tb_sheet_content content; /* borrows all of the above, and the wishes */
} tb_piece;

/* TB_EUNSAWABLE never: what can't be sawn yet can be printed. */
TB_NODISCARD tb_status tb_piece_read(
        tb_piece *piece, tb_cli *cli, const tb_piece_wishes *wishes, tb_error *err);
void tb_piece_clear(tb_piece *piece);

/* Writes one file, whole or not at all; refuses the pattern's own. */
TB_NODISCARD tb_status tb_piece_check_output(
        tb_outputs *set, const char *path, const char *own, tb_error *err);

#endif
