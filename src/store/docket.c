// docket.c - see docket.h.
#include "store/docket.h"

#include "base/length.h"
#include "job/replay.h"
#include "job/settings_words.h"
#include "paper/cutter.h"
#include "proof/read_json.h"

#include <string.h>

typedef struct Line {
    bool is_edit;
    EditList edit;                  // of one
    const char *what, *to, *layer;  // of a setting; layer may be NULL
} Line;

static bool wrong(Error *err, const char *why)
{
    return error_set(err, ERROR_INPUT, "a line of the docket should be an edit such as {\"edit\": \"border\", \"mm\": 6} or a setting such as "
                     "{\"set\": \"height\", \"to\": \"4ft\"}: %s", why);
}

// ---- reading ----

static bool read_text(const json_t *object, const char *key, Arena *keep, const char **out, Error *err)
{
    const json_t *value = json_object_get(object, key);
    if (!json_is_string(value) || strlen(json_string_value(value)) != json_string_length(value))
        return error_set(err, ERROR_INPUT, "in a line of the docket \"%s\" should be a text", key);
    *out = arena_text(keep, json_string_value(value));
    return *out || error_memory(err);
}

static bool check_keys(const json_t *object, Error *err)
{
    const char *key;
    json_t *value;
    json_object_foreach((json_t *)object, key, value) {
        if (strcmp(key, "set") != 0 && strcmp(key, "to") != 0 && strcmp(key, "layer") != 0)
            return error_set(err, ERROR_INPUT, "in a setting of the docket there is no \"%.40s\"; it has \"set\", \"to\", and of a paper \"layer\"", key);
    }
    return true;
}

static bool check_layer(const Line *line, Error *err)
{
    size_t size = strlen(line->layer);
    bool by_layer = strcmp(line->what, "paper") == 0 || strcmp(line->what, "seams") == 0;
    if (!by_layer) return error_set(err, ERROR_INPUT, "only a paper and the form of seams can be set for one layer, not \"%.40s\"", line->what);
    bool fine = size == 1 || size == 2;
    for (size_t i = 0; i < size && fine; i++) fine = line->layer[i] >= 'A' && line->layer[i] <= 'Z';
    return fine || error_set(err, ERROR_INPUT, "\"layer\" should be a layer's letter such as \"B\", not \"%.40s\"", line->layer);
}

static bool read_setting(const json_t *object, Arena *keep, Line *line, Error *err)
{
    if (!check_keys(object, err) || !read_text(object, "set", keep, &line->what, err) || !read_text(object, "to", keep, &line->to, err))
        return false;
    if (!json_object_get(object, "layer")) return true;
    return read_text(object, "layer", keep, &line->layer, err) && check_layer(line, err);
}

static bool read_edit(const char *json, size_t size_bytes, Arena *keep, Line *line, Error *err)
{
    Text list = text_make(keep);
    text_add(&list, "[");
    text_add_bytes(&list, json, size_bytes);
    text_add(&list, "]");
    if (!text_is_whole(&list, err) || !edits_parse(list.bytes, list.size_bytes, keep, &line->edit, err)) return false;
    line->is_edit = true;
    return line->edit.count == 1 || wrong(err, "there is more than one here");
}

static bool read_line(const char *json, size_t size_bytes, Arena *keep, Line *out, Error *err)
{
    *out = (Line){0};
    if (size_bytes > DOCKET_LONGEST_LINE) return wrong(err, "this one is too long");
    Arena own = arena_make(keep->budget_bytes);
    const json_t *object;
    json_error_t where;
    bool done = read_json(json, size_bytes, &own, &object, &where, err);
    if (done && !json_is_object(object)) done = wrong(err, "this is no JSON object");
    if (done && json_object_get(object, "edit")) done = read_edit(json, size_bytes, keep, out, err);
    else if (done && json_object_get(object, "set")) done = read_setting(object, keep, out, err);
    else if (done) done = wrong(err, "it has neither \"edit\" nor \"set\"");
    arena_free(&own);
    return done;
}

static bool apply_setting(const Line *line, Settings *settings, Arena *keep, Error *err)
{
    Text value = text_make(keep);
    if (line->layer) text_printf(&value, "%s=", line->layer);
    text_add(&value, line->to);
    return text_is_whole(&value, err) && settings_set(settings, line->what, line->what, value.bytes, err);
}

