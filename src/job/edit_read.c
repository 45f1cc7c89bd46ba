// edit_read.c - the text form of edits, read; see edit.h and docs/edits.md.
// Strict: an edit has the keys of its kind and no others, so that a slip of the pen is told and not passed over.
#include "job/edit.h"

#include "paper/paper.h"
#include "proof/read_json.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define MOST_KEYS 6         // of a kind
#define LARGEST_MM 100000.0 // 100 m: no length of a piece is longer

typedef struct Reader {
    const json_t *object;
    const char *kind;   // as it was written
    size_t number;      // of the edit, from 1
    Arena *keep;
    Error *err;
} Reader;

static bool wrong(const Reader *r, const char *format, ...) PRINTF_LIKE(2, 3);

// What was written is shown as it is, but for control characters and bytes that are no UTF-8.
static void make_plain(char *text)
{
    for (size_t size; *text; text += size) {
        size = text_character_size(text, strlen(text));
        if (size == 0 || (unsigned char)*text < 32 || *text == 127) {
            *text = '?';
            size = 1;
        }
    }
}

static bool wrong(const Reader *r, const char *format, ...)
{
    char text[256];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    make_plain(text);
    if (r->kind) return error_set(r->err, ERROR_INPUT, "edit %zu (\"%s\"): %s", r->number, r->kind, text);
    return error_set(r->err, ERROR_INPUT, "edit %zu: %s", r->number, text);
}

static bool read_word(const Reader *r, const char *key, const char **out)
{
    const json_t *value = json_object_get(r->object, key);
    if (!value) return wrong(r, "\"%s\" is missing", key);
    if (!json_is_string(value) || strlen(json_string_value(value)) != json_string_length(value))
        return wrong(r, "\"%s\" should be a text", key);
    *out = json_string_value(value);
    return true;
}

static int hex_digit(char c)
{
    if (c >= '0' && c <= '9') return c - '0';
    if (c >= 'a' && c <= 'f') return c - 'a' + 10;
    if (c >= 'A' && c <= 'F') return c - 'A' + 10;
    return -1;
}

bool edit_parse_colour(const char *word, Srgb8 *out)
{
    if (word[0] != '#' || strlen(word) != 7) return false;
    int digits[6];
    for (int i = 0; i < 6; i++)
        if ((digits[i] = hex_digit(word[i + 1])) < 0) return false;
    *out = (Srgb8){(uint8_t)(digits[0] * 16 + digits[1]), (uint8_t)(digits[2] * 16 + digits[3]),
                   (uint8_t)(digits[4] * 16 + digits[5])};
    return true;
}

static bool read_colour(const Reader *r, const char *key, Srgb8 *out)
{
    const char *word = NULL;
    if (!read_word(r, key, &word)) return false;
    return edit_parse_colour(word, out) || wrong(r, "\"%s\" should be a colour such as \"#1d2f5a\", not \"%.20s\"", key, word);
}

static bool read_place(const Reader *r, const char *key, const json_t *value, FigurePoint *out)
{
    if (!json_is_array(value) || json_array_size(value) != 2 || !json_is_number(json_array_get(value, 0)) ||
        !json_is_number(json_array_get(value, 1)))
        return wrong(r, "\"%s\" should hold places such as [0.25, 0.5], in heights of the figure", key);
    *out = (FigurePoint){json_number_value(json_array_get(value, 0)), json_number_value(json_array_get(value, 1))};
    if (fabs(out->x) <= EDIT_FARTHEST && fabs(out->y) <= EDIT_FARTHEST) return true;
    return wrong(r, "\"%s\" has a place more than %.0f heights away from the figure", key, EDIT_FARTHEST);
}

static bool read_at(const Reader *r, FigurePoint *out)
{
    const json_t *value = json_object_get(r->object, "at");
    if (!value) return wrong(r, "\"at\" is missing");
    return read_place(r, "at", value, out);
}

