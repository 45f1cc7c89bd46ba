// halo.h - slivers that compression leaves along an edge: one pixel thin, between two colours, of a third one.
// Rule:    thinner than 1.5 px on average, a tiny share of its colour's area, and no neighbour takes most of its
// border. So a thin
//          line on a plain field is none, nor are lines of a colour that has no larger areas. Thresholds from pictures
//          saved at quality 60 and 75: slivers had 0.9 to 1.4 px, true thin parts 1.9 px and more.
// Errors:  ERROR_SYSTEM, ERROR_CANCELLED.
#ifndef PM_SEPARATION_HALO_H
#define PM_SEPARATION_HALO_H

#include "separation/runs.h"

// Gives PART_HALO to the slivers of a noisy picture: they join a neighbour, however long they are.
MUST_USE bool halos_find(Runs *runs, Work *work, Error *err);

#endif
