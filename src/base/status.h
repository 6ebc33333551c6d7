/* base/status.h: how a function says that it could not do its work.
 *
 * Every fallible function returns a tb_status and takes a caller-owned tb_error last, which may
 * be NULL. The text is set once, where the failure is detected, and passed on unchanged. It is one
 * impersonal line for the person at the tool, without a full stop and without a line break.
 */
#ifndef TB_BASE_STATUS_H
#define TB_BASE_STATUS_H

#define TB_NODISCARD __attribute__((warn_unused_result))
#define TB_PRINTF(text, first) __attribute__((format(printf, text, first)))

typedef enum {
    TB_OK = 0,
    TB_EINVAL = -1,     /* an argument or a setting that makes no sense */
    TB_ENOMEM = -2,     /* memory ran out */
    TB_ECANCELLED = -3, /* the job was told to stop */
    TB_EREAD = -4,      /* a file is missing, unreadable, damaged or of a refused kind */
    TB_EWRITE = -5,     /* a file could not be written whole */
    TB_EEXIST = -6,     /* an output exists and may not be replaced */
    TB_EUNSAWABLE = -7, /* no pattern that can be sawn comes of this picture */
    TB_EBUSY = -8,      /* somebody else holds the project */
    TB_ENEWER = -9,     /* the project was written by a newer version */
} tb_status;

typedef struct {
    tb_status code;
    char text[320];
} tb_error;

/* Fills err (if not NULL) and returns code, so that `return tb_fail(err, TB_EINVAL, "…")` works.
 * The format is printed with the C library: numbers with decimals must be made by base/num.h.
 * A macro, so that the compiler and the analyser see which code comes back. */
#define tb_fail(err, code, ...) (tb__fail(err, code, __VA_ARGS__), tb__code(code))

void tb__fail(tb_error *err, tb_status code, const char *format, ...) TB_PRINTF(3, 4);

static inline tb_status tb__code(tb_status code)
{
    return code;
}

/* The two failures that need no words of their own. */
static inline tb_status tb_fail_memory(tb_error *err)
{
    return tb_fail(err, TB_ENOMEM, "not enough memory for this picture at this size");
}

static inline tb_status tb_fail_cancelled(tb_error *err)
{
    return tb_fail(err, TB_ECANCELLED, "stopped");
}

#endif
