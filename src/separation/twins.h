// twins.h - colours of a noisy picture that turn out to be one.
// Rule:    colours are told apart while noise still blurs them, and measured once all pixels have their label. Two that then lie
//          nearer than dE00 `same_de00` are one, as in a clean picture: the larger one's colour stays. Nearest pairs first.
// Errors:  ERROR_CANCELLED.
#ifndef PM_SEPARATION_TWINS_H
#define PM_SEPARATION_TWINS_H

#include "separation/palette.h"

// Joins them in the label map of px pixels and takes what was joined out of the palette; the others keep their order. Of the
// palette's last *thin_count colours those that are left stay its last.
MUST_USE bool twins_join(uint8_t *label, size_t px, double same_de00, Work *work, Palette *palette, int *thin_count, Error *err);

#endif
