// pictures_tally.c - see pictures_tally.h.
#include "pictures_tally.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void tally_add_corners(CornerScore *sum, const CornerScore *one)
{
    sum->true_corners += one->true_corners, sum->found += one->found;
    sum->ours += one->ours, sum->false_ones += one->false_ones;
    sum->long_corners += one->long_corners, sum->long_found += one->long_found;
    sum->found_counted += one->found_counted, sum->false_counted += one->false_counted;
}

Tally tally_sum(const Tally *groups, int count)
{
    Tally all = {.group = "all"};
    for (int g = 0; g < count; g++) {
        const Tally *t = &groups[g];
        for (int k = 0; k < KIND_COUNT; k++) {
            all.shaded[k] += t->shaded[k], all.pictures[k] += t->pictures[k], all.colours[k] += t->colours[k], all.regions[k] += t->regions[k], all.strict[k] += t->strict[k], all.bare[k] += t->bare[k];
            all.lawful[k] += t->lawful[k];
            all.worst_de00[k] = fmax(all.worst_de00[k], t->worst_de00[k]);
            all.offsets[k] += t->offsets[k], all.offset[k] += t->offset[k];
            all.over[k] += t->over[k], all.told_over[k] += t->told_over[k], all.beyond_over[k] += t->beyond_over[k];
            if (t->worst_offset[k] > all.worst_offset[k])
                all.worst_offset[k] = t->worst_offset[k], memcpy(all.worst_name[k], t->worst_name[k], sizeof all.worst_name[k]);
            if (t->area[k] > all.area[k]) all.area[k] = t->area[k], memcpy(all.area_name[k], t->area_name[k], sizeof all.area_name[k]);
        }
        tally_add_corners(&all.corners, &t->corners);
        all.curves += t->curves, all.shortest += t->shortest;
    }
    return all;
}

static double share(int64_t part, int64_t whole)
{
    return whole ? 100.0 * (double)part / (double)whole : 0.0;
}

void tally_print(const Tally *t)
{
    static const char *const kinds[] = {"PNG on white", "PNG with alpha", "JPEG q75", "variants", "survey"};
    printf("\n%s\n", t->group);
    for (int k = 0; k < KIND_COUNT; k++) {
        if (t->pictures[k])
            printf("  %-15s colours right %lld of %lld (%.1f %%), worst dE00 %.2f; regions right %lld (%.1f %%), hairlines apart %lld (%.1f %%), %lld to the letter\n", kinds[k],
                   (long long)t->colours[k], (long long)t->pictures[k], share(t->colours[k], t->pictures[k]), t->worst_de00[k],
                   (long long)t->regions[k], share(t->regions[k], t->pictures[k]), (long long)t->bare[k], share(t->bare[k], t->pictures[k]), (long long)t->strict[k]);
        if (k == KIND_VARIANT && t->pictures[k])
            printf("  %-15s regions right, or as many as in the unvaried picture: %lld (%.1f %%)\n", kinds[k], (long long)t->lawful[k], share(t->lawful[k], t->pictures[k]));
        if (t->shaded[k]) printf("  %-15s said to have soft shading: %lld\n", kinds[k], (long long)t->shaded[k]);
        if (t->offsets[k])
            printf("  %-15s area error over %.2f px in %lld of %lld; the picture's own in %lld, beyond the picture's in %lld\n", kinds[k],
                   AREA_LIMIT_PX, (long long)t->over[k], (long long)t->offsets[k], (long long)t->told_over[k], (long long)t->beyond_over[k]);
        if (t->offsets[k])
            printf("  %-15s offset mean %.4f px, worst %.4f (%s); area worst colour %.4f (%s)\n", kinds[k], t->offset[k] / (double)t->offsets[k],
                   t->worst_offset[k], t->worst_name[k], t->area[k], t->area_name[k]);
    }
    if (t->corners.true_corners) {
        printf("  corners found %lld of %lld (%.1f %%), false %lld of %lld (%.1f %%); with long sides %lld of %lld (%.1f %%)\n",
               (long long)t->corners.found, (long long)t->corners.true_corners, share(t->corners.found, t->corners.true_corners),
               (long long)t->corners.false_ones, (long long)t->corners.ours, share(t->corners.false_ones, t->corners.ours),
               (long long)t->corners.long_found, (long long)t->corners.long_corners,
               share(t->corners.long_found, t->corners.long_corners));
        printf("    met by counted corners alone: %lld found (%.1f %%), %lld false (%.1f %%)\n", (long long)t->corners.found_counted,
               share(t->corners.found_counted, t->corners.true_corners), (long long)t->corners.false_counted,
               share(t->corners.false_counted, t->corners.ours));
    }
    if (t->shortest)
        printf("  curves %lld, by shortest path %lld: %.3f times\n", (long long)t->curves, (long long)t->shortest,
               (double)t->curves / (double)t->shortest);
}
