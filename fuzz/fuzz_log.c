/* Any bytes as the bodies of a project's actions, as if their check sums were right: refused, or a
 * log at every place of which something holds. Each action is a byte of kind, a byte that tells
 * its parent, a byte of length, and its body.
 */
#include "fuzz.h"

#include "base/alloc.h"
#include "project/log.h"

#include <stdlib.h>
#include <string.h>

static size_t add(tb_log *log, const uint8_t *data, size_t size)
{
    size_t n = data[2] < size - 3 ? data[2] : size - 3;
    uint8_t *body = tb_malloc(n, 1);
    if (!body)
        return size;
    if (n > 0)
        memcpy(body, data + 3, n);
    int64_t parent = log->n_actions > 0 ? 1 + data[1] % (int64_t)log->n_actions : 0;
    if (tb_log_append_take(log, (tb_action_kind)data[0], parent, 0, body, n, NULL) == TB_OK)
        tb_log_move(log, (int64_t)log->n_actions, (int64_t)log->n_actions);
    return n + 3;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    tb_log log = {0};
    char name[TB_ACTION_NAME_ROOM];
    for (size_t at = 0; at + 3 <= size && log.n_actions < 64;)
        at += add(&log, data + at, size - at);
    for (int64_t head = (int64_t)log.n_actions; head > 0; head--) {
        tb_project_state moved;
        if (!tb_log_holds(&log, head, head))
            abort();
        tb_log_move(&log, head, head);
        moved = log.state;
        tb_log_fold(&log);
        if (moved.n_strokes != log.state.n_strokes || moved.n_notes != log.state.n_notes ||
                memcmp(&moved.settings, &log.state.settings, sizeof moved.settings) != 0)
            abort();
        tb_action_name(&log.actions[head - 1], name);
        for (size_t i = 0; i < log.state.n_strokes; i++)
            if (tb_stroke_check(&log.state.strokes[i].stroke, NULL))
                abort();
    }
    tb_log_clear(&log);
    return 0;
}
