// server.c - see server.h: threads and locks; requests are in request.c, events in stream.c.
#include "server.h"

#include "request.h"

#include <arpa/inet.h>
#include <errno.h>
#include <malloc.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#define MOST_CONNECTIONS 64     // a page has a handful
#define IDLE_S 30               // that a connection may say nothing
#define CONNECTION_MEMORY ((size_t)64 << 10)    // headers; longer ones are refused

// ---- the desk's lock ----

static void lock(void *context)
{
    pthread_mutex_lock(&((Server *)context)->table);
}

static void unlock(void *context)
{
    pthread_mutex_unlock(&((Server *)context)->table);
}

static void wake(void *context)
{
    Server *server = context;
    pthread_mutex_lock(&server->table);
    server->woken++;
    pthread_cond_broadcast(&server->news);
    pthread_mutex_unlock(&server->table);
}

static void *work(void *context)
{
    Server *server = context;
    for (;;) {
        pthread_mutex_lock(&server->table);
        uint64_t seen = server->woken;
        bool stopping = server->stopping;
        pthread_mutex_unlock(&server->table);
        if (stopping) return NULL;
        if (desk_work(server->desk)) {
            malloc_trim(0); // what threads that are gone have used goes back to the system
            continue;
        }
        pthread_mutex_lock(&server->table);
        while (server->woken == seen && !server->stopping) pthread_cond_wait(&server->news, &server->table);
        pthread_mutex_unlock(&server->table);
    }
}

// ---- life ----

static bool fill(Server *server, const ServerOptions *options, Error *err)
{
    DeskOptions desk = options->desk;
    desk.lock = (DeskLock){lock, unlock, wake, server};
    server->port = options->port;
    if (options->page_folder) {
        server->page_folder = arena_text(&server->own, options->page_folder);
        if (!server->page_folder) return error_memory(err);
    }
    return gate_make_token(&server->gate, err) && desk_open(&desk, &server->desk, err);
}

bool server_create(const ServerOptions *options, Server **out, Error *err)
{
    Server *server = calloc(1, sizeof *server);
    *out = server;
    if (!server) return error_memory(err);
    server->own = arena_make(0);
    pthread_mutex_init(&server->talk, NULL);
    pthread_mutex_init(&server->table, NULL);
    pthread_condattr_t steady; // waits are counted by a clock that nobody sets
    pthread_condattr_init(&steady);
    pthread_condattr_setclock(&steady, CLOCK_MONOTONIC);
    pthread_cond_init(&server->news, &steady);
    pthread_condattr_destroy(&steady);
    if (fill(server, options, err)) return true;
    server_destroy(server);
    *out = NULL;
    return false;
}

Desk *server_desk(Server *server)
{
    return server->desk;
}

// The port is known, and the gate with it, before anybody can ask.
static int listen_here(Server *server, Error *err)
{
    struct sockaddr_in here = {.sin_family = AF_INET, .sin_port = htons((uint16_t)server->port), .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    socklen_t size = sizeof here;
    int listener = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0), yes = 1;
    if (listener >= 0) setsockopt(listener, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes); // a port of a moment ago can be had again
    if (listener >= 0 && bind(listener, (struct sockaddr *)&here, size) == 0 && listen(listener, 64) == 0 &&
        getsockname(listener, (struct sockaddr *)&here, &size) == 0) {
        server->port = ntohs(here.sin_port);
        gate_set_port(&server->gate, server->port);
        snprintf(server->address, sizeof server->address, "%s/?token=%s", server->gate.origin, server->gate.token);
        return listener;
    }
    if (server->port != 0) error_set(err, ERROR_SYSTEM, "port %d cannot be had: %s; name another one, or none", server->port, strerror(errno));
    else error_set(err, ERROR_SYSTEM, "the system gives no port on 127.0.0.1: %s", strerror(errno));
    if (listener >= 0) close(listener);
    return -1;
}

bool server_start(Server *server, Error *err)
{
    int listener = listen_here(server, err);
    if (listener < 0) return false;
    server->daemon = MHD_start_daemon(
        MHD_USE_THREAD_PER_CONNECTION | MHD_USE_INTERNAL_POLLING_THREAD, 0, NULL, NULL, request_handle, server,
        MHD_OPTION_LISTEN_SOCKET, (MHD_socket)listener, MHD_OPTION_CONNECTION_LIMIT, (unsigned)MOST_CONNECTIONS,
        MHD_OPTION_CONNECTION_TIMEOUT, (unsigned)IDLE_S, MHD_OPTION_CONNECTION_MEMORY_LIMIT, CONNECTION_MEMORY,
        MHD_OPTION_NOTIFY_COMPLETED, request_done, server, MHD_OPTION_END);
    if (!server->daemon) {
        close(listener);
        return error_set(err, ERROR_SYSTEM, "the system lets nobody be served here; close other programs and try again");
    }
    server->works = pthread_create(&server->worker, NULL, work, server) == 0;
    return server->works || error_set(err, ERROR_SYSTEM, "the system gives no thread to work on");
}

void server_destroy(Server *server)
{
    if (!server) return;
    pthread_mutex_lock(&server->table);
    server->stopping = true;
    pthread_cond_broadcast(&server->news);
    pthread_mutex_unlock(&server->table);
    if (server->desk) desk_stop(server->desk);
    if (server->daemon) MHD_stop_daemon(server->daemon);
    if (server->works) pthread_join(server->worker, NULL);
    desk_close(server->desk);
    pthread_cond_destroy(&server->news);
    pthread_mutex_destroy(&server->table);
    pthread_mutex_destroy(&server->talk);
    arena_free(&server->own);
    free(server);
}

const char *server_address(const Server *server)
{
    return server->address;
}

int server_port(const Server *server)
{
    return server->port;
}
