/* What a comparison of ways to tie needs, and times of our own.
 *
 *     tie_cases photo PHOTO FOLDER   runs the flow at 200 mm and 10 px/mm; writes tone.raw (float),
 *                                    loose.raw and tied.raw (bytes, 1 = wood) into FOLDER,
 * narrow.raw with bridges no wider than they must be, and one JSON object about the tie (bridges:
 * of narrow.raw) to standard output tie_cases rooms N              times the tie of N islands on
 * 2000 × 2500 pixels
 */
#define _POSIX_C_SOURCE 200809L
#include "base/alloc.h"
#include "base/num.h"
#include "flow/flow.h"
#include "image/label.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static const tb_job TWO_THREADS = {.n_threads = 2};

static double now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec * 1e-6;
}

static void must(tb_status status, const tb_error *err)
{
    if (status) {
        fprintf(stderr, "tie_cases: %s\n", err->text);
        exit(1);
    }
}

static void write_raw(const char *folder, const char *name, const void *data, size_t n)
{
    char path[600];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "wb");
    if (!file || fwrite(data, 1, n, file) != n || fclose(file)) {
        fprintf(stderr, "tie_cases: %s could not be written\n", path);
        exit(1);
    }
}

static int n_pieces(const tb_mask *mask)
{
    tb_error err;
    tb_labels *labels;
    must(tb_label_wood(&labels, mask, NULL, &err), &err);
    int n = labels->n_pieces;
    tb_labels_free(labels);
    return n;
}

static void print_bridges(const tb_tie_account *a)
{
    printf("\"bridges\": [");
    for (size_t i = 0; i < a->n_bridges; i++) {
        printf("%s{\"width_mm\": %s, \"path_mm\": [", i ? ", " : "",
                tb_num_of(a->bridges[i].width_mm, 2).text);
        for (size_t k = 0; k < a->bridges[i].n_path; k++)
            printf("%s[%s, %s]", k ? ", " : "", tb_num_of(a->bridges[i].path[k].x_mm, 2).text,
                    tb_num_of(a->bridges[i].path[k].y_mm, 2).text);
        printf("]}");
    }
    printf("]");
}

/* The same tie with bridges as narrow as the usual way's. */
static tb_tie_account *tie_narrow(const tb_outcome *o, const char *folder)
{
    tb_error err;
    tb_mask *out;
    tb_tie_account *account;
    tb_tie_options options = TB_TIE_OPTIONS_INIT;
    options.limits = o->limits;
    options.limits.bridge_should_mm = options.limits.bridge_must_mm;
    options.tone = o->tone;
    options.cut_line = o->cut_line;
    must(tb_tie(&out, &account, o->split, &options, &TWO_THREADS, &err), &err);
    write_raw(folder, "narrow.raw", out->px, tb_mask_area_px(out));
    tb_mask_free(out);
    return account;
}

static void photo_case(const char *path, const char *folder)
{
    tb_error err;
    uint8_t *photo;
    size_t n_photo;
    tb_flow *flow;
    tb_settings settings = TB_SETTINGS_INIT;
    settings.width_mm = 200;
    must(tb_photo_start(2, &err), &err);
    must(tb_file_read(&photo, &n_photo, path, 100000000, &err), &err);
    must(tb_flow_new(&flow, photo, n_photo, &err), &err);
    must(tb_flow_set(flow, &settings, &err), &err);
    must(tb_flow_update(flow, &TWO_THREADS, &err), &err);
    const tb_outcome *o = tb_flow_outcome(flow);
    size_t n = tb_mask_area_px(o->pattern);
    write_raw(folder, "tone.raw", o->tone->px, n * sizeof *o->tone->px);
    write_raw(folder, "loose.raw", o->split->px, n);
    write_raw(folder, "tied.raw", o->pattern->px, n);
    printf("{\"width_px\": %d, \"height_px\": %d, \"cut_line\": %s, \"ms\": %s, \"rounds\": %d, "
           "\"pieces_before\": %d, \"pieces\": %d, \"n_must\": %d, \"dropped\": %zu, "
           "\"gap_percent\": "
           "%s, \"likeness_before\": %s, \"likeness_after\": %s, ",
            o->pattern->width_px, o->pattern->height_px, tb_num_of(o->cut_line, 6).text,
            tb_num_of(o->ms[TB_STAGE_TIE], 1).text, o->tie->n_rounds, n_pieces(o->split),
            n_pieces(o->pattern), o->inspection->n_must, o->tie->n_dropped,
            tb_num_of(o->tie->gap_percent, 4).text, tb_num_of(o->tie->likeness_before, 6).text,
            tb_num_of(o->tie->likeness_after, 6).text);
    tb_tie_account *narrow = tie_narrow(o, folder);
    print_bridges(narrow);
    printf("}\n");
    tb_tie_account_free(narrow);
    tb_flow_free(flow);
    tb_free(photo);
    tb_photo_stop();
}

