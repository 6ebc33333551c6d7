/* cli/make.c: tombolo make: from a photograph to everything the sawyer needs. */
#include "cli/verbs.h"

#include "base/alloc.h"
#include "cli/say.h"
#include "facts/paper.h"
#include "flow/assess.h"
#include "flow/deliver.h"

#include <stdio.h>
#include <string.h>

typedef struct {
    const char *output, *crop, *stock, *blade, *paper;
    const char *title, *designer, *credit, *permission;
    double width_mm, height_mm, bridge_mm, darkness, px_per_mm, grain_deg;
    int detail, order, unit;
    bool split_line, force, json;
} values;

static const char *const DETAILS[] = {"fine", "medium", "bold", NULL};

#define AT(field) .offset = offsetof(values, field)

static const tb_arg OPTIONS[] = {
        {.name = "output",
                .letter = 'o',
                .kind = TB_ARG_TEXT,
                AT(output),
                .value = "DIR",
                .help = "folder for what is made; it is created"},
        {.name = "width",
                .kind = TB_ARG_LENGTH,
                AT(width_mm),
                .value = "LENGTH",
                .help = "finished width; with --height too the photograph is cropped to fit"},
        {.name = "height",
                .kind = TB_ARG_LENGTH,
                AT(height_mm),
                .value = "LENGTH",
                .help = "finished height"},
        {.name = "crop",
                .kind = TB_ARG_TEXT,
                AT(crop),
                .value = "X,Y,W,H",
                .help = "part of the photograph, in its pixels, or each with % of its sides"},
        {.name = "darkness",
                .kind = TB_ARG_NUMBER,
                AT(darkness),
                .value = "N",
                .least = -50,
                .most = 50,
                .help = "-50 to 50: more makes more opening"},
        {.name = "detail",
                .kind = TB_ARG_CHOICE,
                AT(detail),
                .value = "LEVEL",
                .choices = DETAILS,
                .help = "fine, medium or bold"},
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
        {.name = "resolution",
                .kind = TB_ARG_NUMBER,
                AT(px_per_mm),
                .value = "N",
                .least = 4,
                .most = 24,
                .help = "pixels in a millimetre of the pattern, 4 to 24"},
        {.name = "paper",
                .kind = TB_ARG_TEXT,
                AT(paper),
                .value = "SIZE",
                .help = "of the sheets: a4, letter …; by default your locale's"},
        {.name = "order",
                .kind = TB_ARG_CHOICE,
                AT(order),
                .value = "ORDER",
                .choices = TB_SAW_ORDERS,
                .help = "of sawing: centre (outward), weak-first or weak-last (beside weak wood)"},
        {.name = "title",
                .kind = TB_ARG_TEXT,
                AT(title),
                .value = "TEXT",
                .help = "name of the piece, for the sheets"},
        {.name = "designer",
                .kind = TB_ARG_TEXT,
                AT(designer),
                .value = "TEXT",
                .help = "who made the pattern"},
        {.name = "credit",
                .kind = TB_ARG_TEXT,
                AT(credit),
                .value = "TEXT",
                .help = "line below share copies: whose photograph"},
        {.name = "permission",
                .kind = TB_ARG_TEXT,
                AT(permission),
                .value = "TEXT",
                .help = "who allowed what, for the first sheet"},
        {.name = "force", .kind = TB_ARG_SWITCH, AT(force), .help = "replace files that exist"},
        TB_ARG_UNIT(values),
        TB_ARGS_COMMON(values),
};

static tb_status set_name(char *to, size_t room, const char *name, const char *text, tb_error *err)
{
    if (!text)
        return TB_OK;
    if (strlen(text) >= room)
        return tb_fail(err, TB_EINVAL, "--%s: longer than %zu bytes", name, room - 1);
    strcpy(to, text);
    return TB_OK;
}

enum { LEAST_CROP_PX = 32 };

