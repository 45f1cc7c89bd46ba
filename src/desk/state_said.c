// state_said.c - what the maker said: the job, its docket in sentences, the settings.
#include "desk/state_part.h"

#include "base/length.h"
#include "desk/shelf_talk.h"

#include <stdio.h>
#include <string.h>

static void write_job(StateWriter *w)
{
    JsonWriter *json = &w->json;
    const Desk *desk = w->desk;
    if (!desk->file) {
        key_null(json, "job");
        return;
    }
    const char *slash = strrchr(desk->path, '/');
    write_json_key(json, "job");
    write_json_object(json);
    write_json_key_string(json, "name", desk->name);
    write_json_key_string(json, "file", slash ? slash + 1 : desk->path);
    write_json_key_string(json, "path", desk->path);
    key_bool(json, "saved", true);
    write_json_key(json, "picture");
    write_json_object(json);
    write_json_key_string(json, "name", desk->source->picture.name);
    key_number_or_null(json, "width_px", w->shown, w->shown ? w->shown->width_px : 0, 0);
    key_number_or_null(json, "height_px", w->shown, w->shown ? w->shown->height_px : 0, 0);
    write_json_end(json);
    write_json_end(json);
}

bool state_line_counts(const Desk *desk, size_t i)
{
    return !desk->docket.lines[i].struck;
}

// The last line that counts and sets this; for a paper: for this layer.
static const LineInfo *setting(const Desk *desk, const char *what, const char *layer)
{
    for (size_t i = desk->docket.count; i-- > 0;) {
        const LineInfo *line = &desk->lines[i];
        if (!state_line_counts(desk, i) || strcmp(line->what, what) != 0) continue;
        if (strcmp(line->layer ? line->layer : "", layer) == 0) return line;
    }
    return NULL;
}

// Of two lines that set the same thing the later one counts.
static bool is_replaced(const Desk *desk, size_t at)
{
    const LineInfo *line = &desk->lines[at];
    return !line->is_edit && state_line_counts(desk, at) && setting(desk, line->what, line->layer ? line->layer : "") != line;
}

static void write_missing(StateWriter *w)
{
    static const char *const ASKED[] = {"height", "cutter", "paper"};
    write_json_key(&w->json, "missing");
    write_json_list_inline(&w->json);
    for (size_t i = 0; i < 3; i++)
        if (!setting(w->desk, ASKED[i], "")) write_json_string(&w->json, ASKED[i]);
    write_json_end(&w->json);
}

static uint64_t colours_key(const Shown *shown)
{
    Hasher hasher = hasher_make("colours of sentences");
    for (int i = 0; shown && i < shown->colour_count; i++) {
        hash_text(&hasher, shown->colours[i].name);
        hash_bytes(&hasher, &shown->colours[i].colour, sizeof shown->colours[i].colour);
    }
    return hasher_key(&hasher).low | 1;
}

static const SeparationColour *named_colours(const Shown *shown, Arena *own)
{
    SeparationColour *colours = shown ? arena_new(own, SeparationColour, shown->colour_count) : NULL;
    for (int i = 0; colours && i < shown->colour_count; i++) {
        colours[i].colour = shown->colours[i].colour;
        memcpy(colours[i].name, shown->colours[i].name, sizeof colours[i].name);
    }
    return colours;
}

// Sentences are made once for the names that colours have: a frozen outline is long to read.
static bool say_lines(StateWriter *w, Error *err)
{
    Desk *desk = w->desk;
    uint64_t key = colours_key(w->shown);
    const SeparationColour *colours = NULL;
    for (size_t i = 0; i < desk->docket.count; i++) {
        LineInfo *line = &desk->lines[i];
        if (line->says && line->says_key == key) continue;
        if (!colours) colours = named_colours(w->shown, &w->own);
        Text text = text_make(&w->own);
        if (!docket_say(&desk->docket.lines[i], colours, colours ? w->shown->colour_count : 0, &text, err) || !text_is_whole(&text, err)) return false;
        line->says = arena_text(&desk->job_arena, text.bytes ? text.bytes : "");
        line->says_key = key;
        if (!line->says) return error_memory(err);
    }
    return true;
}