static uint32_t dice(uint32_t *seed, uint32_t sides)
{
    *seed = *seed * 1664525u + 1013904223u;
    return (*seed >> 8) % sides;
}

/* Islands of all sizes on a sea of changing darkness. */
static void lay_islands(tb_mask *mask, tb_plane *tone, int n_islands)
{
    uint32_t seed = 11;
    int width = mask->width_px, height = mask->height_px;
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++) {
            bool frame = x < 60 || y < 60 || x >= width - 60 || y >= height - 60;
            mask->px[y * width + x] = frame;
            tone->px[y * width + x] = frame ? 80 : 12 + 10 * (float)((x / 97 + y / 131) % 3);
        }
    /* One in each field of a grid, somewhere in it. */
    int across = (int)ceil(sqrt(n_islands * 0.8)), down = (n_islands + across - 1) / across;
    int field_w = (width - 180) / across, field_h = (height - 180) / down;
    for (int i = 0; i < n_islands; i++) {
        int most = (field_w < field_h ? field_w : field_h) / 2 - 8;
        int r = 12 + (int)dice(&seed, (uint32_t)(most - 12));
        int cx = 90 + i % across * field_w + r + 8 +
                 (int)dice(&seed, (uint32_t)(field_w - 2 * r - 15));
        int cy = 90 + i / across * field_h + r + 8 +
                 (int)dice(&seed, (uint32_t)(field_h - 2 * r - 15));
        for (int y = cy - r; y <= cy + r; y++)
            for (int x = cx - r; x <= cx + r; x++)
                if ((x - cx) * (x - cx) + (y - cy) * (y - cy) <= r * r) {
                    mask->px[y * width + x] = 1;
                    tone->px[y * width + x] = 85;
                }
    }
}

static void rooms_case(int n_islands)
{
    tb_error err;
    tb_mask *mask, *out;
    tb_plane *tone;
    tb_tie_account *account;
    must(tb_mask_new(&mask, 2000, 2500, 10, &err), &err);
    must(tb_plane_new(&tone, 2000, 2500, 10, &err), &err);
    lay_islands(mask, tone, n_islands);
    tb_tie_options options = TB_TIE_OPTIONS_INIT;
    options.tone = tone;
    double best = 1e9;
    for (int i = 0; i < 5; i++) {
        double start = now_ms();
        must(tb_tie(&out, &account, mask, &options, &TWO_THREADS, &err), &err);
        double ms = now_ms() - start;
        best = ms < best ? ms : best;
        if (i == 4)
            printf("{\"ms\": %s, \"rooms\": %d, \"rounds\": %d, \"gap_percent\": %s}\n",
                    tb_num_of(best, 1).text, n_pieces(mask), account->n_rounds,
                    tb_num_of(account->gap_percent, 4).text);
        tb_mask_free(out);
        tb_tie_account_free(account);
    }
    tb_mask_free(mask);
    tb_plane_free(tone);
}

int main(int argc, char **argv)
{
    tb_alloc_prepare();
    if (argc == 4 && strcmp(argv[1], "photo") == 0)
        photo_case(argv[2], argv[3]);
    else if (argc == 3 && strcmp(argv[1], "rooms") == 0)
        rooms_case(atoi(argv[2]));
    else
        return 2;
    return 0;
}
