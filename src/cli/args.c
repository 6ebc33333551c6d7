/* cli/args.c: see args.h. */
#include "cli/args.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* The option that a word names; *value is what follows "=" or the letter, else NULL. */
static const tb_arg *find(const tb_arg *table, const char *word, const char **value)
{
    const char *equals = strchr(word, '=');
    size_t n = equals ? (size_t)(equals - word) : strlen(word);
    bool is_long = word[1] == '-';
    *value = NULL;
    for (const tb_arg *arg = table; arg->name; arg++) {
        if (is_long && strlen(arg->name) == n - 2 && strncmp(arg->name, word + 2, n - 2) == 0) {
            *value = equals ? equals + 1 : NULL;
            return arg;
        }
        if (!is_long && arg->letter && word[1] == arg->letter) {
            *value = word[2] ? word + 2 : NULL;
            return arg;
        }
    }
    return NULL;
}

static tb_status read_number(
        double *number, const tb_arg *arg, const char *text, bool whole, tb_error *err)
{
    const char *end;
    if (!tb_num_read(text, &end, number) || *end || (whole && *number != floor(*number)))
        return tb_fail(err, TB_EINVAL, "--%s: '%.60s' is no %s", arg->name, text,
                whole ? "whole number" : "number");
    if (*number < arg->least || *number > arg->most)
        return tb_fail(err, TB_EINVAL, "--%s: %.60s lies outside %s to %s", arg->name, text,
                tb_num_of(arg->least, 3).text, tb_num_of(arg->most, 3).text);
    return TB_OK;
}

static tb_status read_choice(int *index, const tb_arg *arg, const char *text, tb_error *err)
{
    char list[120] = "";
    for (int i = 0; arg->choices[i]; i++) {
        if (strcmp(arg->choices[i], text) == 0) {
            *index = i;
            return TB_OK;
        }
        size_t n = strlen(list);
        snprintf(list + n, sizeof list - n, "%s%s", i ? ", " : "", arg->choices[i]);
    }
    return tb_fail(err, TB_EINVAL, "--%s: '%.40s' is none of %s", arg->name, text, list);
}

static tb_status read_length(
        double *mm, const tb_arg *arg, const char *text, tb_unit unit, tb_error *err)
{
    tb_error why;
    tb_status status = tb_length_parse(mm, text, unit, &why);
    return status ? tb_fail(err, status, "--%s: %.200s", arg->name, why.text) : TB_OK;
}

static tb_status read_value(
        void *values, const tb_arg *arg, const char *text, tb_unit unit, tb_error *err)
{
    void *at = (char *)values + arg->offset;
    double number;
    tb_status status = TB_OK;
    switch (arg->kind) {
    case TB_ARG_SWITCH:
        *(bool *)at = true;
        break;
    case TB_ARG_TEXT:
        *(const char **)at = text;
        break;
    case TB_ARG_LENGTH:
        status = read_length(at, arg, text, unit, err);
        break;
    case TB_ARG_NUMBER:
        status = read_number(at, arg, text, false, err);
        break;
    case TB_ARG_COUNT:
        status = read_number(&number, arg, text, true, err);
        if (!status)
            *(int *)at = (int)number;
        break;
    case TB_ARG_CHOICE:
        status = read_choice(at, arg, text, err);
        break;
    }
    return status;
}

tb_status tb_args_read(void *values, int *n_plain, const tb_arg *table, int n_words, char **words,
        tb_unit unit, tb_error *err)
{
    bool options = true;
    *n_plain = 0;
    for (int i = 0; i < n_words; i++) {
        char *word = words[i];
        const char *value;
        if (!options || word[0] != '-' || word[1] == '\0') {
            words[(*n_plain)++] = word;
            continue;
        }
        if (strcmp(word, "--") == 0) {
            options = false;
            continue;
        }
        const tb_arg *arg = find(table, word, &value);
        if (!arg)
            return tb_fail(err, TB_EINVAL, "there is no option %.60s", word);
        if (arg->kind == TB_ARG_SWITCH && value)
            return tb_fail(err, TB_EINVAL, "--%s takes no value", arg->name);
        if (arg->kind != TB_ARG_SWITCH && !value) {
            if (i + 1 == n_words)
                return tb_fail(err, TB_EINVAL, "--%s wants a value: --%s %s", arg->name, arg->name,
                        arg->value);
            value = words[++i];
        }
        tb_status status = read_value(values, arg, value, unit, err);
        if (status)
            return status;
    }
    return TB_OK;
}

tb_arg_usage tb_arg_usage_of(const tb_arg *arg)
{
    tb_arg_usage out;
    char letter[8] = "    ";
    if (arg->letter)
        snprintf(letter, sizeof letter, "-%c, ", arg->letter);
    snprintf(out.text, sizeof out.text, "%s--%s%s%s", letter, arg->name, arg->value ? " " : "",
            arg->value ? arg->value : "");
    return out;
}
