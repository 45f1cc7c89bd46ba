// server.h - the carrier of today between page and desk: HTTP on 127.0.0.1, docs/desk.md tells how.
// Who may ask: requests whose Host, Origin (where there is one) and token are the server's own, to the letter; only the page's
// own files, which hold nothing of the maker's, come without the token.
// Threads: one a connection, one that works; the desk sees one talker at a time.
// Errors:  ERROR_SYSTEM when the port cannot be had.
#ifndef PM_APP_SERVER_H
#define PM_APP_SERVER_H

#include "desk/desk.h"

typedef struct ServerOptions {
    int port;                   // 0 = any free one
    const char *page_folder;    // NULL = the page in the program
    DeskOptions desk;           // its lock is set here
} ServerOptions;

typedef struct Server Server;

// A desk, and nobody asking yet; put something on it before server_start.
MUST_USE bool server_create(const ServerOptions *options, Server **out, Error *err);
Desk *server_desk(Server *server);
MUST_USE bool server_start(Server *server, Error *err);
void server_destroy(Server *server);    // ends what runs; NULL is fine

// "http://127.0.0.1:40123/?token=..."
const char *server_address(const Server *server);
int server_port(const Server *server);

#endif
