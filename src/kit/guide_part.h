// guide_part.h - the parts of the guide, in their order, and what they hand to one another.
#ifndef PM_KIT_GUIDE_PART_H
#define PM_KIT_GUIDE_PART_H

#include "kit/guide_canvas.h"
#include "kit/guide_checks.h"
#include "kit/guide_map.h"
#include "kit/guide_say.h"
#include "kit/guide_sketch.h"
#include "kit/guide_steps.h"
#include "kit/hang.h"

typedef struct Guide {
    Canvas canvas;
    const Draft *draft;
    Arena *keep;
    Work *work;
} Guide;

MUST_USE bool guide_cover(Guide *guide, Error *err);
MUST_USE bool guide_to_buy(Guide *guide, Error *err);
MUST_USE bool guide_to_read(Guide *guide, Error *err);
MUST_USE bool guide_sheet_map(Guide *guide, Error *err);
MUST_USE bool guide_layers(Guide *guide, Error *err);
MUST_USE bool guide_hanging(Guide *guide, Error *err);
MUST_USE bool guide_findings(Guide *guide, Error *err);
MUST_USE bool guide_envelopes(Guide *guide, Error *err);

// The steps of a layer at the flow's place, each with its two pictures; `checks` = of the base, else NULL. Minutes since
// the last place to stop go on from layer to layer.
double guide_steps_height(Guide *guide, Sketches *sketches, int layer, const GuideSteps *steps); // about
double guide_first_step_height(Guide *guide, Sketches *sketches, int layer, const GuideSteps *steps);  // with what stands above
MUST_USE bool guide_write_steps(Guide *guide, int layer, const GuideSteps *steps, const GuideChecks *checks,
                                Sketches *sketches, double *since_stop, Error *err);

// One of them under a number, with `below_mm` kept free on its page.
MUST_USE bool guide_write_step(Guide *guide, int layer, const GuideSteps *steps, int index, int number, Sketches *sketches, double below_mm,
                               Error *err);
MUST_USE bool guide_tell_end(Guide *guide, Error *err);     // when all is done

// Of a piece that parts: what its sections are; the steps of each, by layer; how it is put up and taken apart.
MUST_USE bool guide_section_map(Guide *guide, Error *err);
MUST_USE bool guide_section_steps(Guide *guide, const GuideSteps *by_layer, Sketches *sketches, Error *err);
MUST_USE bool guide_section_moves(Guide *guide, const GuideBelow *below, Error *err);

// How it stands: a strut of board with its measures.

MUST_USE bool guide_strut(Guide *guide, const Hang *hang, Error *err);

// Of all stages, shown or not.
int guide_finding_count(const Draft *draft);

// "slate blue" of a layer.
const char *guide_colour_name(const Draft *draft, int layer);
// "40 min", "2 1/2 h"
void guide_time(Text *text, double minutes);
// "3 pieces"
void guide_count(Text *text, int count, const char *word);
// "16 ft (4.9 m)": a length to buy, rounded up.
void guide_length_to_buy(Text *text, double mm);
// The text's words, or NULL with an error set.
const char *guide_words(const Text *text, Error *err);

#endif
