// halo.c - see halo.h.
#include "separation/halo.h"

#include <string.h>

#define HALO_WIDTH_PX 1.5        // larger: true thin parts go; smaller: slivers with a thick end stay
#define HALO_COLOUR_SHARE 0.003  // larger: one line of many of a colour might go
#define HALO_NEIGHBOUR_SHARE 0.7 // a sliver has two sides
#define PARTS_PER_LOOK 256

typedef struct Border {
    const Runs *runs;
    int64_t whole, of_label[256];
} Border;

static void count_border(void *taker, int32_t neighbour, int32_t cracks)
{
    Border *b = taker;
    b->whole += cracks;
    if (neighbour >= 0) b->of_label[b->runs->parts[neighbour].label] += cracks;
}

static bool is_halo(Runs *runs, int32_t part)
{
    Border border = {.runs = runs};
    runs_walk_border(runs, part, count_border, &border);
    // A strip has about twice its area over its border.
    if (2.0 * (double)runs->parts[part].area_px >= HALO_WIDTH_PX * (double)border.whole) return false;
    for (int i = 0; i < 256; i++)
        if ((double)border.of_label[i] > HALO_NEIGHBOUR_SHARE * (double)border.whole) return false;
    return true;
}

bool halos_find(Runs *runs, Work *work, Error *err)
{
    int64_t area[256] = {0};
    for (int32_t i = 0; i < runs->part_count; i++) area[runs->parts[i].label] += runs->parts[i].area_px;
    for (int32_t i = 0; i < runs->part_count; i++) {
        if (i % PARTS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        Part *part = &runs->parts[i];
        if ((double)part->area_px > HALO_COLOUR_SHARE * (double)area[part->label]) continue;
        if (is_halo(runs, i)) part->flags |= PART_HALO;
    }
    return true;
}
