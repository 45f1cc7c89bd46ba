// seam_detail.h - seam in sight in small detail: an eye, a mouth, a letter (seam/detail.h tells which islands), grown by a
// quarter of its size.
#ifndef PM_BENCH_SEAM_DETAIL_H
#define PM_BENCH_SEAM_DETAIL_H

#include "seam/detail.h"
#include "seam/hiding.h"
#include "seam/seam.h"

// Adds one layer's: *length_mm in sight in any of them; *count: seams and islands that meet for more than 3 mm in sight.
MUST_USE bool count_detail(const Rings *details, const Hiding *hiding, const LayerPieces *pieces, Arena *scratch, int *count,
                           double *length_mm, Error *err);

#endif
