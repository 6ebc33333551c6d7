/* cli/docs.c: writes the man page and the shells' completions, from the tables that the tool itself
 * reads its words by. Runs when the tool is built and is not installed.
 *
 *     docs man > tombolo.1        docs bash > tombolo
 *     docs zsh > _tombolo         docs fish > tombolo.fish
 */
#include "cli/cli.h"
#include "facts/blade.h"
#include "facts/paper.h"
#include "facts/stock.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

/* ---- man page ------------------------------------------------------------------------------- */

/* Text as roff has to have it: dashes that can be typed, no line that looks like a command. */
static void put_roff(const char *text, size_t n)
{
    if (n > 0 && (text[0] == '.' || text[0] == '\''))
        fputs("\\&", stdout);
    for (size_t i = 0; i < n; i++)
        if (text[i] == '-')
            fputs("\\-", stdout);
        else if (text[i] == '\\')
            fputs("\\e", stdout);
        else
            putchar(text[i]);
}

/* A blank line parts paragraphs; indented lines stay as they are. */
static void man_text(const char *text)
{
    bool verbatim = false;
    for (const char *line = text; *line;) {
        size_t n = strcspn(line, "\n");
        bool indented = n > 0 && line[0] == ' ';
        if (indented != verbatim)
            puts(indented ? ".nf" : ".fi");
        verbatim = indented;
        if (n == 0) {
            puts(".PP");
        } else {
            put_roff(line, n);
            putchar('\n');
        }
        line += n + (line[n] == '\n');
    }
    if (verbatim)
        puts(".fi");
}

static void man_option(const tb_arg *arg)
{
    puts(".TP");
    if (arg->letter)
        printf(".BR \\-%c \", \" \\-\\-", arg->letter);
    else
        fputs(".BR \\-\\-", stdout);
    put_roff(arg->name, strlen(arg->name));
    if (arg->value) {
        fputs(" \" \\fI", stdout);
        put_roff(arg->value, strlen(arg->value));
        fputs("\\fR\"", stdout);
    }
    putchar('\n');
    int first = (unsigned char)arg->help[0];
    putchar(first < 0x80 ? toupper(first) : first);
    put_roff(arg->help + 1, strlen(arg->help) - 1);
    puts(".");
}

static void man_verb(const tb_verb *verb)
{
    fputs(".SS tombolo ", stdout);
    put_roff(verb->name, strlen(verb->name));
    if (verb->words[0]) {
        putchar(' ');
        put_roff(verb->words, strlen(verb->words));
    }
    putchar('\n');
    man_text(verb->text);
    for (const tb_arg *arg = verb->options; arg->name; arg++)
        man_option(arg);
}

static void man(void)
{
    puts(".TH TOMBOLO 1 \"\" \"tombolo " TB_VERSION "\" \"User Commands\"\n"
         ".SH NAME\n"
         "tombolo \\- patterns for scroll\\-saw portraits, from a photograph to the board\n"
         ".SH SYNOPSIS\n"
         ".B tombolo\n"
         ".I VERB\n"
         ".RI [ OPTION \"]... [\" FILE ]...\n"
         ".SH DESCRIPTION\n"
         "Takes a photograph and hands over a pattern of two tones that another person can glue "
         "to\n"
         "a board, saw, and hang up: wood that stays in one piece, and openings that show a dark\n"
         "backer. Measures patterns by anybody, too, and says where they would fail at the saw.\n"
         ".PP\n"
         "Lengths are written 200mm, 20cm, 8in or 7 1/2in. Bare numbers are millimetres or inches\n"
         "as the locale has it. No file is replaced without\n"
         ".BR \\-\\-force ,\n"
         "and files appear whole or not at all.\n"
         ".SH VERBS");
    for (int i = 0; TB_VERBS[i]; i++)
        man_verb(TB_VERBS[i]);
    puts(".SH EXIT STATUS\n"
         ".TP\n.B 0\nIt can be sawn, or: done.\n"
         ".TP\n.B 1\nFindings that must be mended, or a photograph that gives no pattern.\n"
         ".TP\n.B 2\nWrong usage.\n"
         ".TP\n.B 3\nInput that can't be read or is refused.\n"
         ".TP\n.B 4\nOutput that could not be written.\n"
         ".TP\n.B 130\nStopped by a signal; nothing was written.\n"
         ".SH ENVIRONMENT\n"
         ".TP\n.BR LC_MESSAGES \", \" LANGUAGE \", \" LC_NUMERIC\n"
         "The language of sheets and share copies, and their decimal mark.\n"
         ".TP\n.BR LC_MEASUREMENT \", \" LC_PAPER\n"
         "The unit of bare lengths, and the paper of sheets. In the plain C locale they are\n"
         "millimetres and A4.\n"
         ".TP\n.B NO_COLOR\nWhen set and not empty, nothing is printed in colour.\n"
         ".SH CAUTIONS\n"
         "Strength figures are estimates and do not make a fragile part safe to force. Follow the\n"
         "saw's manual and local rules, protect eyes and lungs, and unplug before threading a\n"
         "blade. Ask the photographer and the person shown for permission.");
}

