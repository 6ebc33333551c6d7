/* cli/check.c: tombolo check: can this be sawn? */
#define _POSIX_C_SOURCE 200809L
#include "cli/verbs.h"

#include "base/alloc.h"
#include "cli/explain.h"
#include "cli/mends.h"
#include "cli/piece.h"
#include "cli/say.h"
#include "flow/assess.h"
#include "sheet/marked.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

typedef struct {
    const char *stock, *blade, *marks;
    double width_mm, height_mm, bridge_mm, grain_deg;
    int n_jobs, wood, order, unit;
    bool split_line, explain, mends, force, json;
} values;

/* In the order of tb_wood_tone. */
static const char *const WOODS[] = {"found", "dark", "light", NULL};

#define AT(field) .offset = offsetof(values, field)

static const tb_arg OPTIONS[] = {
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
                .choices = WOODS,
                .help = "which tone is wood: found (by itself), dark or light"},
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
        {.name = "grain",
                .kind = TB_ARG_NUMBER,
                AT(grain_deg),
                .value = "DEGREES",
                .least = -180,
                .most = 180,
                .help = "direction of the grain: 90 upright, 0 level"},
        {.name = "bridge",
                .kind = TB_ARG_LENGTH,
                AT(bridge_mm),
                .value = "LENGTH",
                .help = "narrowest wood allowed"},
        {.name = "split-line",
                .kind = TB_ARG_SWITCH,
                AT(split_line),
                .help = "the saw runs on the line, not beside it: half a kerf comes off each side"},
        {.name = "order",
                .kind = TB_ARG_CHOICE,
                AT(order),
                .value = "ORDER",
                .choices = TB_SAW_ORDERS,
                .help = "of sawing: centre (outward), weak-first or weak-last (beside weak wood)"},
        {.name = "explain",
                .kind = TB_ARG_SWITCH,
                AT(explain),
                .help = "show every limit, where it comes from and how well it is known"},
        {.name = "mends",
                .kind = TB_ARG_SWITCH,
                AT(mends),
                .help = "of one pattern: try a mend for every finding, and tell what it comes to"},
        {.name = "marks",
                .kind = TB_ARG_TEXT,
                AT(marks),
                .value = "OUT.pdf|OUT.png",
                .help = "draw one pattern with its findings ringed and listed, in true size"},
        {.name = "force", .kind = TB_ARG_SWITCH, AT(force), .help = "replace OUT if it exists"},
        {.name = "jobs",
                .letter = 'j',
                .kind = TB_ARG_COUNT,
                AT(n_jobs),
                .value = "N",
                .least = 1,
                .most = 64,
                .help = "files looked at side by side; by default all processors"},
        TB_ARG_UNIT(values),
        TB_ARGS_COMMON(values),
};

/* What is known of one file. */
typedef struct {
    const char *path;
    tb_assessment *seen; /* NULL: err says why */
    tb_cli_mends mends;  /* if they were asked for */
    tb_error err;
} row;

typedef struct {
    row *rows;
    const tb_wishes *wishes;
    tb_job job;        /* within one file */
    bool keep;         /* the patterns, to try mends on */
    const tb_job *all; /* NULL: it is one file, and tells its own progress */
    size_t n_rows;
    atomic_size_t n_done;
} shift;

/* From whichever thread has just done with a file. */
static void tell_progress(shift *s)
{
    char stage[64];
    size_t n = atomic_fetch_add(&s->n_done, 1) + 1;
    snprintf(stage, sizeof stage, "%zu of %zu files", n, s->n_rows);
    tb_job_progress(s->all, stage, (double)n / (double)s->n_rows);
}

static void look_at(void *payload, size_t i)
{
    shift *s = payload;
    row *r = &s->rows[i];
    tb_status status = tb_assess(&r->seen, r->path, s->wishes, &s->job, &r->err);
    if (status && status != TB_ECANCELLED)
        tb_cli_name_file(&r->err, r->path);
    if (!status && !s->keep)
        tb_assessment_forget(r->seen);
    tell_progress(s);
}

/* Worst first: what can't be read, then by must, by should, by name. */
static int by_badness(const void *a, const void *b)
{
    const row *x = a, *y = b;
    if (!x->seen || !y->seen)
        return x->seen || y->seen ? (x->seen != NULL) - (y->seen != NULL)
                                  : strcmp(x->path, y->path);
    const tb_inspection *i = x->seen->inspection, *j = y->seen->inspection;
    if (i->n_must != j->n_must)
        return i->n_must < j->n_must ? 1 : -1;
    if (i->n_should != j->n_should)
        return i->n_should < j->n_should ? 1 : -1;
    return strcmp(x->path, y->path);
}

