// match_name.h - the letters of match marks: which edge is which.
// They cannot be taken for a piece (those end in a number), nor, turned by half or by a quarter, for another of them:
//   left out are I and O (1 and 0), Q (an O), M and W (each other), Z (an N), U (a C), V (an A without its bar).
// When they run out, names have two letters, then three; those behind the first are none that look like digits (B, D,
// G, S) or are the same upside down (H, N, S, X), so that no name is another one upside down, and
// none twice in a row: the same letter on both sides of a seam must not read as one name.
// Source:  common practice, no source; the choice is ours.
#ifndef PM_MARK_MATCH_NAME_H
#define PM_MARK_MATCH_NAME_H

#define MATCH_NAME_MAX 8

// The name of seam `index` (from 0 on) of a layer: A, B, C ... Y, AY, AC ...
void match_name(int index, char out[MATCH_NAME_MAX]);

#endif
