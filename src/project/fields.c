/* project/fields.c: see fields.h. */
#include "project/fields.h"

#include "base/num.h"
#include "pattern/plan.h"

#include <math.h>
#include <string.h>

#define FIELD(kind_, member, name_, label_, least_, most_)                                         \
    {                                                                                              \
        .name = name_, .label = label_, .kind = TB_FIELD_##kind_,                                  \
        .offset = offsetof(tb_choices, member), .room = sizeof((tb_choices *)0)->member,           \
        .least = least_, .most = most_                                                             \
    }
#define TEXT(member, name_, label_) FIELD(TEXT, member, name_, label_, 0, 0)

const tb_field TB_FIELDS[] = {
        FIELD(REAL, settings.width_mm, "width_mm", "size", 0, 20000),
        FIELD(REAL, settings.height_mm, "height_mm", "size", 0, 20000),
        FIELD(REAL, settings.crop_x, "crop_x", "crop", -10, 10),
        FIELD(REAL, settings.crop_y, "crop_y", "crop", -10, 10),
        FIELD(REAL, settings.crop_w, "crop_w", "crop", 0, 10),
        FIELD(REAL, settings.crop_h, "crop_h", "crop", 0, 10),
        FIELD(REAL, settings.turn_rad, "turn_rad", "straightening", -7, 7),
        FIELD(REAL, settings.px_per_mm, "px_per_mm", "fineness", 0.1, 1000),
        FIELD(REAL, settings.frame_mm, "frame_mm", "frame", 0, 1000),
        FIELD(REAL, settings.darkness, "darkness", "darkness", -100, 100),
        FIELD(WHOLE, settings.detail, "detail", "detail", TB_DETAIL_FINE, TB_DETAIL_BOLD),
        FIELD(REAL, settings.evening, "evening", "evening of light", -1, 1),
        FIELD(REAL, settings.lines, "lines", "lines", 0, 10),
        TEXT(settings.stock, "stock", "stock"),
        TEXT(settings.blade, "blade", "blade"),
        FIELD(REAL, settings.grain_rad, "grain_rad", "grain", -7, 7),
        FIELD(REAL, settings.bridge_mm, "bridge_mm", "bridge width", 0, 1000),
        FIELD(WHOLE, settings.split_line, "split_line", "splitting the line", 0, 1),
        FIELD(WHOLE, settings.saw_order, "saw_order", "order of sawing", 0, TB_N_ORDERS - 1),
        FIELD(WHOLE, settings.drawn, "drawn", "keeping as drawn", 0, 1),
        FIELD(WHOLE, settings.tie, "tie", "tying of loose pieces", 0, 1),
        TEXT(settings.paper, "paper", "paper"),
        TEXT(words.title, "title", "title"),
        TEXT(words.designer, "designer", "designer"),
        TEXT(words.credit, "credit", "credit"),
        TEXT(words.permission, "permission", "permission"),
};
const size_t TB_N_FIELDS = sizeof TB_FIELDS / sizeof *TB_FIELDS;

static double real_of(const tb_field *field, const tb_choices *choices)
{
    double real;
    int whole;
    const char *at = (const char *)choices + field->offset;
    if (field->kind == TB_FIELD_REAL) {
        memcpy(&real, at, sizeof real);
        return real;
    }
    memcpy(&whole, at, sizeof whole);
    return whole;
}

static const char *text_of(const tb_field *field, const tb_choices *choices)
{
    return (const char *)choices + field->offset;
}

bool tb_field_equal(const tb_field *field, const tb_choices *a, const tb_choices *b)
{
    if (field->kind == TB_FIELD_TEXT)
        return strncmp(text_of(field, a), text_of(field, b), field->room) == 0;
    return real_of(field, a) == real_of(field, b);
}

tb_status tb_choices_check(const tb_choices *choices, tb_error *err)
{
    for (size_t i = 0; i < TB_N_FIELDS; i++) {
        const tb_field *f = &TB_FIELDS[i];
        if (f->kind == TB_FIELD_TEXT) {
            const char *text = text_of(f, choices);
            if (!memchr(text, 0, f->room) || !tb_text_fits(text, f->room))
                return tb_fail(err, TB_EINVAL, "%s: too long, or no UTF-8", f->name);
            continue;
        }
        double value = real_of(f, choices);
        if (!(value >= f->least && value <= f->most))
            return tb_fail(err, TB_EINVAL, "%s: %s is not within %s to %s", f->name,
                    tb_num_of(value, 3).text, tb_num_of(f->least, 3).text,
                    tb_num_of(f->most, 3).text);
    }
    return TB_OK;
}

void tb_choices_pack(tb_packer *packer, const tb_choices *now, const tb_choices *before)
{
    size_t n = 0;
    for (size_t i = 0; i < TB_N_FIELDS; i++)
        n += !before || !tb_field_equal(&TB_FIELDS[i], now, before);
    tb_pack_uint(packer, n);
    for (size_t i = 0; i < TB_N_FIELDS; i++) {
        const tb_field *f = &TB_FIELDS[i];
        if (before && tb_field_equal(f, now, before))
            continue;
        tb_pack_text(packer, f->name);
        if (f->kind == TB_FIELD_TEXT)
            tb_pack_text(packer, text_of(f, now));
        else if (f->kind == TB_FIELD_REAL)
            tb_pack_real(packer, real_of(f, now));
        else
            tb_pack_int(packer, (int64_t)real_of(f, now));
    }
}

static void unpack_field(tb_unpacker *in, const tb_field *f, tb_choices *choices)
{
    char *at = (char *)choices + f->offset;
    double real = 0;
    if (f->kind == TB_FIELD_TEXT) {
        tb_unpack_text(in, at, f->room);
        return;
    }
    if (f->kind == TB_FIELD_REAL)
        real = tb_unpack_real(in);
    else
        real = (double)tb_unpack_int(in);
    if (!(real >= f->least && real <= f->most)) {
        in->failed = true;
        return;
    }
    int whole = (int)real;
    if (f->kind == TB_FIELD_REAL)
        memcpy(at, &real, sizeof real);
    else
        memcpy(at, &whole, sizeof whole);
}

void tb_choices_unpack(tb_unpacker *in, tb_choices *choices, const char **label, size_t *n)
{
    char name[TB_NAME_ROOM];
    *label = "settings";
    *n = (size_t)tb_unpack_uint(in, TB_N_FIELDS);
    for (size_t i = 0; i < *n && !in->failed; i++) {
        tb_unpack_text(in, name, sizeof name);
        const tb_field *field = NULL;
        for (size_t k = 0; k < TB_N_FIELDS && !field; k++)
            if (strcmp(TB_FIELDS[k].name, name) == 0)
                field = &TB_FIELDS[k];
        if (!field) {
            in->failed = true;
            return;
        }
        *label = i == 0 || strcmp(*label, field->label) == 0 ? field->label : "settings";
        unpack_field(in, field, choices);
    }
}
