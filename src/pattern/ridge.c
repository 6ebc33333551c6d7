/* pattern/ridge.c: see ridge.h.
 *
 * Rows are scanned in blocks. For each pixel the eight comparisons with its neighbours make one
 * byte, bit 0 the neighbour above and the rest clockwise; a table says how many groups the higher
 * neighbours form. Neighbours that follow each other round the ring share a side, and a group
 * counts only if it reaches the pixel by a side.
 */
#include "pattern/ridge.h"

#include "base/alloc.h"
#include "base/array.h"
#include "base/clones.h"

#include <string.h>

enum { BLOCK_ROWS = 64, STRETCH = 64 };

struct tb__ridge_block {
    int32_t *summits;
    size_t n_summits, room_summits;
    tb_pass *passes;
    size_t n_passes, room_passes;
    bool failed;
};

typedef struct {
    tb_ridge *ridge;
    const tb_squares *changed; /* only here is anything new; NULL: everywhere */
    const uint16_t *nothing;   /* a row of zeros, beyond the first and the last */
    const tb_job *job;
    uint8_t groups[256];
} scan;

static int count_groups(unsigned code)
{
    if (code == 255)
        return 1;
    int n = 0;
    for (unsigned i = 0; i < 8; i++) {
        bool starts = (code >> i & 1) && !(code >> ((i + 7) & 7) & 1);
        if (!starts)
            continue;
        bool by_side = false;
        for (unsigned k = i; code >> (k & 7) & 1; k++)
            by_side |= !(k & 1);
        n += by_side;
    }
    return n;
}

/* Bit i is set when neighbour i is higher; a level one counts as higher if it comes first. Writes
 * codes first … end - 1, all of which have neighbours to both sides. */
static inline void code_stretch(uint8_t *restrict code, const uint16_t *restrict up,
        const uint16_t *restrict row, const uint16_t *restrict down, int first, int end)
{
    for (int x = first; x < end; x++) {
        uint16_t here = row[x];
        uint16_t bits = (uint16_t)((up[x] >= here) | (up[x + 1] >= here) << 1 |
                                   (row[x + 1] > here) << 2 | (down[x + 1] > here) << 3 |
                                   (down[x] > here) << 4 | (down[x - 1] > here) << 5 |
                                   (row[x - 1] >= here) << 6 | (up[x - 1] >= here) << 7);
        code[x] = (uint8_t)bits;
    }
}

static void code_ends(
        uint8_t *code, const uint16_t *up, const uint16_t *row, const uint16_t *down, int width_px)
{
    uint16_t here = row[0];
    int last = width_px - 1;
    unsigned left = (up[0] >= here) | (down[0] > here) << 4, right = 0;
    if (last > 0) {
        left |= (up[1] >= here) << 1 | (row[1] > here) << 2 | (down[1] > here) << 3;
        here = row[last];
        right = (up[last] >= here) | (down[last] > here) << 4 | (down[last - 1] > here) << 5 |
                (row[last - 1] >= here) << 6 | (up[last - 1] >= here) << 7;
        code[last] = (uint8_t)right;
    }
    code[0] = (uint8_t)left;
}

static const int RING_X[8] = {0, 1, 1, 1, 0, -1, -1, -1};
static const int RING_Y[8] = {-1, -1, 0, 1, 1, 1, 0, -1};

/* The highest neighbour by a side among those of the group that starts at bit i. */
static int32_t best_of_group(const tb_ridge *ridge, int32_t px, unsigned code, unsigned i)
{
    int32_t best = -1;
    for (unsigned k = i; code >> (k & 7) & 1; k++) {
        if (k & 1)
            continue;
        int32_t at = px + RING_Y[k & 7] * ridge->width_px + RING_X[k & 7];
        if (best < 0 || ridge->d2[at] > ridge->d2[best])
            best = at;
    }
    return best;
}

static bool add_passes(tb__ridge_block *into, const tb_ridge *ridge, int32_t px, unsigned code)
{
    int32_t before = -1;
    if (!tb_array_reserve(&into->passes, &into->room_passes, into->n_passes, 3))
        return false;
    for (unsigned i = 0; i < 8; i++) {
        if (!(code >> i & 1) || (code >> ((i + 7) & 7) & 1))
            continue;
        int32_t up = best_of_group(ridge, px, code, i);
        if (up >= 0 && before >= 0)
            into->passes[into->n_passes++] = (tb_pass){px, {before, up}, {-1, -1}};
        if (up >= 0)
            before = up;
    }
    return true;
}

