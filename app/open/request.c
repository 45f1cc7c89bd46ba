// request.c - see request.h: the gate first, then the body, then the reply.
#include "request.h"

#include "page_files.h"

#include "base/write_json.h"
#include "job/key.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

typedef enum Place { PLACE_NONE, PLACE_PAGE, PLACE_MESSAGE, PLACE_PICTURE, PLACE_EVENTS, PLACE_KIT, PLACE_JOB } Place;

typedef struct Request {
    Place place;
    bool takes_body;
    char *body;
    size_t size_bytes, capacity, limit;
    bool too_large;             // the rest is read and thrown away
    bool refused;               // a reply is queued already
    time_t until;               // by the steady clock
} Request;

static time_t steady_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return now.tv_sec;
}

// ---- replies ----

void reply_headers(struct MHD_Response *response)
{
    static const char *const HEADERS[][2] = {
        {"X-Content-Type-Options", "nosniff"},
        {"Referrer-Policy", "no-referrer"}, // the address holds the token
        {"Cross-Origin-Resource-Policy", "same-origin"},
        {"Cross-Origin-Opener-Policy", "same-origin"},
        {"Content-Security-Policy",
         "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; font-src 'self'; "
         "manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"},
    };
    for (size_t i = 0; i < sizeof HEADERS / sizeof HEADERS[0]; i++) MHD_add_response_header(response, HEADERS[i][0], HEADERS[i][1]);
}

static enum MHD_Result queue(struct MHD_Connection *connection, unsigned status, struct MHD_Response *response)
{
    if (!response) return MHD_NO;
    reply_headers(response);
    enum MHD_Result done = MHD_queue_response(connection, status, response);
    MHD_destroy_response(response);
    return done;
}

static struct MHD_Response *response_of(const void *bytes, size_t size_bytes, const char *type, const char *caching)
{
    struct MHD_Response *response = MHD_create_response_from_buffer(size_bytes, (void *)bytes, MHD_RESPMEM_MUST_COPY);
    if (!response) return NULL;
    MHD_add_response_header(response, "Content-Type", type);
    MHD_add_response_header(response, "Cache-Control", caching);
    return response;
}

// In the form of the desk's own errors, so that the page has one way to show them.
static enum MHD_Result refuse(struct MHD_Connection *connection, unsigned status, const char *text)
{
    char json[512];
    snprintf(json, sizeof json, "{\"n\": null, \"ok\": false, \"error\": {\"kind\": \"%s\", \"text\": \"%s\"}}\n",
             status >= 500 ? "system" : "usage", text);
    struct MHD_Response *response = response_of(json, strlen(json), "application/json", "no-store");
    if (response && status == MHD_HTTP_METHOD_NOT_ALLOWED) MHD_add_response_header(response, "Allow", "GET, POST");
    if (response) MHD_add_response_header(response, "Connection", "close");
    return queue(connection, status, response);
}

// ---- the gate ----

typedef struct Names { const Gate *gate; int hosts; bool wrong; } Names;

// Every one that was sent: of two, a reader and we might take different ones.
static enum MHD_Result check_name(void *context, enum MHD_ValueKind kind, const char *key, const char *value)
{
    Names *names = context;
    (void)kind;
    if (strcasecmp(key, "Host") == 0) {
        names->hosts++;
        names->wrong = names->wrong || !gate_host(names->gate, value);
    } else if (strcasecmp(key, "Origin") == 0) {
        names->wrong = names->wrong || !value || !gate_origin(names->gate, value);
    }
    return MHD_YES;
}

static bool comes_by_our_name(const Server *server, struct MHD_Connection *connection)
{
    Names names = {.gate = &server->gate};
    MHD_get_connection_values(connection, MHD_HEADER_KIND, check_name, &names);
    return names.hosts == 1 && !names.wrong;
}

