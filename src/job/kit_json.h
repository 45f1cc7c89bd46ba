// kit_json.h - looking things up in a parsed kit.json of ours.
// Errors:  none: what is not there is "" or NULL.
#ifndef PM_JOB_KIT_JSON_H
#define PM_JOB_KIT_JSON_H

#include <jansson.h>

const char *kit_json_text(const json_t *object, const char *key);
// The entry of one of the kit's lists ("pieces", "sheets", "papers" ...) with this id.
const json_t *kit_json_find(const json_t *kit, const char *list, const char *id);

#endif
