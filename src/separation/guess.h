// guess.h - which colour it was that compression changed.
// Before compression a colour becomes three whole numbers, and several colours become the same three: no reader can tell those
// apart. So of all colours that may have been it, the one from which the others are least far, each by how likely it is.
// Source:  the whole numbers: ITU-T T.871 (halves: as encoders round them, from memory).
#ifndef PM_SEPARATION_GUESS_H
#define PM_SEPARATION_GUESS_H

#include "separation/colour.h"

#include <stdbool.h>

// Lightness and colour differences (about 0), not rounded.
void guess_ycc(const double rgb[3], double ycc[3]);
void guess_rgb(const double ycc[3], double rgb[3]);

// Can whole numbers come back as this colour? Three in four colours never do: where one fills an area, it was not compressed.
bool guess_comes_back(Srgb8 colour);

// What whole numbers it was changed to: those from `least` to `most`.
typedef struct GuessLimits { int least[3], most[3]; } GuessLimits;

// Can this colour have become such numbers?
bool guess_is_within(Srgb8 colour, const GuessLimits *limits);

// The same where lightness and colour differences are known as numbers with a variance, and perhaps within limits (or NULL).
Srgb8 guess_from_ycc(const double ycc[3], const double variance[3], const GuessLimits *limits);

// `measured`: red, green, blue; `is_sure`: channels that are what was measured; `variance`: of the measured lightness and colour
// differences against the whole numbers.
Srgb8 guess_colour(const double measured[3], const bool is_sure[3], const double variance[3]);

#endif
