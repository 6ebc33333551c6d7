/* project/fields.h: settings and words as named values, one by one. For project.c, and for those
 * who show or check settings by name.
 */
#ifndef TB_PROJECT_FIELDS_H
#define TB_PROJECT_FIELDS_H

#include "project/pack.h"
#include "project/project.h"

/* Everything that an action of the kind "set" can change. */
typedef struct {
    tb_settings settings;
    tb_words words;
} tb_choices;

typedef enum { TB_FIELD_REAL, TB_FIELD_WHOLE, TB_FIELD_TEXT } tb_field_kind;

typedef struct {
    const char *name;  /* in the file; never changes */
    const char *label; /* in history: "Undo darkness" */
    tb_field_kind kind;
    size_t offset, room; /* in tb_choices */
    double least, most;  /* of numbers */
} tb_field;

extern const tb_field TB_FIELDS[];
extern const size_t TB_N_FIELDS;

bool tb_field_equal(const tb_field *field, const tb_choices *a, const tb_choices *b);
/* TB_EINVAL for a number out of its range or a text that is no UTF-8. */
TB_NODISCARD tb_status tb_choices_check(const tb_choices *choices, tb_error *err);

/* The fields in which `now` differs from `before`; all of them if before is NULL. */
void tb_choices_pack(tb_packer *packer, const tb_choices *now, const tb_choices *before);
/* Sets the packed fields in choices; *label is theirs if they share one, *n how many
 * they are. */
void tb_choices_unpack(tb_unpacker *unpacker, tb_choices *choices, const char **label, size_t *n);

#endif
