// reply.c - see reply.h.
#include "desk/reply.h"

#include "base/write_json.h"

void reply_key(Text *reply, const char *key)
{
    text_printf(reply, ", \"%s\": ", key);
}

void reply_string(Text *reply, const char *value)
{
    JsonWriter json = write_json_make(reply);
    write_json_string(&json, value);
}
