// changes.c - see changes.h.
#include "changes.h"

#include "disk.h"
#include "drawer.h"

#include "base/length.h"
#include "store/in_hand.h"

#include <math.h>
#include <string.h>

typedef struct Taking {
    Job *job;
    const Settings *settings;
    const JobWatch *watch;
    Arena *keep;
    EditList *edits;
} Taking;

typedef struct ChangeKind {
    const char *option;
    EditKind kind;
    bool (*check)(const char *option, const char *value, Edit *edit, Error *err); // NULL: colours, or a file
} ChangeKind;

static bool check_place(const char *option, const char *value, Edit *edit, Error *err)
{
    char x[NUMBER_MAX];
    const char *comma = strchr(value, ',');
    size_t size = comma ? (size_t)(comma - value) : 0;
    bool fine = size > 0 && size < sizeof x;
    if (fine) {
        memcpy(x, value, size);
        x[size] = 0;
        fine = number_parse(x, &edit->at.x) && number_parse(comma + 1, &edit->at.y);
    }
    edit->at.x /= 100.0;
    edit->at.y /= 100.0;
    bool is_near = edit->at.x >= -EDIT_FARTHEST && edit->at.x <= EDIT_FARTHEST && edit->at.y >= -EDIT_FARTHEST &&
                   edit->at.y <= EDIT_FARTHEST;
    if (fine && is_near) return true;
    return error_set(err, ERROR_USAGE, "%s takes a place in percent of the figure's height, from its top left corner, such as 10,20, not '%.40s'",
                     option, value);
}

static bool check_underlap(const char *option, const char *value, Edit *edit, Error *err)
{
    if (strcmp(value, "0") == 0) return true;
    return length_parse(value, option, &edit->mm, err);
}

static bool check_lines(const char *option, const char *value, Edit *edit, Error *err)
{
    if (edit_lines_find(value, &edit->lines)) return true;
    return error_set(err, ERROR_USAGE, "%s takes base, top or both, not '%.40s'", option, value);
}

static bool check_smallest_part(const char *option, const char *value, Edit *edit, Error *err)
{
    return length_parse(value, option, &edit->mm, err);
}

static bool check_smallest_hole(const char *option, const char *value, Edit *edit, Error *err)
{
    return length_parse(value, option, &edit->hole_mm, err);
}

// The papers of the shelf, which is looked at when the job begins.
static bool is_shelf(const char *value)
{
    return strcmp(value, "shelf") == 0;
}

// "navy=6x9in*2": the colour is looked up later. Without a number one is there.
static bool check_offcut(const char *option, const char *value, Edit *edit, Error *err)
{
    char words[EDIT_LONGEST_PAPER + 1];
    double count = 1.0;
    Paper paper;
    Error why = {0};
    const char *sign = strrchr(value, '='), *star = sign ? strrchr(sign, '*') : NULL;
    size_t size = !sign || sign == value ? 0 : star ? (size_t)(star - sign - 1) : strlen(sign + 1);
    bool fine = size > 0 && size < sizeof words;
    if (star) fine = fine && number_parse(star + 1, &count) && count == floor(count) && count >= 0.0 && count <= EDIT_MOST_OFFCUTS;
    if (!fine)
        return error_set(err, ERROR_USAGE, "%s takes a colour, a size and how many there are, such as navy=6x9in*2, not '%.40s'", option, value);
    memcpy(words, sign + 1, size);
    words[size] = 0;
    if (!paper_parse(words, &paper, &why)) return error_set(err, ERROR_USAGE, "%s: %s", option, why.text);
    edit->count = (int)count;
    return true;
}

static bool check_papers(const char *option, const char *value, Edit *edit, Error *err)
{
    NamedColour papers[EDIT_MOST_PAPERS];
    int count;
    (void)edit; // the list is made anew in take_papers, where there is an arena for it
    return is_shelf(value) || edit_parse_papers(value, papers, &count, err) || error_at(err, "%s", option);
}

static const ChangeKind KINDS[] = {
    {"--same", EDIT_SAME, NULL},
    {"--leave-out", EDIT_LEAVE_OUT, NULL},
    {"--have", EDIT_MATCH, check_papers},
    {"--base", EDIT_BASE, NULL},
    {"--raised", EDIT_RAISED, NULL},
    {"--lines", EDIT_LINES, check_lines},
    {"--ground", EDIT_GROUND, check_place},
    {"--paper-at", EDIT_PAPER, check_place},
    {"--underlap", EDIT_UNDERLAP, check_underlap},
    {"--smallest-part", EDIT_SMALLEST, check_smallest_part},
    {"--smallest-hole", EDIT_SMALLEST, check_smallest_hole},
    {"--offcut", EDIT_OFFCUT, check_offcut},
    {"--edits", EDIT_GROUND, NULL},
};

static const ChangeKind *find_kind(const char *option)
{
    for (size_t i = 0; i < sizeof KINDS / sizeof KINDS[0]; i++)
        if (strcmp(KINDS[i].option, option) == 0) return &KINDS[i];
    return NULL;
}

