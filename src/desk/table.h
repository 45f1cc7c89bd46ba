// table.h - what lies on the desk: the inside of a Desk, for the files of this room alone.
// Two callers share it. What one of them has alone is not guarded; what both see is looked at and exchanged under the
// lock, and what is handed over (Wish, Shown, Kit) never changes afterwards and counts who holds it.
#ifndef PM_DESK_TABLE_H
#define PM_DESK_TABLE_H

#include "desk/desk.h"
#include "desk/offered.h"
#include "desk/shown.h"
#include "nest/places.h"
#include "store/job_file.h"
#include "store/shelf.h"

#include <stdatomic.h>

#define EVENTS_HELD 256         // a reader that is farther behind misses the oldest

typedef struct Event {
    uint64_t number;
    char text[800];             // one line of JSON
} Event;

// The picture of a job, shared by wishes and whoever computes with it.
typedef struct Source {
    Arena arena;
    int users;
    int64_t job;                // number of the job on the table, rising
    FileBytes picture;          // name: printable
    const char *kit_name;
} Source;

// What the newest docket asks for.
typedef struct Wish {
    Arena arena;
    int users;
    int64_t revision;           // rises with each change
    int64_t shape;              // revision of the last change that can alter a piece: ticks do not
    int64_t last_line;          // that was changed; 0 = none
    Source *source;
    Settings settings;
    EditList edits, loose;      // loose: without the frozen pieces
    int64_t *edit_lines, *loose_lines;  // docket line of each edit
    bool loose_first;           // docket_cut_last
} Wish;

typedef struct Kit {            // proven, as it is handed out; changes no more, but for what is said
    Arena arena;
    int users;
    int64_t revision, job;
    FileSet files;              // proof.txt among them
    FileBytes zip;
    const char *proof;
    const char **names;         // of a recut: its pieces
    int name_count;
    ShelfList rests;            // what its sheets leave for the shelf
    bool rests_kept;            // they lie there: under the lock
} Kit;

typedef struct RecutOrder {     // pieces that are to be cut once more; whoever works takes it over
    Arena arena;
    const char **names;
    int count;
    const char *paper;          // words; NULL: the paper that each had
} RecutOrder;

#define COMPARE_MOST 12         // rows: more are not looked at side by side
#define COMPARE_TOTALS 6
extern const char *const COMPARE_TOTAL_NAMES[COMPARE_TOTALS];   // as in kit.json

typedef struct CompareRow {
    const char *paper;          // its words; NULL: another line
    const char *line;           // canonical docket line that is added
    bool done;
    double totals[COMPARE_TOTALS];  // < 0: not known
    char error[512];            // "" = none
} CompareRow;

typedef struct Compare {        // filled row by row, under the lock
    Arena arena;
    int64_t revision, number;   // of the docket that lines are added to; of the question
    CompareRow *rows;
    Wish **wishes;              // one a row; NULL: that line cannot be replayed, see its error
    int count;
} Compare;

// A docket line taken apart.
typedef struct LineInfo {
    bool is_edit;
    EditKind kind;
    const char *what, *to, *layer;  // of a setting; layer may be NULL; `to` of a sheet is its paper
    const char *piece;          // of a frozen one
    Srgb8 colour, other;
    const char *says;           // the sentence for `says_key`
    uint64_t says_key;
} LineInfo;

// Where else a piece would lie: asked for, then known.
typedef struct OtherPlaces {
    char piece[16];             // "": nobody asked
    bool wanted;
    int64_t revision;           // of the answer in which it was looked for
    Srgb8 colour;
    char paper[64];             // what its sheets are called: "navy"
    NestPlace items[NEST_PLACES_MOST];
    int count;
} OtherPlaces;

struct Desk {
    DeskOptions options;        // its texts are copies, in `own`
    Arena own;

    // ---- of the caller that talks ----
    Shelf *shelf;               // NULL: none, or it could not be opened (shelf_error)
    Error shelf_error;
    Arena shelf_arena;
    ShelfList shelf_list;
    Arena job_arena;            // what follows, of the job on the table
    JobFile *file;              // NULL: no job
    const char *path, *name;
    Source *source;
    Docket docket;
    LineInfo *lines;            // one a docket line
    size_t line_capacity;
    Tick *ticks;
    int tick_count;
    size_t tick_capacity;
    int64_t last_line, shape;   // see Wish
    Settings settings;          // of the last docket that could be replayed
    int64_t compare_count;      // questions so far

    // ---- of the caller that works ----
    Job job;                    // of source number job_number
    int64_t job_number;         // 0: none
    int64_t whole_shape;        // shape and job of the last whole answer
    Job compare_job;
    int64_t compare_number;
    Key grid_key;
    Grid grid_known;            // with that key
    bool was_loose;             // the last update: of the wish's loose edits

    // ---- seen by both: under the lock ----
    uint64_t version;
    int64_t revision, job_count;
    Wish *wish;                 // newest; NULL: no job, or its docket cannot be replayed
    int64_t answered;           // revision that was computed, or failed
    Shown *shown;               // newest answer, maybe of an older docket; NULL: none
    Steps *steps;
    OtherPlaces places;
    Grid grid;
    Offered offered;
    Error error;                // of the newest docket
    int64_t error_line;
    bool busy, is_patient;      // somebody waits for what is worked out; it may be put off for what somebody waits for
    char stage[32];
    double share;
    bool kit_wanted, kit_busy;
    Error kit_error;
    Kit *kit;
    RecutOrder *recut_order;    // not begun yet
    bool recut_busy;
    Error recut_error;
    Kit *recut;                 // `revision` is the shape of the answer that its pieces are of
    Compare *compare;
    Event events[EVENTS_HELD];
    uint64_t event_count;
    atomic_bool cancel, stop;
};

void table_lock(Desk *desk);
void table_unlock(Desk *desk);
void table_wake(Desk *desk);    // after unlocking

// Under the lock: {"event": EVENT, "version": N, KEY: VALUE}; key may be NULL. Shares and stages: table_tell_work.
void table_tell(Desk *desk, const char *event, const char *key, const char *value);
void table_tell_work(Desk *desk);

// Give one user back; NULL is fine. Under the lock, as the counts are.
void source_release(Source *source);
void wish_release(Wish *wish);
void kit_release(Kit *kit);
void recut_order_free(RecutOrder *order);
void compare_release(Compare *compare);

// Takes the job off the table: file closed, nothing shown. Not under the lock.
void table_clear(Desk *desk);

// The docket's line in parts.
MUST_USE bool line_read(const char *json, Arena *keep, LineInfo *out, Error *err);

// One more line of the docket, as it is in the file already.
MUST_USE bool table_add_line(Desk *desk, int64_t id, const char *json, bool struck, Error *err);

// What the docket means with `extra` (may be NULL) as one more line.
MUST_USE bool table_make_wish(Desk *desk, const char *extra, Wish **out, int64_t *wrong_line, Error *err);

// The docket has changed, by the line with this id (0: all of it is new): a new wish for whoever works. `alters`: pieces may
// change. A docket that cannot be replayed is no error here; it is told in the state.
MUST_USE bool table_changed(Desk *desk, int64_t line, bool alters, Error *err);

// The newest answer, with one user more, or NULL; give it back by table_give_back. Not under the lock.
Shown *table_take_shown(Desk *desk);
void table_give_back(Desk *desk, Shown *shown);

#endif
