// gate.h - who may ask: a secret in the address, and the names that a browser says it comes by, compared as whole strings.
// A page from elsewhere cannot know the token, and a name that leads here by a trick of addresses is not our Host.
#ifndef PM_APP_GATE_H
#define PM_APP_GATE_H

#include "base/error.h"

#include <stddef.h>

#define GATE_TOKEN_DIGITS 32

typedef struct Gate {
    char token[GATE_TOKEN_DIGITS + 1];  // from the system's source of chance
    char host[32];              // "127.0.0.1:40123"
    char origin[40];            // "http://127.0.0.1:40123"
} Gate;

MUST_USE bool gate_make_token(Gate *gate, Error *err);
void gate_set_port(Gate *gate, int port);

bool gate_host(const Gate *gate, const char *host);     // NULL = none was sent: no
bool gate_origin(const Gate *gate, const char *origin); // NULL = none was sent: fine
// Takes as long for every wrong one.
bool gate_token(const Gate *gate, const char *token);

#endif
