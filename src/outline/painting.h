// painting.h - how an edge was painted, and so what its blends say.
// A renderer blends each shape's edge over what is there. Where the shape of one side ends on that of the other, both blended, the
// ground under both shines through: a share c of the upper one, covering c of the pixel, leaves c (1 - c) of the ground. Where one
// outline was painted n times over, a pixel covered by c shows 1 - (1 - c)^n. Read as plain coverage such edges come out
// a sixth of a pixel beside their place. Which way an edge was painted shows in its own pixels: by the relation of the three shares,
// or by how straight the edge comes out.
// Source:  over operator: T. Porter, T. Duff, "Compositing digital images", Computer Graphics 18 (1984) 253-259; the tests by
//          residuals are our own. Local parabolas: A. Savitzky, M. Golay, Analytical Chemistry 36 (1964) 1627-1639.
#ifndef PM_OUTLINE_PAINTING_H
#define PM_OUTLINE_PAINTING_H

#include "outline/blend.h"

typedef enum PaintedLast { LAST_UNKNOWN, LAST_LEFT, LAST_RIGHT } PaintedLast;

typedef struct Painting {
    int third_label;        // shines through, -1 = none
    PaintedLast last;       // which side lies over the other and the third
    int left_times, right_times;    // one of them may be more than 1
} Painting;

typedef struct ArcPainting {
    Painting whole;
    const uint16_t *ways;   // a code for each crack, where the way changes along the arc; else NULL
} ArcPainting;

// Once each, nothing shines through.
Painting painting_plain(void);

// The pixels read in the way that leaves edges straighter over the whole picture: encoded, or in proportion to light.
MUST_USE bool painting_choose_pixels(const Picture *picture, const Separation *separation, const CrackMap *map, Work *work,
                                     Pixels *out, Error *err);

// The way that one arc was painted. Plain where its pixels do not tell, or are noisy. Memory of the result is in scratch.
MUST_USE bool painting_find(const Pixels *pixels, const CrackMap *map, const CrackArc *arc, Work *work, ArcPainting *out, Error *err);

Painting painting_at(const ArcPainting *arc, int crack);

// How much of a pixel the side of `shares.other` covers, and how far that may be off.
double painting_coverage(const Painting *painting, bool other_is_right, const Shares *shares, double *doubt);

#endif
