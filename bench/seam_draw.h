// seam_draw.h - a layer with its pieces and seams, to be looked at.
#ifndef PM_BENCH_SEAM_DRAW_H
#define PM_BENCH_SEAM_DRAW_H

#include "seam/seam.h"

// FOLDER/NAME-PAPER-LETTER.svg: pieces pale, what is covered darker; seams red, orange where in sight in part, else grey.
void seam_draw(const char *folder, const char *name, const Stack *stack, const LayerPieces *pieces, const char *paper);

// The whole picture as it is seen, with all seams: in sight red, hidden as thin dashes in blue; small detail ringed in green.
MUST_USE bool seam_draw_whole(const char *folder, const char *name, const Stack *stack, const LayerPieces *pieces,
                              const char *paper, Work *work, Error *err);

#endif
