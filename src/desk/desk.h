// desk.h - the door: messages in, replies and events out (docs/desk.md). It keeps one job on the table.
// The carrier (a local server, a worker) brings messages and runs the work; the desk starts no threads.
// Shape:   two callers: one that talks (desk_answer, desk_take_picture, desk_event, desk_file) and one that works
//          (desk_work). They may be on two threads; the desk then needs the two hooks of DeskLock, held only
//          while what both see is looked at or exchanged, never during a computation.
// Memory:  a Desk owns everything it holds; replies are written to the caller's Text.
// Errors:  what a maker did wrong comes back as a reply; a function fails only when no reply can be made (memory).
#ifndef PM_DESK_DESK_H
#define PM_DESK_DESK_H

#include "base/files.h"
#include "base/text.h"

#include <stdint.h>

typedef struct DeskLock {
    void (*lock)(void *context);
    void (*unlock)(void *context);
    void (*wake)(void *context);        // there is work, or an event: whoever waits should look again
    void *context;
} DeskLock;

typedef struct DeskOptions {
    const char *child_program;          // for decoding pictures
    const char *job_folder;             // where jobs are kept; made when it is not there
    const char *shelf_path;             // NULL = no shelf
    const char *usual_paper;            // until another is named: "letter" (NULL) or "a4"; the guide's pages as well
    const void *demo_bytes;             // the demo picture
    size_t demo_size_bytes;
    int threads;
    DeskLock lock;                      // all NULL: one thread does everything
} DeskOptions;

#define DESK_USUAL_HEIGHT_MM 812.8      // 32 in, until a height is named: something to look at
#define DESK_LARGEST_MESSAGE ((size_t)4 << 20)
#define DESK_LARGEST_PICTURE ((size_t)200 << 20)

typedef struct Desk Desk;

MUST_USE bool desk_open(const DeskOptions *options, Desk **out, Error *err);
void desk_close(Desk *desk);            // nobody may be inside

// One message -> one reply.
MUST_USE bool desk_answer(Desk *desk, const char *message, size_t size_bytes, Text *reply, Error *err);

// A picture falls on the table: a new job; or a job file from elsewhere, which is kept in the folder. The reply is a state.
MUST_USE bool desk_take_picture(Desk *desk, const char *name, const void *bytes, size_t size_bytes, Text *reply, Error *err);

// A job file, wherever it is, is laid on the table; changes go to it.
MUST_USE bool desk_open_job(Desk *desk, const char *path, Error *err);

// Does what there is to do; returns when there is nothing more, or a newer change made it stop. False: nothing was to do.
bool desk_work(Desk *desk);
void desk_stop(Desk *desk);             // from any thread: desk_work returns soon and does nothing more

// The event after number `after`, as one line of JSON; false when there is none yet. *number is its own number; a reader
// that is too slow misses the oldest ones.
MUST_USE bool desk_event(Desk *desk, uint64_t after, Text *event, uint64_t *number);

// The job on the table as one file, to be taken along. ERROR_JOB: there is none.
MUST_USE bool desk_copy_job(Desk *desk, Arena *keep, FileBytes *out, Error *err);

uint64_t desk_last_event(Desk *desk);   // its number; 0 = none yet

// A file of the last kit that passed its proof ("guide.pdf"; "kit.zip" = all of it, "recut.zip" = the last pieces once more), copied into `keep`; false: there is none.
MUST_USE bool desk_file(Desk *desk, const char *name, Arena *keep, FileBytes *out, Error *err);

#endif
