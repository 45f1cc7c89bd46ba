// desk.c - see desk.h: opening and closing, one message -> one reply, events, files.
#include "desk/desk.h"

#include "desk/answer.h"
#include "desk/jobs.h"
#include "desk/shelf_talk.h"

#include "proof/read_json.h"

#include <stdlib.h>
#include <string.h>

// ---- open, close ----

static bool copy_text(Arena *own, const char **text, Error *err)
{
    if (!*text) return true;
    *text = arena_text(own, *text);
    return *text || error_memory(err);
}

static bool copy_options(Desk *desk, Error *err)
{
    DeskOptions *o = &desk->options;
    return copy_text(&desk->own, &o->child_program, err) && copy_text(&desk->own, &o->job_folder, err) &&
           copy_text(&desk->own, &o->shelf_path, err) && copy_text(&desk->own, &o->usual_paper, err);
}

bool desk_open(const DeskOptions *options, Desk **out, Error *err)
{
    Desk *desk = calloc(1, sizeof *desk);
    *out = NULL;
    if (!desk) return error_memory(err);
    desk->options = *options;
    desk->own = arena_make(0);
    desk->shelf_arena = arena_make(0);
    desk->job_arena = arena_make(0);
    desk->version = 1;
    if (!copy_options(desk, err)) {
        desk_close(desk);
        return false;
    }
    // A shelf that cannot be opened is told where it is asked for; jobs go on without it.
    if (desk->options.shelf_path && shelf_open(desk->options.shelf_path, &desk->shelf, &desk->shelf_error) &&
        !shelf_refresh(desk, &desk->shelf_error)) {
        shelf_close(desk->shelf);
        desk->shelf = NULL;
    }
    *out = desk;
    return true;
}

void desk_close(Desk *desk)
{
    if (!desk) return;
    table_clear(desk);
    job_free(&desk->job);
    job_free(&desk->compare_job);
    shelf_close(desk->shelf);
    arena_free(&desk->job_arena);
    arena_free(&desk->shelf_arena);
    arena_free(&desk->own);
    free(desk);
}

void desk_stop(Desk *desk)
{
    atomic_store(&desk->stop, true);
    atomic_store(&desk->cancel, true);
    table_wake(desk);
}

// ---- one message ----

static const struct { const char *ask; Answer *answer; } ASKS[] = {
    {"state", answer_state},
    {"view", answer_view},
    {"change", answer_change},
    {"strike", answer_strike},
    {"demo", answer_demo},
    {"jobs", answer_jobs},
    {"open-job", answer_open_job},
    {"save-as", answer_save_as},
    {"shelf", answer_shelf},
    {"shelf-add", answer_shelf_add},
    {"shelf-remove", answer_shelf_remove},
    {"shelf-keep", answer_shelf_keep},
    {"compare", answer_compare},
    {"find-places", answer_find_places},
    {"take", answer_take},
    {"recut", answer_recut},
    {"tick", answer_tick},
    {"next", answer_next},
};

static bool dispatch(Desk *desk, const Message *message, Text *reply, Error *err)
{
    const char *ask;
    if (!message_text(message, "ask", &ask, err)) return false;
    for (size_t i = 0; i < sizeof ASKS / sizeof ASKS[0]; i++)
        if (strcmp(ask, ASKS[i].ask) == 0) return ASKS[i].answer(desk, message, reply, err);
    return error_set(err, ERROR_USAGE, "nothing answers to \"%.40s\" here; docs/desk.md lists what can be asked", ask);
}

static const char *kind_word(ErrorKind kind)
{
    switch (kind) {
    case ERROR_NONE:
    case ERROR_SYSTEM: return "system";
    case ERROR_USAGE: return "usage";
    case ERROR_JOB: return "job";
    case ERROR_INPUT: return "input";
    case ERROR_PROOF: return "proof";
    case ERROR_CANCELLED: return "cancelled";
    }
    return "system";
}

// Without its end: more may follow.
static void begin_error(Text *reply, const Error *error)
{
    text_printf(reply, "{\"kind\": \"%s\", \"text\": ", kind_word(error->kind));
    reply_string(reply, error->text);
}

// The number comes back as it was sent; a message that cannot be read has none.
static void begin_reply(Text *reply, const json_t *number, bool ok)
{
    text_add(reply, "{\"n\": ");
    if (json_is_integer(number)) text_printf(reply, "%lld", (long long)json_integer_value(number));
    else text_add(reply, "null");
    text_printf(reply, ", \"ok\": %s", ok ? "true" : "false");
}