/* "x,y,w,h" in pixels, or in hundredths of the photograph's sides where "%" follows. */
static tb_status read_crop(
        tb_settings *settings, const char *text, const tb_photo_info *photo, tb_error *err)
{
    double *const TO[4] = {
            &settings->crop_x, &settings->crop_y, &settings->crop_w, &settings->crop_h};
    const char *at = text;
    for (int i = 0; i < 4; i++) {
        double side = i % 2 ? photo->height_px : photo->width_px, value;
        char separator = i < 3 ? ',' : '\0';
        /* A comma parts the four, so none of them may hold one. */
        char part[32];
        size_t n = strcspn(at, ",");
        if (n >= sizeof part)
            n = sizeof part - 1;
        memcpy(part, at, n);
        part[n] = '\0';
        const char *end;
        bool good = tb_num_read(part, &end, &value) && value >= 0 && at[n] == separator;
        bool percent = good && *end == '%';
        if (!good || end[percent])
            return tb_fail(err, TB_EINVAL,
                    "--crop: '%.60s' is not like 120,80,900,1125 or 10%%,5%%,80%%,90%%", text);
        *TO[i] = value / (percent ? 100 : side);
        at += n + (i < 3);
    }
    if (!(settings->crop_w > 0 && settings->crop_h > 0 &&
                settings->crop_x + settings->crop_w <= 1 + 1e-9 &&
                settings->crop_y + settings->crop_h <= 1 + 1e-9))
        return tb_fail(err, TB_EINVAL,
                "--crop: %.60s is not within the photograph's %d x %d pixels", text,
                photo->width_px, photo->height_px);
    double w = settings->crop_w * photo->width_px, h = settings->crop_h * photo->height_px;
    if (w < LEAST_CROP_PX || h < LEAST_CROP_PX)
        return tb_fail(err, TB_EINVAL,
                "--crop: %.60s leaves %s x %s pixels of %d x %d; shares are written with %%, as "
                "18%%,0%%,62%%,62%%",
                text, tb_num_of(w, 1).text, tb_num_of(h, 1).text, photo->width_px,
                photo->height_px);
    return TB_OK;
}

static tb_status read_settings(
        tb_project_start *start, const values *v, const tb_cli *cli, tb_error *err)
{
    tb_settings *s = &start->settings;
    tb_words *w = &start->words;
    const struct {
        char *to;
        size_t room;
        const char *name, *text;
    } TEXTS[] = {{s->stock, sizeof s->stock, "stock", v->stock},
            {s->blade, sizeof s->blade, "blade", v->blade},
            {s->paper, sizeof s->paper, "paper", v->paper ? v->paper : cli->paper},
            {w->title, sizeof w->title, "title", v->title},
            {w->designer, sizeof w->designer, "designer", v->designer},
            {w->credit, sizeof w->credit, "credit", v->credit},
            {w->permission, sizeof w->permission, "permission", v->permission}};
    *s = (tb_settings)TB_SETTINGS_INIT;
    s->width_mm = v->width_mm;
    s->height_mm = v->height_mm;
    if (v->width_mm == 0 && v->height_mm == 0)
        s->width_mm = cli->unit == TB_UNIT_IN ? 8 * 25.4 : 200;
    s->bridge_mm = v->bridge_mm;
    s->darkness = v->darkness;
    s->detail = (tb_detail)v->detail;
    s->split_line = v->split_line;
    s->saw_order = v->order;
    s->px_per_mm = v->px_per_mm;
    s->grain_rad = v->grain_deg * 3.14159265358979323846 / 180;
    tb_status status = TB_OK;
    for (size_t i = 0; i < sizeof TEXTS / sizeof TEXTS[0] && !status; i++)
        status = set_name(TEXTS[i].to, TEXTS[i].room, TEXTS[i].name, TEXTS[i].text, err);
    if (!status && !tb_paper_find(s->paper))
        status = tb_fail(err, TB_EINVAL, "--paper: there is no paper '%.40s'", s->paper);
    return status;
}

static tb_status say(const tb_cli *cli, const values *v, const tb_settings *settings,
        const tb_outcome *outcome, tb_error *err)
{
    const tb_inspection *i = outcome->inspection;
    size_t n_bridges = outcome->tie ? outcome->tie->n_bridges : 0;
    tb_plan *plan;
    tb_status status = tb_sawing_plan(&plan, i, outcome->pattern, settings, &cli->job, err);
    if (status)
        return status;
    printf("%s\n%zu opening%s, %zu bridge%s, narrowest wood %s; all of it in %s\n",
            tb_say_verdict(i, cli->unit).text, i->n_openings, i->n_openings == 1 ? "" : "s",
            n_bridges, n_bridges == 1 ? "" : "s",
            tb_num_length(i->narrowest_wood_mm, 2, cli->unit).text, v->output);
    tb_cli_print_plan(plan, i->cut_length_mm, settings, cli->unit);
    tb_plan_free(plan);
    return tb_cli_print("", err);
}

