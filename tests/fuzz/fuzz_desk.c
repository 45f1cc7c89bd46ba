// fuzz_desk.c - any bytes as messages, one a line, to a desk with a small job on it: each has a reply that is one JSON object with
// "ok", and with an error where that is false; the table can be told afterwards.
#include "desk/desk.h"

#include "support/png_file.h"

#include <jansson.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define SIDE_PX 24
#define INPUTS_A_DESK 500       // then its docket has grown, and a new one is taken

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size_bytes);

static Desk *desk;
static int inputs;
static char folder[64];

static void want(bool holds, const char *what)
{
    if (holds) return;
    fprintf(stderr, "broken: %s\n", what);
    abort();
}

static void remove_folder(void)
{
    char command[160];
    snprintf(command, sizeof command, "rm -rf '%s'", folder);
    if (folder[0] && system(command) != 0) abort();
}

static void check_reply(const Text *reply)
{
    json_error_t where;
    json_t *read = json_loadb(reply->bytes, reply->size_bytes, JSON_REJECT_DUPLICATES, &where);
    want(json_is_object(read), "a reply is one JSON object");
    json_t *ok = json_object_get(read, "ok"), *error = json_object_get(read, "error");
    want(json_is_boolean(ok), "a reply says whether it is fine");
    want(json_is_true(ok) || json_string_length(json_object_get(error, "text")) > 0, "an error has its sentence");
    json_decref(read);
}

static void ask(const char *message, size_t size_bytes)
{
    Arena own = arena_make(0);
    Text reply = text_make(&own);
    Error err = {0};
    want(desk_answer(desk, message, size_bytes, &reply, &err), "a message is answered");
    check_reply(&reply);
    arena_free(&own);
}

// A red square in a blue one.
static uint32_t square(int x, int y)
{
    return x > 7 && x < 16 && y > 7 && y < 16 ? 0xc81e28ffu : 0x1e32a0ffu;
}

static void lay_job(void)
{
    static uint8_t file[PNG_FILE_BYTES(SIDE_PX, SIDE_PX)];
    Arena own = arena_make(0);
    Text reply = text_make(&own);
    Error err = {0};
    png_file_write(SIDE_PX, SIDE_PX, square, file);
    want(desk_take_picture(desk, "square.png", file, sizeof file, &reply, &err), "a picture is taken");
    check_reply(&reply);
    arena_free(&own);
    const char *height = "{\"ask\": \"change\", \"line\": {\"set\": \"height\", \"to\": \"3in\"}}";
    ask(height, strlen(height));
    desk_work(desk);
}

static void renew(void)
{
    if (desk && inputs++ < INPUTS_A_DESK) return;
    Error err = {0};
    char jobs[100], shelf[100];
    if (!desk) atexit(remove_folder);
    desk_close(desk);
    remove_folder();
    inputs = 0;
    snprintf(folder, sizeof folder, "%s/pm-fuzz-XXXXXX", access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
    want(mkdtemp(folder) != NULL, "a folder can be made");
    snprintf(jobs, sizeof jobs, "%s/jobs", folder);
    snprintf(shelf, sizeof shelf, "%s/shelf.sqlite", folder);
    DeskOptions options = {.job_folder = jobs, .shelf_path = shelf, .threads = 1};
    want(desk_open(&options, &desk, &err), "a desk can be opened");
    lay_job();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size_bytes)
{
    renew();
    for (size_t at = 0; at < size_bytes;) {
        const void *end = memchr(data + at, '\n', size_bytes - at);
        size_t size = end ? (size_t)((const uint8_t *)end - data - at) : size_bytes - at;
        ask((const char *)data + at, size);
        at += size + 1;
    }
    const char *state = "{\"ask\": \"state\"}";
    ask(state, strlen(state));
    return 0;
}
