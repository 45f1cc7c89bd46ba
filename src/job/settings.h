// settings.h - what the maker asks for, in millimetres and plain words.
#ifndef PM_JOB_SETTINGS_H
#define PM_JOB_SETTINGS_H

#include "job/fewer.h"
#include "kit/kit.h"
#include "mark/mark.h"
#include "paper/cutter.h"
#include "paper/paper.h"
#include "seam/seam.h"
#include "stack/stack.h"

#define SETTINGS_LEAST_HEIGHT_MM 20.0       // under it no part can be handled
#define SETTINGS_LARGEST_HEIGHT_MM 30000.0  // 30 m: a house; coordinates would allow 100 m
#define SETTINGS_MAX_PAPERS 64
#define SETTINGS_LEAST_INSET_MM 0.5         // nearer to the edge a line shows where layers slip a little
#define SETTINGS_LARGEST_INSET_MM 5.0       // farther in it guides no hand

typedef struct PaperChoice {
    char layer[8];          // "A", or "" for every layer without a choice of its own
    Paper paper;
} PaperChoice;

typedef struct SeamChoice {
    char layer[8];          // as above
    SeamForm form;
} SeamChoice;

// Backing strips behind the seams of the base.
typedef enum StripsWay {
    STRIPS_USUAL,           // as cut where the base is taller than 24 in, else none
    STRIPS_CUT,             // cut from what the base's sheets leave; what finds no place there, by hand
    STRIPS_HAND,            // all by hand, from scrap
    STRIPS_NONE,
} StripsWay;

bool strips_way_find(const char *word, StripsWay *out);     // "cut", "hand", "none"

typedef struct Settings {
    double height_mm;       // finished, border included
    double border_mm;
    StackWay way;
    Fewer fewer;            // pieces or seams, at the cost of the other
    PaperChoice papers[SETTINGS_MAX_PAPERS];
    int paper_count;
    SeamChoice seams[SETTINGS_MAX_PAPERS]; // the form of seams; none: butt
    int seam_count;
    double sections_mm[2];  // > 0: the piece parts so that each section is at most this large (section.h)
    StripsWay strips;
    bool hidden_from_scrap; // pieces of the base that end up covered are cut from any card
    int raised[SETTINGS_MAX_PAPERS];    // layers on foam squares, by their height
    int raised_count;
    Cutter cutter;          // when has_cutter: what lies on its mat, and its tools
    bool has_cutter;
    MarkLine marks[2];      // the tools for lines and letters on pieces, first choice first; none: tools.h chooses
    int mark_count;
    double inset_mm;        // of placement lines; 0 = as usual for the tool
    KitOptions kit;         // how the files are written
    double smallest_area_px;    // > 0: specks judged by their area in pixels
    double thicken_mm;      // > 0: thin parts of colours grow to this width
    int most_colours;       // of what is cut; 0 = as many as the picture has
    double limit_px;        // of a picture
    int threads;            // 0 = the program asks the system
} Settings;

Settings settings_defaults(void);

// Adds "letter", "12x12" or "A=11x24", with properties (paper.h). A later choice for the same layer replaces the former.
MUST_USE bool settings_add_paper(Settings *settings, const char *word, Error *err);

// Adds "butt", "lap" or "A=lap": the form of all layers' seams, or of one's. Later choices as above.
MUST_USE bool settings_add_seams(Settings *settings, const char *word, Error *err);

// "E,F": these layers lie on foam squares, none but these.
MUST_USE bool settings_set_raised(Settings *settings, const char *words, Error *err);

// Everything that can be judged before the picture is known.
MUST_USE bool settings_check(const Settings *settings, Error *err);

const Paper *settings_paper(const Settings *settings, int layer);

// The form of a layer's seams; *named: the layer has a choice of its own.
SeamForm settings_seams(const Settings *settings, int layer, bool *named);

#endif