static bool shows_token(const Server *server, struct MHD_Connection *connection)
{
    const char *header = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "X-Papermason-Token");
    const char *query = MHD_lookup_connection_value(connection, MHD_GET_ARGUMENT_KIND, "token");
    return gate_token(&server->gate, header ? header : query);
}

// ---- places ----

static Place place_of(const char *url, bool is_post)
{
    if (is_post) return strcmp(url, "/message") == 0 ? PLACE_MESSAGE : strcmp(url, "/picture") == 0 ? PLACE_PICTURE : PLACE_NONE;
    static const char *const OF_KIT[] = {"/kit.zip", "/recut.zip", "/guide.pdf", "/key-plan.svg", "/READ-ME-FIRST.txt", "/kit.json", "/proof.txt"};
    if (strcmp(url, "/events") == 0) return PLACE_EVENTS;
    if (strcmp(url, "/job.pmason") == 0) return PLACE_JOB;
    for (size_t i = 0; i < sizeof OF_KIT / sizeof OF_KIT[0]; i++)
        if (strcmp(url, OF_KIT[i]) == 0) return PLACE_KIT;
    if (strncmp(url, "/sheets/", 8) == 0) return PLACE_KIT;
    if (strcmp(url, "/message") == 0 || strcmp(url, "/picture") == 0) return PLACE_NONE;
    return PLACE_PAGE;
}

static bool needs_token(Place place, const char *url)
{
    return place != PLACE_PAGE || strcmp(url, "/") == 0;
}

static bool tells_size(struct MHD_Connection *connection, double *out)
{
    const char *word = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Content-Length");
    return word && number_parse(word, out);
}

// False: a reply is queued (*queued tells whether that worked).
static bool admit(Server *server, struct MHD_Connection *connection, const char *url, const char *method, Request *request,
                  enum MHD_Result *queued)
{
    bool is_post = strcmp(method, "POST") == 0;
    double size = 0.0;
    *queued = MHD_NO;
    if (!is_post && strcmp(method, "GET") != 0) {
        *queued = refuse(connection, MHD_HTTP_METHOD_NOT_ALLOWED, "only GET and POST are answered here");
        return false;
    }
    request->place = place_of(url, is_post);
    if (!comes_by_our_name(server, connection)) {
        *queued = refuse(connection, MHD_HTTP_FORBIDDEN, "this is not the address that papermason opened");
        return false;
    }
    if (needs_token(request->place, url) && !shows_token(server, connection)) {
        *queued = refuse(connection, MHD_HTTP_FORBIDDEN, "the secret in the address is missing or old; open the address that papermason printed");
        return false;
    }
    if (request->place == PLACE_NONE) {
        *queued = refuse(connection, MHD_HTTP_NOT_FOUND, "there is nothing here by this name");
        return false;
    }
    request->takes_body = is_post;
    request->limit = request->place == PLACE_PICTURE ? DESK_LARGEST_PICTURE : is_post ? DESK_LARGEST_MESSAGE : 0;
    request->too_large = tells_size(connection, &size) && size > (double)request->limit;
    if (request->too_large && size > (double)REQUEST_LARGEST_DRAINED) {
        *queued = refuse(connection, MHD_HTTP_CONTENT_TOO_LARGE, "this is far too large");
        return false;
    }
    return true;
}

// ---- bodies ----

static bool take_body(Request *request, const char *bytes, size_t size_bytes)
{
    if (steady_s() > request->until) return false;
    if (request->too_large || size_bytes > request->limit - request->size_bytes) { // a chunked body tells no size before
        if (!request->too_large) {
            free(request->body);
            request->body = NULL;
            request->size_bytes = 0;
            request->too_large = true;
        }
        request->size_bytes += size_bytes;
        return request->size_bytes <= REQUEST_LARGEST_DRAINED;
    }
    if (request->size_bytes + size_bytes > request->capacity) {
        size_t capacity = request->capacity ? request->capacity * 2 : 16384;
        while (capacity < request->size_bytes + size_bytes) capacity *= 2;
        char *grown = realloc(request->body, capacity);
        if (!grown) return false;
        request->body = grown;
        request->capacity = capacity;
    }
    memcpy(request->body + request->size_bytes, bytes, size_bytes);
    request->size_bytes += size_bytes;
    return true;
}

