// docket.h - what the maker changed, a list of lines, and the settings and edits that they mean.
// Shape:   a line is a JSON object: an edit ({"edit": ...}, docs/edits.md) or a setting ({"set": "height", "to": "4ft"},
//          docs/desk.md). Lines are replayed in order; a struck one counts as not there; of two that set the same thing
//          the later one counts.
// Memory:  texts live in the arena given.
// Errors:  docket_check: ERROR_INPUT for what is no such object, ERROR_USAGE for a value that cannot be; says what would be right.
#ifndef PM_STORE_DOCKET_H
#define PM_STORE_DOCKET_H

#include "job/edit.h"
#include "job/settings.h"

#define DOCKET_LONGEST_LINE 2000000     // bytes; a frozen outline is the longest

typedef struct DocketLine {
    int64_t id;             // rises; never used twice in a job
    const char *json;       // canonical: as docket_check writes it
    bool struck;
} DocketLine;

typedef struct Docket {
    DocketLine *lines;
    size_t count, capacity;
} Docket;

// One line as it came from outside -> its canonical text.
MUST_USE bool docket_check(const char *json, size_t size_bytes, Arena *keep, const char **out, Error *err);

// Settings begin with settings_defaults; edits are those of the lines that count. An error says which line is wrong
// (*wrong = its id, 0 when none): lines were checked, so only lines that do not go together fail.
MUST_USE bool docket_replay(const Docket *docket, Arena *keep, Settings *settings, EditList *edits, int64_t *wrong, Error *err);

// Whether some line that counts sets this ("height").
bool docket_says(const Docket *docket, const char *what);

// Whether a line can alter what is cut: pieces that are cut cannot, nor what files, pages, lines and names are like. `what` of
// a setting.
bool docket_alters(bool is_edit, EditKind kind, const char *what);

// Some pieces are cut, and nothing that alters was decided since. They were taken from an answer that comes again when they are
// left out of the edits (edits_without_frozen), and then nothing else moves; held fast, they would make the rest be
// solved anew. freeze_check tells whether they are there.
bool docket_cut_last(const Docket *docket);

// The line as a maker reads it: "It stands 4 ft tall", "the fixed seam of navy from 5 %, 50 % to 61 %, 50 %".
// `colours` may be NULL: colours are then called by their values.
MUST_USE bool docket_say(const DocketLine *line, const SeparationColour *colours, int colour_count, Text *text, Error *err);

#endif
