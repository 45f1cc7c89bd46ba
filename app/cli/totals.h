// totals.h - what a kit comes to, read from its kit.json, and the words for it.
#ifndef PM_APP_TOTALS_H
#define PM_APP_TOTALS_H

#include "base/files.h"
#include "base/write_json.h"

#include <jansson.h>

// The parsed kit.json of a job's files; it lives in `keep`.
MUST_USE bool totals_read(const FileSet *kit, Arena *keep, const json_t **out, Error *err);

double totals_number(const json_t *totals, const char *key);    // 0 when it is null or not there
bool totals_has(const json_t *totals, const char *key);

void totals_write(const json_t *totals, JsonWriter *json);     // as a value

// "1 sheet", "27 sheets".
void totals_add_count(Text *text, double count, const char *one);

#endif