/* ---- completion ----------------------------------------------------------------------------- */

typedef enum { NO_VALUE, ANY_VALUE, WORD, A_FOLDER, A_FILE } value_kind;

static value_kind kind_of(const tb_arg *arg)
{
    static const char *const FILES[] = {"FILE", "PHOTO", "PNG", "OUT.pdf|OUT.png"};
    if (!arg->value)
        return NO_VALUE;
    if (strcmp(arg->value, "DIR") == 0)
        return A_FOLDER;
    for (size_t i = 0; i < sizeof FILES / sizeof *FILES; i++)
        if (strcmp(arg->value, FILES[i]) == 0)
            return A_FILE;
    bool named = strcmp(arg->name, "paper") == 0 || strcmp(arg->name, "blade") == 0 ||
                 strcmp(arg->name, "stock") == 0;
    return arg->kind == TB_ARG_CHOICE || named ? WORD : ANY_VALUE;
}

/* What the value may be, with a blank between. */
static void put_words(const tb_arg *arg)
{
    tb_stock stock;
    if (arg->kind == TB_ARG_CHOICE) {
        for (int i = 0; arg->choices[i]; i++)
            printf("%s%s", i ? " " : "", arg->choices[i]);
    } else if (strcmp(arg->name, "paper") == 0) {
        for (int i = 0; tb_paper_at(i); i++)
            printf("%s%s", i ? " " : "", tb_paper_at(i)->name);
    } else if (strcmp(arg->name, "blade") == 0) {
        for (int i = 0; tb_blade_at(i); i++)
            printf("%s%s", i ? " " : "", tb_blade_at(i)->name);
    } else if (strcmp(arg->name, "stock") == 0) {
        for (int i = 0; tb_stock_at(i, &stock); i++)
            printf("%s%s", i ? " " : "", stock.name);
    }
}

/* text within '…', with a backslash before each of `special`. */
static void put_quoted(const char *text, const char *special)
{
    for (; *text; text++) {
        if (*text == '\'')
            fputs("'\\'", stdout);
        else if (strchr(special, *text))
            putchar('\\');
        putchar(*text);
    }
}

/* ---- Bash ---- */

static void bash_value(const tb_arg *arg)
{
    value_kind kind = kind_of(arg);
    if (kind == NO_VALUE)
        return;
    fputs("            ", stdout);
    if (arg->letter)
        printf("-%c | ", arg->letter);
    printf("--%s) ", arg->name);
    if (kind == A_FOLDER || kind == A_FILE) {
        printf("COMPREPLY=($(compgen -%c -- \"$current\")); return ;;\n",
                kind == A_FOLDER ? 'd' : 'f');
        return;
    }
    fputs("COMPREPLY=($(compgen -W '", stdout);
    put_words(arg);
    puts("' -- \"$current\")); return ;;");
}

static void bash_verb(const tb_verb *verb)
{
    printf("    %s)\n        options='--help", verb->name);
    for (const tb_arg *arg = verb->options; arg->name; arg++)
        printf(" --%s", arg->name);
    puts("'\n        case $previous in");
    for (const tb_arg *arg = verb->options; arg->name; arg++)
        bash_value(arg);
    puts("        esac\n        ;;");
}

static void bash(void)
{
    puts("# Completion of tombolo for Bash, made from the tool's own tables.\n"
         "# shellcheck shell=bash disable=SC2207\n"
         "_tombolo() {\n"
         "    local current=${COMP_WORDS[COMP_CWORD]} previous=${COMP_WORDS[COMP_CWORD - 1]}\n"
         "    local options=''\n"
         "    COMPREPLY=()\n"
         "    if [ \"$COMP_CWORD\" -eq 1 ]; then");
    fputs("        COMPREPLY=($(compgen -W '--help --version", stdout);
    for (int i = 0; TB_VERBS[i]; i++)
        printf(" %s", TB_VERBS[i]->name);
    puts("' -- \"$current\"))\n"
         "        return\n"
         "    fi\n"
         "    case ${COMP_WORDS[1]} in");
    for (int i = 0; TB_VERBS[i]; i++)
        bash_verb(TB_VERBS[i]);
    puts("    esac\n"
         "    case $current in\n"
         "    -*) COMPREPLY=($(compgen -W \"$options\" -- \"$current\")) ;;\n"
         "    *) COMPREPLY=($(compgen -f -- \"$current\")) ;;\n"
         "    esac\n"
         "}\n"
         "complete -o filenames -F _tombolo tombolo");
}

