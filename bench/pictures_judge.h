// pictures_judge.h - one picture against its drawing: colours, regions, outlines. What was missed is listed and drawn when asked for.
#ifndef PM_BENCH_PICTURES_JUDGE_H
#define PM_BENCH_PICTURES_JUDGE_H

#include "pictures_tally.h"

#include "art.h"

#include "base/work.h"
#include "separation/separation.h"

#define FINE_TRUTHS 4       // of 4 samples a side, each moved by a part of a sample: 16 places along rows and columns

typedef struct Judge {
    const char *svg_folder, *polygons; // NULL when not asked for
    bool is_listed, is_drawn_again;
    const int *unvaried; // regions of each class in the picture that this one is a variant of; or NULL
} Judge;

typedef struct Made {
    Arena keep;
    Work work;
    Picture picture;
    Separation separation;
    bool good;
    int found[ART_MOST_CLASSES]; // regions of each class, once they were judged
} Made;

void made_free(Made *m);
void separate(const char *name, Made *m); // m->good tells whether it could be

void judge_counts(const Judge *j, const char *name, Kind kind, const Truth *t, Made *m, Tally *tally);
void judge_offset(const Judge *j, const char *name, Kind kind, const Truth t[FINE_TRUTHS], Made *m, Tally *tally);
void judge_corners(const Judge *j, const char *name, const Truth *t, Made *m, Tally *tally);
void judge_curves(const Judge *j, const char *name, Made *m, Tally *tally);

// Corners of the drawing itself at other samples, in place of ours: what that measure alone misses.
void judge_drawn_again(const Art *art, const Truth *t, Tally *tally);

// Corners of another program's polygons, where there are any of this drawing.
void judge_polygons(const Judge *j, const Art *art, const Truth *t, Tally *tally);

#endif
