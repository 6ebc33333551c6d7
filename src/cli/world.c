/* cli/world.c: the world around the verbs: locale, signals, processors, terminal. */
#define _GNU_SOURCE
#include "cli/cli.h"

#include "base/alloc.h"
#include "flow/custom.h"
#include "flow/local.h"
#include "flow/report.h"
#include "photo/photo.h"

#include <locale.h>
#include <sched.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { MAX_THREADS = 64, MAX_FILE_BYTES = 512000000 };

static atomic_bool stop;
static atomic_bool progress_shown; /* files are looked at side by side */

static void stop_cb(int signal)
{
    (void)signal;
    atomic_store_explicit(&stop, true, memory_order_relaxed);
}

/* The first signal asks the work to stop and clean up; a second one, of the same kind, ends it. */
static void catch_signals(void)
{
    static const int STOPPING[] = {SIGINT, SIGTERM, SIGHUP};
    struct sigaction action = {.sa_handler = stop_cb, .sa_flags = SA_RESTART | (int)SA_RESETHAND};
    sigemptyset(&action.sa_mask);
    for (size_t i = 0; i < sizeof STOPPING / sizeof STOPPING[0]; i++)
        sigaction(STOPPING[i], &action, NULL);
    /* A file that grows beyond its limit is to be an error, told in words, not the end. */
    signal(SIGXFSZ, SIG_IGN);
}

static int n_processors(void)
{
    cpu_set_t set;
    int n = sched_getaffinity(0, sizeof set, &set) == 0 ? CPU_COUNT(&set) : 1;
    return n < 1 ? 1 : n > MAX_THREADS ? MAX_THREADS : n;
}

static void progress_cb(void *payload, const char *stage, double share)
{
    (void)payload;
    fprintf(stderr, "\r\033[K%s %d %%", stage, (int)(share * 100));
    fflush(stderr);
    progress_shown = true;
}

void tb_cli_progress_end(void)
{
    if (progress_shown)
        fputs("\r\033[K", stderr);
    progress_shown = false;
}

void tb_cli_start(tb_cli *cli)
{
    tb_local_start();
    /* Not LC_NUMERIC: what is written here is read by programs, too. */
    static const int CATEGORIES[] = {LC_CTYPE, LC_MEASUREMENT, LC_PAPER};
    for (size_t i = 0; i < sizeof CATEGORIES / sizeof CATEGORIES[0]; i++)
        setlocale(CATEGORIES[i], "");
    const char *no_color = getenv("NO_COLOR"), *term = getenv("TERM");
    bool terminal = term && strcmp(term, "dumb") != 0;
    catch_signals();
    *cli = (tb_cli){.unit = tb_custom_unit(), .paper = tb_custom_paper()};
    cli->job = (tb_job){.n_threads = n_processors(), .stop = &stop};
    if (terminal && isatty(STDERR_FILENO))
        cli->job.progress_cb = progress_cb;
    cli->colour = terminal && isatty(STDOUT_FILENO) && !(no_color && *no_color);
}

void tb_cli_end(tb_cli *cli)
{
    if (cli->pictures)
        tb_photo_stop();
}

tb_status tb_cli_pictures(tb_cli *cli, tb_error *err)
{
    if (cli->pictures)
        return TB_OK;
    tb_status status = tb_photo_start(cli->job.n_threads, err);
    cli->pictures = !status;
    return status;
}

tb_status tb_cli_name_file(tb_error *err, const char *path)
{
    tb_error why = *err;
    if (strstr(why.text, path))
        return why.code;
    return tb_fail(err, why.code, "%.100s: %.130s", path, why.text);
}

tb_status tb_cli_read_file(uint8_t **bytes, size_t *n_bytes, const char *path, tb_error *err)
{
    tb_status status = tb_file_read(bytes, n_bytes, path, MAX_FILE_BYTES, err);
    return status ? tb_cli_name_file(err, path) : TB_OK;
}

tb_status tb_cli_print(const char *text, tb_error *err)
{
    if (fputs(text, stdout) == EOF || fflush(stdout) == EOF)
        return tb_fail(err, TB_EWRITE, "standard output can't be written");
    return TB_OK;
}

tb_status tb_cli_print_json(const json_t *value, bool one_line, tb_error *err)
{
    char *text;
    tb_status status = tb_json_text(&text, value, one_line, err);
    if (!status)
        status = tb_cli_print(text, err);
    free(text);
    return status;
}

int tb_cli_exit_status(tb_status status)
{
    switch (status) {
    case TB_OK:
        return 0;
    case TB_EUNSAWABLE:
        return 1;
    case TB_EINVAL:
        return 2;
    case TB_EREAD:
    case TB_ENOMEM:
    case TB_EBUSY:
    case TB_ENEWER:
        return 3;
    case TB_EWRITE:
    case TB_EEXIST:
        return 4;
    case TB_ECANCELLED:
        return 128 + SIGINT;
    }
    return 3;
}

double tb_cli_now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6;
}
