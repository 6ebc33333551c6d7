/* cli/share.c: tombolo share: a copy of a pattern to give away. */
#include "cli/piece.h"
#include "cli/verbs.h"

#include "base/alloc.h"
#include "sheet/picture.h"

#include <stdio.h>
#include <string.h>

typedef struct {
    const char *output, *as, *credit, *title, *designer;
    double width_mm, height_mm;
    int quality, longest_px, max_kb, wood;
    bool force, json;
} values;

#define AT(field) .offset = offsetof(values, field)

static const tb_arg OPTIONS[] = {
        {.name = "output",
                .letter = 'o',
                .kind = TB_ARG_TEXT,
                AT(output),
                .value = "FILE",
                .help = "the copy; its ending says what it is: .jpg, .png, .svg or .pdf"},
        {.name = "as",
                .kind = TB_ARG_TEXT,
                AT(as),
                .value = "KIND",
                .help = "jpg, png, svg or pdf, whatever the ending says"},
        {.name = "quality",
                .kind = TB_ARG_COUNT,
                AT(quality),
                .value = "N",
                .least = 1,
                .most = 100,
                .help = "of a JPEG, 1 to 100"},
        {.name = "longest",
                .kind = TB_ARG_COUNT,
                AT(longest_px),
                .value = "PIXELS",
                .least = 64,
                .most = 20000,
                .help = "longer side of a JPEG or PNG"},
        {.name = "max-kb",
                .kind = TB_ARG_COUNT,
                AT(max_kb),
                .value = "N",
                .least = 1,
                .most = 1000000,
                .help = "as large as it may be, in kilobytes: less quality, then less size"},
        {.name = "credit",
                .kind = TB_ARG_TEXT,
                AT(credit),
                .value = "TEXT",
                .help = "line below the pattern: whose photograph; by default the project's"},
        {.name = "title",
                .kind = TB_ARG_TEXT,
                AT(title),
                .value = "TEXT",
                .help = "name of the piece, in SVG and PDF"},
        {.name = "designer",
                .kind = TB_ARG_TEXT,
                AT(designer),
                .value = "TEXT",
                .help = "who made the pattern, in SVG and PDF"},
        {.name = "width",
                .kind = TB_ARG_LENGTH,
                AT(width_mm),
                .value = "LENGTH",
                .help = "the pattern's true width, where the file does not say"},
        {.name = "height",
                .kind = TB_ARG_LENGTH,
                AT(height_mm),
                .value = "LENGTH",
                .help = "the pattern's true height"},
        {.name = "wood",
                .kind = TB_ARG_CHOICE,
                AT(wood),
                .value = "TONE",
                .choices = TB_PIECE_WOODS,
                .help = "which tone of a picture is wood: found (by itself), dark or light"},
        {.name = "force", .kind = TB_ARG_SWITCH, AT(force), .help = "replace a file that exists"},
        TB_ARGS_COMMON(values),
};

static tb_status read_kind(tb_share_kind *kind, const values *v, tb_error *err)
{
    const char *dot = strrchr(v->output, '.');
    if (v->as)
        return tb_share_kind_parse(kind, v->as)
                       ? TB_OK
                       : tb_fail(err, TB_EINVAL, "--as: '%.20s' is none of jpg, png, svg, pdf",
                                 v->as);
    if (dot && tb_share_kind_parse(kind, dot + 1))
        return TB_OK;
    return tb_fail(err, TB_EINVAL,
            "%.100s: the ending says nothing; end in .jpg, .png, .svg or .pdf, or give --as",
            v->output);
}

static tb_status say(
        const values *v, const tb_share_account *account, size_t n_bytes, tb_error *err)
{
    if (v->json) {
        json_t *json = json_pack("{s:s, s:I, s:i, s:i, s:i}", "file", v->output, "bytes",
                (json_int_t)n_bytes, "width_px", account->width_px, "height_px", account->height_px,
                "quality", account->quality);
        tb_status status = json ? tb_cli_print_json(json, false, err) : tb_fail_memory(err);
        json_decref(json);
        return status;
    }
    tb_cli_progress_end();
    printf("%s: ", v->output);
    if (account->width_px)
        printf("%d × %d pixels, ", account->width_px, account->height_px);
    if (account->quality)
        printf("quality %d, ", account->quality);
    printf("%zu kB", (n_bytes + 999) / 1000);
    return tb_cli_print("\n", err);
}

static tb_status share(tb_cli *cli, const values *v, const tb_piece_wishes *wishes, tb_error *err)
{
    tb_share_options options = {.longest_px = v->longest_px,
            .quality = v->quality,
            .max_bytes = (size_t)v->max_kb * 1000};
    tb_share_account account;
    tb_outputs *set = NULL;
    tb_piece piece = {0};
    tb_bytes copy = {0};
    tb_status status = read_kind(&options.kind, v, err);
    if (!status)
        status = tb_outputs_new(&set, v->force, err);
    if (!status)
        status = tb_piece_check_output(set, v->output, wishes->path, err);
    if (!status)
        status = tb_piece_read(&piece, cli, wishes, err);
    if (!status) {
        options.credit = piece.content.credit;
        status = tb_share(&copy, &account, &piece.content, &options, &cli->job, err);
    }
    if (!status)
        status = tb_outputs_add(set, v->output, copy.data, copy.n, err);
    if (!status)
        status = tb_outputs_commit(set, err);
    if (!status)
        status = say(v, &account, copy.n, err);
    tb_bytes_clear(&copy);
    tb_piece_clear(&piece);
    tb_outputs_free(set);
    return status;
}

static tb_status run(tb_cli *cli, int n_words, char **words, tb_error *err)
{
    values v = {.quality = 85, .longest_px = 1600};
    int n;
    tb_status status = tb_args_read(&v, &n, OPTIONS, n_words, words, cli->unit, err);
    if (!status && n != 1)
        status = tb_fail(err, TB_EINVAL, "give one pattern: tombolo share FILE -o OUT.jpg");
    if (!status && !v.output)
        status = tb_fail(err, TB_EINVAL, "say where to: tombolo share FILE -o OUT.jpg");
    if (status)
        return status;
    tb_piece_wishes wishes = {.path = words[0],
            .wishes = {.width_mm = v.width_mm,
                    .height_mm = v.height_mm,
                    .wood = (tb_wood_tone)v.wood},
            .credit = v.credit,
            .title = v.title,
            .designer = v.designer};
    return share(cli, &v, &wishes, err);
}

const tb_verb TB_VERB_SHARE = {
        .name = "share",
        .words = "FILE -o OUT.jpg",
        .summary = "make a copy of a pattern to give away",
        .text = "Takes a project or any picture of a pattern and writes a copy that holds the\n"
                "pattern and the credit line below it, and nothing of the photograph. The project\n"
                "stays as it is. SVG and PDF are true to size.",
        .options = OPTIONS,
        .run = run,
};