/* The pattern, all its files, and a word about it. */
static tb_status make(tb_cli *cli, tb_flow *flow, tb_outputs *set, const values *v,
        const tb_project_start *start, tb_error *err)
{
    json_t *report = NULL;
    tb_status status = tb_flow_set(flow, &start->settings, err);
    if (!status)
        status = tb_flow_update(flow, &cli->job, err);
    if (status)
        return status;
    const tb_outcome *outcome = tb_flow_outcome(flow);
    tb_delivery delivery = {outcome, start, cli->unit};
    status = tb_deliver(&report, set, v->output, &delivery, &cli->job, err);
    if (!status && tb_job_stopped(&cli->job))
        status = tb_fail_cancelled(err);
    if (!status)
        status = tb_outputs_commit(set, err);
    tb_cli_progress_end();
    if (!status)
        status = v->json ? tb_cli_print_json(report, false, err)
                         : say(cli, v, &start->settings, outcome, err);
    json_decref(report);
    if (!status && outcome->inspection->n_must > 0)
        status = tb_fail(err, TB_EUNSAWABLE, "this pattern has %d findings that must be mended%s",
                outcome->inspection->n_must, "; see report.json");
    return status;
}

static tb_status run(tb_cli *cli, int n_words, char **words, tb_error *err)
{
    values v = {.detail = TB_DETAIL_MEDIUM, .bridge_mm = 1.6, .px_per_mm = 10, .grain_deg = 90};
    tb_project_start start = {0};
    tb_outputs *set = NULL;
    tb_flow *flow = NULL;
    uint8_t *photo = NULL;
    int n;
    tb_status status = tb_args_read(&v, &n, OPTIONS, n_words, words, cli->unit, err);
    tb_cli_speak(cli, v.unit);
    if (!status && n != 1)
        status = tb_fail(err, TB_EINVAL, "give one photograph: tombolo make PHOTO -o DIR");
    if (!status && !v.output)
        status = tb_fail(err, TB_EINVAL, "say where to: tombolo make PHOTO -o DIR");
    if (!status)
        status = read_settings(&start, &v, cli, err);
    if (!status)
        status = tb_cli_read_file(&photo, &start.n_photo, words[0], err);
    if (!status && tb_is_project(photo, start.n_photo))
        status = tb_fail(err, TB_EINVAL,
                "%.100s is a project, no photograph: tombolo sheets, share, check and info take "
                "it, tombolo open opens it",
                words[0]);
    if (!status)
        status = tb_cli_pictures(cli, err);
    if (!status && (status = tb_flow_new(&flow, photo, start.n_photo, err)))
        tb_cli_name_file(err, words[0]);
    if (!status && v.crop)
        status = read_crop(&start.settings, v.crop, &tb_flow_outcome(flow)->photo, err);
    if (!status)
        status = tb_outputs_new(&set, v.force, err);
    if (!status)
        status = tb_outputs_folder(set, v.output, err);
    if (!status)
        status = tb_deliver_check(set, v.output, err);
    if (!status) {
        const char *slash = strrchr(words[0], '/');
        start.photo = photo;
        start.photo_name = slash ? slash + 1 : words[0];
        status = make(cli, flow, set, &v, &start, err);
        if (status == TB_EREAD)
            tb_cli_name_file(err, words[0]);
    }
    tb_flow_free(flow);
    tb_outputs_free(set);
    tb_free(photo);
    return status;
}

const tb_verb TB_VERB_MAKE = {
        .name = "make",
        .words = "PHOTO -o DIR",
        .summary = "make a pattern that can be sawn of a photograph",
        .text = "Makes a two-tone pattern of one piece of wood and writes into DIR: pattern.png "
                "and\n"
                "pattern.svg, sheets.pdf to print at true size, share.jpg to send, preview.png to\n"
                "look at, report.json with every number, and project.tombolo to go on with.\n"
                "\n"
                "With a width and a height the photograph is cropped about its middle; with one "
                "of\n"
                "them the other follows; with neither it is 200 mm or 8 in wide.",
        .options = OPTIONS,
        .run = run,
};