/* ---- zsh ---- */

static void zsh_option(const tb_arg *arg)
{
    static const char SPECIAL[] = "[]:\\";
    value_kind kind = kind_of(arg);
    fputs("            ", stdout);
    if (arg->letter)
        printf("'(-%c --%s)'{-%c+,--%s=}'[", arg->letter, arg->name, arg->letter, arg->name);
    else
        printf("'--%s%s[", arg->name, kind == NO_VALUE ? "" : "=");
    put_quoted(arg->help, SPECIAL);
    putchar(']');
    if (kind != NO_VALUE) {
        putchar(':');
        put_quoted(arg->value, SPECIAL);
        putchar(':');
    }
    if (kind == A_FOLDER || kind == A_FILE) {
        fputs(kind == A_FOLDER ? "_files -/" : "_files", stdout);
    } else if (kind == WORD) {
        putchar('(');
        put_words(arg);
        putchar(')');
    }
    puts("' \\");
}

static void zsh(void)
{
    puts("#compdef tombolo\n"
         "# Completion of tombolo for zsh, made from the tool's own tables.\n"
         "_tombolo() {\n"
         "    local -a verbs\n"
         "    if (( CURRENT == 2 )); then\n"
         "        verbs=(");
    for (int i = 0; TB_VERBS[i]; i++) {
        printf("            '%s:", TB_VERBS[i]->name);
        put_quoted(TB_VERBS[i]->summary, ":\\");
        puts("'");
    }
    puts("        )\n"
         "        _describe verb verbs\n"
         "        _arguments '--help[show all verbs]' '--version[show the version]'\n"
         "        return\n"
         "    fi\n"
         "    local verb=${words[2]}\n"
         "    words=(\"${(@)words[2,-1]}\")\n"
         "    (( CURRENT-- ))\n"
         "    case $verb in");
    for (int i = 0; TB_VERBS[i]; i++) {
        printf("    %s)\n        _arguments -S \\\n", TB_VERBS[i]->name);
        for (const tb_arg *arg = TB_VERBS[i]->options; arg->name; arg++)
            zsh_option(arg);
        puts("            '(-h --help)'{-h,--help}'[show this]' \\\n"
             "            '*:file:_files'\n"
             "        ;;");
    }
    puts("    esac\n"
         "}\n"
         "_tombolo \"$@\"");
}

/* ---- fish ---- */

static void fish_option(const tb_verb *verb, const tb_arg *arg)
{
    value_kind kind = kind_of(arg);
    printf("complete -c tombolo -n '__fish_seen_subcommand_from %s' -l %s", verb->name, arg->name);
    if (arg->letter)
        printf(" -s %c", arg->letter);
    if (kind == A_FILE) {
        fputs(" -r", stdout);
    } else if (kind == A_FOLDER) {
        fputs(" -x -a '(__fish_complete_directories)'", stdout);
    } else if (kind != NO_VALUE) {
        fputs(" -x", stdout);
    }
    if (kind == WORD) {
        fputs(" -a '", stdout);
        put_words(arg);
        putchar('\'');
    }
    fputs(" -d '", stdout);
    for (const char *c = arg->help; *c; c++) {
        if (*c == '\'' || *c == '\\')
            putchar('\\');
        putchar(*c);
    }
    puts("'");
}

static void fish(void)
{
    puts("# Completion of tombolo for fish, made from the tool's own tables.");
    for (int i = 0; TB_VERBS[i]; i++)
        printf("complete -c tombolo -f -n __fish_use_subcommand -a %s -d '%s'\n", TB_VERBS[i]->name,
                TB_VERBS[i]->summary);
    puts("complete -c tombolo -n __fish_use_subcommand -l version -d 'show the version'\n"
         "complete -c tombolo -s h -l help -d 'show this'");
    for (int i = 0; TB_VERBS[i]; i++)
        for (const tb_arg *arg = TB_VERBS[i]->options; arg->name; arg++)
            fish_option(TB_VERBS[i], arg);
}

int main(int argc, char **argv)
{
    static const struct {
        const char *name;
        void (*write)(void);
    } DOCUMENTS[] = {{"man", man}, {"bash", bash}, {"zsh", zsh}, {"fish", fish}};
    for (size_t i = 0; i < sizeof DOCUMENTS / sizeof *DOCUMENTS; i++)
        if (argc == 2 && strcmp(argv[1], DOCUMENTS[i].name) == 0) {
            DOCUMENTS[i].write();
            return fflush(stdout) == 0 ? 0 : 1;
        }
    return 2;
}