/* The codes of a row, and where they ask for a second look: `odd` is 0 where the pixel has no
 * relief or a single group that reaches it by a side. Both hold a STRETCH more than the row. */
typedef struct {
    uint8_t *code, *odd;
} row_codes;

/* Whether any of STRETCH pixels has relief. */
static inline bool any_relief(const uint16_t *row, uint16_t cap_d2)
{
    uint16_t any = 0;
    for (int x = 0; x < STRETCH; x++)
        any |= (uint16_t)(row[x] - 1) < (uint16_t)(cap_d2 - 1);
    return any;
}

static inline void mark_odd(
        uint8_t *restrict odd, const uint8_t *restrict code, const uint16_t *row, uint16_t cap_d2)
{
    uint8_t relief[STRETCH];
    for (int x = 0; x < STRETCH; x++)
        relief[x] = (uint16_t)(row[x] - 1) < (uint16_t)(cap_d2 - 1);
    for (int x = 0; x < STRETCH; x++) {
        uint8_t c = code[x], starts = (uint8_t)(c & ~(c << 1 | c >> 7));
        uint8_t more = starts & (uint8_t)(starts - 1), sides = c & 0x55;
        uint8_t plain = (c == 255) | ((starts != 0) & (more == 0) & (sides != 0));
        odd[x] = relief[x] & (plain ^ 1);
    }
}

TB_CLONES static void code_row(const row_codes *to, const uint16_t *up, const uint16_t *row,
        const uint16_t *down, int width_px, uint16_t cap_d2)
{
    int last = width_px - 1, x = 0;
    code_ends(to->code, up, row, down, width_px);
    for (; x + STRETCH <= last; x += STRETCH) {
        if (!any_relief(row + x, cap_d2)) {
            memset(to->odd + x, 0, STRETCH);
            continue;
        }
        code_stretch(to->code, up, row, down, x ? x : 1, x + STRETCH);
        mark_odd(to->odd + x, to->code + x, row + x, cap_d2);
    }
    uint16_t rest[STRETCH] = {0};
    memcpy(rest, row + x, (size_t)(width_px - x) * sizeof *row);
    code_stretch(to->code, up, row, down, x ? x : 1, last);
    mark_odd(to->odd + x, to->code + x, rest, cap_d2);
}

/* Takes what is found at a pixel that asked for a second look. */
static bool take(const scan *s, tb__ridge_block *into, int32_t px, unsigned code)
{
    unsigned n = s->groups[code];
    if (n > 1)
        return add_passes(into, s->ridge, px, code);
    if (n == 1)
        return true;
    if (!tb_array_reserve(&into->summits, &into->room_summits, into->n_summits, 1))
        return false;
    into->summits[into->n_summits++] = px;
    return true;
}

static bool scan_row(const scan *s, tb__ridge_block *into, const row_codes *codes, int y)
{
    const tb_ridge *ridge = s->ridge;
    int width = ridge->width_px;
    const uint16_t *row = ridge->d2 + (size_t)y * (size_t)width;
    const uint16_t *up = y > 0 ? row - width : s->nothing;
    const uint16_t *down = y < ridge->height_px - 1 ? row + width : s->nothing;
    code_row(codes, up, row, down, width, ridge->cap_d2);
    for (int x = 0; x < width; x += 8) {
        uint64_t eight;
        memcpy(&eight, codes->odd + x, sizeof eight);
        for (; eight; eight &= eight - 1) {
            int at = x + __builtin_ctzll(eight) / 8;
            if (!take(s, into, y * width + at, codes->code[at]))
                return false;
        }
    }
    return true;
}

