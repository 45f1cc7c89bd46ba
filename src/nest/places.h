// places.h - where else a piece of a layout would lie, and a layout in which some pieces lie where the maker wants them.
// Units, errors: as nest.h. A place is good when the piece lies in the space, off the corner marks and clear of the others by the gap.
#ifndef PM_NEST_PLACES_H
#define PM_NEST_PLACES_H

#include "base/work.h"
#include "nest/nest.h"

#define NEST_PLACES_MOST 8      // more than that nobody compares on a table

// Up to `most` further places for one item while all others stay: on its own sheet first, then on the others by number, one a sheet; then the
// next on each. None lies on another of its sheet, or (at the same turn) within a centimetre of where the item lies. No new sheet is opened.
// All items' places have passed the check, and so have these.
MUST_USE bool nest_places(const NestItem *items, int item_count, const NestOptions *options, const NestResult *from, int item, int most,
                          Arena *keep, Work *work, NestPlace **out, int *out_count, Error *err);

typedef struct NestWish {
    int item;
    NestPlace place;            // place.sheet may be the layout's sheet count: a new sheet
} NestWish;

typedef enum NestFate {
    NEST_FATE_KEPT,
    NEST_FATE_NO_SHEET,         // the layout has no such sheet
    NEST_FATE_NO_TURN,          // the paper's direction does not allow the turn, or the place is none: not a turn and a shift
    NEST_FATE_NO_ROOM,          // over the edge of the space or on a corner mark
    NEST_FATE_PUSHED,           // a later wish wants its place
    NEST_FATE_OVERTAKEN,        // a later wish is for the same item
} NestFate;

// Grants the wishes one after the other, so that a sheet's number means what the layout is after those before: the item goes to its
// place, what lay there is laid again where there is room (on its own sheet first, then on the others, else on a new one), and a sheet
// that has become empty is taken away. `fates` has an entry a wish. What no wish asks for stays as it is.
MUST_USE bool nest_grant(const NestItem *items, int item_count, const NestOptions *options, const NestResult *from, const NestWish *wishes,
                         int wish_count, Arena *keep, Work *work, NestResult *out, NestFate *fates, Error *err);

#endif
