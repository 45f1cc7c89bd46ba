// board_pdf.h - backing-board.pdf: the backing board's panels on one page, then the curved edges of each at true size, page by page.
// A page shows a part of one panel and says how far from the panel's left edge and top it lies; the little crosses of
// neighbouring pages carry the same numbers and come to lie on one another. Pages that no edge runs over are left out.
#ifndef PM_KIT_BOARD_PDF_H
#define PM_KIT_BOARD_PDF_H

#include "kit/board.h"

MUST_USE bool board_pdf(const Draft *draft, Arena *keep, Work *work, FileBytes *out, Error *err);

#endif
