/* cli/args.h: options from a table.
 *
 * One table for each verb says everything about its options: how they are read, where the value
 * goes, and the words for --help, the man page and the shell's completion. Options may stand
 * before, between and behind the other words; "--" ends them; "--width 8in", "--width=8in" and,
 * with a letter, "-o DIR" and "-oDIR" are the same to us.
 */
#ifndef TB_CLI_ARGS_H
#define TB_CLI_ARGS_H

#include "base/num.h"
#include "base/status.h"

#include <stdbool.h>
#include <stddef.h>

typedef enum {
    TB_ARG_SWITCH, /* bool: true where it stands */
    TB_ARG_TEXT,   /* const char *: borrowed from the words */
    TB_ARG_LENGTH, /* double: millimetres */
    TB_ARG_NUMBER, /* double: within least … most */
    TB_ARG_COUNT,  /* int: whole, within least … most */
    TB_ARG_CHOICE  /* int: index into choices */
} tb_arg_kind;

typedef struct {
    const char *name; /* without the dashes; NULL ends a table */
    char letter;      /* 0: none */
    tb_arg_kind kind;
    size_t offset;              /* of the value in the verb's own struct */
    const char *value;          /* what --help calls it: "LENGTH"; NULL for a switch */
    const char *help;           /* one line, lower case, without a full stop */
    double least, most;         /* TB_ARG_NUMBER and TB_ARG_COUNT */
    const char *const *choices; /* TB_ARG_CHOICE: ends in NULL */
} tb_arg;

/* Reads words into values; moves what is no option to the front of words and counts it in
 * *n_plain. Bare lengths are in unit. TB_EINVAL names the option. */
TB_NODISCARD tb_status tb_args_read(void *values, int *n_plain, const tb_arg *table, int n_words,
        char **words, tb_unit unit, tb_error *err);

/* "  -o, --output DIR" for lists; width counts the characters. */
typedef struct {
    char text[80];
} tb_arg_usage;
tb_arg_usage tb_arg_usage_of(const tb_arg *arg);

#endif
