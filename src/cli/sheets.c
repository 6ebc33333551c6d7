/* cli/sheets.c: tombolo sheets: a pattern on paper, true to size. */
#include "cli/piece.h"
#include "cli/say.h"
#include "cli/verbs.h"

#include "base/alloc.h"
#include "facts/paper.h"

#include <stdio.h>
#include <string.h>

typedef struct {
    const char *output, *paper, *stock, *blade;
    const char *title, *designer, *credit, *permission;
    double width_mm, height_mm, overlap_mm, correction;
    int ink, marks, turn, unit, wood, order;
    bool pattern_only, force, json;
} values;

/* In the order of tb_ink, tb_marks and tb_page_turn. */
static const char *const INKS[] = {"pale", "solid", "line", "hatch", NULL};
static const char *const MARKS[] = {"none", "findings", "blank", NULL};
static const char *const TURNS[] = {"fewest", "upright", "sideways", NULL};

#define AT(field) .offset = offsetof(values, field)

static const tb_arg OPTIONS[] = {
        {.name = "output",
                .letter = 'o',
                .kind = TB_ARG_TEXT,
                AT(output),
                .value = "FILE",
                .help = "the PDF that is written"},
        {.name = "ink",
                .kind = TB_ARG_CHOICE,
                AT(ink),
                .value = "INK",
                .choices = INKS,
                .help = "openings in pale grey, solid black, line only or hatch"},
        {.name = "paper",
                .kind = TB_ARG_TEXT,
                AT(paper),
                .value = "SIZE",
                .help = "a5 … a2, letter, legal, tabloid, or like 330x483mm; by default your "
                        "locale's"},
        {.name = "turn",
                .kind = TB_ARG_CHOICE,
                AT(turn),
                .value = "WAY",
                .choices = TURNS,
                .help = "pages upright, sideways, or whichever needs the fewest"},
        {.name = "overlap",
                .kind = TB_ARG_LENGTH,
                AT(overlap_mm),
                .value = "LENGTH",
                .help = "what neighbouring pages share, at most 30 mm"},
        {.name = "marks",
                .kind = TB_ARG_CHOICE,
                AT(marks),
                .value = "MARKS",
                .choices = MARKS,
                .help = "none; findings: ringed and listed; blank: one page for the red pen"},
        {.name = "scale-correction",
                .kind = TB_ARG_NUMBER,
                AT(correction),
                .value = "N",
                .least = 0.9,
                .most = 1.1,
                .help = "for a printer that is off: 100 over what its 100 mm bar measures"},
        {.name = "order",
                .kind = TB_ARG_CHOICE,
                AT(order),
                .value = "ORDER",
                .choices = TB_SAW_ORDERS,
                .help = "of sawing: centre (outward), weak-first or weak-last (beside weak wood)"},
        {.name = "pattern-only",
                .kind = TB_ARG_SWITCH,
                AT(pattern_only),
                .help = "leave out the first page and the cut list"},
        TB_ARG_UNIT(values),
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
        {.name = "stock",
                .kind = TB_ARG_TEXT,
                AT(stock),
                .value = "NAME",
                .help = "board: birch-ply-6.5, walnut-6, basswood-1/4in …"},
        {.name = "blade",
                .kind = TB_ARG_TEXT,
                AT(blade),
                .value = "NUMBER",
                .help = "blade by its universal number: 2/0, 1, 5 …"},
        {.name = "title",
                .kind = TB_ARG_TEXT,
                AT(title),
                .value = "TEXT",
                .help = "name of the piece"},
        {.name = "designer",
                .kind = TB_ARG_TEXT,
                AT(designer),
                .value = "TEXT",
                .help = "who made the pattern"},
        {.name = "credit",
                .kind = TB_ARG_TEXT,
                AT(credit),
                .value = "TEXT",
                .help = "whose photograph"},
        {.name = "permission",
                .kind = TB_ARG_TEXT,
                AT(permission),
                .value = "TEXT",
                .help = "who allowed what"},
        {.name = "force", .kind = TB_ARG_SWITCH, AT(force), .help = "replace a file that exists"},
        TB_ARGS_COMMON(values),
};

/* A row of the papers, or "330x483mm". */
static tb_status read_paper(
        tb_sheet_options *options, const char *name, tb_unit unit, tb_error *err)
{
    const tb_paper *paper = tb_paper_find(name);
    const char *by = strpbrk(name, "xX");
    char width[32];
    if (paper) {
        options->paper_w_mm = paper->width_mm;
        options->paper_h_mm = paper->height_mm;
        return TB_OK;
    }
    size_t n = by ? (size_t)(by - name) : 0;
    if (n == 0 || n >= sizeof width - 2)
        return tb_fail(err, TB_EINVAL, "--paper: there is no paper '%.40s'", name);
    memcpy(width, name, n);
    width[n] = '\0';
    /* "330x483mm": the unit at the end counts for both. */
    double as_written;
    const char *end;
    bool bare = tb_num_read(width, &end, &as_written) && *end == '\0';
    const char *tail = by + 1 + strspn(by + 1, "0123456789.,/ ");
    if (bare && strlen(tail) < sizeof width - n)
        strcat(width, tail);
    tb_status status = tb_length_parse(&options->paper_w_mm, width, unit, err);
    return status ? status : tb_length_parse(&options->paper_h_mm, by + 1, unit, err);
}