bool state_say_lines(StateWriter *w, Error *err)
{
    const Desk *desk = w->desk;
    w->lacks = arena_new(&w->own, const char *, desk->docket.count);
    if (!w->lacks) return error_memory(err);
    for (size_t i = 0; i < desk->docket.count; i++)
        if (state_line_counts(desk, i) && !is_replaced(desk, i) && !shelf_lacks(desk, &desk->lines[i], &w->own, &w->lacks[i], err)) return false;
    return say_lines(w, err);
}

// What the room that judges colours calls the same wish: it knows no names of the maker's.
static void say_otherwise(const LineInfo *line, char *out, size_t room)
{
    char hex[2][8];
    const char *says = line->says, *tiny = strstr(says, "the tiny part at ");
    out[0] = 0;
    if (!line->is_edit) return;
    colour_hex(line->colour, hex[0]);
    colour_hex(line->other, hex[1]);
    if (line->kind == EDIT_GROUND) snprintf(out, room, "the g%s", says + 1);
    else if (line->kind == EDIT_PAPER) snprintf(out, room, "the p%s", says + 1);
    else if (line->kind == EDIT_TINY && tiny) snprintf(out, room, "%s", tiny);
    else if (line->kind == EDIT_LEAVE_OUT) snprintf(out, room, "%s (%s) left out", colour_name(line->colour), hex[0]);
    else if (line->kind == EDIT_OVER) snprintf(out, room, "%s over %s", colour_name(line->colour), colour_name(line->other));
    else if (line->kind == EDIT_INLAY) snprintf(out, room, "%s and %s edge to edge", colour_name(line->colour), colour_name(line->other));
    else if (line->kind == EDIT_SAME)
        snprintf(out, room, "%s (%s) counts as %s (%s)", colour_name(line->colour), hex[0], colour_name(line->other), hex[1]);
}

// Sentences of the docket begin with a capital letter.
static bool begins_with(const char *text, const char *words)
{
    size_t size = strlen(words);
    return size > 0 && strlen(text) > size && strncmp(text + 1, words + 1, size - 1) == 0 && (text[size] == ':' || text[size] == ',');
}

// Findings about a wish begin with it in words.
static const char *finding_of(const Shown *shown, const LineInfo *line)
{
    char otherwise[200];
    say_otherwise(line, otherwise, sizeof otherwise);
    for (size_t i = 0; shown && i < shown->findings.count; i++) {
        const Finding *f = &shown->findings.items[i];
        if (strncmp(f->kind, "edit-", 5) == 0 && (begins_with(f->text, line->says) || begins_with(f->text, otherwise))) return f->text;
    }
    return NULL;
}

// What a setting has brought about; the last line that sets it says so.
static const char *finding_of_setting(const Shown *shown, const LineInfo *line)
{
    static const struct { const char *what, *kind; } BROUGHT[] = {
        {"thicken", "thickened"}, {"colours", "fewer-colours"}, {"seams", "lap-left-out"},
        {"marks", "layer-unmarked"}, {"marks", "two-tools"}, {"marks", "not-drawn"}, {"cutter", "layer-unmarked"}, {"cutter", "two-tools"},
    };
    for (size_t k = 0; k < sizeof BROUGHT / sizeof BROUGHT[0]; k++) {
        if (strcmp(line->what, BROUGHT[k].what) != 0) continue;
        for (size_t i = 0; shown && i < shown->findings.count; i++)
            if (strcmp(shown->findings.items[i].kind, BROUGHT[k].kind) == 0) return shown->findings.items[i].text;
    }
    return NULL;
}

