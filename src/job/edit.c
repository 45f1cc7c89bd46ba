// edit.c - the list of edits: adding, writing as JSON, and each edit in words; see edit.h.
#include "job/edit.h"

#include <string.h>

#define FRACTION_DECIMALS 9 // of the figure's height: far below a micrometre, and what is written twice stays the same
#define MM_DECIMALS 6
#define MATRIX_DECIMALS 9  // as in kit.json

static const char *const KIND_WORDS[] = {
    [EDIT_GROUND] = "ground",
    [EDIT_PAPER] = "paper",
    [EDIT_SAME] = "same",
    [EDIT_LEAVE_OUT] = "leave-out",
    [EDIT_MATCH] = "match",
    [EDIT_NAME] = "name",
    [EDIT_SHEET] = "sheet",
    [EDIT_OFFCUT] = "offcut",
    [EDIT_OVER] = "over",
    [EDIT_INLAY] = "inlay",
    [EDIT_SMALLEST] = "smallest",
    [EDIT_TINY] = "tiny",
    [EDIT_BASE] = "base",
    [EDIT_BORDER] = "border",
    [EDIT_UNDERLAP] = "underlap",
    [EDIT_STACK] = "stack",
    [EDIT_FEWER] = "fewer",
    [EDIT_LINES] = "lines",
    [EDIT_RAISED] = "raised",
    [EDIT_SEAM] = "seam",
    [EDIT_SEAM_MOVED] = "move-seam",
    [EDIT_SEAM_FORBIDDEN] = "no-seam",
    [EDIT_KEEP_CLEAR] = "keep-clear",
    [EDIT_SEAM_FORM] = "seam-form",
    [EDIT_PLACE] = "place",
    [EDIT_FROZEN] = "frozen",
};
static const char *const FATE_WORDS[] = {[TINY_KEEP] = "keep", [TINY_ENLARGE] = "enlarge", [TINY_PEN] = "pen"};
static const char *const WAY_WORDS[] = {[STACK_INLAY] = "inlay", [STACK_UNDERLAP] = "underlap"};
static const char *const LINES_WORDS[] = {[LINES_BASE] = "base", [LINES_TOP] = "top", [LINES_BOTH] = "both"};

static bool find_word(const char *word, const char *const *words, int count, int *out)
{
    for (int i = 0; i < count; i++) {
        if (strcmp(word, words[i]) != 0) continue;
        *out = i;
        return true;
    }
    return false;
}

const char *edit_kind_word(EditKind kind)
{
    return KIND_WORDS[kind];
}

bool edit_kind_find(const char *word, EditKind *out)
{
    int found;
    if (!find_word(word, KIND_WORDS, EDIT_KIND_COUNT, &found)) return false;
    *out = (EditKind)found;
    return true;
}

bool edit_fate_find(const char *word, TinyFate *out)
{
    int found;
    if (!find_word(word, FATE_WORDS, TINY_PEN + 1, &found)) return false;
    *out = (TinyFate)found;
    return true;
}

bool edit_way_find(const char *word, StackWay *out)
{
    int found;
    if (!find_word(word, WAY_WORDS, STACK_UNDERLAP + 1, &found)) return false;
    *out = (StackWay)found;
    return true;
}

bool edit_lines_find(const char *word, StackLines *out)
{
    int found;
    if (!find_word(word, LINES_WORDS, LINES_BOTH + 1, &found)) return false;
    *out = (StackLines)found;
    return true;
}

// ---- adding ----

static bool copy_points(FigurePoint **points, int count, Arena *keep)
{
    if (count == 0) *points = NULL;
    else *points = arena_copy(keep, *points, (size_t)count, sizeof **points);
    return count == 0 || *points;
}

static bool copy_papers(NamedColour **papers, int count, Arena *keep)
{
    if (count == 0) *papers = NULL;
    else *papers = arena_copy(keep, *papers, (size_t)count, sizeof **papers);
    return count == 0 || *papers;
}

static bool copy_text(const char **text, Arena *keep)
{
    if (*text) *text = arena_text(keep, *text);
    return true;
}

bool edits_add(EditList *edits, const Edit *edit, Arena *keep, Error *err)
{
    Edit copy = *edit;
    bool had_text = copy.text, had_path = copy.path, had_face = copy.face, had_paper = copy.paper;
    Edit *items = arena_grow(keep, edits->items, edits->count, &edits->capacity, sizeof *items);
    if (!items || !copy_text(&copy.text, keep) || !copy_text(&copy.path, keep) || !copy_text(&copy.face, keep) || !copy_text(&copy.paper, keep) ||
        had_text != !!copy.text || had_path != !!copy.path || had_face != !!copy.face || had_paper != !!copy.paper || !copy_points(&copy.points, copy.point_count, keep) ||
        !copy_points(&copy.from, copy.from_count, keep) || !copy_papers(&copy.papers, copy.paper_count, keep))
        return error_memory(err);
    edits->items = items;
    edits->items[edits->count++] = copy;
    return true;
}