bool docket_check(const char *json, size_t size_bytes, Arena *keep, const char **out, Error *err)
{
    Line line;
    Settings settings = settings_defaults();
    *out = NULL;
    if (!read_line(json, size_bytes, keep, &line, err)) return false;
    if (!line.is_edit && !apply_setting(&line, &settings, keep, err)) return false;
    Text text = text_make(keep);
    JsonWriter writer = write_json_make(&text);
    if (line.is_edit) {
        edit_write(&line.edit.items[0], &writer);
    } else {
        write_json_object(&writer);
        write_json_key_string(&writer, "set", line.what);
        write_json_key_string(&writer, "to", line.to);
        if (line.layer) write_json_key_string(&writer, "layer", line.layer);
        write_json_end(&writer);
    }
    if (!text_is_whole(&text, err)) return false;
    text.bytes[text.size_bytes - 1] = 0; // a document ends with a line's end, a value does not
    *out = text.bytes;
    return true;
}

// ---- replaying ----

static bool replay_line(const DocketLine *line, Arena *keep, Settings *settings, EditList *edits, Error *err)
{
    Line read;
    if (!read_line(line->json, strlen(line->json), keep, &read, err)) return false;
    if (read.is_edit) return edits_add(edits, &read.edit.items[0], keep, err);
    return apply_setting(&read, settings, keep, err);
}

bool docket_replay(const Docket *docket, Arena *keep, Settings *settings, EditList *edits, int64_t *wrong_line, Error *err)
{
    *settings = settings_defaults();
    *edits = (EditList){0};
    *wrong_line = 0;
    for (size_t i = 0; i < docket->count; i++) {
        const DocketLine *line = &docket->lines[i];
        if (line->struck || replay_line(line, keep, settings, edits, err)) continue;
        *wrong_line = line->id;
        return false;
    }
    return true;
}

bool docket_says(const Docket *docket, const char *what)
{
    Arena own = arena_make(0);
    bool said = false;
    for (size_t i = 0; i < docket->count && !said; i++) {
        Line line;
        Error err = {0};
        const DocketLine *at = &docket->lines[i];
        said = !at->struck && read_line(at->json, strlen(at->json), &own, &line, &err) && !line.is_edit && strcmp(line.what, what) == 0;
    }
    arena_free(&own);
    return said;
}

bool docket_alters(bool is_edit, EditKind kind, const char *what)
{
    static const char *const HARMLESS[] = {"for", "page", "marks", "inset", "board"};
    if (is_edit) return kind != EDIT_FROZEN && kind != EDIT_NAME && kind != EDIT_PLACE;
    for (size_t i = 0; i < sizeof HARMLESS / sizeof HARMLESS[0]; i++)
        if (strcmp(what, HARMLESS[i]) == 0) return false;
    return true;
}

bool docket_cut_last(const Docket *docket)
{
    Arena own = arena_make(0);
    bool any_cut = false, altered = false;
    for (size_t i = 0; i < docket->count; i++) {
        Line line;
        Error err = {0};
        const DocketLine *at = &docket->lines[i];
        if (at->struck || !read_line(at->json, strlen(at->json), &own, &line, &err)) continue;
        EditKind kind = line.is_edit ? line.edit.items[0].kind : EDIT_KIND_COUNT;
        altered = altered || (any_cut && docket_alters(line.is_edit, kind, line.what));
        any_cut = any_cut || kind == EDIT_FROZEN;
        arena_rewind(&own, (ArenaMark){0});
    }
    arena_free(&own);
    return any_cut && !altered;
}

// ---- in words ----

static void say_height(const Line *line, Text *text)
{
    double height_mm;
    Error err = {0};
    char shown[32] = "";
    bool in_metres = strchr(line->to, 'm') != NULL; // mm, cm, m: said as typed
    if (!in_metres && length_parse(line->to, "height", &height_mm, &err)) length_format_inches(height_mm, shown);
    text_printf(text, "It stands %s tall", shown[0] ? shown : line->to);
}

// "It is cut on a cutter of 12x24in that scores and draws, loss 6mm": what it loses is said as typed.
static void say_cutter(const Line *line, Text *text)
{
    Cutter cutter;
    Error err = {0};
    const char *loss = strstr(line->to, "loss");
    if (!cutter_parse(line->to, &cutter, &err)) {
        text_printf(text, "It is cut with %s", line->to);
        return;
    }
    text_printf(text, "It is cut on a %s %s", cutter.is_roll ? "cutter for a" : "cutter of", cutter.name);
    if (cutter.score || cutter.pen)
        text_printf(text, " that %s%s%s", cutter.score ? "scores" : "", cutter.score && cutter.pen ? " and " : "", cutter.pen ? "draws" : "");
    if (loss) text_printf(text, ", %.*s", (int)strcspn(loss, ","), loss);
}