static tb_status print_json(const row *r, tb_error *err)
{
    tb_report report = tb_assessment_report(r->seen, r->path);
    json_t *json;
    tb_status status = tb_report_json(&json, &report, err);
    if (!status)
        status = tb_cli_mends_json(json, &r->mends, err);
    if (!status)
        status = tb_cli_print_json(json, true, err);
    json_decref(json);
    return status;
}

static const char *tinted(const tb_cli *cli, int n_must, int n_should)
{
    if (!cli->colour)
        return "";
    return n_must > 0 ? "\033[31m" : n_should > 0 ? "\033[33m" : "\033[32m";
}

typedef struct {
    char text[2 * TB_NUM_ROOM + 4];
} place;

static place place_of(const tb_finding *f, tb_unit unit)
{
    place at;
    snprintf(at.text, sizeof at.text, "%s, %s", tb_num_length(f->x_mm, 1, unit).text,
            tb_num_length(f->y_mm, 1, unit).text);
    return at;
}

/* Two lines each: what and where, and below it what to do; and a line for each mend that was tried.
 */
static void print_findings(const tb_cli *cli, const tb_inspection *seen, const tb_cli_mends *mends)
{
    size_t kind = 0, at = 0;
    for (size_t i = 0; i < seen->n_findings; i++) {
        const tb_finding *f = &seen->findings[i];
        size_t kind_here = strlen(tb_say_kind(f->kind));
        size_t at_here = strlen(place_of(f, cli->unit).text);
        kind = kind_here > kind ? kind_here : kind;
        at = at_here > at ? at_here : at;
    }
    if (seen->n_findings)
        puts("\nPlaces are told from the board's left side and from its top.");
    for (size_t i = 0; i < seen->n_findings; i++) {
        const tb_finding *f = &seen->findings[i];
        bool must = f->severity == TB_MUST;
        printf("  %s%-6s%s  %-*s  at %-*s  %s\n          %s\n", tinted(cli, must, !must),
                must ? "must" : "should", cli->colour ? "\033[0m" : "", (int)kind,
                tb_say_kind(f->kind), (int)at, place_of(f, cli->unit).text,
                tb_say_measure(f, cli->unit).text, tb_say_advice(f, cli->unit).text);
        tb_cli_mends_print(mends, i, cli->unit);
    }
}

/* How a picture was understood, so that a wrong guess is seen at once. */
static void print_reading(const tb_picture_info *p)
{
    bool dark = p->wood == TB_WOOD_DARK;
    bool cut = p->right_px - p->left_px < p->file.width_px ||
               p->bottom_px - p->top_px < p->file.height_px;
    printf("%s is taken for wood (if not: --wood %s)", dark ? "dark" : "light",
            dark ? "light" : "dark");
    if (cut)
        printf("; the margin around the board is left out");
    if (p->edge_undrawn)
        printf("; no outline is drawn, so the picture's edge is taken for the board's");
    if (p->straightened)
        printf("; straightened by %s°", tb_num_of(-p->turn_rad * 57.29577951308232, 2).text);
    if (p->squared)
        printf("; set square, for it was taken at an angle");
    if (p->size_from_file)
        printf("; the size is the file's, at %s dots an inch",
                tb_num_of(p->file.px_per_mm * 25.4, 0).text);
    putchar('\n');
}

static void print_one(const tb_cli *cli, const row *r)
{
    const tb_assessment *a = r->seen;
    const tb_inspection *i = a->inspection;
    printf("%s%s%s\n", tinted(cli, i->n_must, i->n_should), tb_say_verdict(i, cli->unit).text,
            cli->colour ? "\033[0m" : "");
    printf("%s, %zu opening%s, narrowest wood %s; %d must be mended, %d should be\n",
            tb_cli_size(a->width_mm, a->height_mm, cli->unit).text, i->n_openings,
            i->n_openings == 1 ? "" : "s", tb_num_length(i->narrowest_wood_mm, 2, cli->unit).text,
            i->n_must, i->n_should);
    tb_cli_print_plan(a->plan, i->cut_length_mm, &a->settings, cli->unit);
    if (!a->is_project)
        print_reading(&a->picture);
    print_findings(cli, i, &r->mends);
}

