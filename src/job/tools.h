// tools.h - which tools a kit needs besides the blade, and which line a paper's marks are made with.
// A kit takes one tool unless two are asked for: of a cutter's tools score before pen; rows of short cuts where the blade is
// alone; score where no cutter is named.
// Source:  common practice, no source.
#ifndef PM_JOB_TOOLS_H
#define PM_JOB_TOOLS_H

#include "job/settings.h"

typedef struct Tools {
    MarkLine lines[2];          // first choice first
    int count;                  // 1 or 2; 0 = nothing is marked, since the sheets are cut from the back
} Tools;

// Errors: ERROR_JOB when the cutter lacks a tool that is asked for; says what it has.
MUST_USE bool tools_choose(const Settings *settings, Tools *out, Error *err);

// The first of the tools whose line the paper takes; false when there is none, and then its pieces have no marks. Rows of cuts are
// made in all papers that take pen or score.
bool tools_line(const Tools *tools, const Paper *paper, MarkLine *out);

// How the pieces of a paper are marked.
MarkOptions tools_mark_options(const Tools *tools, const Settings *settings, const Paper *paper);

// Why the pieces of these layers ("layer A", "layers A and C") of this paper have no marks, and what would change that: one
// sentence, at most 300 bytes.
void tools_say_unmarked(const Tools *tools, const Settings *settings, const Paper *paper, const char *layers, char out[300]);

#endif
