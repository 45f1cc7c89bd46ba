// replay.h - settings and edits -> the options of the rooms.
// Edits are replayed in their order; of two that say the same thing the later one counts. Fractions of the figure's
// height become millimetres, colours become the nearest colour of the picture within dE00 3, colours become layers.
// An edit that finds no target here becomes a finding "edit-without-target", one that a later edit contradicts
// "edit-not-kept"; what only a room can judge is told by that room.
// Memory:  all lists lie in the arena given; they refer to the edits.
#ifndef PM_JOB_REPLAY_H
#define PM_JOB_REPLAY_H

#include "job/edit.h"
#include "job/settings.h"
#include "job/tools.h"
#include "outline/outline.h"
#include "seam/seam.h"

// Where the figure lies: x_mm = left_mm + x height_mm, y_mm = top_mm + y height_mm. The figure is what it was before
// any edit, so that a place means the same whatever other edits do.
typedef struct FigureFrame { double left_mm, top_mm, height_mm; } FigureFrame;

FigureFrame figure_frame(const Separation *separation, const Outlines *outlines);

typedef struct Replay {
    const EditList *edits;          // never NULL
    const Settings *settings;
    double border_mm;
    Fewer fewer;
    StackOptions stack;             // complete after replay_colours
    SeparationOptions separation;
    FigureFrame frame;              // after replay_colours
    double figure_width_mm;
    const SeparationColour *colours;        // with the names that the maker gave; after replay_colours
    int colour_count;
    const ColourMatch *matches;             // of the separation; after replay_colours
    int match_count;
    Tools tools;                    // after replay_papers
    Findings findings;
} Replay;

// What can be said before the colours are known: sizes, and what separation is to do.
MUST_USE bool replay_start(const Settings *settings, const EditList *edits, Arena *keep, Replay *out, Error *err);

// Names, base and order.
MUST_USE bool replay_colours(const Separation *separation, const Outlines *outlines, Arena *keep, Replay *replay,
                             Error *err);

// The paper of each layer as the cutter takes it: the colour's own, else what the settings name for the layer. ERROR_JOB when
// it has none. A layer whose paper takes none of the kit's lines becomes a finding "layer-unmarked".
MUST_USE bool replay_papers(const Stack *stack, Arena *keep, Replay *replay, Paper **out, Error *err);

// The offcuts that the maker has for the layers' papers, from the last word on each size: of the same colour, and taken for the same paper but for
// its size. What cannot be (no such colour, another weight, more than OFFCUT_SIZES_MOST sizes, no room on the cutter) is told.
#define OFFCUT_SIZES_MOST 16
typedef struct Offcut {
    int colour;             // among the replay's colours
    Paper paper;            // as the cutter takes it
    int count;              // at least 1
} Offcut;

MUST_USE bool replay_offcuts(const Stack *stack, const Paper *papers, Arena *keep, Replay *replay, Offcut **out, int *out_count, Error *err);

// The wishes for the seams of each layer.
MUST_USE bool replay_seams(const Stack *stack, Arena *keep, Work *work, Replay *replay, SeamWishes **out, Error *err);

// The form of each layer's seams: the maker's last word on its colour, else what the settings say. ERROR_JOB when they name a
// layer that is not there, or laps by name for one that nothing covers.
typedef struct LayerForm {
    SeamForm form;
    bool bare;      // laps were asked for all layers, and nothing covers this one
} LayerForm;
MUST_USE bool replay_forms(const Stack *stack, Arena *keep, Work *work, Replay *replay, LayerForm **out, Error *err);
// The finding on such a layer that has seams: "lap-left-out".
MUST_USE bool replay_tell_bare(const Stack *stack, int layer, const LayerPieces *pieces, Arena *keep, Replay *replay, Error *err);

// The index of the nearest colour within dE00 3, or -1.
int replay_find_colour(const SeparationColour *colours, int count, Srgb8 wanted);

// The layer of an edit's colour, or -1; the upper one when lines are the base and on top, but for frozen pieces.
int replay_find_layer(const Replay *replay, const Stack *stack, const Edit *edit);

// Adds a finding about an edit: "EDIT IN WORDS: REASON".
MUST_USE bool replay_tell(Replay *replay, const Edit *edit, const char *kind, const char *reason, Arena *keep, Error *err);

#endif
