// gate.c - see gate.h.
#include "gate.h"

#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <sys/random.h>

bool gate_make_token(Gate *gate, Error *err)
{
    uint8_t chance[GATE_TOKEN_DIGITS / 2];
    if (getrandom(chance, sizeof chance, 0) != (ssize_t)sizeof chance) return error_set(err, ERROR_SYSTEM, "the system gives no random numbers; try again");
    for (size_t i = 0; i < sizeof chance; i++) snprintf(gate->token + 2 * i, 3, "%02x", chance[i]);
    return true;
}

void gate_set_port(Gate *gate, int port)
{
    snprintf(gate->host, sizeof gate->host, "127.0.0.1:%d", port);
    snprintf(gate->origin, sizeof gate->origin, "http://127.0.0.1:%d", port);
}

bool gate_host(const Gate *gate, const char *host)
{
    return host && strcmp(host, gate->host) == 0;
}

bool gate_origin(const Gate *gate, const char *origin)
{
    return !origin || strcmp(origin, gate->origin) == 0;
}

bool gate_token(const Gate *gate, const char *token)
{
    if (!token || strlen(token) != GATE_TOKEN_DIGITS) return false;
    unsigned char differ = 0;
    for (size_t i = 0; i < GATE_TOKEN_DIGITS; i++) differ |= (unsigned char)(token[i] ^ gate->token[i]);
    return differ == 0;
}
