/* cli/main.c: tombolo VERB …: finds the verb, runs it, and says in one line what went wrong. */
#include "base/alloc.h"
#include "cli/cli.h"
#include "cli/help.h"

#include <stdio.h>
#include <string.h>

static const tb_verb *find_verb(const char *name)
{
    for (int i = 0; TB_VERBS[i]; i++)
        if (strcmp(TB_VERBS[i]->name, name) == 0)
            return TB_VERBS[i];
    return NULL;
}

static bool asks_for_help(int n_words, char **words)
{
    for (int i = 0; i < n_words && strcmp(words[i], "--") != 0; i++)
        if (strcmp(words[i], "--help") == 0 || strcmp(words[i], "-h") == 0)
            return true;
    return false;
}

static tb_status run(tb_cli *cli, int n_words, char **words, tb_error *err)
{
    const char *name = n_words > 0 ? words[0] : "--help";
    if (strcmp(name, "--help") == 0 || strcmp(name, "-h") == 0 || strcmp(name, "help") == 0) {
        const tb_verb *verb = n_words > 1 ? find_verb(words[1]) : NULL;
        return verb ? tb_help_verb(verb, err) : tb_help(err);
    }
    if (strcmp(name, "--version") == 0)
        return tb_cli_print("tombolo " TB_VERSION "\n", err);
    const tb_verb *verb = find_verb(name);
    if (!verb)
        return tb_fail(err, TB_EINVAL, "there is no verb '%.40s'; see tombolo --help", name);
    if (asks_for_help(n_words - 1, words + 1))
        return tb_help_verb(verb, err);
    return verb->run(cli, n_words - 1, words + 1, err);
}

int main(int argc, char **argv)
{
    tb_cli cli;
    tb_error err = {0};
    tb_alloc_prepare();
    tb_cli_start(&cli);
    tb_status status = run(&cli, argc - 1, argv + 1, &err);
    tb_cli_progress_end();
    if (status && err.text[0])
        fprintf(stderr, "tombolo: %s\n", err.text);
    tb_cli_end(&cli);
    return tb_cli_exit_status(status);
}
