// sheets.h - the stage of marks (a task a layer) and sheets (a task a paper): none waits for another.
// Sets run->out->papers and marks; a first answer has no marks.
#ifndef PM_JOB_SHEETS_H
#define PM_JOB_SHEETS_H

#include "job/run.h"

// Gives the entry an id that none of these has: its size and colour, of several such the later ones numbered.
void sheets_name_paper(const KitPaper *papers, int count, KitPaper *entry);

MUST_USE bool sheets_make(Run *run, Error *err);

#endif
