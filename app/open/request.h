// request.h - one request while it comes in: what it may be, its body, its reply.
#ifndef PM_APP_REQUEST_H
#define PM_APP_REQUEST_H

#include "gate.h"
#include "server.h"

#include "desk/desk.h"

#include <microhttpd.h>
#include <pthread.h>

#define REQUEST_LARGEST_DRAINED ((size_t)1 << 30)   // of a body that is too large: read to its end, so that the reply is heard
#define REQUEST_LONGEST_S 300                       // that a body may take to come in

struct Server {
    Gate gate;
    char address[128];
    int port;
    const char *page_folder;
    Desk *desk;
    struct MHD_Daemon *daemon;
    pthread_mutex_t talk;       // one talker at a time
    pthread_mutex_t table;      // the desk's lock
    pthread_cond_t news;        // of `table`: `woken` rose
    uint64_t woken;
    bool stopping;              // under `table`
    bool works;
    pthread_t worker;
    int streams;                // open event streams, under `table`
    Arena own;
};

// The handlers of libmicrohttpd; the context is the Server.
enum MHD_Result request_handle(void *context, struct MHD_Connection *connection, const char *url, const char *method,
                               const char *version, const char *body, size_t *body_size, void **request);
void request_done(void *context, struct MHD_Connection *connection, void **request, enum MHD_RequestTerminationCode why);

// Queues the stream of events.
enum MHD_Result stream_start(Server *server, struct MHD_Connection *connection);

// Headers that every reply has.
void reply_headers(struct MHD_Response *response);

#endif