static bool read_points(const Reader *r, const char *key, int least, FigurePoint **out, int *out_count)
{
    const json_t *list = json_object_get(r->object, key);
    size_t count = json_array_size(list);
    if (!list) return wrong(r, "\"%s\" is missing", key);
    if (!json_is_array(list) || count < (size_t)least || count > EDIT_MOST_POINTS)
        return wrong(r, "\"%s\" should be a list of %d to %d places", key, least, EDIT_MOST_POINTS);
    *out = arena_new(r->keep, FigurePoint, count);
    if (!*out) return error_memory(r->err);
    for (size_t i = 0; i < count; i++)
        if (!read_place(r, key, json_array_get(list, i), &(*out)[i])) return false;
    *out_count = (int)count;
    return true;
}

static bool read_mm(const Reader *r, const char *key, double least, double *out)
{
    const json_t *value = json_object_get(r->object, key);
    if (!value) return wrong(r, "\"%s\" is missing", key);
    if (!json_is_number(value)) return wrong(r, "\"%s\" should be a number of millimetres", key);
    *out = json_number_value(value);
    if (*out >= least && *out <= LARGEST_MM) return true;
    char from[NUMBER_MAX];
    return wrong(r, "\"%s\" should be from %s to %.0f mm", key, number_format(from, least, 3), LARGEST_MM);
}

static bool read_text(const Reader *r, const char *key, const char **out)
{
    const char *word = NULL;
    if (!read_word(r, key, &word)) return false;
    *out = arena_text(r->keep, word);
    return *out || error_memory(r->err);
}

// ---- kinds ----

static bool is_plain_name(const char *name)
{
    size_t size = strlen(name);
    bool fine = size > 0 && size <= EDIT_LONGEST_NAME && text_is_utf8(name, size) && name[0] != ' ' && name[size - 1] != ' ';
    for (size_t i = 0; i < size && fine; i++) fine = (unsigned char)name[i] >= 32 && name[i] != 127;
    return fine;
}

bool edit_check_name(const char *name, Error *err)
{
    if (is_plain_name(name)) return true;
    return error_set(err, ERROR_INPUT, "a colour's name should have 1 to %d bytes of plain text, without blanks at its ends", EDIT_LONGEST_NAME);
}

static bool read_name(const Reader *r, Edit *edit)
{
    Error why = {0};
    if (!read_colour(r, "colour", &edit->colour) || !read_text(r, "name", &edit->text)) return false;
    return edit_check_name(edit->text, &why) || wrong(r, "%s", why.text);
}

static bool read_paper_in_hand(const Reader *r, const json_t *item, NamedColour *out)
{
    Reader one = *r;
    const char *name = NULL;
    Error why = {0};
    one.object = item;
    if (!json_is_object(item) || json_object_size(item) != 2)
        return wrong(r, "\"colours\" should hold papers such as {\"colour\": \"#1d2f5a\", \"name\": \"navy\"}");
    if (!read_colour(&one, "colour", &out->colour) || !read_word(&one, "name", &name)) return false;
    if (!edit_check_name(name, &why)) return wrong(r, "%s", why.text);
    memcpy(out->name, name, strlen(name) + 1);
    return true;
}

static bool read_papers(const Reader *r, Edit *edit)
{
    const json_t *list = json_object_get(r->object, "colours");
    size_t count = json_array_size(list);
    Error why = {0};
    if (!list) return wrong(r, "\"colours\" is missing");
    if (!json_is_array(list) || count < 1 || count > EDIT_MOST_PAPERS)
        return wrong(r, "\"colours\" should be a list of 1 to %d papers", EDIT_MOST_PAPERS);
    edit->papers = arena_new(r->keep, NamedColour, count);
    if (!edit->papers) return error_memory(r->err);
    for (size_t i = 0; i < count; i++)
        if (!read_paper_in_hand(r, json_array_get(list, i), &edit->papers[i])) return false;
    edit->paper_count = (int)count;
    return edit_check_papers(edit->papers, edit->paper_count, &why) || wrong(r, "%s", why.text);
}

