// answer.h - the functions that answer a message: one an `ask`, in the files of this room by subject.
#ifndef PM_DESK_ANSWER_H
#define PM_DESK_ANSWER_H

#include "desk/message.h"
#include "desk/reply.h"
#include "desk/table.h"

// Each adds its keys to the reply, every one with ", " before it.
typedef bool Answer(Desk *desk, const Message *message, Text *reply, Error *err);

Answer answer_state, answer_view, answer_change, answer_strike, answer_demo, answer_jobs, answer_open_job, answer_save_as, answer_shelf,
    answer_shelf_add, answer_shelf_remove, answer_shelf_keep, answer_compare, answer_find_places, answer_take, answer_recut, answer_tick, answer_next;

// The state as a reply has it: , "state": {...}
MUST_USE bool state_write(Desk *desk, Text *reply, Error *err);

#endif
