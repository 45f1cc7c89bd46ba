// desk_case.h - a desk of a test's own in a folder of its own, on one thread, and replies taken apart.
#ifndef PM_TEST_DESK_CASE_H
#define PM_TEST_DESK_CASE_H

#include "desk/desk.h"
#include "support/temp_folder.h"

#include "small_pictures.h"

#include <jansson.h>

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct DeskCase {
    Desk *desk;
    Arena keep;
    json_t *reply;              // of the last message
    SmallPicture picture;
} DeskCase;

static inline void desk_case_open(DeskCase *c, DeskLock lock)
{
    Error err = {0};
    *c = (DeskCase){.keep = arena_make(0)};
    c->picture = small_picture(0, &c->keep);
    DeskOptions options = {.job_folder = temp_path("jobs"), .shelf_path = temp_path("shelf.sqlite"), .threads = 2, .lock = lock,
                           .demo_bytes = c->picture.bytes, .demo_size_bytes = c->picture.size_bytes};
    if (!desk_open(&options, &c->desk, &err)) {
        print_error("%s\n", err.text);
        fail();
    }
}

static inline void desk_case_close(DeskCase *c)
{
    json_decref(c->reply);
    desk_close(c->desk);
    arena_free(&c->keep);
}

static inline json_t *take_reply(DeskCase *c, const Text *reply)
{
    json_error_t where;
    json_decref(c->reply);
    c->reply = json_loadb(reply->bytes, reply->size_bytes, JSON_REJECT_DUPLICATES, &where);
    if (!c->reply) print_error("%s in: %.400s\n", where.text, reply->bytes);
    assert_non_null(c->reply);
    assert_true(json_is_boolean(json_object_get(c->reply, "ok")));
    return c->reply;
}

// Any message; the reply, which is JSON with "ok".
static inline json_t *ask_bytes(DeskCase *c, const char *message, size_t size_bytes)
{
    Arena own = arena_make(0);
    Text reply = text_make(&own);
    Error err = {0};
    assert_true(desk_answer(c->desk, message, size_bytes, &reply, &err));
    json_t *read = take_reply(c, &reply);
    arena_free(&own);
    return read;
}

static inline json_t *ask(DeskCase *c, const char *message)
{
    return ask_bytes(c, message, strlen(message));
}

// The same for one that should be fine.
static inline json_t *ask_ok(DeskCase *c, const char *message)
{
    json_t *reply = ask(c, message);
    if (!json_is_true(json_object_get(reply, "ok")))
        print_error("%s -> %s\n", message, json_string_value(json_object_get(json_object_get(reply, "error"), "text")));
    assert_true(json_is_true(json_object_get(reply, "ok")));
    return reply;
}

static inline const char *text_at(const json_t *object, const char *key)
{
    const char *text = json_string_value(json_object_get(object, key));
    return text ? text : "";
}

// ... and for one that should not: its error has this kind, and its sentence these words.
static inline void ask_wrong(DeskCase *c, const char *message, const char *kind, const char *words)
{
    json_t *reply = ask(c, message), *error = json_object_get(reply, "error");
    if (!json_is_false(json_object_get(reply, "ok")) || strcmp(text_at(error, "kind"), kind) != 0 || !strstr(text_at(error, "text"), words))
        print_error("%s -> %s: %s\n", message, text_at(error, "kind"), text_at(error, "text"));
    assert_true(json_is_false(json_object_get(reply, "ok")));
    assert_string_equal(text_at(error, "kind"), kind);
    assert_non_null(strstr(text_at(error, "text"), words));
}

static inline json_t *state_of(DeskCase *c)
{
    return json_object_get(ask_ok(c, "{\"ask\": \"state\"}"), "state");
}

// "bill.pieces" of the state.
static inline json_t *state_at(DeskCase *c, const char *path)
{
    char part[64];
    json_t *at = state_of(c);
    while (*path) {
        size_t size = strcspn(path, ".");
        snprintf(part, sizeof part, "%.*s", (int)size, path);
        at = json_object_get(at, part);
        path += size + (path[size] == '.');
    }
    return at;
}

static inline double number_at(DeskCase *c, const char *path)
{
    return json_number_value(state_at(c, path));
}

// The small balloon, at 12 in on 5 x 7, worked out.
static inline void lay_balloon(DeskCase *c)
{
    ask_ok(c, "{\"ask\": \"demo\"}");
    ask_ok(c, "{\"ask\": \"change\", \"lines\": [{\"set\": \"height\", \"to\": \"12in\"}, {\"set\": \"paper\", \"to\": \"5x7\"}]}");
    desk_work(c->desk);
    assert_string_equal(json_string_value(state_at(c, "answer")), "whole");
}

#endif