static bool read_paper(const Reader *r, const char **out)
{
    Error why = {0};
    Paper paper;
    if (!read_text(r, "paper", out)) return false;
    if (strlen(*out) > EDIT_LONGEST_PAPER) return wrong(r, "\"paper\" should be a size such as letter or 11x24, and properties");
    return paper_parse(*out, &paper, &why) || wrong(r, "%s", why.text);
}

static bool read_sheet(const Reader *r, Edit *edit)
{
    return read_colour(r, "colour", &edit->colour) && read_paper(r, &edit->text);
}

static bool read_offcut(const Reader *r, Edit *edit)
{
    const json_t *count = json_object_get(r->object, "count");
    if (!read_sheet(r, edit)) return false;
    if (!count) return wrong(r, "\"count\" is missing");
    json_int_t number = json_is_integer(count) ? json_integer_value(count) : -1;
    if (number < 0 || number > EDIT_MOST_OFFCUTS) return wrong(r, "\"count\" should be a whole number from 0 to %d", EDIT_MOST_OFFCUTS);
    edit->count = (int)number;
    return true;
}

static bool read_smallest(const Reader *r, Edit *edit)
{
    bool has_part = json_object_get(r->object, "part_mm"), has_hole = json_object_get(r->object, "hole_mm");
    if (!has_part && !has_hole) return wrong(r, "\"part_mm\" or \"hole_mm\" is missing");
    return (!has_part || read_mm(r, "part_mm", 0.001, &edit->mm)) &&
           (!has_hole || read_mm(r, "hole_mm", 0.001, &edit->hole_mm));
}

static bool read_tiny(const Reader *r, Edit *edit)
{
    const char *word = NULL;
    if (!read_at(r, &edit->at) || !read_word(r, "fate", &word)) return false;
    return edit_fate_find(word, &edit->fate) || wrong(r, "\"fate\" should be keep, enlarge or pen, not \"%.20s\"", word);
}

static bool read_way(const Reader *r, Edit *edit)
{
    const char *word = NULL;
    if (!read_word(r, "way", &word)) return false;
    return edit_way_find(word, &edit->way) || wrong(r, "\"way\" should be inlay or underlap, not \"%.20s\"", word);
}

static bool read_fewer(const Reader *r, Edit *edit)
{
    const char *word = NULL;
    if (!read_word(r, "of", &word)) return false;
    return fewer_find(word, &edit->fewer) || wrong(r, "\"of\" should be pieces, seams or neither, not \"%.20s\"", word);
}

static bool read_where(const Reader *r, Edit *edit)
{
    const char *word = NULL;
    if (!read_word(r, "where", &word)) return false;
    return edit_lines_find(word, &edit->lines) || wrong(r, "\"where\" should be base, top or both, not \"%.20s\"", word);
}

static bool read_frozen(const Reader *r, Edit *edit)
{
    if (!read_colour(r, "colour", &edit->colour) || !read_text(r, "piece", &edit->text)) return false;
    if (!is_plain_name(edit->text)) return wrong(r, "\"piece\" should be a piece's name such as \"A7\"");
    bool has_face = json_object_get(r->object, "face"), has_paper = json_object_get(r->object, "paper");
    return read_mm(r, "height_mm", 1.0, &edit->mm) && read_text(r, "outline", &edit->path) &&
           (!has_face || read_text(r, "face", &edit->face)) && (!has_paper || read_paper(r, &edit->paper));
}

static bool read_matrix(const Reader *r, const json_t *list, double out[6])
{
    bool fine = json_is_array(list) && json_array_size(list) == 6;
    for (size_t i = 0; i < 6 && fine; i++) {
        fine = json_is_number(json_array_get(list, i));
        out[i] = fine ? json_number_value(json_array_get(list, i)) : 0.0;
        fine = fine && fabs(out[i]) <= LARGEST_MM;
    }
    return fine || wrong(r, "\"to_sheet\" should be six numbers, a turn and a shift, as in kit.json");
}

