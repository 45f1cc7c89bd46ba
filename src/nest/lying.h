// lying.h - a layout as it lies: its sheets opened again, so that further places can be looked for between the pieces.
// Units:   as nest.h.
// Memory:  all in `keep`; a Lying refers to the items, options and places that it was opened with.
#ifndef PM_NEST_LYING_H
#define PM_NEST_LYING_H

#include "nest/sheet.h"

typedef struct Lying {
    const NestItem *items;
    int count;
    const NestOptions *options;
    const NestPlace *places;    // valid: nest_check likes them
    NestOptions wider;          // the options with the search's gap
    double cell_mm;
    OpenSheet blank;
} Lying;

MUST_USE bool lying_open(const NestItem *items, int count, const NestOptions *options, const NestPlace *places, Arena *keep,
                         Lying *out, Error *err);

// The sheet with all that lies on it but the items with `lifted` set (NULL: all lie).
MUST_USE bool lying_sheet(const Lying *lying, int sheet, const bool *lifted, Arena *keep, Work *work, OpenSheet *out, Error *err);

// The item at the angles worth trying.
MUST_USE bool lying_shape(const Lying *lying, int item, Arena *keep, Work *work, Shape *out, Error *err);

// Where the shape's lower edge lies least low. *found is false when the sheet has no room for it.
typedef struct LyingSpot {
    const Turned *turned;
    Spot spot;
} LyingSpot;
MUST_USE bool lying_find(const OpenSheet *sheet, const Shape *shape, Work *work, LyingSpot *out, bool *found, Error *err);
LyingSpot lying_first(const Lying *lying, const Shape *shape);     // on an empty sheet

NestPlace lying_place(const Lying *lying, int sheet, const LyingSpot *at);

#endif
