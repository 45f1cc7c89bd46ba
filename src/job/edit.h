// edit.h - what the maker changed: a list that is replayed in order; undo = a shorter list.
// Places are fractions of the figure's height, from the figure's top left corner (border not counted), so that an edit
// holds at any size. Colours are named by their value: the nearest colour of the picture within dE00 3 is meant.
// Text form: docs/edits.md (a JSON list of objects).
// Errors:  edits_parse: ERROR_INPUT with the number of the edit, what is wrong, and what would be right.
#ifndef PM_JOB_EDIT_H
#define PM_JOB_EDIT_H

#include "base/arena.h"
#include "base/text.h"
#include "base/write_json.h"
#include "job/fewer.h"
#include "seam/seam.h"
#include "separation/separation.h"
#include "stack/stack.h"

typedef struct FigurePoint { double x, y; } FigurePoint;

typedef enum EditKind {
    EDIT_GROUND,        // "ground":     at            the area at this place is not cut
    EDIT_PAPER,         // "paper":      at            the area at this place is paper, though it has the ground's colour
    EDIT_SAME,          // "same":       colour, as    counts as that colour
    EDIT_LEAVE_OUT,     // "leave-out":  colour        joins what surrounds it
    EDIT_MATCH,         // "match":      colours       papers in hand, each with a name: the colours are cut from the nearest of them
    EDIT_NAME,          // "name":       colour, name
    EDIT_SHEET,         // "sheet":      colour, paper which kind of sheet this colour is cut from ("11x24")
    EDIT_OFFCUT,        // "offcut":     colour, paper, count   so many offcuts of this size are there for this colour
    EDIT_OVER,          // "over":       colour, other colour lies over other where they meet
    EDIT_INLAY,         // "inlay":      colour, other these two lie edge to edge where they meet
    EDIT_SMALLEST,      // "smallest":   part_mm, hole_mm   one of them may be left out (0)
    EDIT_TINY,          // "tiny":       at, fate      keep, enlarge or pen for a listed tiny part
    EDIT_BASE,          // "base":       colour        of the base
    EDIT_BORDER,        // "border":     mm
    EDIT_UNDERLAP,      // "underlap":   mm
    EDIT_STACK,         // "stack":      way           inlay or underlap
    EDIT_FEWER,         // "fewer":      of            pieces or seams; or neither
    EDIT_LINES,         // "lines":      where         base, top or both: where the line colour lies
    EDIT_RAISED,        // "raised":     colour        its layer lies on foam squares
    EDIT_SEAM,          // "seam":       colour, points          a seam must run here
    EDIT_SEAM_MOVED,    // "move-seam":  colour, from, points    what ran along `from` runs here now
    EDIT_SEAM_FORBIDDEN,// "no-seam":    colour, points
    EDIT_KEEP_CLEAR,    // "keep-clear": points (an area), or at (the area of one colour there)   no seam in sight inside; all layers
    EDIT_SEAM_FORM,     // "seam-form":  colour, form      butt or lap: of all seams of this colour's layer
    EDIT_PLACE,         // "place":      colour, piece, sheet, to_sheet    the piece lies there on its paper's sheet of this number, from 1
    EDIT_FROZEN,        // "frozen":     colour, piece, outline, height_mm, face (only when it has laps), paper   cut already: stays byte for byte
} EditKind;
#define EDIT_KIND_COUNT (EDIT_FROZEN + 1)

#define EDITS_MOST 10000            // of a list; far more than a hand can make
#define EDIT_MOST_POINTS 2000       // of a line or an area
#define EDIT_FARTHEST 1000.0        // of a place, in heights of the figure; the figure itself may be wide
#define EDIT_LONGEST_NAME 31        // bytes of a colour's name
#define EDIT_MOST_SHEETS 100000      // of a paper; far more than a job can have
#define EDIT_MOST_OFFCUTS 1000          // of one size
#define EDIT_LONGEST_PAPER 200      // bytes of a paper's words
#define EDIT_MOST_PAPERS SEPARATION_MAX_COLOURS // in hand

typedef struct Edit {
    EditKind kind;
    FigurePoint at;
    Srgb8 colour, other;        // `as` and `other`
    double mm, hole_mm;         // mm: of border, underlap, part_mm, height_mm
    TinyFate fate;
    StackWay way;
    Fewer fewer;
    SeamForm form;
    StackLines lines;
    int sheet;                  // from 1
    int count;                  // of offcuts
    double to_sheet[6];         // a turn and a shift, as in kit.json
    const char *text;           // name, paper, piece
    const char *path;           // outline of a frozen piece, as written in kit.json
    const char *face;           // likewise; NULL when it has no laps
    const char *paper;          // the kind of sheet that a frozen piece was cut from; NULL: that of its colour
    FigurePoint *points, *from;
    int point_count, from_count;
    NamedColour *papers;        // in hand
    int paper_count;
} Edit;

typedef struct EditList {
    Edit *items;
    size_t count, capacity;
} EditList;

MUST_USE bool edits_parse(const char *json, size_t size_bytes, Arena *keep, EditList *out, Error *err);
void edit_write(const Edit *edit, JsonWriter *json);    // as a value: one object
void edits_write(const EditList *edits, Text *out);         // parse(write(x)) = x, byte for byte when written again
MUST_USE bool edits_add(EditList *edits, const Edit *edit, Arena *keep, Error *err);   // deep copy

// Whether a name can be given to a colour: 1 to 31 bytes of UTF-8 without control characters, no blank at either end.
MUST_USE bool edit_check_name(const char *name, Error *err);

bool edit_parse_colour(const char *word, Srgb8 *out); // "#1d2f5a"

// Papers in hand in words: "navy #1d2f5a, cream #f4ead2"; without a name a paper has its colour's. ERROR_USAGE.
MUST_USE bool edit_parse_papers(const char *words, NamedColour out[EDIT_MOST_PAPERS], int *count, Error *err);
// No name and no colour twice. ERROR_USAGE.
MUST_USE bool edit_check_papers(const NamedColour *papers, int count, Error *err);

// The words of the text form, and back.
const char *edit_kind_word(EditKind kind);
bool edit_kind_find(const char *word, EditKind *out);
bool edit_fate_find(const char *word, TinyFate *out);
bool edit_way_find(const char *word, StackWay *out);
bool edit_lines_find(const char *word, StackLines *out);

// The edit in words, as findings begin with: "the fixed seam of navy from 12 %, 30 % to 48 %, 31 %". `colour` and
// `other` are what its colours are called.
void edit_say(const Edit *edit, const char *colour, const char *other, Text *text);

#endif
