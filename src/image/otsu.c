/* image/otsu.c: the cut line between two classes; see tone.h.
 *
 * Outliers stretch a histogram until both classes share a few bins, so its ends are quantiles.
 */
#include "image/tone.h"

#include "base/alloc.h"

#include <math.h>
#include <string.h>

enum { N_COARSE = 4096, N_BINS = 256 };

typedef struct {
    const tb_plane *plane, *weight;
    double low, high;
} range;

static void fill_histogram(double *bins, int n_bins, const range *r)
{
    memset(bins, 0, (size_t)n_bins * sizeof *bins);
    double scale = n_bins / (r->high - r->low);
    for (size_t i = 0; i < tb_plane_area_px(r->plane); i++) {
        int bin = (int)floor((r->plane->px[i] - r->low) * scale);
        bin = bin < 0 ? 0 : bin >= n_bins ? n_bins - 1 : bin;
        bins[bin] += r->weight ? r->weight->px[i] : 1;
    }
}

/* Narrows the range to the quantiles `share` and 1 - share, to a 4096th of it. */
static void narrow(range *r, double share)
{
    double bins[N_COARSE], total = 0, below = 0;
    fill_histogram(bins, N_COARSE, r);
    for (int i = 0; i < N_COARSE; i++)
        total += bins[i];
    double step = (r->high - r->low) / N_COARSE;
    int first = 0, last = N_COARSE - 1;
    for (; first < last && below + bins[first] <= share * total; first++)
        below += bins[first];
    double above = 0;
    for (; last > first && above + bins[last] <= share * total; last--)
        above += bins[last];
    r->high = r->low + step * (last + 1);
    r->low = r->low + step * first;
}

double tb_otsu(const tb_plane *plane, const tb_plane *weight)
{
    range r = {plane, weight, plane->px[0], plane->px[0]};
    for (size_t i = 1; i < tb_plane_area_px(plane); i++) {
        r.low = fmin(r.low, plane->px[i]);
        r.high = fmax(r.high, plane->px[i]);
    }
    if (!(r.high > r.low))
        return r.low;
    narrow(&r, 0.005);
    double bins[N_BINS], total = 0, moment = 0;
    fill_histogram(bins, N_BINS, &r);
    for (int i = 0; i < N_BINS; i++) {
        total += bins[i];
        moment += bins[i] * i;
    }
    double best = -1, below = 0, below_moment = 0;
    int cut = 0;
    for (int i = 0; i < N_BINS - 1; i++) {
        below += bins[i];
        below_moment += bins[i] * i;
        if (below <= 0 || below >= total)
            continue;
        double apart = moment * below / total - below_moment;
        double between = apart * apart / (below * (total - below));
        if (between > best) {
            best = between;
            cut = i;
        }
    }
    return r.low + (cut + 1) * (r.high - r.low) / N_BINS;
}
