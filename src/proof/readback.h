// readback.h - the proof's own readers: kit.json, path data, sheet SVGs.
// Strict about what the kit's format says, indifferent to how it is written (blanks, order of keys, number formats);
// every byte is hostile until checked: types, ranges, counts, references.
// Errors:  what is wrong with the files becomes faults; ERROR_SYSTEM is memory, ERROR_INPUT a limit.
// Source:  path data: W3C, "Scalable Vector Graphics (SVG) 1.1", section 8.3, of which M, L, C and Z absolute.
#ifndef PM_PROOF_READBACK_H
#define PM_PROOF_READBACK_H

#include "proof/faults.h"
#include "proof/measure.h"

#include <stdint.h>

#define READ_MAX_MM 100000.0 // a side is at most 100 m
#define READ_MAX_FILE_BYTES ((size_t)128 << 20)
#define READ_MAX_ITEMS 100000 // entries of one list
#define READ_MAX_LAYERS 200
#define READ_MAX_COPIES 8
#define READ_MAX_KNIFE_MM 10.0

typedef enum ReadLine { READ_CUT, READ_SCORE, READ_PEN, READ_LINES } ReadLine;
const char *read_line_name(ReadLine line);

typedef enum ReadDirection { READ_PLAIN, READ_GRAINED, READ_TEXTURED } ReadDirection;

typedef struct ReadPaper {
    const char *id;
    double size[2], usable[4]; // width, height; x, y, width, height
    uint32_t colour;           // 0xrrggbb
    double price;              // < 0 = none
    double gap_mm;
    bool is_any;               // its pieces are seen nowhere
    ReadDirection direction;
    bool takes[READ_LINES];    // score and pen
    double board[2];           // 0, 0 = bought at its size
    double pack_count, pack_price; // 0 = no pack; price < 0 = none
    struct { double spares, sheets, boards, packs, cost; } to_buy; // boards, packs, cost < 0 = none
    bool at_hand;      // nothing of it is bought
    bool is_offcut;            // it was there: nothing of it is bought
    const char *print; // the file to print, or NULL
} ReadPaper;

typedef struct ReadCutter {
    bool is_known, is_roll;
    double mat[2], loss[4];    // a roll has a width alone; left, top, right, bottom
    bool tools[READ_LINES];
} ReadCutter;

typedef struct ReadLayer {
    const char *id;
    uint32_t colour;
    bool base;
    bool raised; // on foam squares
    int order;
    int *papers, paper_count; // indices
    ReadPath outline;
    double area_mm2;
} ReadLayer;

typedef struct ReadMark {
    const char *kind;
    bool is_drawn; // a detail that stays in sight
    bool is_match; // of a seam:
    const char *seam_id;
    int seam;      // its index
    ReadLine line;
    ReadPath path;
} ReadMark;

typedef struct ReadPiece {
    const char *id;
    bool is_strip;
    int layer, sheet;       // indices; a strip has no layer (-1), a piece that is not cut this time no sheet (-1)
    Spot *foam;             // middles of the foam squares that it lies on
    int foam_count;
    const char *seam_id;    // of a strip: what it is glued behind; NULL when not told
    int seam;               // its index; -1 = none
    ReadPath outline, face; // face = outline when left out
    bool has_own_face;
    double to_sheet[6];
    ReadMark *marks;
    int mark_count;
} ReadPiece;

typedef struct ReadSeam {
    const char *id, *form;
    const char *letter; // NULL = none
    int layer, pieces[2];
    int lap_of;         // the piece whose lap lies under the other one; -1 = none
    ReadPath path;
    double length_mm, visible_mm;
    bool on_section;    // it lies on a line that parts the finished piece
} ReadSeam;

typedef struct ReadSection {
    const char *id;
    double box[4];
    int *pieces, piece_count;
} ReadSection;

typedef struct ReadBoard { // that backs the finished piece
    const char *file;
    double size[2], inset_mm;
    ReadPath outline;
    double (*joints)[4];    // x, y of both ends
    int joint_count;
    double (*panels)[4];    // x, y, width, height
    int panel_count;
    double along_mm;
} ReadBoard;

