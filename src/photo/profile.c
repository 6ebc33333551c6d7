/* photo/profile.c: see profile.h.
 *
 * The colour management itself is asked: it takes ramps of each channel, and some mixed colours,
 * to CIE XYZ. Where each mixed colour is the sum of its channels, the profile is of the simple
 * kind. The weights that make luminance of XYZ follow from asking the same of sRGB's own profile,
 * for whose primaries Rec. 709 gives them.
 */
#include "photo/profile.h"

#include <math.h>
#include <string.h>

enum { N_MIXED = 96, N_PROBES = 3 * TB__PROFILE_VALUES + N_MIXED };

static const double WEIGHTS[3] = {0.2126, 0.7152, 0.0722};
static const double TOLERANCE = 0.002; /* of full light; a tenth of L* from middle grey up */

typedef struct {
    float xyz[N_PROBES][3];
} answers;

static void fill_probes(uint8_t probes[N_PROBES][3])
{
    uint32_t state = 1;
    memset(probes, 0, N_PROBES * sizeof *probes);
    for (int band = 0; band < 3; band++)
        for (int i = 0; i < TB__PROFILE_VALUES; i++)
            probes[band * TB__PROFILE_VALUES + i][band] = (uint8_t)i;
    for (int i = 3 * TB__PROFILE_VALUES; i < N_PROBES; i++)
        for (int band = 0; band < 3; band++)
            probes[i][band] = (uint8_t)((state = state * 1664525 + 1013904223) >> 24);
}

/* Takes the probes to XYZ by a profile. */
static bool ask(answers *out, uint8_t probes[N_PROBES][3], const void *profile, size_t n_profile)
{
    VipsImage *plain = vips_image_new_from_memory(
                      probes, N_PROBES * 3, N_PROBES, 1, 3, VIPS_FORMAT_UCHAR),
              *image = NULL, *xyz = NULL;
    bool good =
            plain && !vips_copy(plain, &image, "interpretation", VIPS_INTERPRETATION_sRGB, NULL);
    if (good) {
        vips_image_set_blob_copy(image, VIPS_META_ICC_NAME, profile, n_profile);
        good = !vips_icc_import(image, &xyz, "embedded", TRUE, "pcs", VIPS_PCS_XYZ, NULL) &&
               xyz->BandFmt == VIPS_FORMAT_FLOAT && xyz->Bands == 3;
    }
    size_t n = 0;
    void *data = good ? vips_image_write_to_memory(xyz, &n) : NULL;
    good = n == sizeof out->xyz;
    if (good)
        memcpy(out->xyz, data, n);
    g_free(data);
    VipsImage *const made[] = {plain, image, xyz};
    for (int i = 0; i < 3; i++)
        if (made[i])
            g_object_unref(made[i]);
    vips_error_clear();
    return good;
}

static double determinant(const double a[3], const double b[3], const double c[3])
{
    return a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) +
           a[2] * (b[0] * c[1] - b[1] * c[0]);
}

/* The weights whose sum with the XYZ of each of sRGB's primaries is that primary's luminance. */
static bool luminance_of_xyz(double weights[3], const answers *srgb)
{
    double m[3][3]; /* m[k][band]: coordinate k of the primary */
    for (int band = 0; band < 3; band++)
        for (int k = 0; k < 3; k++)
            m[k][band] = (double)srgb->xyz[(band + 1) * TB__PROFILE_VALUES - 1][k];
    double whole = determinant(m[0], m[1], m[2]);
    if (!(fabs(whole) > 1e-9))
        return false;
    weights[0] = determinant(WEIGHTS, m[1], m[2]) / whole;
    weights[1] = determinant(m[0], WEIGHTS, m[2]) / whole;
    weights[2] = determinant(m[0], m[1], WEIGHTS) / whole;
    return true;
}

static double light_of(const answers *a, int i, const double weights[3])
{
    return weights[0] * (double)a->xyz[i][0] + weights[1] * (double)a->xyz[i][1] +
           weights[2] * (double)a->xyz[i][2];
}

/* Whether the tables add up: to what was asked, and to a white that is white. */
static bool adds_up(const tb__profile *p, const answers *a, uint8_t probes[N_PROBES][3],
        const double weights[3])
{
    double white = 0;
    for (int band = 0; band < 3; band++) {
        white += p->light[band][TB__PROFILE_VALUES - 1];
        for (int i = 0; i < TB__PROFILE_VALUES; i++)
            if (!(p->light[band][i] >= 0))
                return false;
    }
    for (int i = 3 * TB__PROFILE_VALUES; i < N_PROBES; i++) {
        double sum = 0;
        for (int band = 0; band < 3; band++)
            sum += p->light[band][probes[i][band]];
        if (!(fabs(sum - light_of(a, i, weights)) < TOLERANCE))
            return false;
    }
    return fabs(white - 1) < TOLERANCE;
}

bool tb__profile_read(tb__profile *out, const VipsImage *image)
{
    const void *profile;
    size_t n_profile;
    uint8_t probes[N_PROBES][3];
    double weights[3];
    answers own, srgb;
    VipsBlob *standard = NULL;
    if (image->BandFmt != VIPS_FORMAT_UCHAR || image->Bands < 3 ||
            image->Type != VIPS_INTERPRETATION_sRGB ||
            !vips_image_get_typeof(image, VIPS_META_ICC_NAME) ||
            vips_image_get_blob(image, VIPS_META_ICC_NAME, &profile, &n_profile) ||
            vips_profile_load("srgb", &standard, NULL))
        return false;
    fill_probes(probes);
    size_t n_standard;
    const void *bytes = vips_blob_get(standard, &n_standard);
    bool good = ask(&own, probes, profile, n_profile) && ask(&srgb, probes, bytes, n_standard) &&
                luminance_of_xyz(weights, &srgb);
    vips_area_unref(VIPS_AREA(standard));
    for (int i = 0; good && i < 3 * TB__PROFILE_VALUES; i++)
        out->light[i / TB__PROFILE_VALUES][i % TB__PROFILE_VALUES] =
                fmax(0, light_of(&own, i, weights) - light_of(&own, 0, weights));
    return good && adds_up(out, &own, probes, weights);
}
