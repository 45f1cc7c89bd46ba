// write_json.h - a small JSON writer on a Text; indents by two blanks, keys in the order they are written.
// Numbers go through number_format, so that equal values give equal bytes (RFC 8259 syntax).
#ifndef PM_BASE_WRITE_JSON_H
#define PM_BASE_WRITE_JSON_H

#include "base/text.h"

typedef struct JsonWriter {
    Text *text;
    int depth;
    bool first[32];     // nothing written yet at this depth
    bool inline_[32];   // this list is written on one line
    bool after_key;
} JsonWriter;

JsonWriter json_make(Text *text);
void json_object(JsonWriter *json);           // as a value: '{' ... json_end
void json_list(JsonWriter *json);             // '[' ... json_end
void json_list_inline(JsonWriter *json);      // the same on one line, for numbers
void json_end(JsonWriter *json);
void json_key(JsonWriter *json, const char *key);
void json_string(JsonWriter *json, const char *value);   // escapes; bytes that are not UTF-8 become U+FFFD
void json_number(JsonWriter *json, double value, int decimals);
void json_bool(JsonWriter *json, bool value);
void json_null(JsonWriter *json);

// key and value in one call
void json_key_string(JsonWriter *json, const char *key, const char *value);
void json_key_number(JsonWriter *json, const char *key, double value, int decimals);

#endif
