// message.c - see message.h.
#include "desk/message.h"

#include <string.h>

const json_t *message_value(const Message *message, const char *key)
{
    const json_t *value = json_object_get(message->object, key);
    return json_is_null(value) ? NULL : value;
}

static bool take_text(const json_t *value, const char *key, const char **out, Error *err)
{
    const char *text = json_string_value(value);
    size_t size = json_string_length(value);
    if (!text) return error_set(err, ERROR_USAGE, "\"%s\" should be a text", key);
    if (size > MESSAGE_LONGEST_TEXT) return error_set(err, ERROR_USAGE, "\"%s\" has %zu bytes, more than the %d that are read", key, size, MESSAGE_LONGEST_TEXT);
    for (size_t i = 0; i < size; i++)
        if ((unsigned char)text[i] < 0x20 || text[i] == 0x7f) return error_set(err, ERROR_USAGE, "\"%s\" should be one line without control characters", key);
    *out = text;
    return true;
}

bool message_text(const Message *message, const char *key, const char **out, Error *err)
{
    return take_text(message_value(message, key), key, out, err);
}

bool message_text_or_none(const Message *message, const char *key, const char **out, Error *err)
{
    const json_t *value = message_value(message, key);
    *out = NULL;
    return !value || take_text(value, key, out, err);
}

bool message_whole(const Message *message, const char *key, int64_t *out, Error *err)
{
    const json_t *value = message_value(message, key);
    if (!json_is_integer(value)) return error_set(err, ERROR_USAGE, "\"%s\" should be a whole number", key);
    *out = json_integer_value(value);
    return true;
}

bool message_bool(const Message *message, const char *key, bool *out, Error *err)
{
    const json_t *value = message_value(message, key);
    if (!json_is_boolean(value)) return error_set(err, ERROR_USAGE, "\"%s\" should be true or false", key);
    *out = json_is_true(value);
    return true;
}