static void say_setting(const Line *line, Text *text)
{
    static const struct { const char *what, *before, *after; } SENTENCES[] = {
        {"border", "It has a border of ", ""},
        {"inset", "Placement lines run ", " inside the edge"},
        {"marks", "Lines and letters are made with ", ""},
        {"stack", "The layers lie as ", ""},
        {"for", "Sheet files are made for ", ""},
        {"raised", "On foam squares lie the layers ", ""},
        {"hidden-from", "Covered pieces of the base are cut from ", ""},
        {"strips", "Backing strips: ", ""},
        {"formats", "Files are written as ", ""},
        {"overcut", "Closed cuts go on past their start by ", ""},
        {"blade-offset", "The knife trails by ", ""},
        {"board", "It is backed with boards of ", ""},
        {"sections", "It parts in sections of at most ", ""},
        {"cut-from", "Sheets are cut from the ", ""},
        {"page", "The guide has pages of ", ""},
        {"smallest", "Specks are under ", ""},
    };
    bool is_zero = strcmp(line->to, "0") == 0, is_neither = strcmp(line->to, "neither") == 0;
    if (strcmp(line->what, "height") == 0) say_height(line, text);
    else if (strcmp(line->what, "cutter") == 0) say_cutter(line, text);
    else if (strcmp(line->what, "paper") == 0 && line->layer) text_printf(text, "Layer %s is cut from %s", line->layer, line->to);
    else if (strcmp(line->what, "paper") == 0) text_printf(text, "It is cut from %s", line->to);
    else if (strcmp(line->what, "seams") == 0 && line->layer) text_printf(text, "The seams of layer %s are %s seams", line->layer, line->to);
    else if (strcmp(line->what, "seams") == 0) text_printf(text, "Seams are %s seams", line->to);
    else if (strcmp(line->what, "fewer") == 0) text_printf(text, "%s%s", is_neither ? "Neither fewer pieces nor fewer seams" : "Fewer ", is_neither ? "" : line->to);
    else if (strcmp(line->what, "colours") == 0 && is_zero) text_add(text, "All colours of the picture count");
    else if (strcmp(line->what, "colours") == 0) text_printf(text, "No more than %s colour%s", line->to, strcmp(line->to, "1") == 0 ? "" : "s");
    else if (strcmp(line->what, "thicken") == 0 && is_zero) text_add(text, "Thin parts stay as they are");
    else if (strcmp(line->what, "thicken") == 0) text_printf(text, "Thin parts grow to %s", line->to);
    for (size_t i = 0; i < sizeof SENTENCES / sizeof SENTENCES[0]; i++)
        if (strcmp(line->what, SENTENCES[i].what) == 0) text_printf(text, "%s%s%s", SENTENCES[i].before, line->to, SENTENCES[i].after);
}

static const char *colour_word(Srgb8 colour, const SeparationColour *colours, int count, char hex[8])
{
    int at = colours ? replay_find_colour(colours, count, colour) : -1;
    return at >= 0 ? colours[at].name : (colour_hex(colour, hex), hex);
}

// Sentences begin with a capital letter; names of colours may begin with any character.
static void add_sentence(Text *text, const char *words)
{
    char first[2] = {words[0], 0};
    if (first[0] >= 'a' && first[0] <= 'z') first[0] = (char)(first[0] - 'a' + 'A');
    text_add(text, first);
    text_add(text, words[0] ? words + 1 : "");
}

bool docket_say(const DocketLine *line, const SeparationColour *colours, int colour_count, Text *text, Error *err)
{
    Arena own = arena_make(0);
    Line read;
    bool done = read_line(line->json, strlen(line->json), &own, &read, err);
    if (done && read.is_edit) {
        char a[8], b[8];
        const Edit *edit = &read.edit.items[0];
        Text words = text_make(&own);
        edit_say(edit, colour_word(edit->colour, colours, colour_count, a), colour_word(edit->other, colours, colour_count, b), &words);
        done = text_is_whole(&words, err);
        if (done) add_sentence(text, words.bytes);
    } else if (done) {
        say_setting(&read, text);
    }
    arena_free(&own);
    return done;
}
