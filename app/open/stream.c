// stream.c - server-sent events: each of the desk's, as soon as it is there.
// Source:  WHATWG, "HTML Living Standard", section "Server-sent events".
#include "request.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define MOST_STREAMS 16
#define STILL_HERE_S 15         // a comment is sent when nothing happened for so long: who is gone is noticed

typedef struct Stream {
    Server *server;
    uint64_t after;             // number of the last event that was sent
    Arena arena;
    Text text;                  // what is to be sent
    size_t sent_bytes;
} Stream;

static bool more_to_send(const Stream *stream)
{
    return stream->sent_bytes < stream->text.size_bytes;
}

static void begin_text(Stream *stream)
{
    arena_rewind(&stream->arena, (ArenaMark){0});
    stream->text = text_make(&stream->arena);
    stream->sent_bytes = 0;
}

// All events that are there now.
static void take_events(Stream *stream)
{
    Arena own = arena_make(0);
    for (;;) {
        Text event = text_make(&own);
        uint64_t number;
        if (!desk_event(stream->server->desk, stream->after, &event, &number)) break;
        text_printf(&stream->text, "id: %llu\ndata: %s\n\n", (unsigned long long)number, event.bytes);
        stream->after = number;
    }
    arena_free(&own);
}

// Waits for news; false when there were none for a while. *out_stopping: the server ends.
static bool wait_for_news(Server *server, uint64_t seen, bool *out_stopping)
{
    struct timespec until;
    clock_gettime(CLOCK_MONOTONIC, &until);
    until.tv_sec += STILL_HERE_S;
    pthread_mutex_lock(&server->table);
    int late = 0;
    while (server->woken == seen && !server->stopping && late == 0) late = pthread_cond_timedwait(&server->news, &server->table, &until);
    *out_stopping = server->stopping;
    pthread_mutex_unlock(&server->table);
    return late == 0;
}

static uint64_t woken(Server *server)
{
    pthread_mutex_lock(&server->table);
    uint64_t number = server->woken;
    pthread_mutex_unlock(&server->table);
    return number;
}

static ssize_t send_more(void *context, uint64_t position, char *out, size_t room)
{
    Stream *stream = context;
    (void)position;
    while (!more_to_send(stream)) {
        bool stopping = false;
        uint64_t seen = woken(stream->server);
        begin_text(stream);
        take_events(stream);
        if (more_to_send(stream)) break;
        if (!wait_for_news(stream->server, seen, &stopping)) text_add(&stream->text, ": still here\n\n");
        if (stopping || stream->text.failed) return MHD_CONTENT_READER_END_OF_STREAM;
    }
    size_t size = stream->text.size_bytes - stream->sent_bytes;
    if (size > room) size = room;
    memcpy(out, stream->text.bytes + stream->sent_bytes, size);
    stream->sent_bytes += size;
    return (ssize_t)size;
}

static void end_stream(void *context)
{
    Stream *stream = context;
    pthread_mutex_lock(&stream->server->table);
    stream->server->streams--;
    pthread_mutex_unlock(&stream->server->table);
    arena_free(&stream->arena);
    free(stream);
}

// A browser that connects again says which event it saw last.
static uint64_t first_event(Server *server, struct MHD_Connection *connection)
{
    uint64_t newest = desk_last_event(server->desk);
    const char *word = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Last-Event-ID");
    double last;
    if (!word || !number_parse(word, &last) || last < 0.0 || last > (double)newest) return newest;
    return (uint64_t)last;
}

static bool count_stream(Server *server)
{
    pthread_mutex_lock(&server->table);
    bool room = server->streams < MOST_STREAMS;
    server->streams += room;
    pthread_mutex_unlock(&server->table);
    return room;
}

enum MHD_Result stream_start(Server *server, struct MHD_Connection *connection)
{
    Stream *stream = count_stream(server) ? calloc(1, sizeof *stream) : NULL;
    if (!stream) return MHD_NO;
    *stream = (Stream){.server = server, .after = first_event(server, connection), .arena = arena_make(0)};
    begin_text(stream);
    text_add(&stream->text, "retry: 1000\n\n");
    struct MHD_Response *response = MHD_create_response_from_callback(MHD_SIZE_UNKNOWN, 4096, send_more, stream, end_stream);
    if (!response) {
        end_stream(stream);
        return MHD_NO;
    }
    reply_headers(response);
    MHD_add_response_header(response, "Content-Type", "text/event-stream");
    MHD_add_response_header(response, "Cache-Control", "no-store");
    enum MHD_Result done = MHD_queue_response(connection, MHD_HTTP_OK, response);
    MHD_destroy_response(response);
    return done;
}