static bool read_place_on_sheet(const Reader *r, Edit *edit)
{
    const json_t *sheet = json_object_get(r->object, "sheet"), *matrix = json_object_get(r->object, "to_sheet");
    if (!read_colour(r, "colour", &edit->colour) || !read_text(r, "piece", &edit->text)) return false;
    if (!is_plain_name(edit->text)) return wrong(r, "\"piece\" should be a piece's name such as \"A7\"");
    if (!sheet || !matrix) return wrong(r, "\"%s\" is missing", sheet ? "to_sheet" : "sheet");
    json_int_t number = json_is_integer(sheet) ? json_integer_value(sheet) : 0;
    if (number < 1 || number > EDIT_MOST_SHEETS) return wrong(r, "\"sheet\" should be a sheet's number, from 1");
    edit->sheet = (int)number;
    return read_matrix(r, matrix, edit->to_sheet);
}

static bool read_clear(const Reader *r, Edit *edit)
{
    bool has_points = json_object_get(r->object, "points"), has_at = json_object_get(r->object, "at");
    if (has_points && has_at) return wrong(r, "it should have \"points\" or \"at\", not both");
    return has_at ? read_at(r, &edit->at) : read_points(r, "points", 3, &edit->points, &edit->point_count);
}

static bool read_form(const Reader *r, Edit *edit)
{
    const char *word = NULL;
    if (!read_colour(r, "colour", &edit->colour) || !read_word(r, "form", &word)) return false;
    return seam_form_find(word, &edit->form) || wrong(r, "\"form\" should be butt or lap, not \"%.20s\"", word);
}

static const char *const KEYS[EDIT_KIND_COUNT][MOST_KEYS] = {
    [EDIT_GROUND] = {"at"},
    [EDIT_PAPER] = {"at"},
    [EDIT_SAME] = {"colour", "as"},
    [EDIT_LEAVE_OUT] = {"colour"},
    [EDIT_MATCH] = {"colours"},
    [EDIT_NAME] = {"colour", "name"},
    [EDIT_SHEET] = {"colour", "paper"},
    [EDIT_OFFCUT] = {"colour", "paper", "count"},
    [EDIT_OVER] = {"colour", "other"},
    [EDIT_INLAY] = {"colour", "other"},
    [EDIT_SMALLEST] = {"part_mm", "hole_mm"},
    [EDIT_TINY] = {"at", "fate"},
    [EDIT_BASE] = {"colour"},
    [EDIT_RAISED] = {"colour"},
    [EDIT_BORDER] = {"mm"},
    [EDIT_UNDERLAP] = {"mm"},
    [EDIT_STACK] = {"way"},
    [EDIT_FEWER] = {"of"},
    [EDIT_LINES] = {"where"},
    [EDIT_SEAM] = {"colour", "points"},
    [EDIT_SEAM_MOVED] = {"colour", "from", "points"},
    [EDIT_SEAM_FORBIDDEN] = {"colour", "points"},
    [EDIT_KEEP_CLEAR] = {"points", "at"},
    [EDIT_SEAM_FORM] = {"colour", "form"},
    [EDIT_PLACE] = {"colour", "piece", "sheet", "to_sheet"},
    [EDIT_FROZEN] = {"colour", "piece", "height_mm", "outline", "face", "paper"},
};

static bool check_keys(const Reader *r, EditKind kind)
{
    const char *key;
    json_t *value;
    json_object_foreach((json_t *)r->object, key, value) {
        bool known = strcmp(key, "edit") == 0;
        for (int i = 0; i < MOST_KEYS && KEYS[kind][i]; i++) known = known || strcmp(key, KEYS[kind][i]) == 0;
        if (!known) return wrong(r, "there is no \"%.40s\" in this kind of edit (see docs/edits.md)", key);
    }
    return true;
}

