// kit.h - the door: everything decided -> the bytes of the kit's files (no proof.txt; `proof` makes that).
// Shape:   design of the kit on disk: docs/kit-format.md. Names are relative to the kit's folder.
#ifndef PM_KIT_KIT_H
#define PM_KIT_KIT_H

#include "base/files.h"
#include "mark/foam.h"
#include "mark/mark.h"
#include "nest/nest.h"
#include "paper/cutter.h"
#include "paper/stock.h"
#include "seam/backing.h"
#include "seam/section.h"

#define KIT_VERSION 1
#define KIT_MOST_OVERCUT_MM 5.0
#define KIT_MOST_BLADE_OFFSET_MM 2.0    // knives that trail farther are none for paper

// One kind of paper in one colour, with the pieces that lie on its sheets.
typedef struct KitPaper {
    char id[80];            // "letter-navy"
    char colour_name[32];   // "navy", as in sheet ids "navy-1" and file names; two papers of one colour are told apart there by their size
    Paper paper;
    Srgb8 colour;
    bool is_any;            // any card of this size and weight does: nobody sees its pieces
    double gap_mm;
    MarkLine line;          // what its marks are made with
    bool at_hand;           // nothing of it is bought: all its pieces are cut already; of an offcut (paper.is_offcut) they are not
    bool unmarked;          // it takes none of the kit's lines: no marks on its pieces, no notes in its waste
    int *layers;            // of each piece below
    int *pieces;            // index into that layer's pieces
    int piece_count;
    NestResult nest;        // places[i] belongs to pieces[i]
} KitPaper;

// What is to be bought of it.
StockOrder kit_order(const KitPaper *paper);

// Backing strips of the base: those that are cut lie on sheets of one of the kit's papers, the others are cut by hand.
typedef struct KitStrips {
    Backing backing;
    int *papers;            // by strip: index into the kit's papers; -1 = by hand
    NestPlace *places;      // by strip that is cut
    Chains chains;          // of their outlines:
    Piece *pieces;          // by strip; without a name
} KitStrips;

typedef enum KitPage { KIT_PAGE_LETTER, KIT_PAGE_A4 } KitPage;  // of the guide

// How the sheets of a kit are parted into files.
typedef enum KitFor {
    KIT_FOR_SHEET,  // a file a sheet
    KIT_FOR_PIECE,  // the same, one group a piece
    KIT_FOR_LAYER,  // a file a paper, its sheets side by side
    KIT_FOR_LINE,   // a file a sheet and line kind, all with the same drawn box
} KitFor;

const char *kit_for_word(KitFor sheets_for);            // "sheet", "piece", "layer", "line"
bool kit_for_find(const char *word, KitFor *out);

// Files beside the SVG files, which are always there. Sheets to print are usual.
typedef enum KitFormat { KIT_WITHOUT_PDF = 1, KIT_DXF = 2, KIT_HPGL = 4 } KitFormat;

typedef struct KitOptions {
    KitPage page;
    KitFor sheets_for;
    unsigned formats;       // KitFormat, or-ed
    double overcut_mm, blade_offset_mm;     // of HP-GL: for bare drag knives; 0 = none
    double board_mm[2];     // > 0: boards of this size are at hand to back it (board.h)
    bool cut_from_back;     // files for the cutter are mirrored: the paper lies face down on the mat; nothing is marked then
} KitOptions;

// "svg,pdf,dxf,hpgl" in any order.
bool kit_formats_find(const char *words, unsigned *out);

typedef struct KitInput {
    const char *name;       // safe for file names
    const char *recut_of;   // name of the kit of which this is a part, cut once more; NULL for a whole kit. Pieces on no paper have no sheet,
                            // and there is neither guide nor key plan
    const Stack *stack;
    const LayerPieces *layer_pieces;    // layer_count entries
    const LayerMarks *layer_marks;      // layer_count entries
    const KitPaper *papers;
    int paper_count;
    const KitStrips *strips;    // NULL = none
    const Foam *foam;           // NULL = nothing is raised
    const Cutter *cutter;   // NULL = not known
    const SectionPlan *sections;        // NULL = it is put together as one
    KitOptions options;
    bool only_kit_json;     // what it comes to, before anybody wants files
} KitInput;

// All steps below, one unit after another; `keep` holds their working memory as well.
MUST_USE bool kit_make(const KitInput *input, Arena *keep, Work *work, FileSet *out, Error *err);

// The same in steps, for a caller with threads: first every note, then every file. The units of a step are independent of
// one another and may run in any order at once, each with an arena and a Work of its own; unit 0 is the longest.
// Memory:  all arenas live until kit_end, which copies what stays into `keep`.
typedef struct KitMaking KitMaking;
MUST_USE bool kit_begin(const KitInput *input, Arena *own, Work *work, KitMaking **out, Error *err);
int kit_note_count(const KitMaking *making);
MUST_USE bool kit_note(KitMaking *making, int unit, Arena *own, Work *work, Error *err);
// After the notes: what files there will be.
MUST_USE bool kit_plan(KitMaking *making, Arena *own, Error *err);
int kit_file_count(const KitMaking *making);
MUST_USE bool kit_write(KitMaking *making, int unit, Arena *own, Work *work, Error *err);
MUST_USE bool kit_end(const KitMaking *making, Arena *keep, FileSet *out, Error *err);

#endif
