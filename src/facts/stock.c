/* facts/stock.c: see stock.h. */
#include "facts/stock.h"

#include "base/num.h"
#include "facts/name.h"
#include "facts/wood.h"

#include <stdio.h>
#include <string.h>

/* The Handbook's modulus comes from bending tests, which shear makes look softer (Table 5-3,
 * footnote c). */
static const double SHEAR_CORRECTION = 1.10;

#define PLY_SOURCE "Handbook of Finnish Plywood (2002), all-birch sheets"
#define PLY(mm, thickness_mm, f_along, f_across, e_along, e_across, standing)                      \
    {                                                                                              \
        "birch-ply-" mm, "Birch plywood, " mm " mm", true, thickness_mm, 680, f_along, f_across,   \
                e_along, e_across, 620, 0.1, 2, PLY_SOURCE, standing, standing                     \
    }

/* Poisson's ratio of plywood is judgement: the crossed plies hold each other, so it is small. The
 * thin hobby sheet is given the strengths of the 4 mm one. */
static const tb_stock sheets[] = {
        PLY("6.5", 6.4, 50.9, 29.0, 12737, 4763, TB_STANDING_MEMORY),
        PLY("3", 3.0, 65.9, 10.6, 16471, 1029, TB_STANDING_JUDGEMENT),
        PLY("4", 3.6, 65.9, 10.6, 16471, 1029, TB_STANDING_MEMORY),
        PLY("9", 9.2, 45.6, 32.1, 11395, 6105, TB_STANDING_MEMORY),
        PLY("12", 12.0, 42.9, 33.2, 10719, 6781, TB_STANDING_MEMORY),
};
enum { N_SHEETS = sizeof sheets / sizeof *sheets };

static void saw_board(tb_stock *out, const tb_wood *wood, double thickness_mm)
{
    double modulus_mpa = SHEAR_CORRECTION * wood->modulus_mpa;
    tb_num mm = tb_num_of(thickness_mm, 2);
    *out = (tb_stock){
            .thickness_mm = thickness_mm,
            .density_kg_m3 = wood->density_kg_m3,
            .strength_along_mpa = wood->bending_mpa,
            .strength_across_mpa = wood->across_mpa,
            .modulus_along_mpa = modulus_mpa,
            .modulus_across_mpa = modulus_mpa * wood->across_ratio,
            .shear_modulus_mpa = modulus_mpa * wood->shear_ratio,
            .poisson = wood->poisson,
            .safety = 3,
            .source = tb_wood_source(),
            .strength_standing = wood->across_assumed ? TB_STANDING_JUDGEMENT : wood->standing,
            .standing = wood->across_assumed ? TB_STANDING_JUDGEMENT : wood->ratio_standing,
    };
    snprintf(out->name, sizeof out->name, "%s-%s", wood->name, mm.text);
    snprintf(out->title, sizeof out->title, "%s, %s mm", wood->title, mm.text);
}

/* Where "walnut-6" names its thickness: behind the first dash or space before a digit. */
static const char *thickness_in(const char *name)
{
    for (const char *c = name; *c; c++)
        if ((*c == '-' || *c == ' ') && c[1] >= '0' && c[1] <= '9')
            return c + 1;
    return NULL;
}

static const tb_wood *species_in(const char *name, const char *thickness)
{
    char species[TB_STOCK_ROOM];
    size_t n = thickness ? (size_t)(thickness - 1 - name) : strlen(name);
    if (n >= sizeof species)
        return NULL;
    memcpy(species, name, n);
    species[n] = 0;
    return tb_wood_find(species);
}

static tb_status no_stock(const char *name, tb_error *err)
{
    char known[220] = "";
    size_t n = 0;
    for (int i = 0; i < N_SHEETS; i++)
        n += (size_t)snprintf(known + n, sizeof known - n, "%s%s", i ? ", " : "", sheets[i].name);
    for (int i = 0; tb_wood_at(i) && n < sizeof known; i++)
        n += (size_t)snprintf(known + n, sizeof known - n, ", %s", tb_wood_at(i)->name);
    return tb_fail(err, TB_EINVAL,
            "no stock is called \"%.40s\": there are %s; a wood takes its thickness, as in "
            "walnut-6",
            name, known);
}

tb_status tb_stock_find(tb_stock *out, const char *name, tb_error *err)
{
    for (int i = 0; i < N_SHEETS; i++)
        if (tb__same_name(sheets[i].name, name)) {
            *out = sheets[i];
            return TB_OK;
        }
    const char *thickness = thickness_in(name);
    const tb_wood *wood = species_in(name, thickness);
    if (!wood)
        return no_stock(name, err);
    if (!thickness)
        return tb_fail(err, TB_EINVAL, "how thick is the %s? Name it as %s-6 or %s-1/4in",
                wood->name, wood->name, wood->name);
    double thickness_mm;
    tb_status status = tb_length_parse(&thickness_mm, thickness, TB_UNIT_MM, err);
    if (status)
        return status;
    if (thickness_mm < TB_STOCK_LEAST_MM || thickness_mm > TB_STOCK_MOST_MM)
        return tb_fail(err, TB_EINVAL, "stock of %s mm is out of limits: 1 to 60 mm",
                tb_num_of(thickness_mm, 2).text);
    saw_board(out, wood, thickness_mm);
    return TB_OK;
}

bool tb_stock_at(int i, tb_stock *out)
{
    if (i >= 0 && i < N_SHEETS) {
        *out = sheets[i];
        return true;
    }
    const tb_wood *wood = tb_wood_at(i - N_SHEETS);
    if (!wood || i < 0)
        return false;
    saw_board(out, wood, 6);
    return true;
}
