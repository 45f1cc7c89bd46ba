// change.c - lines added to the docket, and struck out.
#include "desk/change.h"

#include "desk/answer.h"

#include "desk/place_lines.h"

#include <string.h>

bool has_job(const Desk *desk, Error *err)
{
    return desk->file || error_set(err, ERROR_JOB, "no picture lies on the table yet");
}

// One value of a message -> a canonical line.
static bool check_line(Desk *desk, const Message *message, const json_t *value, const char **out, Error *err)
{
    const char *json;
    if (!json_is_object(value)) return error_set(err, ERROR_USAGE, "a line should be an object such as {\"set\": \"height\", \"to\": \"4ft\"}");
    return place_lines(desk, value, message->arena, &json, err) && docket_check(json, strlen(json), message->arena, out, err);
}

static bool check_lines(Desk *desk, const Message *message, const char ***out, size_t *out_count, Error *err)
{
    const json_t *line = message_value(message, "line"), *lines = message_value(message, "lines");
    size_t count = line ? 1 : json_array_size(lines);
    if (count == 0 || (line && lines)) return error_set(err, ERROR_USAGE, "a change should have \"line\", or \"lines\" with one line or more");
    if (desk->docket.count + count > EDITS_MOST)
        return error_set(err, ERROR_JOB, "the docket has room for %d lines; begin a new job with this picture", EDITS_MOST);
    const char **checked = arena_new(message->arena, const char *, count);
    if (!checked) return error_memory(err);
    for (size_t i = 0; i < count; i++)
        if (!check_line(desk, message, line ? line : json_array_get(lines, i), &checked[i], err)) return false;
    *out = checked;
    *out_count = count;
    return true;
}

static bool alters(const LineInfo *line)
{
    return docket_alters(line->is_edit, line->kind, line->what);
}

static bool some_alter(const Desk *desk, size_t from)
{
    for (size_t i = from; i < desk->docket.count; i++)
        if (alters(&desk->lines[i])) return true;
    return false;
}

bool change_add(Desk *desk, const char *const *lines, size_t count, Text *reply, Error *err)
{
    size_t before = desk->docket.count;
    bool done = true;
    if (reply) text_add(reply, ", \"ids\": [");
    for (size_t i = 0; i < count && done; i++) {
        int64_t id;
        done = job_file_add_line(desk->file, lines[i], &id, err) && table_add_line(desk, id, lines[i], false, err);
        if (done && reply) text_printf(reply, "%s%lld", i ? ", " : "", (long long)id);
    }
    if (reply) text_add(reply, "]");
    if (desk->docket.count == before) return done;
    Error why = {0}; // what is in the file counts, also when the disk refused a later one
    int64_t last = desk->docket.lines[desk->docket.count - 1].id;
    if (table_changed(desk, last, some_alter(desk, before), &why)) return done;
    return done ? error_set(err, why.kind, "%s", why.text) : false;
}

bool answer_change(Desk *desk, const Message *message, Text *reply, Error *err)
{
    const char **lines = NULL;
    size_t count = 0;
    return has_job(desk, err) && check_lines(desk, message, &lines, &count, err) && change_add(desk, lines, count, reply, err);
}

static bool find_line(const Desk *desk, int64_t id, size_t *out, Error *err)
{
    for (*out = 0; *out < desk->docket.count; (*out)++)
        if (desk->docket.lines[*out].id == id) return true;
    return error_set(err, ERROR_USAGE, "the docket has no line %lld", (long long)id);
}

bool change_strike(Desk *desk, size_t at, bool struck, Error *err)
{
    DocketLine *line = &desk->docket.lines[at];
    if (line->struck == struck) return true;
    if (!job_file_strike(desk->file, line->id, struck, err)) return false;
    line->struck = struck;
    // A piece let go may lie anywhere from now on, but nothing has to move for it; one that is held again may have to move others.
    bool holds = desk->lines[at].is_edit && desk->lines[at].kind == EDIT_FROZEN && !struck;
    return table_changed(desk, line->id, holds || alters(&desk->lines[at]), err);
}

bool answer_strike(Desk *desk, const Message *message, Text *reply, Error *err)
{
    int64_t id;
    bool struck = true;
    size_t at = 0;
    (void)reply;
    if (!has_job(desk, err) || !message_whole(message, "id", &id, err)) return false;
    if (message_value(message, "struck") && !message_bool(message, "struck", &struck, err)) return false;
    return find_line(desk, id, &at, err) && change_strike(desk, at, struck, err);
}