// ---- writing ----

static void write_place(JsonWriter *json, FigurePoint p)
{
    write_json_list_inline(json);
    write_json_number(json, p.x, FRACTION_DECIMALS);
    write_json_number(json, p.y, FRACTION_DECIMALS);
    write_json_end(json);
}

static void write_at(JsonWriter *json, FigurePoint p)
{
    write_json_key(json, "at");
    write_place(json, p);
}

static void write_points(JsonWriter *json, const char *key, const FigurePoint *points, int count)
{
    write_json_key(json, key);
    write_json_list(json);
    for (int i = 0; i < count; i++) write_place(json, points[i]);
    write_json_end(json);
}

static void write_colour(JsonWriter *json, const char *key, Srgb8 colour)
{
    char hex[8];
    colour_hex(colour, hex);
    write_json_key_string(json, key, hex);
}

static void write_papers(JsonWriter *json, const Edit *edit)
{
    write_json_key(json, "colours");
    write_json_list(json);
    for (int i = 0; i < edit->paper_count; i++) {
        write_json_object(json);
        write_colour(json, "colour", edit->papers[i].colour);
        write_json_key_string(json, "name", edit->papers[i].name);
        write_json_end(json);
    }
    write_json_end(json);
}

static void write_smallest(JsonWriter *json, const Edit *edit)
{
    if (edit->mm > 0.0) write_json_key_number(json, "part_mm", edit->mm, MM_DECIMALS);
    if (edit->hole_mm > 0.0) write_json_key_number(json, "hole_mm", edit->hole_mm, MM_DECIMALS);
}

static void write_sheet_place(JsonWriter *json, const Edit *edit)
{
    write_colour(json, "colour", edit->colour);
    write_json_key_string(json, "piece", edit->text);
    write_json_key_number(json, "sheet", edit->sheet, 0);
    write_json_key(json, "to_sheet");
    write_json_list(json);
    for (int i = 0; i < 6; i++) write_json_number(json, edit->to_sheet[i], MATRIX_DECIMALS);
    write_json_end(json);
}

static void write_what(JsonWriter *json, const Edit *edit)
{
    switch (edit->kind) {
    case EDIT_GROUND:
    case EDIT_PAPER: write_at(json, edit->at); break;
    case EDIT_SAME:
        write_colour(json, "colour", edit->colour);
        write_colour(json, "as", edit->other);
        break;
    case EDIT_LEAVE_OUT:
    case EDIT_RAISED:
    case EDIT_BASE: write_colour(json, "colour", edit->colour); break;
    case EDIT_MATCH: write_papers(json, edit); break;
    case EDIT_NAME:
        write_colour(json, "colour", edit->colour);
        write_json_key_string(json, "name", edit->text);
        break;
    case EDIT_SHEET:
        write_colour(json, "colour", edit->colour);
        write_json_key_string(json, "paper", edit->text);
        break;
    case EDIT_OFFCUT:
        write_colour(json, "colour", edit->colour);
        write_json_key_string(json, "paper", edit->text);
        write_json_key_number(json, "count", edit->count, 0);
        break;
    case EDIT_OVER:
    case EDIT_INLAY:
        write_colour(json, "colour", edit->colour);
        write_colour(json, "other", edit->other);
        break;
    case EDIT_SMALLEST: write_smallest(json, edit); break;
    case EDIT_TINY:
        write_at(json, edit->at);
        write_json_key_string(json, "fate", FATE_WORDS[edit->fate]);
        break;
    case EDIT_BORDER:
    case EDIT_UNDERLAP: write_json_key_number(json, "mm", edit->mm, MM_DECIMALS); break;
    case EDIT_STACK: write_json_key_string(json, "way", WAY_WORDS[edit->way]); break;
    case EDIT_FEWER: write_json_key_string(json, "of", fewer_word(edit->fewer)); break;
    case EDIT_LINES: write_json_key_string(json, "where", LINES_WORDS[edit->lines]); break;
    case EDIT_SEAM_MOVED:
        write_colour(json, "colour", edit->colour);
        write_points(json, "from", edit->from, edit->from_count);
        write_points(json, "points", edit->points, edit->point_count);
        break;
    case EDIT_SEAM:
    case EDIT_SEAM_FORBIDDEN:
        write_colour(json, "colour", edit->colour);
        write_points(json, "points", edit->points, edit->point_count);
        break;
    case EDIT_KEEP_CLEAR:
        if (edit->point_count > 0) write_points(json, "points", edit->points, edit->point_count);
        else write_at(json, edit->at);
        break;
    case EDIT_SEAM_FORM:
        write_colour(json, "colour", edit->colour);
        write_json_key_string(json, "form", seam_form_word(edit->form));
        break;
    case EDIT_PLACE: write_sheet_place(json, edit); break;
    case EDIT_FROZEN:
        write_colour(json, "colour", edit->colour);
        write_json_key_string(json, "piece", edit->text);
        write_json_key_number(json, "height_mm", edit->mm, MM_DECIMALS);
        write_json_key_string(json, "outline", edit->path);
        if (edit->face) write_json_key_string(json, "face", edit->face);
        if (edit->paper) write_json_key_string(json, "paper", edit->paper);
        break;
    }
}

