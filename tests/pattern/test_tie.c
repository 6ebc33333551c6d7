/* Tie: one piece, wide enough, by the ways the picture offers. */
#include "base/alloc.h"
#include "image/label.h"
#include "image/width.h"
#include "pattern/tie.h"

#include <glib.h>
#include <math.h>
#include <string.h>

enum { W = 600, H = 500 }; /* 60 × 50 mm */

static void fill(tb_mask *mask, int left, int top, int right, int bottom, uint8_t value)
{
    for (int y = top; y < bottom; y++)
        memset(mask->px + (size_t)y * W + left, value, (size_t)(right - left));
}

/* A frame of 6 mm about one opening. */
static tb_mask *framed(void)
{
    tb_mask *mask = NULL;
    g_assert_cmpint(tb_mask_new(&mask, W, H, 10, NULL), ==, TB_OK);
    fill(mask, 0, 0, W, H, 1);
    fill(mask, 60, 60, W - 60, H - 60, 0);
    return mask;
}

static tb_plane *tone_of(const tb_mask *mask, float opening, float wood)
{
    tb_plane *tone = NULL;
    g_assert_cmpint(tb_plane_new(&tone, W, H, 10, NULL), ==, TB_OK);
    for (int i = 0; i < W * H; i++)
        tone->px[i] = mask->px[i] ? wood : opening;
    return tone;
}