static tb_status read_options(
        tb_sheet_options *options, const values *v, const tb_cli *cli, tb_error *err)
{
    *options = (tb_sheet_options)TB_SHEET_OPTIONS_INIT;
    options->ink = (tb_ink)v->ink;
    options->marks = (tb_marks)v->marks;
    options->turn = (tb_page_turn)v->turn;
    options->overlap_mm = v->overlap_mm;
    options->scale_correction = v->correction;
    options->pattern_only = v->pattern_only;
    options->unit = cli->unit;
    return read_paper(options, v->paper ? v->paper : cli->paper, cli->unit, err);
}

static tb_status say(
        const values *v, const tb_sheet_account *account, size_t n_bytes, tb_error *err)
{
    double saved = account->solid_share > 0 ? 1 - account->ink_share / account->solid_share : 0;
    if (v->json) {
        json_t *json = json_pack("{s:s, s:i, s:i, s:i, s:I, s:f, s:f}", "file", v->output, "pages",
                account->n_pages, "columns", account->n_columns, "rows", account->n_rows, "bytes",
                (json_int_t)n_bytes, "ink_share", account->ink_share, "solid_share",
                account->solid_share);
        tb_status status = json ? tb_cli_print_json(json, false, err) : tb_fail_memory(err);
        json_decref(json);
        return status;
    }
    tb_cli_progress_end();
    printf("%d %s in %s", account->n_pages, account->n_pages == 1 ? "page" : "pages", v->output);
    if (account->n_columns * account->n_rows > 1)
        printf("; the pattern lies on %d, %d across and %d down",
                account->n_columns * account->n_rows, account->n_columns, account->n_rows);
    if (saved > 0.005)
        printf("; %s takes %s %% less ink than solid", INKS[v->ink],
                tb_num_of(saved * 100, 0).text);
    return tb_cli_print("\n", err);
}

static tb_status make_sheets(
        tb_cli *cli, const values *v, const tb_piece_wishes *wishes, tb_error *err)
{
    tb_sheet_options options;
    tb_sheet_account account;
    tb_outputs *set = NULL;
    tb_piece piece = {0};
    tb_bytes pdf = {0};
    tb_status status = read_options(&options, v, cli, err);
    if (!status)
        status = tb_outputs_new(&set, v->force, err);
    if (!status)
        status = tb_piece_check_output(set, v->output, wishes->path, err);
    if (!status)
        status = tb_piece_read(&piece, cli, wishes, err);
    if (!status)
        status = tb_sheets_pdf(&pdf, &account, &piece.content, &options, &cli->job, err);
    if (!status)
        status = tb_outputs_add(set, v->output, pdf.data, pdf.n, err);
    if (!status)
        status = tb_outputs_commit(set, err);
    if (!status)
        status = say(v, &account, pdf.n, err);
    tb_bytes_clear(&pdf);
    tb_piece_clear(&piece);
    tb_outputs_free(set);
    return status;
}

static tb_status run(tb_cli *cli, int n_words, char **words, tb_error *err)
{
    values v = {.overlap_mm = 10, .correction = 1, .order = -1};
    int n;
    tb_status status = tb_args_read(&v, &n, OPTIONS, n_words, words, cli->unit, err);
    tb_cli_speak(cli, v.unit);
    if (!status && n != 1)
        status = tb_fail(err, TB_EINVAL, "give one pattern: tombolo sheets FILE -o OUT.pdf");
    if (!status && !v.output)
        status = tb_fail(err, TB_EINVAL, "say where to: tombolo sheets FILE -o OUT.pdf");
    if (status)
        return status;
    tb_piece_wishes wishes = {.path = words[0],
            .wishes = {.stock = v.stock,
                    .blade = v.blade,
                    .width_mm = v.width_mm,
                    .height_mm = v.height_mm,
                    .wood = (tb_wood_tone)v.wood,
                    .has_order = v.order >= 0,
                    .order = (tb_saw_order)v.order},
            .title = v.title,
            .designer = v.designer,
            .credit = v.credit,
            .permission = v.permission};
    return make_sheets(cli, &v, &wishes, err);
}

const tb_verb TB_VERB_SHEETS = {
        .name = "sheets",
        .words = "FILE -o OUT.pdf",
        .summary = "put a pattern on paper, true to size",
        .text = "Takes a project or any picture of a pattern and writes a PDF: a first page with\n"
                "the piece as it will hang, the pattern in full size on as few pages as it takes,\n"
                "and the cut list. Print at 100 % and check the bars on every page with a rule.",
        .options = OPTIONS,
        .run = run,
};
