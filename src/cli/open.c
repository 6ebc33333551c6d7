/* cli/open.c: tombolo open: hands over to the desktop app. */
#define _POSIX_C_SOURCE 200809L
#include "cli/verbs.h"

#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#define APP "tombolo-bench"

static const tb_arg OPTIONS[] = {{.name = NULL}};

/* The app as it lies beside this program, installed or in the build folder; "" when it does not. */
static void find_beside(char path[PATH_MAX])
{
    static const char *const PLACES[] = {"/" APP, "/../app/" APP};
    char self[PATH_MAX];
    ssize_t n = readlink("/proc/self/exe", self, sizeof self - 1);
    self[n > 0 ? n : 0] = '\0';
    char *slash = strrchr(self, '/');
    for (size_t i = 0; slash && i < sizeof PLACES / sizeof *PLACES; i++) {
        *slash = '\0';
        if (snprintf(path, PATH_MAX, "%s%s", self, PLACES[i]) < PATH_MAX && !access(path, X_OK))
            return;
    }
    *path = '\0';
}

static tb_status run(tb_cli *cli, int n_words, char **words, tb_error *err)
{
    int n;
    tb_status status = tb_args_read(NULL, &n, OPTIONS, n_words, words, cli->unit, err);
    if (status)
        return status;
    if (n > 1)
        return tb_fail(err, TB_EINVAL, "give one file to open, or none");
    char app[] = APP, beside[PATH_MAX];
    char *args[] = {app, n == 1 ? words[0] : NULL, NULL};
    find_beside(beside);
    if (*beside)
        execv(beside, args);
    execvp(APP, args);
    if (errno == ENOENT)
        return tb_fail(err, TB_EREAD, "the desktop app (" APP ") is not installed");
    return tb_fail(err, TB_EREAD, APP " can't be started: %s", strerror(errno));
}

const tb_verb TB_VERB_OPEN = {
        .name = "open",
        .words = "[FILE]",
        .summary = "open the bench, the desktop app",
        .text = "Opens a photograph, a pattern or a project on the bench, or the bench alone.",
        .options = OPTIONS,
        .run = run,
};
