// compare.c - papermason compare: the same job on several papers, as a table, and how tall it may be at most.
#include "commands.h"
#include "drawer.h"
#include "from_job.h"
#include "totals.h"

#include "base/length.h"
#include "job/say.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define MOST_PAPERS 12
#define TRIES 5                 // heights that are tried a paper: each is a whole computation
#define LEAST_INCHES 1.0

typedef struct Row {
    const char *words;          // "letter,250gsm"
    Paper paper;
    Error why;                  // when it cannot be done on this paper
    const json_t *kit, *totals; // NULL then
    double tallest_mm;          // 0 = not even an inch; NAN = nobody asked
    double low_in, high_in;     // what was tried: keeps the limits, does not
} Row;

typedef struct Comparison {
    const Arguments *arguments;
    const Session *session;
    Arena keep;
    BuildSource source;
    EditList edits;
    Job job;
    Row rows[MOST_PAPERS];
    int count;
    ShelfList drawer;
} Comparison;

// ---- which papers ----

// "letter,250gsm,12x12": a word that is a size begins the next paper.
static bool split_papers(Comparison *c, Error *err)
{
    const char *at = c->arguments->papers;
    if (!at) return error_set(err, ERROR_USAGE, "compare needs papers: --papers letter,12x12,12x24");
    while (true) {
        size_t size = strcspn(at, ",");
        char word[64];
        Paper paper;
        Error why = {0};
        snprintf(word, sizeof word, "%.*s", (int)(size < 63 ? size : 63), at);
        bool begins = paper_parse(word, &paper, &why);
        if (!begins && c->count == 0) return error_set(err, ERROR_USAGE, "%s", why.text);
        if (begins && c->count == MOST_PAPERS) return error_set(err, ERROR_USAGE, "compare takes at most %d papers", MOST_PAPERS);
        Row *row = &c->rows[begins ? c->count : c->count - 1];
        Text text = text_make(&c->keep);
        if (!begins) text_printf(&text, "%s,", row->words);
        text_add(&text, word);
        if (!text_is_whole(&text, err)) return false;
        row->words = text.bytes;
        c->count += begins;
        at += size;
        if (!*at) break;
        at++;
    }
    for (int i = 0; i < c->count; i++) {
        if (!paper_parse(c->rows[i].words, &c->rows[i].paper, err)) return false;
        for (int k = 0; k < i; k++)
            if (paper_equal(&c->rows[i].paper, &c->rows[k].paper)) return error_set(err, ERROR_USAGE, "%s is named twice", c->rows[i].words);
    }
    return true;
}

// ---- rows ----

// The settings of a row at a height.
static Settings settings_of(const Comparison *c, const Row *row, double height_mm)
{
    Settings settings = c->source.settings;
    settings.height_mm = height_mm;
    settings.papers[0] = (PaperChoice){.paper = row->paper};
    settings.paper_count = 1;
    settings.kit.formats = KIT_WITHOUT_PDF;
    return settings;
}

// Each of `wanted` at its height; *kit is NULL where it cannot be made so, and *why says what hinders.
typedef struct Wanted {
    Row *row;
    double height_mm;
    const json_t *kit;
    Error why;
} Wanted;

static bool compute(Comparison *c, Wanted *wanted, int count, Error *err)
{
    JobRow *rows = arena_new(&c->keep, JobRow, count);
    if (!rows) return error_memory(err);
    for (int i = 0; i < count; i++) rows[i].settings = settings_of(c, wanted[i].row, wanted[i].height_mm);
    if (!job_rows(&c->job, rows, count, &c->edits, c->session->watch, &c->keep, err)) return false;
    for (int i = 0; i < count; i++) {
        wanted[i].why = rows[i].why;
        wanted[i].kit = NULL;
        if (rows[i].why.kind == ERROR_NONE && !totals_read(&rows[i].kit, &c->keep, &wanted[i].kit, err)) return false;
    }
    return true;
}

static bool has_limits(const Arguments *arguments)
{
    return arguments->drawer || arguments->max_sheets > 0.0 || arguments->max_hours > 0.0;
}

// Whether a kit keeps all limits; *share is how much of the tightest one it uses, as far as that can be told.
static bool keeps_limits(Comparison *c, const json_t *kit, bool *out, double *share, Error *err)
{
    const Arguments *arguments = c->arguments;
    const json_t *totals = json_object_get(kit, "totals");
    double hours = (totals_number(totals, "cutting_minutes") + totals_number(totals, "assembly_minutes")) / 60.0;
    *share = 0.0;
    *out = true;
    if (arguments->max_sheets > 0.0) *share = fmax(*share, totals_number(totals, "sheets") / arguments->max_sheets);
    if (arguments->max_hours > 0.0) *share = fmax(*share, hours / arguments->max_hours);
    if (*share > 1.0) *out = false;
    if (!*out || !arguments->drawer) return true;
    return drawer_is_enough(&c->drawer, kit, &c->keep, out, NULL, err);
}

