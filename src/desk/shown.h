// shown.h - one answer as the page sees it: plain data and ready texts, made from a Job and then never changed.
// Memory:  all in its own arena; who holds it is counted by table.h's rules.
// Units:   millimetres of the finished piece.
#ifndef PM_DESK_SHOWN_H
#define PM_DESK_SHOWN_H

#include "job/job.h"

typedef enum ShownLevel { SHOWN_NONE, SHOWN_COLOURS, SHOWN_FIRST, SHOWN_WHOLE } ShownLevel;
const char *shown_level_word(ShownLevel level);     // "colours"

typedef enum ViewKind {
    VIEW_PICTURE, VIEW_BORDERS, VIEW_LAYERS, VIEW_PIECES, VIEW_SEAMS, VIEW_SHEETS, VIEW_KIND_COUNT
} ViewKind;

// An entry of a view's list, as JSON. A layer's view leaves out those of other layers.
typedef struct ViewItem {
    int layer;                  // -1: of none
    const char *json;
    size_t size_bytes;
} ViewItem;

typedef struct View {
    ViewItem *items;
    int count;
} View;

typedef struct ShownColour {
    Srgb8 colour;
    char name[32];
    double share;               // of what is cut
    int regions;
} ShownColour;

typedef struct ShownLayer {
    char id[8];
    int colour;                 // index
    const char *paper;          // "letter"
    int pieces, sheets;
    double seam_mm, visible_mm;
    const int *over;            // layers below that it meets
    int over_count;
} ShownLayer;

typedef struct ShownPaper {     // one kind of paper in one colour
    const char *id, *paper;     // "letter-navy", "letter"
    Srgb8 colour;
    int sheets, need;           // used; to be bought, spares included
    double width_mm, height_mm;
} ShownPaper;

typedef struct ShownPiece {
    char id[16];
    int layer;
    const char *sheet;
    double at_mm[2];
} ShownPiece;

typedef struct Worry {
    char text[200];
    double at_mm[2];
    int count;                  // 0 = none
} Worry;

typedef struct Shown {
    Arena arena;
    int users;
    ShownLevel level;
    int64_t revision, shape, job;
    int width_px, height_px;
    int verdict;                // Verdict
    const char *verdict_text;
    bool has_ground, ground_is_clear;
    Srgb8 ground;
    ShownColour *colours;
    int colour_count;

    // ---- from the first answer on ----
    double width_mm, height_mm, border_mm, underlap_mm;
    double figure_mm[3];        // left, top, height: what places in the docket are fractions of
    int base_colour;
    ShownLayer *layers;
    int layer_count;
    ShownPaper *papers;
    int paper_count;
    ShownPiece *pieces;
    int piece_count;
    int sheets;
    double seam_mm, visible_seam_mm;
    Findings findings;
    Worry worry;
    View views[VIEW_KIND_COUNT];

    // ---- with the whole answer ----
    bool has_totals;
    double cut_mm, score_mm, pen_mm, waste_percent, cutting_minutes, assembly_minutes, cost; // cost < 0: not known
    FileBytes kit_json;
} Shown;

typedef struct ShownFrom {
    const Job *job;
    const Settings *settings;
    const EditList *edits;      // with `edit_lines` to tell which docket line pinned a seam
    const int64_t *edit_lines;
    ShownLevel level;
    int64_t revision, shape, number;
} ShownFrom;

MUST_USE bool shown_make(const ShownFrom *from, Shown **out, Error *err);
void shown_release(Shown *shown);   // gives one user back; NULL is fine

// What comes next in putting together: a step of one layer.
typedef struct Step {
    int layer;
    bool joins;                 // is done when its pieces are taped, else when they are glued
    const char *title, *words;
    const char **lines;         // a seam, or a piece with its place, each
    int line_count;
    const int *pieces;          // index into the answer's pieces
    int piece_count;
    const int *below;           // what they are glued to, likewise; none when they are joined to one another
    int below_count;
    double minutes;
} Step;

typedef struct Steps {
    Arena arena;
    int users;
    int64_t revision;
    Step *items;
    int count;
} Steps;

MUST_USE bool steps_make(const Job *job, const Settings *settings, int64_t revision, Work *work, Steps **out, Error *err);
void steps_release(Steps *steps);

typedef struct Grid {           // what the plain grid would have had
    int64_t shape;              // of the answer it belongs to; 0: none
    int pieces;
    double visible_mm;
} Grid;

// Fills views: views.c.
MUST_USE bool views_make(const ShownFrom *from, Shown *shown, Error *err);

#endif
