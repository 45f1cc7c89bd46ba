// read_extras.h - what only some kits have: the sections that a piece is put together from, and the board behind it.
// Errors:  as read_values.h.
#ifndef PM_PROOF_READ_EXTRAS_H
#define PM_PROOF_READ_EXTRAS_H

#include "proof/read_values.h"

void read_sections(Reader *r, const json_t *root);
void read_board(Reader *r, const json_t *root);

#endif
