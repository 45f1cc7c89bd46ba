// message.h - one message taken apart, and the functions that answer: one an `ask`, in the files of this room by subject.
#ifndef PM_DESK_MESSAGE_H
#define PM_DESK_MESSAGE_H

#include "desk/table.h"

#include <jansson.h>

#define MESSAGE_LONGEST_TEXT 4096

typedef struct Message {
    const json_t *object;
    Arena *arena;               // lives as long as the message is answered
} Message;

// Each adds its keys to the reply, every one with ", " before it.
typedef bool Answer(Desk *desk, const Message *message, Text *reply, Error *err);

Answer answer_state, answer_view, answer_change, answer_strike, answer_demo, answer_jobs, answer_open_job, answer_save_as, answer_shelf,
    answer_shelf_add, answer_shelf_remove, answer_shelf_keep, answer_compare, answer_find_places, answer_take, answer_recut, answer_tick, answer_next;

// ERROR_USAGE when the key is not there, is no text, is longer than MESSAGE_LONGEST_TEXT, or has a control character.
MUST_USE bool message_text(const Message *message, const char *key, const char **out, Error *err);
// The same for a key that may be missing or null: then *out is NULL.
MUST_USE bool message_text_or_none(const Message *message, const char *key, const char **out, Error *err);
MUST_USE bool message_whole(const Message *message, const char *key, int64_t *out, Error *err);
MUST_USE bool message_bool(const Message *message, const char *key, bool *out, Error *err);
const json_t *message_value(const Message *message, const char *key);   // NULL when it is not there, or null

void reply_key(Text *reply, const char *key);                           // , "key":
void reply_string(Text *reply, const char *value);                      // quoted
void reply_error(Text *reply, const Error *error);                      // {"kind": ..., "text": ... without its end: more may follow

// The state as a reply has it: , "state": {...}
MUST_USE bool state_write(Desk *desk, Text *reply, Error *err);

// change.c
MUST_USE bool has_job(const Desk *desk, Error *err);                    // ERROR_JOB: no picture yet
// Canonical lines; they are in the file when this returns. `reply` (may be NULL) gets their ids.
MUST_USE bool change_add(Desk *desk, const char *const *lines, size_t count, Text *reply, Error *err);
MUST_USE bool change_strike(Desk *desk, size_t at, bool struck, Error *err);

// ticks.c
MUST_USE bool ticks_keep(Desk *desk, const char *piece, TickMark mark, Error *err);    // in memory alone

// jobs.c
MUST_USE bool jobs_take_picture(Desk *desk, const char *name, const void *bytes, size_t size_bytes, Error *err);
MUST_USE bool jobs_copy(Desk *desk, Arena *keep, FileBytes *out, Error *err);
MUST_USE bool jobs_open_path(Desk *desk, const char *path, Error *err);

// shelf_talk.c: reads the shelf again; one that cannot be opened is told where it is asked for.
MUST_USE bool shelf_refresh(Desk *desk, Error *err);
// Why a docket line's paper or cutter is not to be had from this shelf; NULL: it is, or the shelf says nothing of such.
MUST_USE bool shelf_lacks(const Desk *desk, const LineInfo *line, Arena *keep, const char **out, Error *err);

#endif
