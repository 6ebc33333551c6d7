/* cli/help.c: see help.h. */
#include "cli/help.h"

#include <stdio.h>
#include <string.h>

static tb_status finish(tb_error *err)
{
    return tb_cli_print("", err);
}

tb_status tb_help(tb_error *err)
{
    printf("tombolo VERB …: patterns for scroll-saw portraits, from a photograph to the board\n\n");
    for (int i = 0; TB_VERBS[i]; i++)
        printf("  %-9s %s\n", TB_VERBS[i]->name, TB_VERBS[i]->summary);
    printf("\ntombolo VERB --help tells all about a verb, tombolo --version which version this "
           "is.\n"
           "\n"
           "Lengths are written 200mm, 20cm, 8in or 7 1/2in; bare numbers are millimetres or\n"
           "inches as your locale (LC_MEASUREMENT) has it. No file is replaced without --force.\n"
           "\n"
           "Exit status: 0 it can be sawn, or done; 1 findings that must be mended; 2 wrong "
           "usage;\n"
           "3 input that can't be read or is refused; 4 output that could not be written.\n");
    return finish(err);
}

static void print_option(const tb_arg *arg)
{
    enum { COLUMN = 28 };
    tb_arg_usage usage = tb_arg_usage_of(arg);
    if (strlen(usage.text) < COLUMN)
        printf("  %-*s%s", COLUMN, usage.text, arg->help);
    else
        printf("  %s\n  %*s%s", usage.text, COLUMN, "", arg->help);
    putchar('\n');
}

tb_status tb_help_verb(const tb_verb *verb, tb_error *err)
{
    static const tb_arg HELP = {.name = "help", .letter = 'h', .help = "show this"};
    printf("tombolo %s %s\n\n%s\n\n", verb->name, verb->words, verb->text);
    for (const tb_arg *arg = verb->options; arg->name; arg++)
        print_option(arg);
    print_option(&HELP);
    return finish(err);
}
