/* cli/tie.c: tombolo tie: a pattern made whole. */
#include "cli/verbs.h"

#include "base/alloc.h"
#include "cli/say.h"
#include "flow/assess.h"
#include "flow/output.h"
#include "flow/sawing.h"
#include "image/tone.h"
#include "sheet/picture.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef struct {
    const char *output, *photo, *stock, *blade;
    double width_mm, height_mm, bridge_mm, grain_deg;
    int wood, unit;
    bool split_line, force, json;
} values;

/* In the order of tb_wood_tone. */
static const char *const WOODS[] = {"found", "dark", "light", NULL};

#define AT(field) .offset = offsetof(values, field)

static const tb_arg OPTIONS[] = {
        {.name = "output",
                .letter = 'o',
                .kind = TB_ARG_TEXT,
                AT(output),
                .value = "PNG",
                .help = "where the mended pattern goes"},
        {.name = "photo",
                .kind = TB_ARG_TEXT,
                AT(photo),
                .value = "PHOTO",
                .help = "the photograph, cropped as the pattern is: bridges follow what is light"},
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
        {.name = "force", .kind = TB_ARG_SWITCH, AT(force), .help = "replace a file that exists"},
        TB_ARG_UNIT(values),
        TB_ARGS_COMMON(values),
};

/* ---- the photograph -------------------------------------------------------------------------- */

/* L* of the photograph laid over the board. */
static tb_status read_photo(
        tb_plane **out, const char *path, const tb_mask *mask, const tb_job *job, tb_error *err)
{
    uint8_t *bytes = NULL;
    size_t n_bytes;
    tb_photo_info info;
    *out = NULL;
    tb_status status = tb_cli_read_file(&bytes, &n_bytes, path, err);
    if (status)
        return status;
    status = tb_photo_look(&info, bytes, n_bytes, err);
    if (!status) {
        double shape = (double)info.width_px / info.height_px * mask->height_px / mask->width_px;
        if (fabs(log(shape)) > 0.03)
            status = tb_fail(err, TB_EINVAL,
                    "the photograph is not of the pattern's shape; crop it as the pattern is");
    }
    if (!status) {
        tb_photo_view view = {.w = info.width_px,
                .h = info.height_px,
                .width_px = mask->width_px,
                .height_px = mask->height_px,
                .px_per_mm = mask->px_per_mm};
        status = tb_photo_tone(out, bytes, n_bytes, &view, job, err);
    }
    tb_free(bytes);
    return status ? tb_cli_name_file(err, path) : TB_OK;
}

/* The tone as make would have it, evened only as far as a drawn pattern tells nothing of. */
static tb_status tone_of(
        tb_plane **out, const tb_plane *lightness, const tb_job *job, tb_error *err)
{
    tb_tone_options options = TB_TONE_OPTIONS_INIT;
    tb_tone_map *map;
    tb_status status = tb_tone_map_new(&map, lightness, &options, job, err);
    if (status)
        return status;
    status = tb_tone_apply(out, lightness, map, options.fine_mm, job, err);
    tb_tone_map_free(map);
    return status;
}

/* ---- the work -------------------------------------------------------------------------------- */

typedef struct {
    tb_mask *mended;
    tb_tie_account *account;
    tb_inspection *after;
    tb_plan *plan;
} outcome;

static void outcome_clear(outcome *o)
{
    tb_mask_free(o->mended);
    tb_tie_account_free(o->account);
    tb_inspection_free(o->after);
    tb_plan_free(o->plan);
}

static tb_status tie(
        outcome *o, const tb_assessment *a, const values *v, const tb_job *job, tb_error *err)
{
    tb_tie_options options = TB_TIE_OPTIONS_INIT;
    tb_plane *lightness = NULL, *tone = NULL;
    tb_status status = TB_OK;
    options.limits = a->limits;
    options.as_drawn = true;
    if (v->photo)
        status = read_photo(&lightness, v->photo, a->pattern, job, err);
    if (!status && v->photo)
        status = tone_of(&tone, lightness, job, err);
    if (!status && v->photo) {
        options.tone = tone;
        options.cut_line = fmin(fmax(tb_otsu(tone, NULL), 1), 99);
    }
    if (!status)
        status = tb_tie(&o->mended, &o->account, a->pattern, &options, job, err);
    if (!status)
        status = tb_inspect(&o->after, o->mended, &a->limits, job, err);
    if (!status)
        status = tb_sawing_plan(&o->plan, o->after, o->mended, &a->settings, job, err);
    tb_plane_free(lightness);
    tb_plane_free(tone);
    return status;
}

