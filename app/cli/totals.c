// totals.c - see totals.h.
#include "totals.h"

#include "proof/read_json.h"

bool totals_read(const FileSet *kit, Arena *keep, const json_t **out, Error *err)
{
    const FileBytes *file = file_find(kit, "kit.json");
    json_error_t problem;
    *out = NULL;
    if (!file) return error_set(err, ERROR_SYSTEM, "the kit has no kit.json");
    return read_json(file->bytes, file->size_bytes, keep, out, &problem, err) && (*out || error_memory(err));
}

double totals_number(const json_t *totals, const char *key)
{
    return json_number_value(json_object_get(totals, key));
}

bool totals_has(const json_t *totals, const char *key)
{
    return json_is_number(json_object_get(totals, key));
}

void totals_write(const json_t *totals, JsonWriter *json)
{
    const char *key;
    json_t *value;
    write_json_object(json);
    json_object_foreach((json_t *)totals, key, value) {
        write_json_key(json, key);
        if (json_is_number(value)) write_json_number(json, json_number_value(value), 2);
        else write_json_null(json);
    }
    write_json_end(json);
}

void totals_add_count(Text *text, double count, const char *one)
{
    text_number(text, count, 0);
    text_printf(text, " %s%s", one, count == 1.0 ? "" : "s");
}
