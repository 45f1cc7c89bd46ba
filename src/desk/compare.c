// compare.c - what the job would be with one line more: other papers, another way to stack. Filled row by row while
// nothing else is to do.
#include "desk/compare.h"

#include "desk/answer.h"
#include "desk/change.h"
#include "desk/place_lines.h"
#include "proof/read_json.h"

#include <math.h>
#include <string.h>

const char *const COMPARE_TOTAL_NAMES[COMPARE_TOTALS] = {"sheets", "pieces", "visible_seam_mm", "cutting_minutes", "assembly_minutes", "cost"};

// ---- asked ----

static bool add_row(Desk *desk, Compare *compare, const char *paper, const char *line, Error *err)
{
    CompareRow *row = &compare->rows[compare->count];
    Error why = {0};
    int64_t wrong;
    *row = (CompareRow){.paper = paper ? arena_text(&compare->arena, paper) : NULL, .line = arena_text(&compare->arena, line)};
    if (!row->line || (paper && !row->paper)) return error_memory(err);
    if (!table_make_wish(desk, row->line, &compare->wishes[compare->count], &wrong, &why)) {
        row->done = true;
        memcpy(row->error, why.text, sizeof row->error);
    }
    compare->count++;
    return true;
}

static bool add_paper(Desk *desk, const Message *message, const json_t *words, Compare *compare, Error *err)
{
    if (!json_is_string(words)) return error_set(err, ERROR_USAGE, "\"papers\" should be a list of words such as \"letter\"");
    Text text = text_make(message->arena);
    text_add(&text, "{\"set\": \"paper\", \"to\": ");
    reply_string(&text, json_string_value(words));
    text_add(&text, "}");
    const char *line;
    return text_is_whole(&text, err) && docket_check(text.bytes, text.size_bytes, message->arena, &line, err) &&
           add_row(desk, compare, json_string_value(words), line, err);
}

static bool add_line(Desk *desk, const Message *message, const json_t *value, Compare *compare, Error *err)
{
    const char *json, *line;
    if (!json_is_object(value)) return error_set(err, ERROR_USAGE, "\"lines\" should be a list of docket lines");
    return place_lines(desk, value, message->arena, &json, err) && docket_check(json, strlen(json), message->arena, &line, err) &&
           add_row(desk, compare, NULL, line, err);
}

static bool fill(Desk *desk, const Message *message, Compare *compare, Error *err)
{
    const json_t *papers = message_value(message, "papers"), *lines = message_value(message, "lines");
    for (size_t i = 0; i < json_array_size(papers); i++)
        if (!add_paper(desk, message, json_array_get(papers, i), compare, err)) return false;
    for (size_t i = 0; i < json_array_size(lines); i++)
        if (!add_line(desk, message, json_array_get(lines, i), compare, err)) return false;
    return true;
}

static bool make(Desk *desk, const Message *message, size_t count, Compare **out, Error *err)
{
    Arena arena = arena_make(0);
    Compare *compare = arena_new(&arena, Compare, 1);
    *out = compare;
    if (!compare) return error_memory(err);
    *compare = (Compare){.arena = arena, .number = ++desk->compare_count};
    compare->rows = arena_new(&compare->arena, CompareRow, count);
    compare->wishes = arena_new(&compare->arena, Wish *, count);
    if (compare->rows && compare->wishes ? fill(desk, message, compare, err) : error_memory(err)) return true;
    table_lock(desk);
    compare_release(compare);
    table_unlock(desk);
    return false;
}

bool answer_compare(Desk *desk, const Message *message, Text *reply, Error *err)
{
    size_t count = json_array_size(message_value(message, "papers")) + json_array_size(message_value(message, "lines"));
    Compare *compare;
    (void)reply;
    if (!has_job(desk, err)) return false;
    if (count == 0 || count > COMPARE_MOST) return error_set(err, ERROR_USAGE, "a comparison has 1 to %d \"papers\" or \"lines\"", COMPARE_MOST);
    if (!make(desk, message, count, &compare, err)) return false;
    table_lock(desk);
    compare_release(desk->compare);
    desk->compare = compare;
    if (desk->is_patient) atomic_store(&desk->cancel, true);
    desk->version++;
    table_unlock(desk);
    table_wake(desk);
    return true;
}

