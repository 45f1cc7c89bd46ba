// read_values.h - single values of kit.json, for the readers of its parts (readback.c, read_extras.c) alone.
// Errors:  a value that is missing, of another kind or out of range becomes a fault "bad-file" at "kit.json" with the value's path, and
//          reads as nothing: 0, the lower end, "" or NULL. Memory and limits: `failed`, with err.
// Memory:  the reader's arena.
#ifndef PM_PROOF_READ_VALUES_H
#define PM_PROOF_READ_VALUES_H

#include "proof/readback.h"

#include <jansson.h>

typedef struct Reader {
    Arena *arena;
    Faults *faults;
    ReadKit *kit;
    ReadNames papers, layers, pieces, sheets;
    char place[160]; // "pieces[3].marks[0]": where the values being read stand
    Error *err;
    bool failed; // memory or a limit: err is set
} Reader;

// The one place where a wrong value becomes a fault: "bad-file" at "kit.json" with the value's path in the text.
void value_bad(Reader *r, const char *key, const char *expected);
const json_t *value_get(Reader *r, const json_t *object, const char *key);
void *value_room(Reader *r, size_t count, size_t size_bytes);
const char *value_text(Reader *r, const json_t *object, const char *key);
const char *value_id(Reader *r, const json_t *object, const char *key);
double value_number_in(Reader *r, const json_t *value, const char *key, double low, double high);
double value_number(Reader *r, const json_t *object, const char *key, double low, double high);
// A number or null (-1).
double value_price(Reader *r, const json_t *object, const char *key);
void value_numbers(Reader *r, const json_t *object, const char *key, int count, double low, double high, double *out);
const json_t *value_list(Reader *r, const json_t *object, const char *key, int most, int *count);
const json_t *value_object(Reader *r, const json_t *object, const char *key);
const json_t *value_item(Reader *r, const json_t *list, int index, const char *name);
uint32_t value_colour(Reader *r, const json_t *object, const char *key);
ReadPath value_path(Reader *r, const json_t *object, const char *key, ReadEnds ends);
ReadLine value_line(Reader *r, const json_t *object);
int value_reference(Reader *r, const ReadNames *names, const char *owner, const char *key, const char *id);
void value_index_names(Reader *r, ReadNames *names, const char *what);
void value_add_name(ReadNames *names, const char *name, int index);
// Makes room for the entries of a list and their names; false when there is no list or no memory.
bool value_begin_list(Reader *r, const json_t *root, const char *key, int most, size_t size_bytes, const json_t **list, void **items,
                      int *count, ReadNames *names);
bool value_flag(Reader *r, const json_t *object, const char *key);
// A list of tools: score, pen, both or none.
void value_tools(Reader *r, const json_t *object, const char *key, bool out[READ_LINES]);
double value_count(Reader *r, const json_t *object, const char *key);

#endif