typedef struct ReadSections { // of a finished piece that parts
    double asked[2];
    double *line_mm[2];     // upright ones by x, level ones by y
    int line_count[2];
    ReadSection *items;
    int count;
    int *bridges, bridge_count;
} ReadSections;

typedef struct ReadNote {
    ReadLine line;
    ReadPath path;
} ReadNote;

typedef enum ReadFor { READ_FOR_SHEET, READ_FOR_PIECE, READ_FOR_LAYER, READ_FOR_LINE } ReadFor;

typedef struct ReadSheet {
    const char *id;
    const char *files[READ_LINES]; // where each line kind is drawn; NULL = nowhere (READ_FOR_LINE alone)
    double offset[2];              // of the sheet in its file
    const char **copies;           // files with the same in other formats
    int copy_count;
    int paper;
    double box[4];
    ReadNote *notes;
    int note_count;
    bool has_rest;
    double rest[4];                // what is left of it: x, y, width, height
} ReadSheet;

typedef struct ReadRates {
    double cut_mm_s, score_mm_s, lift_s, sheet_min, seam_min, piece_min;
} ReadRates;

typedef struct ReadTotals {
    double foam_squares; // < 0: not told
    double strips; // < 0: not told; then pieces count them too
    double sheets, pieces, seam_mm, visible_seam_mm, cut_mm, score_mm, pen_mm, waste_percent, cutting_minutes,
        assembly_minutes, cost; // cost < 0 = none
} ReadTotals;

typedef struct ReadKit {
    const char *name;
    const char *recut_of;   // the kit of which this is a part, cut once more; NULL = a whole kit
    double width_mm, height_mm;
    bool tells_properties; // of papers, and the cutter; kits of earlier writers do not
    ReadCutter cutter;
    ReadFor sheets_for;
    double foam_square_mm, foam_height_mm; // 0 = nothing is raised
    double overcut_mm, blade_offset_mm; // of copies for plotters
    bool cut_from_back; // its files are mirrored
    ReadPaper *papers;
    ReadLayer *layers;
    ReadPiece *pieces;
    ReadSeam *seams;
    ReadSheet *sheets;
    int paper_count, layer_count, piece_count, seam_count, sheet_count;
    bool parts;             // it has sections
    ReadSections sections;
    bool backed;            // it has a board
    ReadBoard board;
    ReadRates rates;
    ReadTotals totals;
} ReadKit;

// Reads kit.json; what is wrong is added to the faults, and the kit is then of no further use.
MUST_USE bool read_kit(const FileBytes *file, Arena *arena, Faults *faults, ReadKit *out, Error *err);

// Reads path data. *problem is NULL or says in a few words what is wrong. `open` paths may not close, others must.
typedef enum ReadEnds { READ_ENDS_OPEN, READ_ENDS_CLOSED, READ_ENDS_ANY } ReadEnds;
MUST_USE bool read_path(const char *bytes, size_t size_bytes, ReadEnds ends, Arena *arena, ReadPath *out,
                        const char **problem, Error *err);
// Reads one number at *at and moves behind it; false when there is none or it is not finite.
bool read_number(const char **at, const char *end, double *out);

typedef struct ReadObject { // one path element of a drawing
    ReadLine line;
    char group[40]; // the id of the group that it lies in within its line kind's; "" = in that itself
    char fill[24], stroke[24], rule[24], stroke_width[24];
} ReadObject;

typedef struct ReadDrawing { // an SVG for the cutter
    double width_mm, height_mm, view[4];
    bool there[READ_LINES];
    ReadObject *objects; // in the file's order
    int object_count;
    ReadPath paths[READ_LINES]; // all objects of a line kind together; parts tell their object
} ReadDrawing;
MUST_USE bool read_drawing(const FileBytes *file, Arena *arena, Faults *faults, const char *where, bool *good,
                           ReadDrawing *out, Error *err);

// True when the bytes are balanced XML whose outermost element is svg; *problem says what is wrong.
bool read_is_svg(const FileBytes *file, const char **problem);

// A map from names to indices, for references between lists.
typedef struct ReadName {
    const char *name;
    int index;
} ReadName;
typedef struct ReadNames {
    ReadName *items;
    int count;
} ReadNames;
void read_names_sort(ReadNames *names);
int read_names_find(const ReadNames *names, const char *name); // -1 when absent

#endif