static bool read_what(const Reader *r, Edit *edit)
{
    switch (edit->kind) {
    case EDIT_GROUND:
    case EDIT_PAPER: return read_at(r, &edit->at);
    case EDIT_SAME: return read_colour(r, "colour", &edit->colour) && read_colour(r, "as", &edit->other);
    case EDIT_LEAVE_OUT:
    case EDIT_RAISED:
    case EDIT_BASE: return read_colour(r, "colour", &edit->colour);
    case EDIT_MATCH: return read_papers(r, edit);
    case EDIT_NAME: return read_name(r, edit);
    case EDIT_SHEET: return read_sheet(r, edit);
    case EDIT_OFFCUT: return read_offcut(r, edit);
    case EDIT_OVER:
    case EDIT_INLAY: return read_colour(r, "colour", &edit->colour) && read_colour(r, "other", &edit->other);
    case EDIT_SMALLEST: return read_smallest(r, edit);
    case EDIT_TINY: return read_tiny(r, edit);
    case EDIT_BORDER:
    case EDIT_UNDERLAP: return read_mm(r, "mm", 0.0, &edit->mm);
    case EDIT_STACK: return read_way(r, edit);
    case EDIT_FEWER: return read_fewer(r, edit);
    case EDIT_LINES: return read_where(r, edit);
    case EDIT_SEAM_MOVED:
        return read_colour(r, "colour", &edit->colour) && read_points(r, "from", 2, &edit->from, &edit->from_count) &&
               read_points(r, "points", 2, &edit->points, &edit->point_count);
    case EDIT_SEAM:
    case EDIT_SEAM_FORBIDDEN:
        return read_colour(r, "colour", &edit->colour) && read_points(r, "points", 2, &edit->points, &edit->point_count);
    case EDIT_KEEP_CLEAR: return read_clear(r, edit);
    case EDIT_SEAM_FORM: return read_form(r, edit);
    case EDIT_PLACE: return read_place_on_sheet(r, edit);
    case EDIT_FROZEN: return read_frozen(r, edit);
    }
    return false;
}

static bool read_edit(Reader *r, Edit *edit)
{
    const char *word = NULL;
    if (!json_is_object(r->object)) return wrong(r, "it should be an object such as {\"edit\": \"border\", \"mm\": 6}");
    if (!read_word(r, "edit", &word)) return false;
    if (!edit_kind_find(word, &edit->kind)) return wrong(r, "there is no kind of edit \"%.40s\" (see docs/edits.md)", word);
    r->kind = word;
    return check_keys(r, edit->kind) && read_what(r, edit);
}

static bool read_list(const json_t *list, Arena *keep, EditList *out, Error *err)
{
    size_t count = json_array_size(list);
    if (!json_is_array(list)) return error_set(err, ERROR_INPUT, "edits should be a list of objects: [{\"edit\": ...}, ...]");
    if (count > EDITS_MOST)
        return error_set(err, ERROR_INPUT, "%zu edits are more than the %d that a list may have", count, EDITS_MOST);
    out->items = arena_new(keep, Edit, count);
    if (!out->items) return error_memory(err);
    out->capacity = count;
    for (size_t i = 0; i < count; i++) {
        Reader reader = {json_array_get(list, i), NULL, i + 1, keep, err};
        if (!read_edit(&reader, &out->items[i])) return false;
        out->count++;
    }
    return true;
}

bool edits_parse(const char *json, size_t size_bytes, Arena *keep, EditList *out, Error *err)
{
    *out = (EditList){0};
    Arena own = arena_make(keep->budget_bytes); // what stays of the text is copied to `keep`
    const json_t *list;
    json_error_t where;
    bool done = read_json(json, size_bytes, &own, &list, &where, err);
    if (done && !list)
        done = error_set(err, ERROR_INPUT, "edits should be JSON; what stands in line %d, column %d is not", where.line,
                         where.column);
    done = done && read_list(list, keep, out, err);
    arena_free(&own);
    if (!done) *out = (EditList){0};
    return done;
}
