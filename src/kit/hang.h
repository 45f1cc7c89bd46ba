// hang.h - what of the finished piece hangs together, what that weighs, where its middle of weight lies and by which two
// points it hangs straight.
// Method:  pieces that a seam joins, or that lie on one another, are one body. The two points lie on the base, above the
//          middle of weight and on both sides of it, in the highest row that has room for both at the same distance; else
//          the highest place on each side.
// Source:  middle of an area: Green's theorem on polygons, as in R. Nuernberg, "Calculating the area and centroid of a
//          polygon in 2d" (lecture note, 2013); that a thing hangs still with its middle of weight between and below its
//          two points: statics.
// Units:   finished millimetres, grams without glue.
#ifndef PM_KIT_HANG_H
#define PM_KIT_HANG_H

#include "kit/draft.h"
#include "kit/guide_steps.h"

#define HANG_PATCHES_FROM_MM 609.6  // what is taller than 24 in tears out at its threads

typedef struct Hang {
    int *body;              // of each piece of the draft: the least index of its body
    int main;               // the heaviest body
    int body_count;
    double grams, all_grams;    // of the main body, of everything
    bool gsm_known;         // false: of some paper the weight of SHOPPING_GSM was taken
    double centre_mm[2];    // of the main body
    Box box;                // of the main body
    bool has_points, is_level;  // level: both at one height
    double points_mm[2][2]; // left one first, seen from the front
    double patch_mm;        // across a round patch of board behind each point, clear of every edge; 0 = none is wanted
    double stands_mm[2];    // from where to where it touches the floor when it stands
} Hang;

// The bodies alone: body, main, body_count, weights, the main body's middle and box.
MUST_USE bool hang_find_bodies(const Draft *draft, const GuideBelow *below, Arena *keep, Work *work, Hang *out, Error *err);

MUST_USE bool hang_find(const Draft *draft, const GuideBelow *below, Arena *keep, Work *work, Hang *out, Error *err);

// Of a piece, in finished mm; holes count as nothing.
void hang_piece_middle(const Rings *rings, double out_mm[2]);

#endif
