// write_json.h - a small JSON writer on a Text; indents by two blanks, keys in the order they are written.
// The long prefix keeps these names apart from jansson's, which reads JSON elsewhere in the program.
// Numbers go through number_format, so that equal values give equal bytes (RFC 8259 syntax).
#ifndef PM_BASE_WRITE_JSON_H
#define PM_BASE_WRITE_JSON_H

#include "base/text.h"

typedef struct JsonWriter {
    Text *text;
    int depth;
    bool first[32];     // nothing written yet at this depth
    bool inline_[32];   // this list is written on one line
    bool list[32];      // a list, not an object
    bool after_key;
} JsonWriter;

JsonWriter write_json_make(Text *text);
void write_json_object(JsonWriter *json);         // as a value: '{' ... write_json_end
void write_json_list(JsonWriter *json);           // '[' ... write_json_end
void write_json_list_inline(JsonWriter *json);    // the same on one line, for numbers
void write_json_end(JsonWriter *json);
void write_json_key(JsonWriter *json, const char *key);
void write_json_string(JsonWriter *json, const char *value); // escapes; bytes that are not UTF-8 become U+FFFD
void write_json_number(JsonWriter *json, double value, int decimals);
void write_json_bool(JsonWriter *json, bool value);
void write_json_null(JsonWriter *json);
void write_json_ready(JsonWriter *json, const char *value);  // a value that is JSON already, as it stands

// key and value in one call
void write_json_key_string(JsonWriter *json, const char *key, const char *value);
void write_json_key_number(JsonWriter *json, const char *key, double value, int decimals);

#endif
