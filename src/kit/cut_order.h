// cut_order.h - in which order the pieces of a sheet are cut: what lies in a hole before what has the hole (else it
// would come loose with it), and short ways between pieces.
#ifndef PM_KIT_CUT_ORDER_H
#define PM_KIT_CUT_ORDER_H

#include "kit/draft.h"

MUST_USE bool cut_order_sort(const Draft *draft, DraftSheet *sheet, Work *work, Error *err);

#endif