static bool end_reply(Text *reply, size_t from, const json_t *number, bool done, const Error *why, Error *err)
{
    if (!done && !reply->failed) {
        reply->size_bytes = from;
        begin_reply(reply, number, false);
        reply_key(reply, "error");
        begin_error(reply, why);
        text_add(reply, "}");
    }
    text_add(reply, "}\n");
    return text_is_whole(reply, err);
}

static bool read_message(const char *bytes, size_t size_bytes, Arena *arena, const json_t **out, Error *why)
{
    json_error_t where;
    if (size_bytes > DESK_LARGEST_MESSAGE)
        return error_set(why, ERROR_USAGE, "the message has %zu bytes, more than the %zu that are read", size_bytes, DESK_LARGEST_MESSAGE);
    if (!read_json(bytes, size_bytes, arena, out, &where, why)) return false;
    if (!*out) return error_set(why, ERROR_USAGE, "the message is no JSON: %.100s (line %d)", where.text, where.line);
    return json_is_object(*out) || error_set(why, ERROR_USAGE, "the message should be a JSON object such as {\"ask\": \"state\", \"n\": 1}");
}

bool desk_answer(Desk *desk, const char *message, size_t size_bytes, Text *reply, Error *err)
{
    Arena arena = arena_make(0);
    Message read = {.arena = &arena};
    Error why = {0};
    size_t from = reply->size_bytes;
    bool done = read_message(message, size_bytes, &arena, &read.object, &why);
    const json_t *number = json_is_object(read.object) ? json_object_get(read.object, "n") : NULL;
    if (done) {
        begin_reply(reply, number, true);
        done = dispatch(desk, &read, reply, &why);
    }
    done = end_reply(reply, from, number, done, &why, err);
    arena_free(&arena);
    return done;
}

bool desk_take_picture(Desk *desk, const char *name, const void *bytes, size_t size_bytes, Text *reply, Error *err)
{
    Error why = {0};
    size_t from = reply->size_bytes;
    bool done = jobs_take_picture(desk, name, bytes, size_bytes, &why);
    if (done) {
        begin_reply(reply, NULL, true);
        done = state_write(desk, reply, &why);
    }
    return end_reply(reply, from, NULL, done, &why, err);
}

bool desk_open_job(Desk *desk, const char *path, Error *err)
{
    return jobs_open_path(desk, path, err);
}

bool desk_copy_job(Desk *desk, Arena *keep, FileBytes *out, Error *err)
{
    *out = (FileBytes){0};
    if (jobs_copy(desk, keep, out, err)) return true;
    *out = (FileBytes){0};
    return false;
}

bool answer_state(Desk *desk, const Message *message, Text *reply, Error *err)
{
    (void)message;
    return state_write(desk, reply, err);
}

// ---- events, files ----

bool desk_event(Desk *desk, uint64_t after, Text *event, uint64_t *number)
{
    bool found = false;
    table_lock(desk);
    if (after < desk->event_count) {
        uint64_t oldest = desk->event_count > EVENTS_HELD ? desk->event_count - EVENTS_HELD : 0;
        const Event *next = &desk->events[(after > oldest ? after : oldest) % EVENTS_HELD];
        *number = next->number;
        text_add(event, next->text);
        found = !event->failed;
    }
    table_unlock(desk);
    return found;
}

uint64_t desk_last_event(Desk *desk)
{
    table_lock(desk);
    uint64_t number = desk->event_count;
    table_unlock(desk);
    return number;
}

static Kit *take_kit(Desk *desk, bool recut)
{
    table_lock(desk);
    Kit *kit = recut ? desk->recut : desk->kit;
    if (kit) kit->users++;
    table_unlock(desk);
    return kit;
}

bool desk_file(Desk *desk, const char *name, Arena *keep, FileBytes *out, Error *err)
{
    *out = (FileBytes){0};
    bool is_recut = strcmp(name, "recut.zip") == 0;
    Kit *kit = take_kit(desk, is_recut);
    if (!kit) return false;
    const FileBytes *file = is_recut || strcmp(name, "kit.zip") == 0 ? &kit->zip : file_find(&kit->files, name);
    if (file) {
        out->name = arena_text(keep, file->name);
        out->bytes = arena_copy(keep, file->bytes, file->size_bytes, 1);
        out->size_bytes = file->size_bytes;
    }
    table_lock(desk);
    kit_release(kit);
    table_unlock(desk);
    if (file && (!out->name || !out->bytes)) {
        *out = (FileBytes){0};
        return error_memory(err);
    }
    return file != NULL;
}
