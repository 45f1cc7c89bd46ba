// underlap.h - how far a layer reaches, unseen, below the layers above it.
// layer := seen + (offset(seen, reach) within the covered area, at least UNDERLAP_INSIDE_MM from the edge of what layer
// and cover show together). Visible arcs stay links into arcs, to the bit; the hidden edge is straight lines.
#ifndef PM_STACK_UNDERLAP_H
#define PM_STACK_UNDERLAP_H

#include "shape/overlay.h"

// A hidden edge is never nearer than this to an edge that is seen. Lower risks a rim of the wrong colour.
#define UNDERLAP_INSIDE_MM 0.2

// Everything within reach that may be paper of the layer: most of the work, and independent of other layers. `seen` is
// the visible share of the layer, `both` that share and all higher layers together, flat.
MUST_USE bool underlap_reach(const Rings *seen, const Rings *both, double reach_mm, Arena *keep, Work *work, Rings *out,
                             Error *err);

// The layer: what is seen and what is reached, joined. Hidden edges are appended to `chains`. Parts of the underlap that
// do not hang on the layer are dropped. out_hidden has a flag a link of *out: an edge made here.
MUST_USE bool underlap_make(const Area *seen, const Rings *reach, Chains *chains, Arena *keep, Work *work, Area *out,
                            bool **out_hidden, Error *err);

#endif
