// kit_json.c - see kit_json.h.
#include "job/kit_json.h"

#include <string.h>

const char *kit_json_text(const json_t *object, const char *key)
{
    const char *text = json_string_value(json_object_get(object, key));
    return text ? text : "";
}

const json_t *kit_json_find(const json_t *kit, const char *list, const char *id)
{
    size_t i;
    json_t *item;
    json_array_foreach(json_object_get(kit, list), i, item)
        if (strcmp(kit_json_text(item, "id"), id) == 0) return item;
    return NULL;
}
