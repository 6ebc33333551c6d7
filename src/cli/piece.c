/* cli/piece.c: see piece.h. */
#define _POSIX_C_SOURCE 200809L
#include "cli/piece.h"

#include <string.h>
#include <sys/stat.h>

const char *const TB_PIECE_WOODS[] = {"found", "dark", "light", NULL};

static const char *chosen(const char *wish, const char *own)
{
    return wish ? wish : own;
}

static void dress(tb_piece *p, const tb_cli *cli, const tb_piece_wishes *wishes)
{
    const tb_assessment *a = p->seen;
    p->remark = tb_sawing_remark(a->plan->fit, &a->settings, cli->unit);
    p->language = tb_local_language();
    p->content = (tb_sheet_content){.mask = a->pattern,
            .language = p->language.tag,
            .local = tb_local,
            .outline = p->outline,
            .inspection = a->inspection,
            .plan = a->plan,
            .notes = a->notes,
            .n_notes = a->n_notes,
            .remark = p->remark.text,
            .title = chosen(wishes->title, a->title),
            .designer = chosen(wishes->designer, a->words.designer),
            .credit = chosen(wishes->credit, a->words.credit),
            .permission = chosen(wishes->permission, a->words.permission),
            .stock = p->stock.title,
            .blade = a->settings.blade,
            .species = p->stock.name,
            .thickness_mm = p->stock.thickness_mm,
            .grain_rad = a->settings.grain_rad};
}

tb_status tb_piece_read(tb_piece *piece, tb_cli *cli, const tb_piece_wishes *wishes, tb_error *err)
{
    tb_outline_options options = TB_OUTLINE_OPTIONS_INIT;
    *piece = (tb_piece){0};
    tb_status status = tb_cli_pictures(cli, err);
    if (status)
        return status;
    status = tb_assess(&piece->seen, wishes->path, &wishes->wishes, &cli->job, err);
    if (status && status != TB_ECANCELLED)
        tb_cli_name_file(err, wishes->path);
    if (!status)
        status = tb_stock_find(&piece->stock, piece->seen->settings.stock, err);
    if (!status) {
        options.turn_mm = piece->seen->limits.turn_radius_mm;
        status = tb_outline_trace(&piece->outline, piece->seen->pattern, &options, &cli->job, err);
    }
    if (status)
        tb_piece_clear(piece);
    else
        dress(piece, cli, wishes);
    return status;
}

void tb_piece_clear(tb_piece *piece)
{
    tb_outline_free(piece->outline);
    tb_assessment_free(piece->seen);
    *piece = (tb_piece){0};
}

tb_status tb_piece_check_output(tb_outputs *set, const char *path, const char *own, tb_error *err)
{
    struct stat to, from;
    if (stat(path, &to) == 0 && stat(own, &from) == 0 && to.st_dev == from.st_dev &&
            to.st_ino == from.st_ino)
        return tb_fail(err, TB_EINVAL, "%.100s is the pattern itself; write somewhere else", path);
    return tb_outputs_check(set, path, err);
}
