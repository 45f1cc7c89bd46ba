// seam.h - the door: one layer of the Stack -> LayerPieces, each of which fits its paper.
// Shape:   pieces of a layer have disjoint insides and their union is the layer. A part that fits the paper at some
//          angle stays whole. A seam is one run of links shared by both pieces, to the bit; its ends are nodes on the layer's
//          outline (on the curve) or where seams meet.
//          Each layer has a chain pool of its own: copies of the stack's chains with seam nodes inserted, then seams.
// Units:   whole micrometres, finished-piece coordinates.
//          A lap seam has a lap: one of its two pieces is cut larger than its face and reaches under the other's (lap.h).
// Errors:  ERROR_JOB when a paper is too small to divide for (says which paper would work).
#ifndef PM_SEAM_SEAM_H
#define PM_SEAM_SEAM_H

#include "paper/paper.h"
#include "stack/stack.h"

typedef enum SeamForm { SEAM_BUTT, SEAM_LAP } SeamForm;

typedef struct Piece {
    char id[16];            // "A1": a name for people, not a key
    int part;               // connected part of the layer it comes from
    Area face;              // its share of the layer; normalised, but for frozen pieces (start as written)
    Rings rings;            // face, flat
    Fit fit;                // an angle at which what is cut fits its paper
    double area_mm2;        // of the face
    bool has_laps;          // it is cut larger than its face:
    Area outline;           // face and laps; what is cut of a piece without laps is its face (piece_outline)
    Rings cut;              // outline, flat (piece_cut)
} Piece;

typedef struct Seam {
    char id[16];            // "A-s3"
    int pieces[2];          // indices into pieces; pieces[0] < pieces[1]
    SeamForm form;
    int lap_of;             // index of the piece whose lap lies under the other one; -1 for a butt seam
    Link *links;            // one open run, start to end
    int link_count;
    double length_mm, visible_mm;
    bool on_section;        // it lies on a line that parts all layers: joined where the piece is put up
} Seam;

typedef struct SeamDraft SeamDraft; // how the search left it, for seam_settle

typedef struct LayerPieces {
    int layer;
    Chains chains;
    Piece *pieces;          // in the order of their ids: by row, then x
    int piece_count;
    Seam *seams;
    int seam_count;
    Findings findings;
    const SeamDraft *draft; // NULL when its seams cannot be settled
} LayerPieces;

// The maker's word on seams, in finished-piece coordinates; lists are for one layer. What has no target or cannot be kept
// becomes a finding "edit-without-target" or "edit-not-kept"; a frozen piece that cannot stay is ERROR_JOB with its name.
typedef struct SeamLine { const Point *points; int count; } SeamLine;   // an open run of straight stretches

typedef struct FrozenPiece {            // it is cut already: it stays as it is, to the bit
    const char *id;
    const Path *outline;                // as it was written
    const Path *face;                   // likewise; NULL when it has no laps
    const Paper *paper;                 // it was cut from; NULL: the layer's
} FrozenPiece;

typedef struct SeamWishes {
    int section_count;          // so many of `fixed`, the first ones, part all layers (section.h); they are cut without a word
    const bool *whole;          // by connected part: section lines leave it whole
    int whole_count;
    const SeamLine *fixed;      // a seam must run here, from outline to outline (ends are taken to the nearest edge of the layer)
    int fixed_count;
    const SeamLine *forbidden;  // no seam within 5 mm of and along this line
    int forbidden_count;
    const Rings *keep_clear;    // no visible seam inside (even-odd); where none can be avoided it is a finding
    const FrozenPiece *frozen;
    int frozen_count;
} SeamWishes;

typedef struct SeamOptions {
    Paper paper;
    SeamWishes wishes;
    const SeamLine *above;          // seams of higher layers: where one runs along them the picture bends
    int above_count;
    const Rings *detail;            // places that a seam had better not run through (detail.h); may be NULL
    int tries;                      // of the refinement; 0 = first answer only
    SeamForm form;                  // of the layer's seams

    double hidden_by_mm;            // a seam is hidden under at least this much cover (3)
    double hidden_weight;           // of an inch of hidden seam (0.08)
    double piece_weight;            // inches of visible seam that a piece costs (4)
    double stacked_weight;          // of an inch of seam within 1/2 in of and along a seam above (0.4)
    double detail_weight;           // of an inch of seam in sight in small detail, on top (4)
    double least_long_mm, least_wide_mm, least_neck_mm; // of a piece that a seam makes (50.8, 19.05, 12.7)
    double lap_mm;                  // width of a lap (12)
} SeamOptions;

SeamOptions seam_defaults(const Paper *paper);

MUST_USE bool seam_divide(const Stack *stack, int layer, const SeamOptions *options, Arena *keep, Work *work,
                          LayerPieces *out, Error *err);

// Shifts seams of a divided layer that run along options->above, pair by pair, as far as that is worth it; the rest of
// the options are those it was divided with. *changed: out is another division; else it holds nothing.
MUST_USE bool seam_settle(const Stack *stack, int layer, const SeamOptions *options, const LayerPieces *divided,
                          Arena *keep, Work *work, LayerPieces *out, bool *changed, Error *err);

// The seams of some layers as lines, to be kept clear of by the layers below them. *lines is NULL when there are none.
MUST_USE bool seam_lines(const LayerPieces *layers, int count, Arena *keep, const SeamLine **lines, int *line_count,
                         Error *err);

// For benchmarks: the best-offset grid alone (10 x 10 offsets, both ways, a part at a time), same constraints and costs.
MUST_USE bool seam_divide_grid(const Stack *stack, int layer, const SeamOptions *options, Arena *keep, Work *work,
                               LayerPieces *out, Error *err);
// The same with neighbours joined that fit together, dearest seam first: what a careful maker would do.
MUST_USE bool seam_divide_joined_grid(const Stack *stack, int layer, const SeamOptions *options, Arena *keep, Work *work,
                                      LayerPieces *out, Error *err);

// What is cut: the face and its laps.
const Area *piece_outline(const Piece *piece);
const Rings *piece_cut(const Piece *piece);

// What a piece of this name is, or was, cut from: one that is cut already need not fit the paper that its layer has now.
const Paper *piece_paper(const SeamOptions *options, const char *id);

// The words of seam forms, as options and files have them: "butt", "lap".
const char *seam_form_word(SeamForm form);
bool seam_form_find(const char *word, SeamForm *out);

// Letters of layers: A, B, ... without I and O; after Z: AA, AB, ...
void layer_letter(int layer, char out[8]);

#endif