/* Judge: inspect, whose own judges stand beside it. */
static void check_sound(const tb_mask *mask, const tb_limits *limits)
{
    tb_inspection *seen = NULL;
    g_assert_cmpint(tb_inspect(&seen, mask, limits, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(seen->n_pieces, ==, 1);
    g_assert_cmpint(seen->n_must, ==, 0);
    tb_inspection_free(seen);
}

/* No wood, tips included, where the bridge's disc doesn't fit. */
static void check_opened(const tb_mask *mask, const tb_limits *limits)
{
    tb_mask *opened = NULL;
    g_assert_cmpint(
            tb_open_wood(&opened, mask, limits->bridge_must_mm, false, NULL, NULL), ==, TB_OK);
    g_assert_cmpmem(opened->px, W * H, mask->px, W * H);
    tb_mask_free(opened);
}

static int area(const tb_mask *mask, int left, int top, int right, int bottom)
{
    int n = 0;
    for (int y = top; y < bottom; y++)
        for (int x = left; x < right; x++)
            n += mask->px[(size_t)y * W + (size_t)x];
    return n;
}

static void test_tie__leaves_a_sound_pattern_alone(void)
{
    tb_mask *mask = framed(), *out = NULL;
    tb_tie_account *account = NULL;
    tb_tie_options options = TB_TIE_OPTIONS_INIT;
    g_assert_cmpint(tb_tie(&out, &account, mask, &options, NULL, NULL), ==, TB_OK);
    g_assert_cmpmem(out->px, W * H, mask->px, W * H);
    g_assert_cmpint(account->n_bridges, ==, 0);
    g_assert_true(isnan(account->likeness_after));
    tb_tie_account_free(account);
    tb_mask_free(out);
    tb_mask_free(mask);
}

static void test_tie__follows_the_light_way(void)
{
    /* The island is nearest to the frame on its right, where the picture is black; a lighter, bent
     * way leads down from it. */
    tb_mask *mask = framed(), *out = NULL;
    fill(mask, 360, 150, 480, 250, 1);
    tb_plane *tone = tone_of(mask, 2, 90);
    for (int y = 250; y < 440; y++)
        for (int x = 0; x < 24; x++)
            tone->px[y * W + 380 - (y - 250) / 2 + x] = 45;
    tb_tie_account *account = NULL;
    tb_tie_options options = TB_TIE_OPTIONS_INIT;
    options.tone = tone;
    g_assert_cmpint(tb_tie(&out, &account, mask, &options, NULL, NULL), ==, TB_OK);
    check_sound(out, &options.limits);
    g_assert_cmpint(account->n_bridges, ==, 1);
    g_assert_cmpint(area(out, 485, 60, 535, 440), ==, 0);
    g_assert_cmpint(area(out, 60, 300, 540, 440), >, 16 * 140);
    tb_tie_account_free(account);
    tb_mask_free(out);
    tb_mask_free(mask);
    tb_plane_free(tone);
}

static void test_tie__drops_what_is_not_worth_its_bridge(void)
{
    tb_mask *mask = framed(), *out = NULL;
    fill(mask, 290, 240, 310, 260, 1); /* 2 × 2 mm, 18 mm from the nearest wood */
    tb_plane *tone = tone_of(mask, 2, 90);
    tb_tie_account *account = NULL;
    tb_tie_options options = TB_TIE_OPTIONS_INIT;
    options.tone = tone;
    g_assert_cmpint(tb_tie(&out, &account, mask, &options, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(account->n_bridges, ==, 0);
    g_assert_cmpint(account->n_dropped, ==, 1);
    g_assert_cmpfloat_with_epsilon(account->dropped[0].x_mm, 30, 0.2);
    g_assert_cmpint(area(out, 60, 60, W - 60, H - 60), ==, 0);
    tb_tie_account_free(account);
    tb_mask_free(out);
    tb_mask_free(mask);
    tb_plane_free(tone);
}

/* How many bridges tie a light square of 2 mm, so far off on an even, dusky ground, where a bar by
 * itself costs the likeness next to nothing. */
static size_t bridges_over_bare_ground(int away_px)
{
    tb_mask *mask = framed(), *out = NULL;
    fill(mask, 60 + away_px, 240, 80 + away_px, 260, 1);
    tb_plane *tone = tone_of(mask, 30, 90);
    tb_tie_account *account = NULL;
    tb_tie_options options = TB_TIE_OPTIONS_INIT;
    options.tone = tone;
    g_assert_cmpint(tb_tie(&out, &account, mask, &options, NULL, NULL), ==, TB_OK);
    check_sound(out, &options.limits);
    size_t n = account->n_bridges;
    g_assert_cmpint(n + account->n_dropped, ==, 1);
    tb_tie_account_free(account);
    tb_mask_free(out);
    tb_mask_free(mask);
    tb_plane_free(tone);
    return n;
}

static void test_tie__draws_no_long_bar_across_bare_ground(void)
{
    g_assert_cmpint(bridges_over_bare_ground(60), ==, 1);
    g_assert_cmpint(bridges_over_bare_ground(200), ==, 0);
}

static void test_tie__keeps_hand_work(void)
{
    /* The same island painted by hand is reached; with openings painted all around it, it can't be
     * and the answer says where. */
    tb_mask *mask = framed(), *wood = framed(), *opening = framed(), *out = NULL;
    fill(wood, 0, 0, W, H, 0);
    fill(wood, 290, 240, 310, 260, 1);
    fill(opening, 0, 0, W, H, 0);
    fill(opening, 200, 150, 400, 350, 1);
    fill(opening, 230, 180, 370, 320, 0);
    tb_plane *tone = tone_of(mask, 2, 90);
    tb_tie_account *account = NULL;
    tb_tie_options options = TB_TIE_OPTIONS_INIT;
    options.tone = tone;
    options.painted_wood = wood;
    g_assert_cmpint(tb_tie(&out, &account, mask, &options, NULL, NULL), ==, TB_OK);
    check_sound(out, &options.limits);
    g_assert_cmpint(account->n_bridges, ==, 1);
    tb_tie_account_free(account);
    tb_mask_free(out);
    options.painted_opening = opening;
    tb_error err = {0};
    g_assert_cmpint(tb_tie(&out, &account, mask, &options, NULL, &err), ==, TB_EUNSAWABLE);
    g_assert_nonnull(strstr(err.text, "30 mm from the left and 25 mm from the top"));
    g_assert_null(out);
    tb_mask_free(mask);
    tb_mask_free(wood);
    tb_mask_free(opening);
    tb_plane_free(tone);
}

/* The hand work of two strokes on a dark opening: 25 × 1.2 mm of wood, and saw cuts beside it. */
static tb_status tie_thin_stroke(int wood_px, int cut_px, tb_error *err)
{
    tb_mask *mask = framed(), *wood = framed(), *opening = framed(), *out = NULL;
    fill(wood, 0, 0, W, H, 0);
    fill(wood, 150, 200, 400, 200 + wood_px, 1);
    fill(opening, 0, 0, W, H, 0);
    fill(opening, 140, 200 - cut_px, 410, 200, 1);
    fill(opening, 140, 200 + wood_px, 410, 200 + wood_px + cut_px, 1);
    tb_plane *tone = tone_of(mask, 2, 90);
    tb_tie_account *account = NULL;
    tb_tie_options options = TB_TIE_OPTIONS_INIT;
    options.tone = tone;
    options.painted_wood = wood;
    options.painted_opening = opening;
    tb_status status = tb_tie(&out, &account, mask, &options, NULL, err);
    if (!status) {
        check_sound(out, &options.limits);
        /* All of it is there, but for what a disc leaves of a leftover's corners. */
        if (wood_px > 8)
            g_assert_cmpint(area(out, 150, 200, 400, 200 + wood_px), >=, 250 * wood_px - 4);
        for (int i = 0; i < W * H; i++)
            g_assert_false(opening->px[i] && out->px[i]);
    }
    tb_tie_account_free(account);
    tb_mask_free(out);
    tb_mask_free(mask);
    tb_mask_free(wood);
    tb_mask_free(opening);
    tb_plane_free(tone);
    return status;
}

static void test_tie__keeps_thin_hand_work(void)
{
    /* Thinner than a bridge, it is made as wide as one; hemmed in, it can't be; and 0.4 mm between
     * two saw cuts are what the cuts left over. */
    tb_error err = {0};
    g_assert_cmpint(tie_thin_stroke(12, 0, &err), ==, TB_OK);
    g_assert_cmpint(tie_thin_stroke(12, 10, &err), ==, TB_EUNSAWABLE);
    g_assert_nonnull(strstr(err.text, "the wood painted by hand about 28, 21 mm is narrower"));
    g_assert_cmpint(tie_thin_stroke(4, 10, &err), ==, TB_OK);
}

/* Blots of every size, thin strands and pinholes. */
static tb_mask *blots(guint32 seed)
{
    tb_mask *mask = framed();
    GRand *rand = g_rand_new_with_seed(seed);
    for (int i = 0; i < 60; i++) {
        int x = g_rand_int_range(rand, 40, W - 120), y = g_rand_int_range(rand, 40, H - 120);
        int w = g_rand_int_range(rand, 3, 80), h = g_rand_int_range(rand, 3, 80);
        fill(mask, x, y, x + w, y + h, i % 3 != 0);
    }
    fill(mask, 0, 0, W, 60, 1);
    g_rand_free(rand);
    return mask;
}

static void test_tie__always_ends_in_one_sound_piece(void)
{
    /* TB_TIE_CASES asks for more. */
    const char *more = g_getenv("TB_TIE_CASES");
    guint32 n_cases = more ? (guint32)g_ascii_strtoull(more, NULL, 10) : 40;
    for (guint32 seed = 1; seed <= n_cases; seed++) {
        tb_mask *mask = blots(seed), *out = NULL;
        tb_plane *tone = tone_of(mask, 20, 80);
        tb_tie_account *account = NULL;
        tb_tie_options options = TB_TIE_OPTIONS_INIT;
        options.tone = seed % 4 ? tone : NULL;
        g_assert_cmpint(tb_tie(&out, &account, mask, &options, NULL, NULL), ==, TB_OK);
        check_sound(out, &options.limits);
        if (options.tone)
            check_opened(out, &options.limits);
        g_assert_cmpint(account->n_rounds, <, 10);
        g_assert_cmpfloat(account->lower_bound, <=, account->cost);
        tb_tie_account_free(account);
        tb_mask_free(out);
        tb_mask_free(mask);
        tb_plane_free(tone);
    }
}

static void test_tie__mends_a_drawn_pattern_and_leaves_the_rest(void)
{
    /* An island, a bridge of 1 mm, a speck; and a spike, thin at its end, that needs nothing. */
    tb_mask *mask = framed(), *out = NULL;
    fill(mask, 100, 100, 160, 160, 1);
    fill(mask, 300, 60, 360, 120, 1);
    fill(mask, 325, 120, 335, 200, 1);
    fill(mask, 300, 200, 360, 260, 1);
    fill(mask, 450, 300, 460, 310, 1);
    for (int y = 0; y < 60; y++)
        fill(mask, 150 + y / 3, 440 - y, 190 - y / 3, 441 - y, 1);
    tb_tie_account *account = NULL;
    tb_tie_options options = TB_TIE_OPTIONS_INIT;
    g_assert_cmpint(tb_tie(&out, &account, mask, &options, NULL, NULL), ==, TB_OK);
    check_sound(out, &options.limits);
    g_assert_cmpint(account->n_bridges, ==, 1);
    g_assert_cmpint(area(out, 300, 150, 360, 151), >=, 16);
    g_assert_cmpint(area(out, 440, 290, 470, 320), ==, 0);
    for (int y = 330; y < H; y++)
        g_assert_cmpmem(out->px + y * W, W, mask->px + y * W, W);
    tb_tie_account_free(account);
    tb_mask_free(out);
    tb_mask_free(mask);
}

/* Thin, soft wood, and a tongue that reaches far into the opening by a root of 3 mm. */
static tb_tie_options brittle(void)
{
    tb_tie_options options = TB_TIE_OPTIONS_INIT;
    options.limits.thickness_mm = 3;
    options.limits.strength_along_mpa = 60;
    options.limits.strength_across_mpa = 20;
    options.limits.safety = 1.5;
    return options;
}

static void test_tie__ties_a_weak_peninsula_a_second_time(void)
{
    tb_mask *mask = framed(), *out = NULL;
    fill(mask, 60, 230, 450, 260, 1);
    tb_plane *tone = tone_of(mask, 10, 98);
    tb_tie_account *account = NULL;
    tb_tie_options options = brittle();
    tb_inspection *before = NULL;
    options.tone = tone;
    g_assert_cmpint(tb_inspect(&before, mask, &options.limits, NULL, NULL), ==, TB_OK);
    g_assert_cmpint(before->n_must, ==, 1);
    g_assert_cmpint(before->findings[0].kind, ==, TB_FINDING_WEAK_PENINSULA);
    g_assert_cmpint(tb_tie(&out, &account, mask, &options, NULL, NULL), ==, TB_OK);
    check_sound(out, &options.limits);
    g_assert_cmpint(account->n_bridges, ==, 1);
    g_assert_cmpint(area(out, 60, 230, 450, 260), >=, 390 * 30 - 60);
    /* Seen from where it leaves the tongue, 60° or more lie between it and the root. */
    const tb_bridge *second = &account->bridges[0];
    tb_point from = second->path[second->n_path - 1], to = second->path[0];
    double x = to.x_mm - from.x_mm, y = to.y_mm - from.y_mm;
    double root_x = 6 - from.x_mm, root_y = 24.5 - from.y_mm;
    double cosine = (x * root_x + y * root_y) / (hypot(x, y) * hypot(root_x, root_y));
    g_assert_cmpfloat(cosine, <=, 0.51);
    tb_inspection_free(before);
    tb_tie_account_free(account);
    tb_mask_free(out);
    tb_mask_free(mask);
    tb_plane_free(tone);
}

static void test_tie__names_the_hand_work_that_forbids_a_cure(void)
{
    /* The same tongue, painted by hand, with all the opening around it painted too. */
    tb_mask *mask = framed(), *wood = framed(), *opening = framed(), *out = NULL;
    fill(mask, 60, 230, 450, 260, 1);
    for (int i = 0; i < W * H; i++) {
        wood->px[i] = mask->px[i];
        opening->px[i] = !mask->px[i];
    }
    tb_tie_account *account = NULL;
    tb_tie_options options = brittle();
    tb_error err = {0};
    options.painted_wood = wood;
    options.painted_opening = opening;
    g_assert_cmpint(tb_tie(&out, &account, mask, &options, NULL, &err), ==, TB_EUNSAWABLE);
    g_assert_nonnull(strstr(err.text, "painted by hand"));
    tb_mask_free(mask);
    tb_mask_free(wood);
    tb_mask_free(opening);
}

static int count(const tb_mask *mask, const tb_limits *limits, tb_finding_kind kind)
{
    tb_inspection *seen = NULL;
    g_assert_cmpint(tb_inspect(&seen, mask, limits, NULL, NULL), ==, TB_OK);
    int n = 0;
    for (size_t i = 0; i < seen->n_findings; i++)
        n += seen->findings[i].kind == kind;
    tb_inspection_free(seen);
    return n;
}

/* Beads as wide as a bridge in a row of 24 mm, which hangs by one end: every bead outlasts the
 * opening, and where they meet the wood is 1.3 mm wide. */
static void test_tie__thickens_a_hanging_strand_to_its_end(void)
{
    tb_mask *mask = framed(), *out = NULL;
    tb_tie_account *account = NULL;
    tb_tie_options options = TB_TIE_OPTIONS_INIT;
    options.limits.load_n = 0.5; /* the whole of it holds, once it is as wide as a bridge */
    for (int bead = 60; bead <= 300; bead += 12)
        for (int i = 0; i < 17 * 17; i++) {
            int dx = i % 17 - 8, dy = i / 17 - 8;
            if (dx * dx + dy * dy <= 9 * 9)
                mask->px[(250 + dy) * W + bead + dx] = 1;
        }
    tb_plane *tone = tone_of(mask, 2, 90);
    options.tone = tone;
    g_assert_cmpint(area(mask, 66, 240, 67, 260), ==, 13);
    g_assert_cmpint(tb_tie(&out, &account, mask, &options, NULL, NULL), ==, TB_OK);
    check_sound(out, &options.limits);
    g_assert_cmpint(account->n_bridges, ==, 0);
    for (int x = 60; x <= 300; x++)
        g_assert_cmpint(area(out, x, 220, x + 1, 280), >=, 16);
    g_assert_cmpint(area(out, 320, 60, W - 60, H - 60), ==, 0);
    tb_tie_account_free(account);
    tb_mask_free(out);
    tb_mask_free(mask);
    tb_plane_free(tone);
}

static void test_tie__widens_to_what_is_advised_where_the_picture_lets_it(void)
{
    /* Two strips of 1.8 mm join two broad parts; beside one the picture is nearly light, beside the
     * other it is black. */
    tb_mask *mask = framed(), *out = NULL;
    fill(mask, 60, 60, 250, 440, 1);
    fill(mask, 350, 60, 540, 440, 1);
    fill(mask, 250, 150, 350, 168, 1);
    fill(mask, 250, 330, 350, 348, 1);
    tb_plane *tone = tone_of(mask, 2, 90);
    for (int y = 120; y < 200; y++)
        for (int x = 250; x < 350; x++)
            tone->px[y * W + x] = fmaxf(tone->px[y * W + x], 46);
    tb_tie_account *account = NULL;
    tb_tie_options options = TB_TIE_OPTIONS_INIT;
    options.tone = tone;
    g_assert_cmpint(count(mask, &options.limits, TB_FINDING_THIN_BRIDGE), ==, 2);
    g_assert_cmpint(tb_tie(&out, &account, mask, &options, NULL, NULL), ==, TB_OK);
    check_sound(out, &options.limits);
    g_assert_cmpint(count(out, &options.limits, TB_FINDING_THIN_BRIDGE), ==, 1);
    g_assert_cmpint(area(out, 290, 100, 310, 220), >=, 20 * 25);
    g_assert_cmpint(area(out, 290, 300, 310, 380), <=, 20 * 19);
    tb_tie_account_free(account);
    tb_mask_free(out);
    tb_mask_free(mask);
    tb_plane_free(tone);
}

static void test_tie__moves_outlines_to_where_the_light_comes_out_right(void)
{
    /* A wide opening in wood that the picture has as hardly light. */
    tb_mask *mask = framed(), *out = NULL;
    fill(mask, 60, 60, 540, 440, 1);
    fill(mask, 200, 150, 400, 350, 0);
    tb_plane *tone = tone_of(mask, 2, 55);
    tb_tie_account *account = NULL;
    tb_tie_options options = TB_TIE_OPTIONS_INIT;
    options.tone = tone;
    g_assert_cmpint(tb_tie(&out, &account, mask, &options, NULL, NULL), ==, TB_OK);
    check_sound(out, &options.limits);
    int opened = 480 * 380 - area(out, 60, 60, 540, 440);
    g_assert_cmpint(opened, >, 202 * 202);
    g_assert_cmpint(opened, <=, 204 * 204);
    g_assert_cmpfloat(account->likeness_after, >, account->likeness_before);
    tb_tie_account_free(account);
    tb_mask_free(out);
    tb_mask_free(mask);
    tb_plane_free(tone);
}

static void test_tie__makes_a_blunt_end_a_point(void)
{
    /* A slit of 1.2 mm with round ends, too narrow for the blade to turn in. */
    tb_mask *mask = framed(), *out = NULL;
    fill(mask, 60, 60, 540, 440, 1);
    for (int y = 200; y < 212; y++)
        for (int x = 200; x < 400; x++) {
            double beyond = fmax(fmax(206 - (x + 0.5), x + 0.5 - 394), 0);
            mask->px[y * W + x] = hypot(beyond, y + 0.5 - 206) > 6;
        }
    fill(mask, 290, 195, 310, 217, 0); /* room for the drill */
    tb_plane *tone = tone_of(mask, 2, 98);
    tb_tie_account *account = NULL;
    tb_tie_options options = TB_TIE_OPTIONS_INIT;
    options.tone = tone;
    g_assert_cmpint(count(mask, &options.limits, TB_FINDING_TIGHT_TURN), ==, 2);
    g_assert_cmpint(tb_tie(&out, &account, mask, &options, NULL, NULL), ==, TB_OK);
    check_sound(out, &options.limits);
    g_assert_cmpint(count(out, &options.limits, TB_FINDING_TIGHT_TURN), ==, 0);
    g_assert_cmpint(abs(area(out, 0, 0, W, H) - area(mask, 0, 0, W, H)), <, 150);
    tb_tie_account_free(account);
    tb_mask_free(out);
    tb_mask_free(mask);
    tb_plane_free(tone);
}

static void test_tie__refuses_what_makes_no_sense(void)
{
    tb_mask *mask = framed(), *out = NULL;
    tb_tie_account *account = NULL;
    tb_tie_options options = TB_TIE_OPTIONS_INIT;
    options.cut_line = 100;
    g_assert_cmpint(tb_tie(&out, &account, mask, &options, NULL, NULL), ==, TB_EINVAL);
    options.cut_line = 50;
    options.limits.bridge_must_mm = NAN;
    g_assert_cmpint(tb_tie(&out, &account, mask, &options, NULL, NULL), ==, TB_EINVAL);
    options.limits.bridge_must_mm = 1.6;
    fill(mask, 0, 0, W, H, 0);
    g_assert_cmpint(tb_tie(&out, &account, mask, &options, NULL, NULL), ==, TB_EUNSAWABLE);
    g_assert_null(out);
    g_assert_null(account);
    tb_mask_free(mask);
}

static void test_tie__stops_when_told(void)
{
    tb_mask *mask = blots(7), *out = NULL;
    tb_tie_account *account = NULL;
    tb_tie_options options = TB_TIE_OPTIONS_INIT;
    atomic_bool stop = true;
    tb_job job = {.n_threads = 2, .stop = &stop};
    g_assert_cmpint(tb_tie(&out, &account, mask, &options, &job, NULL), ==, TB_ECANCELLED);
    g_assert_null(out);
    tb_mask_free(mask);
}

static void test_tie__gives_the_same_bytes_on_any_number_of_threads(void)
{
    tb_mask *mask = blots(9), *one = NULL, *many = NULL;
    tb_plane *tone = tone_of(mask, 20, 80);
    tb_tie_account *account = NULL;
    tb_tie_options options = TB_TIE_OPTIONS_INIT;
    options.tone = tone;
    tb_job job = {.n_threads = 5};
    g_assert_cmpint(tb_tie(&one, &account, mask, &options, NULL, NULL), ==, TB_OK);
    double likeness = account->likeness_after;
    tb_tie_account_free(account);
    g_assert_cmpint(tb_tie(&many, &account, mask, &options, &job, NULL), ==, TB_OK);
    g_assert_cmpmem(one->px, W * H, many->px, W * H);
    g_assert_cmpfloat(account->likeness_after, ==, likeness);
    tb_tie_account_free(account);
    tb_mask_free(one);
    tb_mask_free(many);
    tb_mask_free(mask);
    tb_plane_free(tone);
}

/* One pattern after another, each with some of it changed. */
static void test_tie__gives_the_same_bytes_with_a_memory(void)
{
    tb_mask *mask = blots(4), *plain = NULL, *again = NULL;
    tb_plane *tone = tone_of(mask, 20, 80);
    tb_tie_account *account = NULL, *account_again = NULL;
    tb_tie_options options = TB_TIE_OPTIONS_INIT, remembering;
    options.tone = tone;
    remembering = options;
    remembering.memory = tb_tie_memory_new();
    for (int i = 0; i < 5; i++) {
        fill(mask, 80 + 90 * i, 100 + 50 * i, 130 + 90 * i, 108 + 60 * i, i % 2);
        g_assert_cmpint(tb_tie(&plain, &account, mask, &options, NULL, NULL), ==, TB_OK);
        g_assert_cmpint(tb_tie(&again, &account_again, mask, &remembering, NULL, NULL), ==, TB_OK);
        g_assert_cmpmem(plain->px, W * H, again->px, W * H);
        g_assert_cmpint(account->n_rounds, ==, account_again->n_rounds);
        g_assert_cmpint(account->inspection->n_should, ==, account_again->inspection->n_should);
        tb_tie_account_free(account);
        tb_tie_account_free(account_again);
        tb_mask_free(plain);
        tb_mask_free(again);
    }
    tb_tie_memory_free(remembering.memory);
    tb_mask_free(mask);
    tb_plane_free(tone);
}

int main(int argc, char **argv)
{
    g_test_init(&argc, &argv, NULL);
    g_test_add_func("/tie/leaves_a_sound_pattern_alone", test_tie__leaves_a_sound_pattern_alone);
    g_test_add_func("/tie/follows_the_light_way", test_tie__follows_the_light_way);
    g_test_add_func("/tie/drops", test_tie__drops_what_is_not_worth_its_bridge);
    g_test_add_func("/tie/bare_ground", test_tie__draws_no_long_bar_across_bare_ground);
    g_test_add_func("/tie/keeps_hand_work", test_tie__keeps_hand_work);
    g_test_add_func("/tie/keeps_thin_hand_work", test_tie__keeps_thin_hand_work);
    g_test_add_func("/tie/one_sound_piece", test_tie__always_ends_in_one_sound_piece);
    g_test_add_func(
            "/tie/mends_a_drawn_pattern", test_tie__mends_a_drawn_pattern_and_leaves_the_rest);
    g_test_add_func("/tie/second_tie", test_tie__ties_a_weak_peninsula_a_second_time);
    g_test_add_func("/tie/names_the_hand_work", test_tie__names_the_hand_work_that_forbids_a_cure);
    g_test_add_func("/tie/hanging_strand", test_tie__thickens_a_hanging_strand_to_its_end);
    g_test_add_func("/tie/widens", test_tie__widens_to_what_is_advised_where_the_picture_lets_it);
    g_test_add_func("/tie/balance", test_tie__moves_outlines_to_where_the_light_comes_out_right);
    g_test_add_func("/tie/points", test_tie__makes_a_blunt_end_a_point);
    g_test_add_func("/tie/refuses", test_tie__refuses_what_makes_no_sense);
    g_test_add_func("/tie/stops_when_told", test_tie__stops_when_told);
    g_test_add_func("/tie/threads", test_tie__gives_the_same_bytes_on_any_number_of_threads);
    g_test_add_func("/tie/memory", test_tie__gives_the_same_bytes_with_a_memory);
    return g_test_run();
}
