// underlap.h - how far a layer reaches, unseen, below the layers above it.
// layer := seen + (offset(seen, reach) within the covered area, at least UNDERLAP_INSIDE_MM from the edge of what layer
// and cover show together). Visible arcs stay links into arcs, to the bit; the hidden edge is straight lines.
#ifndef PM_STACK_UNDERLAP_H
#define PM_STACK_UNDERLAP_H

#include "shape/overlay.h"

// A hidden edge is never nearer than this to an edge that is seen. Lower risks a rim of the wrong colour.
#define UNDERLAP_INSIDE_MM 0.2

// `seen` is the visible share of the layer, `both` that share and all higher layers together, flat. Hidden edges are
// appended to `chains`. Parts of the underlap that do not hang on the layer are dropped. out_hidden has a flag a link
// of *out: an edge made here.
MUST_USE bool underlap_make(const Area *seen, const Rings *both, double reach_mm, Chains *chains, Arena *keep,
                            Work *work, Area *out, bool **out_hidden, Error *err);

#endif
