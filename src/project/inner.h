/* project/inner.h: what project.c and history.c share. */
#ifndef TB_PROJECT_INNER_H
#define TB_PROJECT_INNER_H

#include "project/log.h"
#include "project/store.h"

struct tb_project {
    tb_store store;
    tb_log log;
    int64_t n_snapshots;
    bool broken; /* memory and file may differ: nothing more is done */

    uint8_t *photo; /* once it was asked for */
    size_t n_photo;
    char *photo_name;

    /* The drag whose changes still become one action, 0: none. */
    unsigned drag;
    int64_t drag_action;
    tb_choices drag_before;
};

/* Whether it can be changed at all. */
TB_NODISCARD tb_status tb__project_begin(tb_project *project, tb_error *err);

/* Ends the transaction: with status TB_OK by writing head, tip and the counts and committing, else
 * by rolling back and, where the file then holds something else than memory, reading it again. */
TB_NODISCARD tb_status tb__project_end(tb_project *project, tb_status status, int64_t head,
        int64_t tip, int64_t n_actions, int64_t n_snapshots, tb_error *err);

int64_t tb__now_s(void);

#endif