static void print_table(const tb_cli *cli, const row *rows, size_t n_rows)
{
    size_t widest = 4;
    for (size_t i = 0; i < n_rows; i++)
        if (rows[i].seen && strlen(rows[i].path) > widest)
            widest = strlen(rows[i].path);
    printf("%-*s  must  should  openings  narrowest  verdict\n", (int)widest, "file");
    for (size_t i = 0; i < n_rows; i++) {
        if (!rows[i].seen)
            continue;
        const tb_inspection *seen = rows[i].seen->inspection;
        printf("%-*s  %4d  %6d  %8zu  %9s  %s%s%s\n", (int)widest, rows[i].path, seen->n_must,
                seen->n_should, seen->n_openings,
                tb_num_length(seen->narrowest_wood_mm, 2, cli->unit).text,
                tinted(cli, seen->n_must, seen->n_should), tb_say_verdict(seen, cli->unit).text,
                cli->colour ? "\033[0m" : "");
    }
}

/* What can't be read is told on stderr, one line each; the last such error is the verb's own. */
static tb_status tell_failures(const row *rows, size_t n_rows, tb_error *err)
{
    const row *last = NULL;
    for (size_t i = 0; i < n_rows; i++) {
        if (rows[i].err.code == TB_ECANCELLED) {
            *err = rows[i].err;
            return TB_ECANCELLED;
        }
        if (!rows[i].err.code)
            continue;
        if (last)
            fprintf(stderr, "tombolo: %s\n", last->err.text);
        last = &rows[i];
    }
    if (!last)
        return TB_OK;
    *err = last->err;
    return last->err.code;
}

static tb_status tell(const tb_cli *cli, const values *v, row *rows, size_t n_rows, tb_error *err)
{
    tb_status status = TB_OK;
    int n_must = 0;
    if (v->mends && rows[0].seen)
        status = tb_cli_mends_try(&rows[0].mends, rows[0].seen->pattern, rows[0].seen->inspection,
                &rows[0].seen->limits, &cli->job, err);
    tb_cli_progress_end();
    if (status)
        return status;
    for (size_t i = 0; i < n_rows && !status && v->json; i++)
        if (rows[i].seen)
            status = print_json(&rows[i], err);
    if (!v->json && n_rows == 1 && rows[0].seen) {
        print_one(cli, &rows[0]);
    } else if (!v->json && n_rows > 1) {
        qsort(rows, n_rows, sizeof *rows, by_badness);
        print_table(cli, rows, n_rows);
    }
    if (!status)
        status = tb_cli_print("", err);
    if (!status)
        status = tell_failures(rows, n_rows, err);
    for (size_t i = 0; i < n_rows; i++)
        if (rows[i].seen)
            n_must += rows[i].seen->inspection->n_must;
    return !status && n_must > 0 ? TB_EUNSAWABLE : status;
}

static tb_status check(tb_cli *cli, const values *v, const tb_wishes *wishes, row *rows,
        size_t n_rows, tb_error *err)
{
    tb_status status = tb_cli_pictures(cli, err);
    if (status)
        return status;
    int n_side_by_side = v->n_jobs ? v->n_jobs : cli->job.n_threads;
    if ((size_t)n_side_by_side > n_rows)
        n_side_by_side = (int)n_rows;
    tb_job outer = {.n_threads = n_side_by_side};
    shift s = {.rows = rows, .wishes = wishes, .job = cli->job, .n_rows = n_rows, .keep = v->mends};
    s.job.n_threads = cli->job.n_threads / n_side_by_side;
    if (s.job.n_threads < 1)
        s.job.n_threads = 1;
    if (n_rows > 1) {
        s.job.progress_cb = NULL;
        s.all = &cli->job;
    }
    tb_job_each(&outer, n_rows, look_at, &s);
    return tell(cli, v, rows, n_rows, err);
}

static tb_status draw_marks(
        tb_bytes *out, const char *path, const tb_piece *piece, tb_unit unit, tb_error *err)
{
    const char *ending = strrchr(path, '.');
    if (ending && strcasecmp(ending, ".pdf") == 0)
        return tb_marked_pdf(out, &piece->content, unit, err);
    return tb_marked_png(out, &piece->content, unit, err);
}

