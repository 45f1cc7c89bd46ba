// guide_steps.h - in which order a layer is put together: steps with what they say, what they handle and their minutes.
#ifndef PM_KIT_GUIDE_STEPS_H
#define PM_KIT_GUIDE_STEPS_H

#include "base/text.h"
#include "kit/guide_groups.h"
#include "kit/section_parts.h"

typedef enum GuideStepKind {
    GUIDE_STEP_JOIN,    // single pieces are laid out face up, glued on their laps; turned and taped behind where there are butt seams
    GUIDE_STEP_UNITE,   // the same with two joined parts
    GUIDE_STEP_STRIPS,  // strips are glued behind the joined base, which lies face down
    GUIDE_STEP_TURN,    // the joined base comes face up, or stays so until the glue of its laps is dry
    GUIDE_STEP_GLUE,    // a joined group, or a few single pieces, on what lies below
    GUIDE_STEP_LAY,     // pieces of the base that no seam joins
} GuideStepKind;

typedef struct GuideStep {
    GuideStepKind kind;
    const char *title, *words;      // words may be ""
    const char **lines;             // each with a box to tick: a seam, or a piece with its place
    int line_count;
    const int *pieces;              // index into the layer's pieces; of GUIDE_STEP_UNITE first those of one part
    int piece_count, first_count;   // first_count of them belong to the first part
    double minutes;                 // by the rates of draft.h; all steps of all layers together take totals.assembly_minutes
    bool taped;                     // it is joined behind, and lies face down then; else all its seams are laps
    int section;                    // that it belongs to (section_parts.h); SECTION_OF_BRIDGE: it is done where the piece is put up
    bool meets;                     // sections meet; nothing else is joined
    int joins_whole;                // with this step a whole group is joined: guide_groups.h's name of it; else -1
} GuideStep;

typedef struct GuideSteps {
    GuideStep *items;
    int count;
    size_t capacity;
} GuideSteps;

#define GUIDE_BELOW_MOST 6

typedef struct GuideBelow { // the pieces that a piece is glued to, the one with the largest share first
    int pieces[GUIDE_BELOW_MOST];   // index into the draft's pieces
    int count;
} GuideBelow;

// One entry a piece of the draft; none for those of the base.
MUST_USE bool guide_below(const Draft *draft, Arena *keep, Work *work, GuideBelow **out, Error *err);

// Pieces that seams join come first: parts of a few pieces, then the parts together along their long seams; then what is
// joined is placed in one go; then single pieces, a few that are near one another at a time. Each seam and each piece's
// placing is in exactly one step. Of a piece that parts, the steps of one section after another, then what is done where
// it is put up.
MUST_USE bool guide_steps(const Draft *draft, int layer, const GuideBelow *below, Arena *keep, Work *work, GuideSteps *out,
                          Error *err);

#endif