static void scan_cb(void *payload, size_t first, size_t end)
{
    const scan *s = payload;
    size_t room = (size_t)s->ridge->width_px + STRETCH;
    row_codes codes = {tb_calloc(2, room), NULL};
    codes.odd = codes.code + room;
    for (size_t i = first; i < end && !tb_job_stopped(s->job); i++) {
        tb__ridge_block *into = s->ridge->blocks + i;
        int y = (int)i * BLOCK_ROWS;
        /* A pixel is compared with its neighbours. */
        if (s->changed && !tb_squares_meet(s->changed,
                                  (tb_rect){0, y - 1, s->ridge->width_px, y + BLOCK_ROWS + 1}))
            continue;
        int y_end = y + BLOCK_ROWS < s->ridge->height_px ? y + BLOCK_ROWS : s->ridge->height_px;
        into->n_summits = into->n_passes = 0;
        into->failed = !codes.code;
        for (; y < y_end && !into->failed; y++)
            into->failed = !scan_row(s, into, &codes, y);
    }
    tb_free(codes.code);
}

static void forget(tb_ridge *ridge)
{
    tb_labels_free(ridge->rooms);
    tb_free(ridge->summits);
    tb_free(ridge->passes);
    ridge->rooms = NULL;
    ridge->summits = NULL;
    ridge->passes = NULL;
    ridge->n_summits = ridge->n_passes = 0;
}

static tb_status join_blocks(tb_ridge *ridge, tb_error *err)
{
    const tb__ridge_block *blocks = ridge->blocks;
    for (size_t i = 0; i < ridge->n_blocks; i++) {
        if (blocks[i].failed)
            return tb_fail_memory(err);
        ridge->n_summits += blocks[i].n_summits;
        ridge->n_passes += blocks[i].n_passes;
    }
    ridge->summits = tb_malloc(ridge->n_summits, sizeof *ridge->summits);
    ridge->passes = tb_malloc(ridge->n_passes, sizeof *ridge->passes);
    if (!ridge->summits || !ridge->passes)
        return tb_fail_memory(err);
    int32_t *summit = ridge->summits;
    tb_pass *pass = ridge->passes;
    for (size_t i = 0; i < ridge->n_blocks; i++) {
        if (blocks[i].n_summits)
            memcpy(summit, blocks[i].summits, blocks[i].n_summits * sizeof *summit);
        if (blocks[i].n_passes)
            memcpy(pass, blocks[i].passes, blocks[i].n_passes * sizeof *pass);
        summit += blocks[i].n_summits;
        pass += blocks[i].n_passes;
    }
    return TB_OK;
}

static tb_status scan_blocks(scan *s, tb_error *err)
{
    uint16_t *nothing = tb_calloc((size_t)s->ridge->width_px, sizeof *nothing);
    if (!nothing)
        return tb_fail_memory(err);
    for (unsigned i = 0; i < 256; i++)
        s->groups[i] = (uint8_t)count_groups(i);
    s->nothing = nothing;
    tb_job_rows(s->job, s->ridge->n_blocks, 1, scan_cb, s);
    tb_free(nothing);
    return tb_job_stopped(s->job) ? tb_fail_cancelled(err) : TB_OK;
}

static void ends_cb(void *payload, size_t first, size_t end)
{
    tb_ridge *ridge = payload;
    for (size_t i = first; i < end; i++)
        for (int side = 0; side < 2; side++)
            ridge->passes[i].node[side] = tb_ridge_node(ridge, ridge->passes[i].up[side]);
}

/* At the map's edge: the neighbours there are, one by one. */
static int32_t up_at_edge(const tb_ridge *ridge, int32_t px)
{
    int width = ridge->width_px, x = px % width, y = px / width;
    uint16_t here = ridge->d2[px];
    bool higher[8];
    for (int k = 0; k < 8; k++) {
        int at_x = x + RING_X[k], at_y = y + RING_Y[k];
        bool inside = at_x >= 0 && at_x < width && at_y >= 0 && at_y < ridge->height_px;
        int32_t at = px + RING_Y[k] * width + RING_X[k];
        higher[k] = inside && (ridge->d2[at] > here || (ridge->d2[at] == here && at < px));
    }
    int32_t best = px;
    for (int k = 0; k < 8; k++) {
        int32_t at = px + RING_Y[k] * width + RING_X[k];
        bool open = higher[k] && (!(k & 1) || higher[k - 1] || higher[(k + 1) & 7]);
        if (open && (best == px || ridge->d2[at] > ridge->d2[best] ||
                            (ridge->d2[at] == ridge->d2[best] && at < best)))
            best = at;
    }
    return best;
}

