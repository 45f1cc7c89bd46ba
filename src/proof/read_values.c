// read_values.c - see read_values.h.
#include "proof/read_values.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// The one place where a wrong value becomes a fault: "bad-file" at "kit.json" with the value's path in the text.
void value_bad(Reader *r, const char *key, const char *expected)
{
    char where[224];
    snprintf(where, sizeof where, "%s%s%s", r->place, r->place[0] && key[0] ? "." : "", key);
    fault_add(r->faults, "bad-file", where, 0, 0, "kit.json: %s should be %s", where, expected);
}

const json_t *value_get(Reader *r, const json_t *object, const char *key)
{
    const json_t *value = json_object_get(object, key);
    if (!value) value_bad(r, key, "there");
    return value;
}

void *value_room(Reader *r, size_t count, size_t size_bytes)
{
    void *items = arena_take(r->arena, count, size_bytes);
    if (!items && !r->failed) r->failed = !error_memory(r->err);
    return items;
}

const char *value_text(Reader *r, const json_t *object, const char *key)
{
    const json_t *value = value_get(r, object, key);
    if (value && !json_is_string(value)) value_bad(r, key, "text");
    if (!json_is_string(value)) return "";
    const char *copy = arena_text(r->arena, json_string_value(value));
    if (!copy && !r->failed) r->failed = !error_memory(r->err);
    return copy ? copy : "";
}

const char *value_id(Reader *r, const json_t *object, const char *key)
{
    const char *text = value_text(r, object, key);
    size_t n = strlen(text);
    if (json_is_string(json_object_get(object, key)) && (n == 0 || n > 120)) value_bad(r, key, "1 to 120 bytes long");
    return text;
}

double value_number_in(Reader *r, const json_t *value, const char *key, double low, double high)
{
    double number = json_is_number(value) ? json_number_value(value) : NAN;
    if (isfinite(number) && number >= low && number <= high) return number;
    char expected[80];
    snprintf(expected, sizeof expected, "a number from %g to %g", low, high);
    value_bad(r, key, expected);
    return low;
}

double value_number(Reader *r, const json_t *object, const char *key, double low, double high)
{
    const json_t *value = value_get(r, object, key);
    return value ? value_number_in(r, value, key, low, high) : low;
}

// A number or null (-1).
double value_price(Reader *r, const json_t *object, const char *key)
{
    const json_t *value = value_get(r, object, key);
    return !value || json_is_null(value) ? -1.0 : value_number_in(r, value, key, 0.0, 1e12);
}

void value_numbers(Reader *r, const json_t *object, const char *key, int count, double low, double high,
                       double *out)
{
    const json_t *list = value_get(r, object, key);
    memset(out, 0, (size_t)count * sizeof *out);
    if (!list) return;
    if (!json_is_array(list) || json_array_size(list) != (size_t)count) {
        char expected[40];
        snprintf(expected, sizeof expected, "a list of %d numbers", count);
        value_bad(r, key, expected);
        return;
    }
    for (int i = 0; i < count; i++) out[i] = value_number_in(r, json_array_get(list, (size_t)i), key, low, high);
}

const json_t *value_list(Reader *r, const json_t *object, const char *key, int most, int *count)
{
    const json_t *list = value_get(r, object, key);
    *count = 0;
    if (!list) return NULL;
    if (!json_is_array(list)) return value_bad(r, key, "a list"), NULL;
    if (json_array_size(list) > (size_t)most) return value_bad(r, key, "a shorter list"), NULL;
    *count = (int)json_array_size(list);
    return list;
}

const json_t *value_object(Reader *r, const json_t *object, const char *key)
{
    const json_t *value = value_get(r, object, key);
    if (value && !json_is_object(value)) value_bad(r, key, "an object");
    return json_is_object(value) ? value : NULL;
}

const json_t *value_item(Reader *r, const json_t *list, int index, const char *name)
{
    const json_t *item = json_array_get(list, (size_t)index);
    snprintf(r->place, sizeof r->place, "%s[%d]", name, index);
    if (!json_is_object(item)) return value_bad(r, "", "an object"), NULL;
    return item;
}

