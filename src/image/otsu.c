/* image/otsu.c: the cut line between two classes; see tone.h.
 *
 * One histogram of 4096 bins between the extremes. A few outliers must not move the line, so what
 * lies beyond the quantiles counts as lying on them.
 */
#include "image/tone.h"

#include <stdbool.h>

enum { N_BINS = 4096 };
static const double OUTLIERS = 0.005; /* share at each end */

typedef struct {
    double bins[N_BINS];
    double low, step;
    int first, last; /* the quantiles' bins */
} histogram;

static bool fill(histogram *h, const tb_plane *plane, const tb_plane *weight)
{
    size_t n = tb_plane_area_px(plane);
    float low = plane->px[0], high = plane->px[0];
    for (size_t i = 1; i < n; i++) {
        low = plane->px[i] < low ? plane->px[i] : low;
        high = plane->px[i] > high ? plane->px[i] : high;
    }
    h->low = low;
    h->step = ((double)high - low) / N_BINS;
    if (!(high > low))
        return false;
    for (int i = 0; i < N_BINS; i++)
        h->bins[i] = 0;
    float scale = N_BINS / (high - low);
    for (size_t i = 0; i < n; i++) {
        int bin = (int)((plane->px[i] - low) * scale);
        h->bins[bin < N_BINS ? bin : N_BINS - 1] += weight ? weight->px[i] : 1;
    }
    return true;
}

/* Moves what lies beyond the quantiles onto them; returns the total. */
static double gather_ends(histogram *h)
{
    double total = 0, below = 0, above = 0;
    for (int i = 0; i < N_BINS; i++)
        total += h->bins[i];
    h->first = 0;
    h->last = N_BINS - 1;
    for (; h->first < h->last && below + h->bins[h->first] <= OUTLIERS * total; h->first++)
        below += h->bins[h->first];
    for (; h->last > h->first && above + h->bins[h->last] <= OUTLIERS * total; h->last--)
        above += h->bins[h->last];
    h->bins[h->first] += below;
    h->bins[h->last] += above;
    return total;
}

double tb_otsu(const tb_plane *plane, const tb_plane *weight)
{
    histogram h;
    if (!fill(&h, plane, weight))
        return h.low;
    double total = gather_ends(&h), moment = 0;
    for (int i = h.first; i <= h.last; i++)
        moment += h.bins[i] * i;
    double best = -1, below = 0, below_moment = 0;
    int cut = h.first;
    for (int i = h.first; i < h.last; i++) {
        below += h.bins[i];
        below_moment += h.bins[i] * i;
        if (below <= 0 || below >= total)
            continue;
        double apart = moment * below / total - below_moment;
        double between = apart * apart / (below * (total - below));
        if (between > best) {
            best = between;
            cut = i;
        }
    }
    return h.low + (cut + 1) * h.step;
}
