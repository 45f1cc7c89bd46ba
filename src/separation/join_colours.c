// join_colours.c - see join_colours.h.
#include "separation/join_colours.h"

static double cost_of(const Palette *palette, const int64_t *area_px, int a, int b)
{
    double de00 = lab_difference_2000(palette->colours[a].lab, palette->colours[b].lab);
    double p = (double)area_px[a], q = (double)area_px[b];
    return de00 * de00 * p * q / (p + q);
}

// The cheapest pair of colours that are left; ties by index.
static void find_pair(const Palette *palette, const int64_t *area_px, int *a, int *b)
{
    double least = -1.0;
    for (int i = 0; i < palette->count; i++)
        for (int k = i + 1; k < palette->count; k++) {
            if (area_px[i] == 0 || area_px[k] == 0) continue;
            double cost = cost_of(palette, area_px, i, k);
            if (least >= 0.0 && cost >= least) continue;
            least = cost, *a = i, *b = k;
        }
}

int join_colours(const Palette *palette, const int64_t area_px[SEPARATION_MAX_COLOURS], int most,
                  uint8_t into[SEPARATION_MAX_COLOURS])
{
    int64_t area[SEPARATION_MAX_COLOURS];
    int left = 0;
    for (int i = 0; i < SEPARATION_MAX_COLOURS; i++) {
        into[i] = (uint8_t)i;
        area[i] = i < palette->count ? area_px[i] : 0;
        left += area[i] > 0;
    }
    for (; left > most && left > 1; left--) {
        int a = 0, b = 0;
        find_pair(palette, area, &a, &b);
        int large = area[a] >= area[b] ? a : b, small = large == a ? b : a;
        area[large] += area[small];
        area[small] = 0;
        for (int i = 0; i < palette->count; i++)
            if (into[i] == small) into[i] = (uint8_t)large;
    }
    return left;
}