uint32_t value_colour(Reader *r, const json_t *object, const char *key)
{
    const char *text = value_text(r, object, key);
    bool good = strlen(text) == 7 && text[0] == '#' && strspn(text + 1, "0123456789abcdefABCDEF") == 6;
    if (!good && json_is_string(json_object_get(object, key))) value_bad(r, key, "a colour such as #1d2f5a");
    return good ? (uint32_t)strtoul(text + 1, NULL, 16) : 0;
}

ReadPath value_path(Reader *r, const json_t *object, const char *key, ReadEnds ends)
{
    ReadPath path = {0};
    const json_t *value = value_get(r, object, key);
    if (!value || r->failed) return path;
    if (!json_is_string(value)) return value_bad(r, key, "path data"), path;
    const char *problem;
    if (!read_path(json_string_value(value), json_string_length(value), ends, r->arena, &path, &problem, r->err))
        r->failed = true;
    else if (problem) {
        char expected[120];
        snprintf(expected, sizeof expected, "path data; but %s", problem);
        value_bad(r, key, expected);
        path = (ReadPath){0};
    }
    return path;
}

ReadLine value_line(Reader *r, const json_t *object)
{
    const char *text = value_text(r, object, "line");
    for (int line = 0; line < READ_LINES; line++)
        if (strcmp(text, read_line_name((ReadLine)line)) == 0) return (ReadLine)line;
    if (json_is_string(json_object_get(object, "line"))) value_bad(r, "line", "cut, score or pen");
    return READ_CUT;
}

int value_reference(Reader *r, const ReadNames *names, const char *owner, const char *key, const char *id)
{
    int index = read_names_find(names, id);
    if (index < 0)
        fault_add(r->faults, "unknown-id", owner, 0, 0, "%s names %s \"%s\", which kit.json does not have", owner, key,
                  id);
    return index < 0 ? 0 : index;
}

void value_index_names(Reader *r, ReadNames *names, const char *what)
{
    read_names_sort(names);
    for (int i = 1; i < names->count; i++)
        if (strcmp(names->items[i - 1].name, names->items[i].name) == 0)
            fault_add(r->faults, "id-twice", names->items[i].name, 0, 0, "the %s %s is in kit.json twice", what,
                      names->items[i].name);
}

void value_add_name(ReadNames *names, const char *name, int index)
{
    names->items[names->count++] = (ReadName){name, index};
}

// Makes room for the entries of a list and their names; false when there is no list or no memory.
bool value_begin_list(Reader *r, const json_t *root, const char *key, int most, size_t size_bytes, const json_t **list,
                       void **items, int *count, ReadNames *names)
{
    r->place[0] = '\0';
    *list = value_list(r, root, key, most, count);
    *items = value_room(r, (size_t)*count, size_bytes);
    if (names) names->items = value_room(r, (size_t)*count, sizeof *names->items);
    if (!r->failed) return true;
    *count = 0;
    return false;
}

bool value_flag(Reader *r, const json_t *object, const char *key)
{
    const json_t *value = value_get(r, object, key);
    if (value && !json_is_boolean(value)) value_bad(r, key, "true or false");
    return json_is_true(value);
}

// A list of tools: score, pen, both or none.
void value_tools(Reader *r, const json_t *object, const char *key, bool out[READ_LINES])
{
    int count;
    const json_t *list = value_list(r, object, key, 2, &count);
    for (int i = 0; i < count; i++) {
        const json_t *item = json_array_get(list, (size_t)i);
        const char *word = json_is_string(item) ? json_string_value(item) : "";
        ReadLine line = strcmp(word, read_line_name(READ_PEN)) == 0 ? READ_PEN : READ_SCORE;
        if (strcmp(word, read_line_name(line)) != 0 || out[line]) value_bad(r, key, "a list of score and pen, each once at most");
        else out[line] = true;
    }
}

double value_count(Reader *r, const json_t *object, const char *key)
{
    double count = value_number(r, object, key, 0.0, 1e9);
    if (count != floor(count)) value_bad(r, key, "a whole number");
    return count;
}