/* One file, whose pattern is kept to be drawn. */
static tb_status check_and_mark(
        tb_cli *cli, const values *v, const tb_wishes *wishes, row *r, tb_error *err)
{
    tb_piece_wishes asked = {.path = r->path, .wishes = *wishes};
    tb_piece piece = {0};
    tb_outputs *set = NULL;
    tb_bytes bytes = {0};
    tb_status status = tb_outputs_new(&set, v->force, err);
    if (!status)
        status = tb_piece_check_output(set, v->marks, r->path, err);
    if (!status)
        status = tb_piece_read(&piece, cli, &asked, err);
    if (!status)
        status = draw_marks(&bytes, v->marks, &piece, cli->unit, err);
    if (!status)
        status = tb_outputs_add(set, v->marks, bytes.data, bytes.n, err);
    if (!status)
        status = tb_outputs_commit(set, err);
    if (!status) {
        r->seen = piece.seen;
        status = tell(cli, v, r, 1, err);
        tb_cli_mends_clear(&r->mends);
        r->seen = NULL;
    }
    tb_bytes_clear(&bytes);
    tb_piece_clear(&piece);
    tb_outputs_free(set);
    return status;
}

/* Ends well with a name that tells what to draw, and one file to draw it of. */
static tb_status check_one(const values *v, int n_files, tb_error *err)
{
    const char *ending = v->marks ? strrchr(v->marks, '.') : NULL;
    if (v->mends && n_files > 1)
        return tb_fail(err, TB_EINVAL, "--mends: give one pattern to try them on");
    if (!v->marks)
        return TB_OK;
    if (!ending || (strcasecmp(ending, ".pdf") != 0 && strcasecmp(ending, ".png") != 0))
        return tb_fail(
                err, TB_EINVAL, "--marks: '%.60s' ends neither in .pdf nor in .png", v->marks);
    if (n_files != 1)
        return tb_fail(err, TB_EINVAL, "--marks: give one pattern to draw");
    return TB_OK;
}

static tb_status explain(const tb_cli *cli, const values *v, const tb_wishes *wishes, tb_error *err)
{
    tb_settings settings = TB_SETTINGS_INIT;
    tb_limits limits;
    tb_status status = tb_wish(&settings, &limits, wishes, err);
    if (!status && v->explain)
        status = tb_explain_limits(&limits, &settings, v->json, cli->unit, err);
    return status;
}

static tb_status run(tb_cli *cli, int n_words, char **words, tb_error *err)
{
    values v = {.grain_deg = NAN, .order = -1};
    int n;
    tb_status status = tb_args_read(&v, &n, OPTIONS, n_words, words, cli->unit, err);
    tb_cli_speak(cli, v.unit);
    if (!status && n == 0 && !v.explain)
        status = tb_fail(err, TB_EINVAL, "give a pattern to look at: tombolo check FILE …");
    if (!status)
        status = check_one(&v, n, err);
    if (status)
        return status;
    tb_wishes wishes = {.stock = v.stock,
            .blade = v.blade,
            .bridge_mm = v.bridge_mm,
            .width_mm = v.width_mm,
            .height_mm = v.height_mm,
            .wood = (tb_wood_tone)v.wood,
            .split_line = v.split_line,
            .has_order = v.order >= 0,
            .order = (tb_saw_order)v.order,
            .has_grain = !isnan(v.grain_deg),
            .grain_rad = v.grain_deg * 3.14159265358979323846 / 180};
    /* Wishes that make no sense are told once, not for each file. */
    status = explain(cli, &v, &wishes, err);
    if (status || n == 0)
        return status;
    row *rows = tb_calloc((size_t)n, sizeof *rows);
    if (!rows)
        return tb_fail_memory(err);
    for (int i = 0; i < n; i++)
        rows[i].path = words[i];
    status = v.marks ? check_and_mark(cli, &v, &wishes, rows, err)
                     : check(cli, &v, &wishes, rows, (size_t)n, err);
    for (int i = 0; i < n; i++) {
        tb_cli_mends_clear(&rows[i].mends);
        tb_assessment_free(rows[i].seen);
    }
    tb_free(rows);
    return status;
}

const tb_verb TB_VERB_CHECK = {
        .name = "check",
        .words = "FILE …",
        .summary = "say whether a pattern can be sawn, and where not",
        .text = "Looks at projects, and at pictures of patterns by anybody (PNG, JPEG, TIFF, "
                "WebP),\n"
                "and measures every place that would fail at the saw. One file gives its\n"
                "findings, several a table, the worst first. The size of a picture comes from\n"
                "--width or --height, else from the file.",
        .options = OPTIONS,
        .run = run,
};