/* Height and order in one number: higher first, and of the level ones the first. */
static inline int64_t rank(const uint16_t *d2, int32_t at)
{
    return ((int64_t)d2[at] << 32) - at;
}

/* A step over a corner is only good if one of the two sides beside it is higher as well. */
int32_t tb_ridge_up(const tb_ridge *ridge, int32_t px)
{
    const uint16_t *d2 = ridge->d2;
    int32_t width = ridge->width_px, x = px % width;
    if (d2[px] == ridge->cap_d2)
        return px;
    if (x == 0 || x == width - 1 || px < width || px >= width * (ridge->height_px - 1))
        return up_at_edge(ridge, px);
    int64_t here = rank(d2, px), best = here;
    int64_t side[4] = {
            rank(d2, px - width), rank(d2, px + 1), rank(d2, px + width), rank(d2, px - 1)};
    int32_t corner[4] = {px - width + 1, px + width + 1, px + width - 1, px - width - 1};
    for (int k = 0; k < 4; k++) {
        best = side[k] > best ? side[k] : best;
        int64_t there = rank(d2, corner[k]);
        bool open = side[k] > here || side[(k + 1) & 3] > here;
        best = open && there > best ? there : best;
    }
    return (int32_t)(((best >> 32) + 1) * (INT64_C(1) << 32) - best);
}

int32_t tb_ridge_node(const tb_ridge *ridge, int32_t px)
{
    for (int32_t next; (next = tb_ridge_up(ridge, px)) != px;)
        px = next;
    if (ridge->d2[px] == ridge->cap_d2)
        return (int32_t)ridge->n_summits +
               tb_labels_at(ridge->rooms, px % ridge->width_px, px / ridge->width_px);
    size_t low = 0, high = ridge->n_summits;
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        if (ridge->summits[middle] <= px)
            low = middle;
        else
            high = middle;
    }
    return (int32_t)low;
}

uint16_t tb_ridge_height(const tb_ridge *ridge, int32_t node)
{
    return (size_t)node < ridge->n_summits ? ridge->d2[ridge->summits[node]] : ridge->cap_d2;
}

static tb_status renew(tb_ridge *ridge, const tb_squares *changed, const tb_job *job, tb_error *err)
{
    scan s = {.ridge = ridge, .changed = changed, .job = job};
    tb_mask size = {.width_px = ridge->width_px, .height_px = ridge->height_px, .px_per_mm = 1};
    tb_status status = tb_label_level(&ridge->rooms, &size, ridge->d2, ridge->cap_d2, job, err);
    if (!status)
        status = scan_blocks(&s, err);
    if (!status)
        status = join_blocks(ridge, err);
    if (!status)
        tb_job_rows(job, ridge->n_passes, 1024, ends_cb, ridge);
    return status;
}

tb_status tb_ridge_find(tb_ridge **out, const uint16_t *d2, const tb_mask *mask, int cap_px,
        const tb_job *job, tb_error *err)
{
    *out = NULL;
    tb_ridge *ridge = tb_calloc(1, sizeof *ridge);
    if (!ridge)
        return tb_fail_memory(err);
    ridge->d2 = d2;
    ridge->width_px = mask->width_px;
    ridge->height_px = mask->height_px;
    ridge->cap_d2 = (uint16_t)(cap_px * cap_px);
    ridge->n_blocks = ((size_t)mask->height_px + BLOCK_ROWS - 1) / BLOCK_ROWS;
    ridge->blocks = tb_calloc(ridge->n_blocks, sizeof *ridge->blocks);
    tb_status status = ridge->blocks ? TB_OK : tb_fail_memory(err);
    if (!status)
        status = renew(ridge, NULL, job, err);
    if (status)
        tb_ridge_free(ridge);
    else
        *out = ridge;
    return status;
}

tb_status tb_ridge_patch(
        tb_ridge *ridge, const tb_squares *changed, const tb_job *job, tb_error *err)
{
    forget(ridge);
    return renew(ridge, changed, job, err);
}

void tb_ridge_free(tb_ridge *ridge)
{
    if (!ridge)
        return;
    forget(ridge);
    for (size_t i = 0; ridge->blocks && i < ridge->n_blocks; i++) {
        tb_free(ridge->blocks[i].summits);
        tb_free(ridge->blocks[i].passes);
    }
    tb_free(ridge->blocks);
    tb_free(ridge);
}
