// runs.h - the 4-connected regions of a label map, found by runs of equal label in each row.
// Method:  flat art has few runs a row, so this costs less than a pass over the pixels, and memory follows the
//          boundary's length.
// Source:  union-find with path halving: R. E. Tarjan, J. van Leeuwen, "Worst-case Analysis of Set Union
//          Algorithms", Journal of the ACM 31(2) (1984) 245-281.
#ifndef PM_SEPARATION_RUNS_H
#define PM_SEPARATION_RUNS_H

#include "base/work.h"

#include <stdint.h>

typedef struct Run {
    int32_t x0, x1; // [x0, x1) in its row
    int32_t part;   // index into parts
    int32_t next;   // the next run of the same part, -1 at its end
} Run;

typedef struct Part { // one region
    int64_t area_px;
    int32_t x0, y0, x1, y1; // its box, [x0, x1) x [y0, y1)
    int32_t first_run, last_run;
    int32_t parent; // itself, or the part that it has joined
    uint8_t label;
    uint8_t flags; // PART_...; a join keeps those of both
} Part;

// What is known of a part, mostly from the maker.
#define PART_PAPER 1 // stays paper though it has the ground's colour and may touch the ground
#define PART_KEPT 2  // is no speck, whatever its size
#define PART_DRAWN 4 // is drawn by pen when it joins another
#define PART_HALO 8  // not the maker's word: a sliver that nobody drew (halo.h); is a speck, whatever its length
#define PART_TOLD 16 // a strip that a file's blocks tell of (fringe.h); is no halo
#define PART_SCRAP 32 // a halo whose pixels say so too; two of them and crumbs between are one as well

typedef struct Runs {
    int width_px, height_px;
    Run *runs;
    int32_t *row_start; // height_px + 1 entries: runs of row y are [row_start[y], row_start[y + 1])
    int32_t run_count;
    Part *parts; // in the order of their first pixel
    int32_t part_count;
} Runs;

// Errors: ERROR_INPUT when there are more runs than an index holds (2^31), ERROR_SYSTEM, ERROR_CANCELLED.
MUST_USE bool runs_make(const uint8_t *label, int width_px, int height_px, Arena *arena, Work *work, Runs *out,
                        Error *err);

// The part that this one belongs to after joins.
int32_t runs_root(Runs *runs, int32_t part);

// Joins part `from` to `to` (both roots): its runs, area and box; the label of `to` stays.
void runs_join(Runs *runs, int32_t from, int32_t to);

int32_t runs_row_of(const Runs *runs, int32_t run);

// The part (a root) of the pixel (x, y), which lies inside the picture.
int32_t runs_part_at(Runs *runs, int32_t x, int32_t y);

// Writes new_label[label] of each pixel's part into the map.
MUST_USE bool runs_write_labels(Runs *runs, const uint8_t new_label[256], uint8_t *label, Work *work, Error *err);

// Parts of `to` take the flags of those parts of `from`, of the same label, that they share pixels with.
MUST_USE bool runs_carry_flags(Runs *from, Runs *to, Work *work, Error *err);

// Walks over the pixel cracks between a part (a root) and its neighbours: calls `meet` for each run that touches it
// with the neighbour's root and the number of shared cracks. Frame cracks come with neighbour -1.
typedef void (*RunsMeet)(void *taker, int32_t neighbour, int32_t cracks);
void runs_walk_border(Runs *runs, int32_t part, RunsMeet meet, void *taker);

// Cracks between labels: calls `meet` for each pair of touching runs of unlike label anywhere (a, b are labels; the
// frame is label `frame_label`); *cracks is the number of them inside the picture.
typedef void (*LabelsMeet)(void *taker, uint8_t a, uint8_t b, int32_t cracks);
MUST_USE bool runs_walk_cracks(Runs *runs, uint8_t frame_label, LabelsMeet meet, void *taker, Work *work,
                               int64_t *cracks, Error *err);

#endif
