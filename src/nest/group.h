// group.h - what nest_improve works with: all pieces with their places, and the pieces of a few sheets as one relaxation.
// Memory:  solids live in the undertaking's own arena and are made when they are first needed; groups in scratch.
#ifndef PM_NEST_GROUP_H
#define PM_NEST_GROUP_H

#include "nest/relax.h"

#define GROUP_SHEETS 12

typedef struct Improve {
    const NestItem *items;
    const NestOptions *options;
    int count;
    NestPlace *places;
    int sheet_count, least_sheets;  // least_sheets: fewer are not looked for
    Solid *solids;              // made when they are first needed
    bool *made;
    double *area_mm2;
    Arena *own;
    Rng rng;
    int64_t moves_left;
    struct Known *known;        // known.h; made when it is first asked
} Improve;

typedef struct Group {          // some sheets, which one of them is to be emptied, and all pieces on them
    int sheets[GROUP_SHEETS];   // the emptied one first
    int sheet_count;
    int *members;
    int count;
} Group;

MUST_USE bool group_solid(Improve *im, int item, Work *work, Error *err); // makes im->solids[item]

// The members as they lie, on the sheets of the group from first_sheet on; who lies on none of these comes to the first of them.
MUST_USE bool group_open(Improve *im, const Group *group, int first_sheet, Work *work, Relax *out, Error *err);

// The places of the members as relaxed. *out tells whether the check likes them; nothing is changed.
MUST_USE bool group_places(const Improve *im, const Group *group, int first_sheet, const Relax *relax, Work *work, NestPlace *places,
                           bool *out, Error *err);

// Relaxes for at most so many moves and counts them.
MUST_USE bool group_separate(Improve *im, Relax *relax, int64_t moves, int patience, Work *work, bool *out, Error *err);

void group_close_sheet(Improve *im, int sheet); // an empty one: the last takes its number

// No sheet holds both, by the largest discs in them.
bool group_cannot_share(const Improve *im, int item, int other);

// How many sheets the group's pieces need at least, by discs and by area. `radii` has room for all.
int group_least_sheets(const Improve *im, const Group *group, double *radii);

#endif
