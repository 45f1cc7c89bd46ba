// message.h - one message taken apart. Each reader names the key in its sentence; what they hand out lives as long as the message.
#ifndef PM_DESK_MESSAGE_H
#define PM_DESK_MESSAGE_H

#include "base/arena.h"
#include "base/error.h"

#include <jansson.h>

#define MESSAGE_LONGEST_TEXT 4096

typedef struct Message {
    const json_t *object;
    Arena *arena;               // lives as long as the message is answered
} Message;

// ERROR_USAGE when the key is not there, is no text, is longer than MESSAGE_LONGEST_TEXT, or has a control character.
MUST_USE bool message_text(const Message *message, const char *key, const char **out, Error *err);
// The same for a key that may be missing or null: then *out is NULL.
MUST_USE bool message_text_or_none(const Message *message, const char *key, const char **out, Error *err);
MUST_USE bool message_whole(const Message *message, const char *key, int64_t *out, Error *err);
MUST_USE bool message_bool(const Message *message, const char *key, bool *out, Error *err);
const json_t *message_value(const Message *message, const char *key);   // NULL when it is not there, or null

#endif
