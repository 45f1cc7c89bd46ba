// write_json.c - see write_json.h.
#include "base/write_json.h"

#include <assert.h>
#include <string.h>

#define MAX_DEPTH 32

JsonWriter write_json_make(Text *text)
{
    return (JsonWriter){.text = text};
}

static void new_line(JsonWriter *json)
{
    text_add(json->text, "\n");
    for (int i = 0; i < json->depth; i++) text_add(json->text, "  ");
}

// Writes what stands between the item before and this one.
static void separate(JsonWriter *json)
{
    if (json->depth == 0) return;
    bool on_one_line = json->inline_[json->depth];
    bool is_first = json->first[json->depth];
    json->first[json->depth] = false;
    if (!is_first) text_add(json->text, on_one_line ? ", " : ",");
    if (!on_one_line) new_line(json);
}

static void before_value(JsonWriter *json)
{
    assert(json->depth == 0 || json->list[json->depth] || json->after_key);
    if (!json->after_key) separate(json);
    json->after_key = false;
}

static void open_level(JsonWriter *json, bool is_list, bool on_one_line)
{
    before_value(json);
    bool parent_on_one_line = json->inline_[json->depth];
    assert(json->depth + 1 < MAX_DEPTH);
    json->depth++;
    json->first[json->depth] = true;
    json->inline_[json->depth] = on_one_line || parent_on_one_line;
    json->list[json->depth] = is_list;
    text_add(json->text, is_list ? "[" : "{");
}

void write_json_object(JsonWriter *json)
{
    open_level(json, false, false);
}

void write_json_list(JsonWriter *json)
{
    open_level(json, true, false);
}

void write_json_list_inline(JsonWriter *json)
{
    open_level(json, true, true);
}

void write_json_end(JsonWriter *json)
{
    assert(json->depth > 0 && !json->after_key);
    int closed = json->depth--;
    if (!json->first[closed] && !json->inline_[closed]) new_line(json);
    text_add(json->text, json->list[closed] ? "]" : "}");
    if (json->depth == 0) text_add(json->text, "\n");
}

// A character that JSON wants escaped: a quote, a backslash, a control character.
static void add_escaped(Text *text, unsigned char c)
{
    switch (c) {
    case '"':
        text_add(text, "\\\"");
        return;
    case '\\':
        text_add(text, "\\\\");
        return;
    case '\n':
        text_add(text, "\\n");
        return;
    case '\r':
        text_add(text, "\\r");
        return;
    case '\t':
        text_add(text, "\\t");
        return;
    default:
        text_printf(text, "\\u%04x", c);
        return;
    }
}

static void add_quoted(Text *text, const char *value)
{
    size_t size = strlen(value);
    text_add(text, "\"");
    for (size_t at = 0; at < size;) {
        unsigned char c = (unsigned char)value[at];
        size_t character = text_character_size(value + at, size - at);
        if (character == 0)
            text_add(text, "\xEF\xBF\xBD"); // U+FFFD for each byte that belongs to no character
        else if (c < 0x20 || c == '"' || c == '\\')
            add_escaped(text, c);
        else
            text_add_bytes(text, value + at, character);
        at += character ? character : 1;
    }
    text_add(text, "\"");
}

void write_json_key(JsonWriter *json, const char *key)
{
    assert(json->depth > 0 && !json->list[json->depth] && !json->after_key);
    separate(json);
    add_quoted(json->text, key);
    text_add(json->text, ": ");
    json->after_key = true;
}

void write_json_string(JsonWriter *json, const char *value)
{
    before_value(json);
    add_quoted(json->text, value);
}

void write_json_number(JsonWriter *json, double value, int decimals)
{
    before_value(json);
    text_number(json->text, value, decimals);
}

void write_json_bool(JsonWriter *json, bool value)
{
    before_value(json);
    text_add(json->text, value ? "true" : "false");
}

void write_json_null(JsonWriter *json)
{
    before_value(json);
    text_add(json->text, "null");
}

void write_json_ready(JsonWriter *json, const char *value)
{
    before_value(json);
    text_add(json->text, value);
}

void write_json_key_string(JsonWriter *json, const char *key, const char *value)
{
    write_json_key(json, key);
    write_json_string(json, value);
}

void write_json_key_number(JsonWriter *json, const char *key, double value, int decimals)
{
    write_json_key(json, key);
    write_json_number(json, value, decimals);
}