// ---- answers ----

static bool desk_says(Server *server, struct MHD_Connection *connection, const Request *request, Text *reply, Error *err)
{
    const char *name = MHD_lookup_connection_value(connection, MHD_GET_ARGUMENT_KIND, "name");
    const char *body = request->body ? request->body : "";
    pthread_mutex_lock(&server->talk);
    bool done = request->place == PLACE_PICTURE
                    ? desk_take_picture(server->desk, name ? name : "picture", body, request->size_bytes, reply, err)
                    : desk_answer(server->desk, body, request->size_bytes, reply, err);
    pthread_mutex_unlock(&server->talk);
    return done;
}

static enum MHD_Result answer_desk(Server *server, struct MHD_Connection *connection, const Request *request)
{
    Arena arena = arena_make(0);
    Text reply = text_make(&arena);
    Error err = {0};
    enum MHD_Result done = desk_says(server, connection, request, &reply, &err)
                               ? queue(connection, MHD_HTTP_OK, response_of(reply.bytes, reply.size_bytes, "application/json", "no-store"))
                               : refuse(connection, MHD_HTTP_INTERNAL_SERVER_ERROR, "the program has too little memory for this");
    arena_free(&arena);
    return done;
}

static void content_tag(const FileBytes *file, char out[40])
{
    Hasher hasher = hasher_plain();
    hash_bytes(&hasher, file->bytes, file->size_bytes);
    Key key = hasher_key(&hasher);
    snprintf(out, 40, "\"%016llx%016llx\"", (unsigned long long)key.high, (unsigned long long)key.low);
}

static enum MHD_Result send_page_file(struct MHD_Connection *connection, const FileBytes *file)
{
    char tag[40];
    content_tag(file, tag);
    const char *known = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "If-None-Match");
    bool same = known && strcmp(known, tag) == 0;
    struct MHD_Response *response = response_of(same ? "" : file->bytes, same ? 0 : file->size_bytes, page_type(file->name), "no-cache");
    if (response) MHD_add_response_header(response, "ETag", tag);
    return queue(connection, same ? MHD_HTTP_NOT_MODIFIED : MHD_HTTP_OK, response);
}

static enum MHD_Result answer_page(Server *server, struct MHD_Connection *connection, const char *url)
{
    Arena arena = arena_make(0);
    FileBytes file;
    Error err = {0};
    bool found;
    const char *path = strcmp(url, "/favicon.ico") == 0 ? "/favicon.svg" : url;
    bool fine = page_file(server->page_folder, path, &arena, &file, &found, &err);
    enum MHD_Result done;
    if (!fine) done = refuse(connection, MHD_HTTP_INTERNAL_SERVER_ERROR, "the program has too little memory for this");
    else if (found) done = send_page_file(connection, &file);
    else if (path != url) done = queue(connection, MHD_HTTP_NO_CONTENT, response_of("", 0, "image/svg+xml", "no-cache")); // browsers ask unasked
    else done = refuse(connection, MHD_HTTP_NOT_FOUND, "there is nothing here by this name");
    arena_free(&arena);
    return done;
}

static enum MHD_Result send_to_keep(struct MHD_Connection *connection, const FileBytes *file, const char *way)
{
    struct MHD_Response *response = response_of(file->bytes, file->size_bytes, page_type(file->name), "no-store");
    const char *slash = strrchr(file->name, '/');
    char saved_as[300];
    snprintf(saved_as, sizeof saved_as, "%s; filename=\"%.200s\"", way, slash ? slash + 1 : file->name);
    if (response) MHD_add_response_header(response, "Content-Disposition", saved_as);
    return queue(connection, MHD_HTTP_OK, response);
}