static tb_status save(const outcome *o, tb_outputs *set, const char *path, tb_error *err)
{
    tb_bytes png = {0};
    tb_status status = tb_picture_png(&png, o->mended, err);
    if (!status)
        status = tb_outputs_add(set, path, png.data, png.n, err);
    tb_bytes_clear(&png);
    return status ? status : tb_outputs_commit(set, err);
}

static tb_status say(const tb_cli *cli, const outcome *o, const tb_assessment *a, const values *v,
        const char *file, tb_error *err)
{
    const tb_tie_account *account = o->account;
    if (v->json) {
        tb_report report = tb_assessment_report(a, file);
        report.inspection = o->after;
        report.tie = account;
        report.plan = o->plan;
        json_t *json;
        tb_status status = tb_report_json(&json, &report, err);
        if (!status)
            status = tb_cli_print_json(json, false, err);
        json_decref(json);
        return status;
    }
    double length_mm = 0;
    for (size_t i = 0; i < account->n_bridges; i++)
        length_mm += account->bridges[i].length_mm;
    char text[700];
    snprintf(text, sizeof text,
            "%s\n%d to mend before, %d now; %zu bridges, %s of them, %zu islands dropped; "
            "%.200s\n",
            tb_say_verdict(o->after, cli->unit).text, a->inspection->n_must, o->after->n_must,
            account->n_bridges, tb_num_length(length_mm, 0, cli->unit).text, account->n_dropped,
            v->output);
    return tb_cli_print(text, err);
}

static tb_status mend(tb_cli *cli, const values *v, tb_outputs *set, const char *file,
        const tb_assessment *a, tb_error *err)
{
    outcome o = {0};
    tb_status status = tie(&o, a, v, &cli->job, err);
    if (!status)
        status = save(&o, set, v->output, err);
    tb_cli_progress_end();
    if (!status)
        status = say(cli, &o, a, v, file, err);
    if (!status && o.after->n_must > 0)
        status = tb_fail(
                err, TB_EUNSAWABLE, "%d findings must still be mended by hand", o.after->n_must);
    outcome_clear(&o);
    return status;
}

static tb_status run(tb_cli *cli, int n_words, char **words, tb_error *err)
{
    values v = {.grain_deg = NAN};
    tb_outputs *set = NULL;
    tb_assessment *a = NULL;
    int n;
    tb_status status = tb_args_read(&v, &n, OPTIONS, n_words, words, cli->unit, err);
    tb_cli_speak(cli, v.unit);
    if (!status && n != 1)
        status = tb_fail(err, TB_EINVAL, "give one pattern: tombolo tie FILE -o OUT.png");
    if (!status && !v.output)
        status = tb_fail(err, TB_EINVAL, "say where to: tombolo tie FILE -o OUT.png");
    if (status)
        return status;
    tb_wishes wishes = {.stock = v.stock,
            .blade = v.blade,
            .bridge_mm = v.bridge_mm,
            .width_mm = v.width_mm,
            .height_mm = v.height_mm,
            .wood = (tb_wood_tone)v.wood,
            .split_line = v.split_line,
            .has_grain = !isnan(v.grain_deg),
            .grain_rad = v.grain_deg * 3.14159265358979323846 / 180};
    status = tb_outputs_new(&set, v.force, err);
    if (!status)
        status = tb_outputs_check(set, v.output, err);
    if (!status)
        status = tb_cli_pictures(cli, err);
    if (!status && (status = tb_assess(&a, words[0], &wishes, &cli->job, err)))
        tb_cli_name_file(err, words[0]);
    if (!status)
        status = mend(cli, &v, set, words[0], a, err);
    tb_assessment_free(a);
    tb_outputs_free(set);
    return status;
}

const tb_verb TB_VERB_TIE = {
        .name = "tie",
        .words = "FILE -o OUT.png",
        .summary = "mend a pattern: tie its islands, thicken what is thin",
        .text = "Takes a pattern by anybody, as check does, and makes it one piece that can be "
                "sawn:\n"
                "ties islands by the shortest bridges or drops them, thickens thin bridges, "
                "closes\n"
                "or widens openings too small for the drill, and holds up weak peninsulas. All "
                "else\n"
                "stays as it was drawn. With --photo bridges go where the photograph is light.",
        .options = OPTIONS,
        .run = run,
};