bool changes_add(Changes *changes, const char *option, const char *value, Error *err)
{
    Edit unused = {0};
    const ChangeKind *kind = find_kind(option);
    if (!value[0]) return error_set(err, ERROR_USAGE, "%s needs a value", option);
    if (changes->count == CHANGES_MOST)
        return error_set(err, ERROR_USAGE, "more than %d changes were asked for; put them into a file for --edits", CHANGES_MOST);
    if (strcmp(option, "--same") == 0 && !strchr(value, '='))
        return error_set(err, ERROR_USAGE, "--same takes two colours, such as '#1d2f5a=#22346b' or navy=blue, not '%.40s'", value);
    if (kind->check && !kind->check(option, value, &unused, err)) return false;
    changes->items[changes->count++] = (Change){option, value};
    return true;
}

// The papers in hand of the last --have before this option, by name.
static bool find_in_hand(const Taking *taking, const char *word, Srgb8 *out)
{
    const Edit *last = NULL;
    for (size_t i = 0; i < taking->edits->count; i++)
        if (taking->edits->items[i].kind == EDIT_MATCH) last = &taking->edits->items[i];
    for (int i = 0; last && i < last->paper_count; i++) {
        if (strcmp(last->papers[i].name, word) != 0) continue;
        *out = last->papers[i].colour;
        return true;
    }
    return false;
}

// Values need no picture, names do.
static bool find_colour(const Taking *taking, const char *word, Srgb8 *out, Error *err)
{
    if (edit_parse_colour(word, out) || find_in_hand(taking, word, out)) return true;
    if (!taking->job->separation.label && !job_colours(taking->job, taking->settings, NULL, taking->watch, err)) return false;
    return job_find_colour(taking->job, word, out, err);
}

static bool take_same(const Taking *taking, const char *value, Edit *edit, Error *err)
{
    char *first = arena_text(taking->keep, value);
    if (!first) return error_memory(err);
    char *sign = strchr(first, '=');
    *sign = 0;
    return find_colour(taking, first, &edit->colour, err) && find_colour(taking, sign + 1, &edit->other, err);
}

static bool find_papers(const Taking *taking, const char *value, NamedColour *out, int *count, Error *err)
{
    ShelfList shelf;
    if (!is_shelf(value)) return edit_parse_papers(value, out, count, err);
    return drawer_read(taking->keep, &shelf, err) && (shelf_in_hand(&shelf, out, count, err) || error_at(err, "--have shelf"));
}

static bool take_offcut(const Taking *taking, const Change *change, Error *err)
{
    Edit edit = {.kind = EDIT_OFFCUT};
    char *words = arena_text(taking->keep, change->value);
    if (!words) return error_memory(err);
    if (!check_offcut(change->option, change->value, &edit, err)) return false;
    char *sign = strrchr(words, '='), *star = strrchr(sign, '*');
    *sign = 0;
    if (star) *star = 0;
    edit.text = sign + 1;
    return find_colour(taking, words, &edit.colour, err) && edits_add(taking->edits, &edit, taking->keep, err);
}

static bool take_papers(const Taking *taking, const char *value, Error *err)
{
    NamedColour papers[EDIT_MOST_PAPERS];
    Edit edit = {.kind = EDIT_MATCH, .papers = papers};
    return find_papers(taking, value, papers, &edit.paper_count, err) && edits_add(taking->edits, &edit, taking->keep, err);
}

static bool take_file(const Taking *taking, const char *path, Error *err)
{
    FileBytes file;
    EditList list;
    char shown[SHOWN_MAX];
    if (!disk_read_file(path, taking->keep, &file, err)) return false;
    if (!edits_parse(file.bytes, file.size_bytes, taking->keep, &list, err))
        return error_at(err, "%s", shown_path(path, shown));
    for (size_t i = 0; i < list.count; i++)
        if (!edits_add(taking->edits, &list.items[i], taking->keep, err)) return false;
    return true;
}

static bool take_change(const Taking *taking, const Change *change, Error *err)
{
    const ChangeKind *kind = find_kind(change->option);
    Edit edit = {.kind = kind->kind};
    if (strcmp(change->option, "--edits") == 0) return take_file(taking, change->value, err);
    if (kind->kind == EDIT_OFFCUT) return take_offcut(taking, change, err);
    if (kind->kind == EDIT_MATCH) return take_papers(taking, change->value, err);
    bool done = kind->check               ? kind->check(change->option, change->value, &edit, err)
                : kind->kind == EDIT_SAME ? take_same(taking, change->value, &edit, err)
                                          : find_colour(taking, change->value, &edit.colour, err);
    return done && edits_add(taking->edits, &edit, taking->keep, err);
}

bool changes_to_edits(const Changes *changes, Job *job, const Settings *settings, const JobWatch *watch, Arena *keep,
                      EditList *out, Error *err)
{
    *out = (EditList){0};
    Taking taking = {job, settings, watch, keep, out};
    for (int i = 0; i < changes->count; i++)
        if (!take_change(&taking, &changes->items[i], err)) return false;
    return true;
}