// ---- told ----

static bool is_best(const Compare *compare, int row, int total)
{
    double values[COMPARE_MOST];
    for (int i = 0; i < compare->count; i++) {
        const CompareRow *one = &compare->rows[i];
        values[i] = one->done && !one->error[0] && one->totals[total] >= 0.0 ? one->totals[total] : NAN;
    }
    return job_row_is_best(values, compare->count, row);
}

static void write_totals(const Compare *compare, int row, JsonWriter *json)
{
    write_json_key(json, "totals");
    if (!compare->rows[row].done || compare->rows[row].error[0]) {
        write_json_null(json);
        return;
    }
    write_json_object(json);
    for (int t = 0; t < COMPARE_TOTALS; t++) {
        write_json_key(json, COMPARE_TOTAL_NAMES[t]);
        if (compare->rows[row].totals[t] < 0.0) write_json_null(json);
        else write_json_number(json, compare->rows[row].totals[t], 2);
    }
    write_json_end(json);
}

void compare_write(const Compare *compare, JsonWriter *json)
{
    bool busy = false;
    write_json_object(json);
    write_json_key(json, "rows");
    write_json_list(json);
    for (int i = 0; i < compare->count; i++) {
        const CompareRow *row = &compare->rows[i];
        busy = busy || !row->done;
        write_json_object(json);
        write_json_key(json, "paper");
        if (row->paper) write_json_string(json, row->paper);
        else write_json_null(json);
        write_json_key(json, "line");
        write_json_ready(json, row->line);
        write_totals(compare, i, json);
        write_json_key(json, "best");
        write_json_list_inline(json);
        for (int t = 0; t < COMPARE_TOTALS; t++)
            if (row->done && !row->error[0] && is_best(compare, i, t)) write_json_string(json, COMPARE_TOTAL_NAMES[t]);
        write_json_end(json);
        if (row->error[0]) write_json_key_string(json, "error", row->error);
        write_json_end(json);
    }
    write_json_end(json);
    write_json_key(json, "busy");
    write_json_bool(json, busy);
    write_json_end(json);
}

// ---- worked out ----

int compare_next(const Compare *compare)
{
    for (int i = 0; compare && i < compare->count; i++)
        if (!compare->rows[i].done) return i;
    return -1;
}

static bool read_totals(const FileBytes *file, CompareRow *row, Error *err)
{
    Arena own = arena_make(0);
    const json_t *kit = NULL;
    json_error_t where;
    if (!file) return error_set(err, ERROR_SYSTEM, "the kit has no kit.json; please report this");
    bool done = read_json(file->bytes, file->size_bytes, &own, &kit, &where, err);
    for (int t = 0; done && t < COMPARE_TOTALS; t++) {
        const json_t *value = json_object_get(json_object_get(kit, "totals"), COMPARE_TOTAL_NAMES[t]);
        row->totals[t] = json_is_number(value) ? json_number_value(value) : -1.0;
    }
    arena_free(&own);
    return done;
}

static bool take_job(Desk *desk, const Source *source, Error *err)
{
    if (desk->compare_number == source->job) return true;
    job_free(&desk->compare_job);
    desk->compare_number = 0;
    JobInput input = {source->picture.bytes, source->picture.size_bytes, source->picture.name, source->kit_name, desk->options.child_program};
    if (!job_create(&input, &desk->compare_job, err)) return false;
    desk->compare_number = source->job;
    return true;
}

bool compare_work(Desk *desk, const Wish *wish, const JobWatch *watch, CompareRow *row, Error *err)
{
    return take_job(desk, wish->source, err) && job_numbers(&desk->compare_job, &wish->settings, &wish->edits, watch, err) &&
           read_totals(file_find(&desk->compare_job.kit, "kit.json"), row, err);
}
