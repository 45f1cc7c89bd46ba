// turns.h - directions in steps of 15 degrees from 0 to 75, from square roots: no libm in decisions.
#ifndef PM_SEAM_TURNS_H
#define PM_SEAM_TURNS_H

extern const double seam_turns[6][2];   // cosine, sine

#endif
