// solid.h - one kind of piece as the separation sees it: an outline with few corners that covers the piece and half the gap
// round it, and discs inside.
// Shape:   edge i runs from corners[i] to corners[next[i]]; material lies on the side of (-dy, dx), in holes too. `inset` are the
//          same corners SOLID_INSET_MM further inside: a piece that moves is tested with them, so that touching is no overlap.
// Units:   millimetres from `origin_mm` of the finished piece, which lies in the middle of the largest disc.
// Memory:  all in `keep`.
// Source:  discs by repeated search of the place farthest from the outline and the discs before it: J. Gardeyn, G. Vanden Berghe,
//          T. Wauters, "An open-source heuristic to reboot 2D nesting research" (2025); the search of the place is our own.
#ifndef PM_NEST_SOLID_H
#define PM_NEST_SOLID_H

#include "base/work.h"
#include "nest/turned.h"

#define SOLID_DISCS 12          // more follow the shape closer, but every pair of discs costs
#define SOLID_ANGLES 180        // large pieces fit at few angles: random ones mostly miss these
#define SOLID_SIDES 8           // other pieces are laid along these
#define SOLID_INSET_MM 2e-6     // above the noise of doubles at a metre, far below the slack of `check`

typedef struct Dot {
    double x, y;
} Dot;

typedef struct Discs {          // those beyond disc_count have radius 0 and change no sum
    float x[SOLID_DISCS], y[SOLID_DISCS], r[SOLID_DISCS];
} Discs;

typedef struct Side {           // an edge of the cover, among its longest
    Dot a, b;
    Dot along;                  // of length 1
} Side;

typedef struct Solid {
    Dot *corners, *inset;
    int *next;
    int corner_count;
    Dot *hull;                  // of the true outline: it, not the cover, has to lie in the space
    int hull_count;
    Side sides[SOLID_SIDES];
    int side_count;
    Discs discs;
    int disc_count;
    double origin_mm[2];
    const Fit *turns;           // angles at which it fits the space alone
    int turn_count;
    const Fit *angles;          // SOLID_ANGLES a turn, those at which it fits the space; without any it is turned by `turns` alone
    int angle_count;
    double area_mm2;            // of the cover
    double weight;              // fourth root of the hull's area: what an overlap of it counts
    double diameter_mm, width_mm;
} Solid;

// The item's cover at half of `gap_mm` (0: the outline itself while it has few corners). A solid without discs is too thin to be
// moved about. `work` needs an overlay handle unless the gap is 0.
MUST_USE bool solid_make(const Rings *rings, double gap_mm, Arena *keep, Work *work, Solid *out, Error *err);

#define CAST_RUN 4              // edges of a run: most pairs of runs are far apart, and so are all their edges

typedef struct RunBox {         // of edges CAST_RUN * i and those after it, outline and inset
    double x0, y0, x1, y1;
} RunBox;

// A solid at an angle; millimetres from its origin.
typedef struct Cast {
    const Solid *solid;
    double cos, sin;
    Dot *corners, *inset;
    RunBox *runs;
    int run_count;
    Discs discs;
    double x0, y0, x1, y1;                          // box of the cover
    double hull_x0, hull_y0, hull_x1, hull_y1;      // and of the outline
    double least_sum_mm, most_sum_mm;               // of x + y over the outline
} Cast;

MUST_USE bool cast_open(int most_corners, Arena *keep, Cast *out, Error *err);  // room for any solid with so many corners
void cast_turn(const Solid *solid, Fit turn, Cast *out);

// How much a, shifted by (dx, dy) against b, overlaps it: exactly 0 when their insides do not meet, else a measure that falls on the
// way out. Length times root of length; the same for (a, b) and (b, a) but for the inset.
double cast_overlap(const Cast *a, double dx, double dy, const Cast *b);

#endif