void edit_write(const Edit *edit, JsonWriter *json)
{
    write_json_object(json);
    write_json_key_string(json, "edit", KIND_WORDS[edit->kind]);
    write_what(json, edit);
    write_json_end(json);
}

void edits_write(const EditList *edits, Text *out)
{
    JsonWriter json = write_json_make(out);
    write_json_list(&json);
    for (size_t i = 0; i < edits->count; i++) edit_write(&edits->items[i], &json);
    write_json_end(&json);
    text_add(out, "\n");
}

// ---- in words ----

static void say_place(Text *text, FigurePoint p)
{
    text_number(text, 100.0 * p.x, 0);
    text_add(text, " %, ");
    text_number(text, 100.0 * p.y, 0);
    text_add(text, " %");
}

// A run is told by its ends, an area by its first corner.
static void say_run(Text *text, const FigurePoint *points, int count)
{
    if (count == 0) return;
    text_add(text, " from ");
    say_place(text, points[0]);
    text_add(text, " to ");
    say_place(text, points[count - 1]);
}

static void say_mm(Text *text, const char *before, double mm)
{
    text_add(text, before);
    text_number(text, mm, 1);
    text_add(text, " mm");
}

void edit_say(const Edit *edit, const char *colour, const char *other, Text *text)
{
    const char *word = edit->text ? edit->text : "";
    switch (edit->kind) {
    case EDIT_GROUND: say_place((text_add(text, "ground at "), text), edit->at); break;
    case EDIT_PAPER: say_place((text_add(text, "paper at "), text), edit->at); break;
    case EDIT_SAME: text_printf(text, "%s the same as %s", colour, other); break;
    case EDIT_LEAVE_OUT: text_printf(text, "%s left out", colour); break;
    case EDIT_MATCH: text_printf(text, "%d paper%s in hand", edit->paper_count, edit->paper_count == 1 ? "" : "s"); break;
    case EDIT_NAME: text_printf(text, "the name '%s' for %s", word, colour); break;
    case EDIT_SHEET: text_printf(text, "%s from %s", colour, word); break;
    case EDIT_OFFCUT: text_printf(text, "%d offcut%s of %s for %s", edit->count, edit->count == 1 ? "" : "s", word, colour); break;
    case EDIT_OVER: text_printf(text, "%s over %s", colour, other); break;
    case EDIT_INLAY: text_printf(text, "%s and %s edge to edge", colour, other); break;
    case EDIT_SMALLEST: text_add(text, "the smallest detail"); break;
    case EDIT_TINY:
        text_printf(text, "%s the tiny part at ", FATE_WORDS[edit->fate]);
        say_place(text, edit->at);
        break;
    case EDIT_BASE: text_printf(text, "%s as the base", colour); break;
    case EDIT_RAISED: text_printf(text, "%s on foam squares", colour); break;
    case EDIT_BORDER: say_mm(text, "a border of ", edit->mm); break;
    case EDIT_UNDERLAP: say_mm(text, "an underlap of ", edit->mm); break;
    case EDIT_STACK: text_printf(text, "stacked as %s", WAY_WORDS[edit->way]); break;
    case EDIT_FEWER:
        if (edit->fewer == FEWER_NEITHER) text_add(text, "pieces and seams as usual");
        else text_printf(text, "fewer %s", fewer_word(edit->fewer));
        break;
    case EDIT_LINES: text_add(text, stack_lines_say(edit->lines)); break;
    case EDIT_SEAM:
        text_printf(text, "the fixed seam of %s", colour);
        say_run(text, edit->points, edit->point_count);
        break;
    case EDIT_SEAM_MOVED:
        text_printf(text, "the moved seam of %s", colour);
        say_run(text, edit->points, edit->point_count);
        break;
    case EDIT_SEAM_FORBIDDEN:
        text_printf(text, "no seam of %s", colour);
        say_run(text, edit->points, edit->point_count);
        break;
    case EDIT_KEEP_CLEAR:
        text_add(text, "the area to keep clear");
        say_place((text_add(text, " at "), text), edit->point_count > 0 ? edit->points[0] : edit->at);
        break;
    case EDIT_SEAM_FORM: text_printf(text, "%s seams of %s", seam_form_word(edit->form), colour); break;
    case EDIT_PLACE: text_printf(text, "the piece %s of %s on its sheet %d", word, colour, edit->sheet); break;
    case EDIT_FROZEN: text_printf(text, "the piece %s of %s that is cut already", word, colour); break;
    }
}
