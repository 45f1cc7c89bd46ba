// course.h - from a rough course to an exact one: it ends on the outline, square to it or in a corner where that pays, and
// bends a few times at most, where nobody sees it; in between it is straight.
// How:     ends are looked for round the rough ones, bends among the rough course's hidden points; the cheapest way through
//          them is found (R. Bellman, "On a routing problem", Quarterly of Applied Mathematics 16 (1958) 87-90, from memory),
//          then bends and ends are shifted as long as that pays.
// Units:   costs are inches of visible seam, as judge.h has them.
#ifndef PM_SEAM_COURSE_H
#define PM_SEAM_COURSE_H

#include "seam/judge.h"
#include "seam/rough.h"

#define COURSE_BENDS 3 // more look like a rag

typedef struct CourseEnd {
    Point at;
    int edge; // of the part's boundary
    double along;
} CourseEnd;

typedef struct Course {
    CourseEnd end[2];
    Point bends[COURSE_BENDS]; // from end 0 to end 1
    int bend_count;
    double cost_in; // about
} Course;

// *found: false when no course can be laid there for less than below_in. joint_in: see chord.h.
MUST_USE bool course_find(const NetGround *ground, const Overlap *overlap, const Rough *rough, const double *joint_in,
                          double below_in, const SeamOptions *options, Arena *scratch, Course *out, bool *found,
                          Error *err);

#endif
