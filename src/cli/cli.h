/* cli/cli.h: what the verbs of the command line share.
 *
 * A verb is one file that defines one tb_verb; verbs.c lists them. main.c reads nothing but the
 * verb's name, --help and --version, runs the verb and turns what came of it into one line on
 * stderr and an exit status.
 */
#ifndef TB_CLI_CLI_H
#define TB_CLI_CLI_H

#include "base/job.h"
#include "base/num.h"
#include "cli/args.h"

#include <jansson.h>
#include <stdint.h>

typedef struct {
    tb_job job;        /* all processors; SIGINT, SIGTERM and SIGHUP stop it */
    tb_unit unit;      /* of bare lengths, by LC_MEASUREMENT */
    const char *paper; /* name of a row of facts/paper.h, by LC_PAPER */
    bool colour;       /* stdout is a terminal that shows colours, and NO_COLOR is not set */
    bool pictures;     /* libvips has been started */
} tb_cli;

typedef struct {
    const char *name;
    const char *words;     /* "PHOTO -o DIR", behind the name in its usage */
    const char *summary;   /* one line, lower case, without a full stop */
    const char *text;      /* the paragraphs of its help, wrapped at 78 columns */
    const tb_arg *options; /* --json and --help are added by tb_cli_read() and main.c */
    /* words stand behind the verb's name. TB_EUNSAWABLE with an empty err->text: said already. */
    tb_status (*run)(tb_cli *cli, int n_words, char **words, tb_error *err);
} tb_verb;

/* Ends in NULL. */
extern const tb_verb *const TB_VERBS[];

/* The shared tail of every table of options: where in the verb's struct they go. */
#define TB_ARGS_COMMON(type)                                                                       \
    {.name = "json",                                                                               \
            .kind = TB_ARG_SWITCH,                                                                 \
            .offset = offsetof(type, json),                                                        \
            .help = "write what is known as JSON to standard output"},                             \
    {                                                                                              \
        .name = NULL                                                                               \
    }

/* ---- world.c: the world around ---- */

/* Locale, signals, processors, terminal. */
void tb_cli_start(tb_cli *cli);
void tb_cli_end(tb_cli *cli);

/* Starts libvips at its first call. */
TB_NODISCARD tb_status tb_cli_pictures(tb_cli *cli, tb_error *err);

/* Reads a file; the error names it. */
TB_NODISCARD tb_status tb_cli_read_file(
        uint8_t **bytes, size_t *n_bytes, const char *path, tb_error *err);

/* Puts "path: " before the text of an error that does not name it. Returns its code. */
tb_status tb_cli_name_file(tb_error *err, const char *path);

/* Ends the line of progress on the terminal, if there is one. */
void tb_cli_progress_end(void);

/* Writes to standard output. TB_EWRITE. */
TB_NODISCARD tb_status tb_cli_print(const char *text, tb_error *err);
TB_NODISCARD tb_status tb_cli_print_json(const json_t *value, bool one_line, tb_error *err);

/* The exit status for what came of a verb: the one place that knows. */
int tb_cli_exit_status(tb_status status);

double tb_cli_now_ms(void);

#endif