static void write_line(StateWriter *w, size_t i)
{
    JsonWriter *json = &w->json;
    const LineInfo *line = &w->desk->lines[i];
    bool is_frozen = line->is_edit && line->kind == EDIT_FROZEN;
    write_json_object(json);
    write_json_key_number(json, "id", (double)w->desk->docket.lines[i].id, 0);
    write_json_key_string(json, "says", line->says);
    key_bool(json, "struck", !state_line_counts(w->desk, i));
    if (is_replaced(w->desk, i)) key_bool(json, "replaced", true);
    write_json_key(json, "line");
    if (is_frozen) { // without its outline: that is long, and the views have it
        write_json_object(json);
        write_json_key_string(json, "edit", "frozen");
        write_json_key_string(json, "piece", line->piece);
        write_json_end(json);
    } else {
        write_json_ready(json, w->desk->docket.lines[i].json);
    }
    const char *finding = state_line_counts(w->desk, i) ? finding_of(w->shown, line) : NULL;
    if (!finding) finding = w->lacks[i];
    if (!finding && state_line_counts(w->desk, i) && !is_replaced(w->desk, i)) finding = finding_of_setting(w->shown, line);
    if (finding) write_json_key_string(json, "finding", finding);
    write_json_end(json);
}

static void write_docket(StateWriter *w)
{
    write_json_key(&w->json, "docket");
    write_json_list(&w->json);
    for (size_t i = 0; i < w->desk->docket.count; i++) write_line(w, i);
    write_json_end(&w->json);
}

static void write_papers(StateWriter *w)
{
    const Desk *desk = w->desk;
    write_json_key(&w->json, "papers");
    write_json_list(&w->json);
    for (size_t i = 0; i < desk->docket.count; i++) {
        const LineInfo *line = &desk->lines[i];
        if (!state_line_counts(desk, i) || strcmp(line->what, "paper") != 0 || is_replaced(desk, i)) continue;
        write_json_object(&w->json);
        write_json_key_string(&w->json, "layer", line->layer ? line->layer : "");
        write_json_key_string(&w->json, "words", line->to);
        write_json_end(&w->json);
    }
    if (!setting(desk, "paper", "")) {
        write_json_object(&w->json);
        write_json_key_string(&w->json, "layer", "");
        write_json_key_string(&w->json, "words", desk->options.usual_paper ? desk->options.usual_paper : "letter");
        write_json_end(&w->json);
    }
    write_json_end(&w->json);
}

static const char *stack_word(const StateWriter *w)
{
    return w->geometry && w->shown->underlap_mm == 0.0 ? "inlay" : "underlap";
}

static void write_settings(StateWriter *w)
{
    JsonWriter *json = &w->json;
    const Settings *settings = &w->desk->settings;
    const LineInfo *cutter = setting(w->desk, "cutter", ""), *height = setting(w->desk, "height", "");
    char shown[32];
    if (!w->desk->file) {
        key_null(json, "settings");
        return;
    }
    double height_mm = settings->height_mm > 0.0 ? settings->height_mm : DESK_USUAL_HEIGHT_MM;
    length_format_inches(height_mm, shown);
    bool metric = height && strchr(height->to, 'm'); // as it was said: 81cm, 1.2m
    write_json_key(json, "settings");
    write_json_object(json);
    write_json_key_number(json, "height_mm", height_mm, 3);
    write_json_key_string(json, "height", metric ? height->to : shown);
    key_string_or_null(json, "cutter", cutter ? cutter->to : NULL);
    write_papers(w);
    key_number_or_null(json, "border_mm", w->geometry, w->geometry ? w->shown->border_mm : 0.0, 3);
    key_number_or_null(json, "underlap_mm", w->geometry, w->geometry ? w->shown->underlap_mm : 0.0, 3);
    write_json_key_string(json, "stack", stack_word(w));
    if (w->geometry) key_colour(json, "base", w->shown->colours[w->shown->base_colour].colour);
    else key_null(json, "base");
    write_json_key_string(json, "page", settings->kit.page == KIT_PAGE_A4 ? "a4" : "letter");
    write_json_key_string(json, "for", kit_for_word(settings->kit.sheets_for));
    write_json_end(json);
}

void state_said(StateWriter *w)
{
    write_job(w);
    write_missing(w);
    write_docket(w);
    write_settings(w);
}
