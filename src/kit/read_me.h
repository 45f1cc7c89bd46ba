// read_me.h - READ-ME-FIRST.txt: what somebody does in the ten minutes after the kit came, in plain words.
#ifndef PM_KIT_READ_ME_H
#define PM_KIT_READ_ME_H

#include "kit/test_sheet.h"

// After draft_total.
MUST_USE bool read_me(const Draft *draft, const TestSheet *tests, int test_count, Arena *keep, FileBytes *out, Error *err);

#endif
