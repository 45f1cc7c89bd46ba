// state_part.h - the state in parts: what its writers share, and one function a part. The whole is in state.c.
#ifndef PM_DESK_STATE_PART_H
#define PM_DESK_STATE_PART_H

#include "base/write_json.h"
#include "desk/answer.h"

// What both callers see, at one moment.
typedef struct Glance {
    uint64_t version;
    int64_t revision, error_line;
    Shown *shown;               // held
    Kit *kit, *recut;           // held
    Grid grid;
    Offered offered;
    Error error, kit_error, recut_error;
    bool busy, kit_busy, kit_wanted, recut_busy, rests_kept;
    int64_t shape;
    char stage[32];
    double share;
    const char *compare;        // JSON
} Glance;

typedef struct StateWriter {
    JsonWriter json;
    Desk *desk;
    Glance glance;
    const Shown *shown;         // NULL: nothing is known; of the glance
    bool geometry, whole;       // it has a first answer, a whole one
    Arena own;
    const char **lacks;         // a docket line: why the shelf has not what it names, or NULL
} StateWriter;

void key_string_or_null(JsonWriter *json, const char *key, const char *value);
void key_number_or_null(JsonWriter *json, const char *key, bool known, double value, int decimals);
void key_bool(JsonWriter *json, const char *key, bool value);
void key_colour(JsonWriter *json, const char *key, Srgb8 colour);
void key_place(JsonWriter *json, const char *key, const double place[2]);
void key_null(JsonWriter *json, const char *key);

// What the maker said: job, missing, docket, settings (state_said.c). Sentences of the docket are made first.
MUST_USE bool state_say_lines(StateWriter *w, Error *err);
void state_said(StateWriter *w);
bool state_line_counts(const Desk *desk, size_t i);

// What it comes to (state_bill.c).
MUST_USE bool state_bill(StateWriter *w, Error *err);

#endif
