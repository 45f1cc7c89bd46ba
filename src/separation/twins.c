// twins.c - see twins.h.
#include "separation/twins.h"

#define PX_A_BLOCK 1048576

typedef struct Twins {
    uint8_t label, into; // 0: there are none
} Twins;

static Twins nearest_twins(const Palette *palette, const int64_t area_px[256], double within_de00)
{
    Twins best = {0};
    for (int i = 0; i < palette->count; i++)
        for (int k = 0; k < i; k++) {
            if (area_px[LABEL_FIRST + i] == 0 || area_px[LABEL_FIRST + k] == 0) continue;
            double de00 = lab_difference_2000(palette->colours[i].lab, palette->colours[k].lab);
            if (de00 >= within_de00) continue;
            bool is_first_larger = area_px[LABEL_FIRST + k] >= area_px[LABEL_FIRST + i];
            within_de00 = de00;
            best = (Twins){(uint8_t)(LABEL_FIRST + (is_first_larger ? i : k)), (uint8_t)(LABEL_FIRST + (is_first_larger ? k : i))};
        }
    return best;
}

// The labels that are left move up; `into` then tells each one's new place.
static void close_up(Palette *palette, const bool is_joined[256], int *thin_count, uint8_t into[256])
{
    int kept = 0, thin = 0, first_thin = palette->count - *thin_count;
    uint8_t place[256];
    for (int l = 0; l < LABEL_FIRST; l++) place[l] = (uint8_t)l;
    for (int i = 0; i < palette->count; i++) {
        place[LABEL_FIRST + i] = (uint8_t)(LABEL_FIRST + kept);
        if (is_joined[LABEL_FIRST + i]) continue;
        thin += i >= first_thin;
        palette->colours[kept++] = palette->colours[i];
    }
    for (int l = 0; l < LABEL_FIRST + palette->count; l++) into[l] = place[into[l]];
    palette->count = kept;
    *thin_count = thin;
}

static bool count_labels(const uint8_t *label, size_t px, Work *work, int64_t area_px[256], Error *err)
{
    for (size_t i = 0; i < px; i++) {
        if (i % PX_A_BLOCK == 0 && !work_goes_on(work, err)) return false;
        area_px[label[i]]++;
    }
    return true;
}

static bool change_labels(uint8_t *label, size_t px, const uint8_t into[256], Work *work, Error *err)
{
    for (size_t i = 0; i < px; i++) {
        if (i % PX_A_BLOCK == 0 && !work_goes_on(work, err)) return false;
        label[i] = into[label[i]];
    }
    return true;
}

bool twins_join(uint8_t *label, size_t px, double same_de00, Work *work, Palette *palette, int *thin_count, Error *err)
{
    int64_t area_px[256] = {0};
    bool is_joined[256] = {false}, any = false;
    uint8_t into[256];
    for (int l = 0; l < 256; l++) into[l] = (uint8_t)l;
    if (!count_labels(label, px, work, area_px, err)) return false;
    for (Twins t; (t = nearest_twins(palette, area_px, same_de00)).label;) {
        for (int l = 0; l < 256; l++)
            if (into[l] == t.label) into[l] = t.into;
        area_px[t.into] += area_px[t.label], area_px[t.label] = 0;
        is_joined[t.label] = any = true;
    }
    if (!any) return true;
    close_up(palette, is_joined, thin_count, into);
    return change_labels(label, px, into, work, err);
}