static enum MHD_Result answer_job(Server *server, struct MHD_Connection *connection)
{
    Arena arena = arena_make(0);
    FileBytes file;
    Error err = {0};
    pthread_mutex_lock(&server->talk);
    bool done = desk_copy_job(server->desk, &arena, &file, &err);
    pthread_mutex_unlock(&server->talk);
    enum MHD_Result sent = done ? send_to_keep(connection, &file, "attachment")
                           : err.kind == ERROR_JOB ? refuse(connection, MHD_HTTP_NOT_FOUND, "no job lies on the table yet")
                                                   : refuse(connection, MHD_HTTP_INTERNAL_SERVER_ERROR, "the disk refuses a copy of the job; make room on it");
    arena_free(&arena);
    return sent;
}

static enum MHD_Result answer_kit(Server *server, struct MHD_Connection *connection, const char *url)
{
    Arena arena = arena_make(0);
    FileBytes file;
    Error err = {0};
    enum MHD_Result done;
    if (!desk_file(server->desk, url + 1, &arena, &file, &err)) {
        done = err.kind == ERROR_NONE ? refuse(connection, MHD_HTTP_NOT_FOUND, "no kit has been made yet, or it has no such file")
                                      : refuse(connection, MHD_HTTP_INTERNAL_SERVER_ERROR, "the program has too little memory for this");
    } else {
        done = send_to_keep(connection, &file, strstr(url, ".zip") ? "attachment" : "inline");
    }
    arena_free(&arena);
    return done;
}

static enum MHD_Result answer(Server *server, struct MHD_Connection *connection, const char *url, const Request *request)
{
    if (request->too_large)
        return refuse(connection, MHD_HTTP_CONTENT_TOO_LARGE, request->place == PLACE_PICTURE
                                                                  ? "the picture has more than the 200 MB that are taken; make it smaller"
                                                                  : "the message has more than the 4 MB that are read");
    switch (request->place) {
    case PLACE_MESSAGE:
    case PLACE_PICTURE: return answer_desk(server, connection, request);
    case PLACE_EVENTS: {
        enum MHD_Result done = stream_start(server, connection);
        return done == MHD_YES ? done : refuse(connection, MHD_HTTP_SERVICE_UNAVAILABLE, "too many pages are open on this job; close some of them");
    }
    case PLACE_KIT: return answer_kit(server, connection, url);
    case PLACE_JOB: return answer_job(server, connection);
    case PLACE_PAGE: return answer_page(server, connection, url);
    case PLACE_NONE: break;
    }
    return refuse(connection, MHD_HTTP_NOT_FOUND, "there is nothing here by this name");
}

enum MHD_Result request_handle(void *context, struct MHD_Connection *connection, const char *url, const char *method,
                               const char *version, const char *body, size_t *body_size, void **request)
{
    Server *server = context;
    Request *r = *request;
    (void)version;
    if (!r) {
        enum MHD_Result queued;
        r = calloc(1, sizeof *r);
        if (!r) return MHD_NO;
        *request = r;
        r->until = steady_s() + REQUEST_LONGEST_S;
        if (admit(server, connection, url, method, r, &queued)) return MHD_YES;
        r->refused = true;
        return queued;
    }
    if (r->refused) {
        *body_size = 0;
        return MHD_YES;
    }
    if (*body_size > 0) {
        bool fine = take_body(r, body, *body_size);
        *body_size = 0;
        return fine ? MHD_YES : MHD_NO;
    }
    return answer(server, connection, url, r);
}

void request_done(void *context, struct MHD_Connection *connection, void **request, enum MHD_RequestTerminationCode why)
{
    Request *r = *request;
    (void)context, (void)connection, (void)why;
    if (!r) return;
    free(r->body);
    free(r);
    *request = NULL;
}