// Sheets and hours grow about with the area: so the next height follows from what this one uses, and from what was tried.
static double next_height(double tried_in, double share, double low_in, double high_in)
{
    double guess = share > 0.0 ? tried_in / sqrt(share) : tried_in * (isfinite(high_in) ? 0.7 : 1.4);
    if (isfinite(high_in)) guess = fmin(guess, high_in - 1.0);
    guess = fmax(floor(guess), low_in + 1.0);
    if (isfinite(high_in) && (guess >= high_in || share <= 0.0)) guess = floor((low_in + high_in) / 2.0);
    return guess;
}

// One try at a row's height is judged; *next_in = what to try next, 0 = no more.
static bool judge_try(Comparison *c, Row *row, const json_t *kit, double height_in, double *next_in, Error *err)
{
    bool keeps = false;
    double share = 0.0;
    *next_in = 0.0;
    if (kit && !keeps_limits(c, kit, &keeps, &share, err)) return false;
    if (keeps) row->low_in = fmax(row->low_in, height_in);
    else row->high_in = fmin(row->high_in, height_in);
    if (row->high_in - row->low_in <= 1.0 || row->high_in <= LEAST_INCHES) return true;
    double next = next_height(height_in, share, floor(row->low_in), row->high_in);
    if (next * MM_PER_INCH <= SETTINGS_LARGEST_HEIGHT_MM) *next_in = next;
    return true;
}

// In whole inches; the tallest that was tried and keeps the limits. All rows try side by side.
static bool find_tallest(Comparison *c, Error *err)
{
    double height_in[MOST_PAPERS] = {0};
    for (int i = 0; i < c->count; i++) {
        Row *row = &c->rows[i];
        if (row->kit && !judge_try(c, row, row->kit, c->source.settings.height_mm / MM_PER_INCH, &height_in[i], err)) return false;
    }
    for (int n = 1; n < TRIES; n++) {
        Wanted wanted[MOST_PAPERS];
        int count = 0;
        for (int i = 0; i < c->count; i++)
            if (height_in[i] > 0.0) wanted[count++] = (Wanted){.row = &c->rows[i], .height_mm = height_in[i] * MM_PER_INCH};
        if (!compute(c, wanted, count, err)) return false;
        for (int k = 0; k < count; k++) {
            double *at = &height_in[wanted[k].row - c->rows];
            if (!judge_try(c, wanted[k].row, wanted[k].kit, *at, at, err)) return false;
        }
    }
    for (int i = 0; i < c->count; i++)
        if (c->rows[i].kit) c->rows[i].tallest_mm = c->rows[i].low_in * MM_PER_INCH;
    return true;
}

static bool fill_rows(Comparison *c, Error *err)
{
    Wanted wanted[MOST_PAPERS];
    for (int i = 0; i < c->count; i++) wanted[i] = (Wanted){.row = &c->rows[i], .height_mm = c->source.settings.height_mm};
    if (!compute(c, wanted, c->count, err)) return false;
    for (int i = 0; i < c->count; i++) {
        Row *row = &c->rows[i];
        row->kit = wanted[i].kit;
        row->why = wanted[i].why;
        row->totals = json_object_get(row->kit, "totals");
        row->tallest_mm = NAN;
        row->low_in = 0.0;
        row->high_in = INFINITY;
    }
    return !has_limits(c->arguments) || find_tallest(c, err);
}

// ---- the table ----

typedef struct Column {
    const char *head, *key;
    double per;                 // of the unit shown
    bool minutes;
} Column;

static const Column COLUMNS[] = {
    {"sheets", "sheets", 1.0, false}, {"pieces", "pieces", 1.0, false}, {"in sight", "visible_seam_mm", MM_PER_INCH, false},
    {"cutting", "cutting_minutes", 1.0, true}, {"together", "assembly_minutes", 1.0, true}, {"waste", "waste_percent", 1.0, false}, {"cost", "cost", 1.0, false},
};
#define COLUMN_COUNT (sizeof COLUMNS / sizeof COLUMNS[0])

static bool is_best(const Comparison *c, const Row *row, const Column *column)
{
    double values[MOST_PAPERS];
    for (int i = 0; i < c->count; i++) {
        const json_t *totals = c->rows[i].totals;
        values[i] = totals_has(totals, column->key) ? totals_number(totals, column->key) : NAN;
    }
    return job_row_is_best(values, c->count, (int)(row - c->rows));
}

