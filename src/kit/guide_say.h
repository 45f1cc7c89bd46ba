// guide_say.h - sentences that guide.pdf and guide.html share, and the worktable's page where it tells the same.
#ifndef PM_KIT_GUIDE_SAY_H
#define PM_KIT_GUIDE_SAY_H

#include "kit/guide_checks.h"
#include "kit/guide_steps.h"

#define GUIDE_STOP_MIN 120.0    // between places to stop

#define GUIDE_SAY_STOP "A good place to stop, after about two hours. Let glue dry flat, under a few books."
#define GUIDE_SAY_BLADE "Keep your fingers away from the blade while it moves."
#define GUIDE_SAY_ADHESIVE "Hot glue burns and spray adhesive wants open windows; follow what stands on them."
#define GUIDE_SAY_CARE                                                                                                             \
    "Blades cut: lift parts with a tool, not with fingers. Hot glue burns, spray adhesive wants fresh air. The "                  \
    "instructions of your tools and adhesives come before this guide. Small parts are not for small children."
#define GUIDE_SAY_HANGING                                                                                                          \
    "Stand a ladder on firm ground and have somebody hold it. Nothing that hangs may fall on people: use "                       \
    "hooks and thread for several times its weight. Keep paper away from flames, candles and hot "                               \
    "lamps, and ask for the fire rules of the place: they come before this guide."
#define GUIDE_SAY_GLUING                                                                                                           \
    "Lay a piece dry first. Then glue in a thin line, 1/8 in (3 mm) inside its edges, and here and there between; set it "        \
    "down, and lay a book on it. What is larger than two hands: hold one half in its place with books, fold the "                \
    "other half back, glue it and lower it from the middle outwards; then the first half."
#define GUIDE_SAY_MEASURE "Measure the joined base before it is turned, from dot to dot as drawn, slanting or not:"
#define GUIDE_SAY_MEASURED                                                                                                         \
    "All should be right within 1/8 in (3 mm). If a diagonal is off, a seam has slipped: open it and lay "                       \
    "it edge to edge again."

// How laps are glued and how butt seams are taped, in order; each ends with NULL.
extern const char *const GUIDE_SAY_LAPPING[], *const GUIDE_SAY_TAPING[];

// How a piece finds its place on those below.
const char *guide_say_lines(const Draft *draft);
// "1 to 3, across: 45 15/16 in (1167 mm)"
void guide_say_check(Text *text, const GuideCheck *check);
// When all is done.
void guide_say_end(Text *text, const Draft *draft);

// After a step: whether this is a place to stop. *since_stop = minutes since the last one; they go on from layer to layer.
bool guide_is_stop(const GuideSteps *steps, int index, bool last_layer, double *since_stop);

#endif
