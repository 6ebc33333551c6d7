/* cli/paint.c: tombolo paint: a stroke of the hand, from a script. */
#include "cli/project.h"
#include "cli/verbs.h"

#include "flow/assess.h"
#include "pattern/hand.h"

#include <stdio.h>

typedef struct {
    bool kinds[TB_N_STROKE_KINDS];
    double width_mm, amount;
    bool json;
} values;

#define KIND(name_, kind_, help_)                                                                  \
    {                                                                                              \
        .name = name_, .kind = TB_ARG_SWITCH,                                                      \
        .offset = offsetof(values, kinds) + sizeof(bool) * (kind_), .help = help_                  \
    }

static const tb_arg OPTIONS[] = {
        KIND("wood", TB_STROKE_WOOD, "paint wood"),
        KIND("saw", TB_STROKE_SAW, "saw away"),
        KIND("bridge", TB_STROKE_BRIDGE, "a bridge from bank to bank; one point: the shortest way"),
        KIND("take-out", TB_STROKE_TAKE_OUT, "take out the piece of wood at the point"),
        KIND("close", TB_STROKE_CLOSE, "fill the opening at the point"),
        KIND("keep-open", TB_STROKE_KEEP_OPEN, "let no bridge cross the openings there"),
        KIND("lighten", TB_STROKE_LIGHTEN, "lighten the photograph there"),
        KIND("darken", TB_STROKE_DARKEN, "darken the photograph there"),
        KIND("keep-detail", TB_STROKE_KEEP_DETAIL, "keep fine features there"),
        KIND("keep-in", TB_STROKE_KEEP_IN, "what belongs to the portrait; spreads to edges"),
        KIND("leave-out", TB_STROKE_LEAVE_OUT, "what does not; spreads to edges"),
        {.name = "width",
                .kind = TB_ARG_LENGTH,
                .offset = offsetof(values, width_mm),
                .value = "LENGTH",
                .help = "width of the stroke, where a point has none of its own"},
        {.name = "amount",
                .kind = TB_ARG_NUMBER,
                .offset = offsetof(values, amount),
                .value = "N",
                .least = 0,
                .most = 100,
                .help = "how much lighter or darker, 0 to 100"},
        TB_ARGS_COMMON(values),
};

static tb_status kind_of(tb_stroke_kind *kind, const values *v, tb_error *err)
{
    int n = 0;
    for (int i = 0; i < TB_N_STROKE_KINDS; i++)
        if (v->kinds[i]) {
            *kind = (tb_stroke_kind)i;
            n++;
        }
    return n == 1 ? TB_OK
                  : tb_fail(err, TB_EINVAL, "say what to paint, one of --wood, --saw, --bridge …");
}

static tb_status read_stroke(
        tb_stroke *stroke, const values *v, int n_words, char **words, tb_error *err)
{
    tb_stroke_kind kind;
    tb_status status = kind_of(&kind, v, err);
    if (status)
        return status;
    *stroke = (tb_stroke)TB_STROKE_INIT(kind);
    if (stroke->amount)
        stroke->amount = (int)(v->amount * 100 + 0.5);
    bool at_a_point = kind == TB_STROKE_TAKE_OUT || kind == TB_STROKE_CLOSE;
    if (n_words < 1 || (at_a_point && n_words > 1))
        return tb_fail(err, TB_EINVAL, at_a_point ? "give one point X,Y" : "give points X,Y X,Y …");
    for (int i = 0; i < n_words && !status; i++) {
        double p[3];
        int n;
        status = tb_cli_point(p, &n, words[i], err);
        if (!status)
            status = tb_stroke_add(stroke, p[0], p[1], n == 3 ? p[2] : v->width_mm, err);
    }
    return status;
}

/* A stroke that takes out or closes has to find something, and is kept to that. What is tied hangs
 * together with everything: a piece is looked for as it is before the tie. */
static tb_status find_place(tb_stroke *stroke, tb_cli *cli, const char *path, tb_error *err)
{
    if (stroke->kind != TB_STROKE_TAKE_OUT && stroke->kind != TB_STROKE_CLOSE)
        return TB_OK;
    tb_assessment *seen = NULL;
    tb_hand *hand = NULL;
    tb_wishes wishes = {0};
    bool found = false;
    tb_status status = tb_cli_pictures(cli, err);
    if (!status)
        status = tb_assess(&seen, path, &wishes, &cli->job, err);
    tb_cli_progress_end();
    if (!status)
        status = tb_hand_new(&hand,
                stroke->kind == TB_STROKE_CLOSE ? seen->pattern : seen->result->untied, 0, err);
    if (!status)
        status = tb_hand_bound(&found, hand, stroke, err);
    if (!status && !found)
        status = tb_fail(err, TB_EINVAL,
                stroke->kind == TB_STROKE_CLOSE
                        ? "there is no opening at that point"
                        : "there is no piece at that point that could be taken out");
    tb_hand_free(hand);
    tb_assessment_free(seen);
    return status;
}

static tb_status run(tb_cli *cli, int n_words, char **words, tb_error *err)
{
    values v = {.width_mm = 2, .amount = TB_STROKE_AMOUNT / 100.0};
    tb_stroke stroke = {0};
    tb_project *project = NULL;
    char what[64];
    int n;
    tb_status status = tb_args_read(&v, &n, OPTIONS, n_words, words, cli->unit, err);
    if (!status && n < 1)
        status = tb_fail(err, TB_EINVAL, "give a project: tombolo paint FILE --wood X,Y X,Y …");
    if (!status)
        status = read_stroke(&stroke, &v, n - 1, words + 1, err);
    if (!status)
        status = find_place(&stroke, cli, words[0], err);
    if (!status)
        status = tb_cli_project(&project, words[0], true, err);
    if (!status)
        status = tb_project_draw(project, &stroke, err);
    snprintf(what, sizeof what, "painted: %s", tb_stroke_kind_name(stroke.kind));
    if (!status)
        status = tb_cli_done(project, v.json, what, err);
    tb_project_close(project);
    tb_stroke_clear(&stroke);
    return status;
}

const tb_verb TB_VERB_PAINT = {
        .name = "paint",
        .words = "FILE --wood|--saw|--bridge|… X,Y X,Y …",
        .summary = "add a stroke to a project",
        .text = "Adds one stroke, as on the bench. Points are in millimetres from the board's top\n"
                "left; X,Y,WIDTH gives a point a width of its own. Ends well only once the stroke\n"
                "is safe on the disk. A point below 0 goes behind \"--\".",
        .options = OPTIONS,
        .run = run,
};
