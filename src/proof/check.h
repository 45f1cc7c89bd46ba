// check.h - what the checks of a kit share: the kit as read, the faults so far, and what was measured on the way.
// Each check is one function; it adds faults and goes on as far as it can. It returns false only for an Error.
// Memory:  everything lies in work->scratch, which lives until the proof is done.
#ifndef PM_PROOF_CHECK_H
#define PM_PROOF_CHECK_H

#include "proof/faults.h"
#include "proof/measure.h"
#include "proof/readback.h"

#define CHECK_SPLIT_MM 1.0  // longest edge of a layer's field: distances are sampled at its ends
#define CHECK_CORNER_MM 3.0 // legs of a corner mark

// A curve that two faces of one layer share: forward in one, backward in the other.
typedef struct InnerCurve {
    ReadCurve curve;       // in its one way (measure_one_way)
    int forward, backward; // pieces
    bool listed;           // a seam of kit.json holds it
} InnerCurve;

typedef struct LayerField {
    Field field;       // of the outline, edges at most CHECK_SPLIT_MM long
    InnerCurve *inner; // sorted by curve
    int inner_count;
} LayerField;

typedef struct Measured { // for the proof's text
    double layer_area_mm2;
    double largest_offset_mm;           // between the rest of the faces and the layer's outline
    double least_gap_mm, looked_gap_mm; // of pieces on sheets; least == looked when none came nearer
    double seam_mm, visible_mm;
    int face_count, mark_count, drawn_count, note_count; // marks: the drawn ones too
    int match_count;                                     // ticks, both halves of each
    int lap_count;                                       // lap seams
    double board_inset_mm, board_along_mm;               // the least; seams of the base beside joints of the board
    int section_seam_count;                              // on the lines that part the finished piece
    int strip_count;                                     // backing strips
    int hidden_count;                                    // pieces of any paper
    int foam_count;                                      // foam squares
    ReadTotals totals; // recomputed
} Measured;

typedef struct Check {
    const FileSet *files;
    const ReadKit *kit;
    Work *work;
    Faults *faults;
    int *by_order;      // layers from the base up
    LayerField *layers; // by index
    Measured measured;
} Check;

// The order is that in which faults are listed. Layers, marks and sheets use names and fields alone, so that they may be
// checked beside one another; laps, seams and numbers come after all layers.
MUST_USE bool check_names(Check *check, Error *err);  // ids, letters, orders, colours, papers; fills by_order
MUST_USE bool check_papers(Check *check, Error *err); // cutter, lines, turns, what to buy: as the papers allow
MUST_USE bool check_fields(Check *check, Error *err); // no check yet: fills the fields of layers
MUST_USE bool check_layer(Check *check, int layer, Error *err); // faces make it up, once; fills its inner curves
MUST_USE bool check_laps(Check *check, Error *err);   // what is cut beyond a face lies under its neighbour
MUST_USE bool check_foam(Check *check, Error *err);   // squares under raised pieces
MUST_USE bool check_strips(Check *check, Error *err); // behind their seams, unseen, clear of one another
MUST_USE bool check_seams(Check *check, Error *err);
MUST_USE bool check_sections(Check *check, Error *err); // what parts does so along its lines, and is as small as asked
MUST_USE bool check_hidden(Check *check, Error *err); // pieces of any paper are covered
MUST_USE bool check_board(Check *check, Error *err);    // the backing board stays inside the base, its joints clear of seams
MUST_USE bool check_marks(Check *check, Error *err);
MUST_USE bool check_matches(Check *check, Error *err); // ticks across seams
MUST_USE bool check_sheets(Check *check, Error *err); // written drawings, places, gaps, files
MUST_USE bool check_numbers(Check *check, Error *err);

// Fields of the layers above a height, lowest first; out has room for layer_count.
int check_higher(const Check *check, int order, const Field **out);
// "A1+A2", in the order of the list.
void check_pair_name(const Check *check, int piece_a, int piece_b, char out[64]);

#endif
