// rounding.h - the steps to which compression rounded the means of blocks, told from the plain areas of a picture.
// A block of one colour comes back as its value rounded to a multiple of an eighth of the step's whole number, then to a whole code.
// With steps over one code some codes cannot come back, and a value that did may have been any within half a step of its multiple.
// Source:  ITU-T T.81: the mean of a block is an eighth of its first coefficient; steps 16 and 17 of its annex K, which most encoders
//          scale by one number (from memory).
#ifndef PM_SEPARATION_ROUNDING_H
#define PM_SEPARATION_ROUNDING_H

typedef struct Rounding { int luma_eighths, chroma_eighths; } Rounding; // of a code

// `ycc`: of plain areas, lightness and colour differences about 0, whole codes. The coarsest rounding that they prove; else a common
// one that they allow; else none (8).
Rounding rounding_find(const int (*ycc)[3], int count);

// The middle of all that comes back as these.
void rounding_undo(Rounding rounding, const int ycc[3], double middle[3]);

#endif