static void write_cell(const Row *row, const Column *column, bool best, Text *text, Arena *keep)
{
    Text cell = text_make(keep);
    double value = totals_number(row->totals, column->key) / column->per;
    if (!totals_has(row->totals, column->key)) text_add(&cell, "-");
    else if (column->minutes) say_minutes(&cell, value);
    else text_number(&cell, value, strcmp(column->key, "cost") == 0 ? 2 : 0);
    if (strcmp(column->key, "visible_seam_mm") == 0 && totals_has(row->totals, column->key)) text_add(&cell, " in");
    if (strcmp(column->key, "waste_percent") == 0 && totals_has(row->totals, column->key)) text_add(&cell, " %");
    text_printf(text, "%10s%s", cell.bytes ? cell.bytes : "", best ? "*" : " ");
}

static void write_tallest(const Row *row, Text *text)
{
    char height[32] = "none";
    if (isnan(row->tallest_mm)) return;
    if (row->tallest_mm > 0.0) length_format_inches(row->tallest_mm, height);
    text_printf(text, "%14s", height);
}

static void write_table(Comparison *c, Text *text)
{
    char height[32];
    length_format_inches(c->source.settings.height_mm, height);
    text_printf(text, "%s, %s tall; * = the least of its column\n\n%-22s", c->source.name, height, "paper");
    for (size_t k = 0; k < COLUMN_COUNT; k++) text_printf(text, "%10s ", COLUMNS[k].head);
    text_add(text, has_limits(c->arguments) ? "  tallest that fits\n" : "\n");
    for (int i = 0; i < c->count; i++) {
        const Row *row = &c->rows[i];
        text_printf(text, "%-22s", row->words);
        for (size_t k = 0; k < COLUMN_COUNT && row->kit; k++) write_cell(row, &COLUMNS[k], is_best(c, row, &COLUMNS[k]), text, &c->keep);
        if (!row->kit) text_printf(text, "  %s", row->why.text);
        else write_tallest(row, text);
        text_add(text, "\n");
    }
}

static void write_row(const Row *row, JsonWriter *json)
{
    write_json_object(json);
    write_json_key_string(json, "paper", row->words);
    write_json_key(json, "totals");
    if (row->kit) {
        totals_write(row->totals, json);
    } else {
        write_json_null(json);
        write_json_key_string(json, "error", row->why.text);
    }
    if (!isnan(row->tallest_mm)) write_json_key_number(json, "tallest_mm", row->tallest_mm, 3);
    write_json_end(json);
}

static bool report(Comparison *c, Error *err)
{
    Text text = text_make(&c->keep);
    if (c->arguments->json) {
        JsonWriter json = write_json_make(&text);
        write_json_list(&json);
        for (int i = 0; i < c->count; i++) write_row(&c->rows[i], &json);
        write_json_end(&json);
    } else {
        write_table(c, &text);
    }
    if (!text_is_whole(&text, err)) return false;
    fwrite(text.bytes, 1, text.size_bytes, stdout);
    return true;
}

// ---- the whole ----

static bool open_drawer(Comparison *c, Error *err)
{
    if (!c->arguments->drawer) return true;
    bool done = drawer_read(&c->keep, &c->drawer, err);
    if (done && c->drawer.count == 0)
        return error_set(err, ERROR_JOB, "the shelf is empty, so --drawer has nothing to go by; see papermason shelf --help");
    return done;
}

static bool begin(Comparison *c, Error *err)
{
    EditList typed;
    const BuildSource *source = &c->source;
    JobInput input = {source->picture.bytes, source->picture.size_bytes, source->shown_name, source->name, c->session->program};
    return job_create(&input, &c->job, err) &&
           changes_to_edits(&c->arguments->changes, &c->job, &source->settings, c->session->watch, &c->keep, &typed, err) &&
           source_join_edits(source, &typed, &c->keep, &c->edits, err);
}

bool command_compare(const Arguments *arguments, const Session *session, Error *err)
{
    Comparison c = {.arguments = arguments, .session = session, .keep = arena_make(0)};
    int fit = 0;
    bool done = split_papers(&c, err) && build_source(arguments, &c.keep, &c.source, err) && open_drawer(&c, err) && begin(&c, err);
    done = done && fill_rows(&c, err);
    for (int i = 0; i < c.count && done; i++) fit += c.rows[i].kit != NULL;
    if (done && fit == 0) done = error_set(err, ERROR_JOB, "it can be made on none of these papers; %s: %s", c.rows[0].words, c.rows[0].why.text);
    done = done && report(&c, err);
    job_free(&c.job);
    arena_free(&c.keep);
    return done;
}
