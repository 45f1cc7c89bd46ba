// state.c - everything but geometry, as docs/desk.md lists it.
#include "desk/message.h"

#include "base/length.h"
#include "base/write_json.h"
#include "desk/compare.h"
#include "separation/verdict.h"

#include <stdio.h>
#include <string.h>

// What both callers see, at one moment.
typedef struct Glance {
    uint64_t version;
    int64_t revision, error_line;
    Shown *shown;               // held
    Kit *kit;                   // held
    Grid grid;
    Error error, kit_error;
    bool busy, kit_busy, kit_wanted;
    char stage[32];
    double share;
    const char *compare;        // JSON
} Glance;

typedef struct Writer {
    JsonWriter json;
    Desk *desk;
    Glance glance;
    const Shown *shown;         // NULL: nothing is known; of the glance
    bool geometry, whole;       // it has a first answer, a whole one
    Arena own;
} Writer;

// ---- small things ----

static void key_string_or_null(JsonWriter *json, const char *key, const char *value)
{
    write_json_key(json, key);
    if (value) write_json_string(json, value);
    else write_json_null(json);
}

static void key_number_or_null(JsonWriter *json, const char *key, bool known, double value, int decimals)
{
    write_json_key(json, key);
    if (known) write_json_number(json, value, decimals);
    else write_json_null(json);
}

static void key_bool(JsonWriter *json, const char *key, bool value)
{
    write_json_key(json, key);
    write_json_bool(json, value);
}

static void key_colour(JsonWriter *json, const char *key, Srgb8 colour)
{
    char hex[8];
    colour_hex(colour, hex);
    write_json_key_string(json, key, hex);
}

static void key_place(JsonWriter *json, const char *key, const double place[2])
{
    write_json_key(json, key);
    write_json_list_inline(json);
    write_json_number(json, place[0], 2);
    write_json_number(json, place[1], 2);
    write_json_end(json);
}

static void key_null(JsonWriter *json, const char *key)
{
    write_json_key(json, key);
    write_json_null(json);
}

static const char *kind_word(ErrorKind kind)
{
    switch (kind) {
    case ERROR_USAGE: return "usage";
    case ERROR_JOB: return "job";
    case ERROR_INPUT: return "input";
    case ERROR_PROOF: return "proof";
    case ERROR_CANCELLED: return "cancelled";
    case ERROR_SYSTEM:
    case ERROR_NONE: break;
    }
    return "system";
}

static void key_error(JsonWriter *json, const char *key, const Error *error)
{
    if (error->kind == ERROR_NONE) {
        key_null(json, key);
        return;
    }
    write_json_key(json, key);
    write_json_object(json);
    write_json_key_string(json, "kind", kind_word(error->kind));
    write_json_key_string(json, "text", error->text);
}

// ---- job, docket, settings ----

static void write_job(Writer *w)
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

static bool counts(const Desk *desk, size_t i)
{
    return !desk->docket.lines[i].struck;
}

// The last line that counts and sets this; for a paper: for this layer.
static const LineInfo *setting(const Desk *desk, const char *what, const char *layer)
{
    for (size_t i = desk->docket.count; i-- > 0;) {
        const LineInfo *line = &desk->lines[i];
        if (!counts(desk, i) || strcmp(line->what, what) != 0) continue;
        if (strcmp(line->layer ? line->layer : "", layer) == 0) return line;
    }
    return NULL;
}

static void write_missing(Writer *w)
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
static bool say_lines(Writer *w, Error *err)
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

// Of two lines that set the same thing the later one counts.
static bool is_replaced(const Desk *desk, size_t at)
{
    const LineInfo *line = &desk->lines[at];
    return !line->is_edit && counts(desk, at) && setting(desk, line->what, line->layer ? line->layer : "") != line;
}

static void write_line(Writer *w, size_t i)
{
    JsonWriter *json = &w->json;
    const LineInfo *line = &w->desk->lines[i];
    bool is_frozen = line->is_edit && line->kind == EDIT_FROZEN;
    write_json_object(json);
    write_json_key_number(json, "id", (double)w->desk->docket.lines[i].id, 0);
    write_json_key_string(json, "says", line->says);
    key_bool(json, "struck", !counts(w->desk, i));
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
    const char *finding = counts(w->desk, i) ? finding_of(w->shown, line) : NULL;
    if (finding) write_json_key_string(json, "finding", finding);
    write_json_end(json);
}

static void write_docket(Writer *w)
{
    write_json_key(&w->json, "docket");
    write_json_list(&w->json);
    for (size_t i = 0; i < w->desk->docket.count; i++) write_line(w, i);
    write_json_end(&w->json);
}

static void write_papers(Writer *w)
{
    const Desk *desk = w->desk;
    write_json_key(&w->json, "papers");
    write_json_list(&w->json);
    for (size_t i = 0; i < desk->docket.count; i++) {
        const LineInfo *line = &desk->lines[i];
        if (!counts(desk, i) || strcmp(line->what, "paper") != 0 || is_replaced(desk, i)) continue;
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

static const char *stack_word(const Writer *w)
{
    return w->geometry && w->shown->underlap_mm == 0.0 ? "inlay" : "underlap";
}

static void write_settings(Writer *w)
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

// ---- work, error ----

static void write_work(Writer *w)
{
    JsonWriter *json = &w->json;
    const Glance *glance = &w->glance;
    bool stale = w->shown && w->shown->revision != glance->revision;
    write_json_key(json, "work");
    write_json_object(json);
    key_bool(json, "busy", glance->busy);
    write_json_key_string(json, "stage", glance->stage);
    write_json_key_number(json, "share", glance->share, 2);
    write_json_end(json);
    write_json_key_string(json, "answer", w->shown && !stale ? shown_level_word(w->shown->level) : "none");
    write_json_key_string(json, "known", w->shown ? shown_level_word(w->shown->level) : "none");
    key_bool(json, "stale", stale);
    key_error(json, "error", &glance->error);
    if (glance->error.kind == ERROR_NONE) return;
    key_number_or_null(json, "line", glance->error_line > 0, (double)glance->error_line, 0);
    write_json_end(json);
}

// ---- colours ----

static void write_layers_of(Writer *w, int colour)
{
    write_json_key(&w->json, "layers");
    write_json_list_inline(&w->json);
    for (int l = 0; w->geometry && l < w->shown->layer_count; l++)
        if (w->shown->layers[l].colour == colour) write_json_string(&w->json, w->shown->layers[l].id);
    write_json_end(&w->json);
}

static void write_colour(Writer *w, int i)
{
    const ShownColour *colour = &w->shown->colours[i];
    write_json_object(&w->json);
    key_colour(&w->json, "colour", colour->colour);
    write_json_key_string(&w->json, "name", colour->name);
    write_json_key_number(&w->json, "share", colour->share, 4);
    write_json_key_number(&w->json, "regions", colour->regions, 0);
    write_json_key_string(&w->json, "fate", "paper");
    key_null(&w->json, "same_as");
    write_layers_of(w, i);
    write_json_end(&w->json);
}

static bool is_shown(const Writer *w, Srgb8 colour)
{
    for (int i = 0; i < w->shown->colour_count; i++) {
        SeparationColour one = {.colour = w->shown->colours[i].colour};
        if (replay_find_colour(&one, 1, colour) == 0) return true;
    }
    return false;
}

// Colours that the docket took away, so that they can be had back.
static void write_gone(Writer *w, size_t i)
{
    const LineInfo *line = &w->desk->lines[i];
    bool same = line->kind == EDIT_SAME;
    if (!counts(w->desk, i) || !line->is_edit || (!same && line->kind != EDIT_LEAVE_OUT) || is_shown(w, line->colour)) return;
    write_json_object(&w->json);
    key_colour(&w->json, "colour", line->colour);
    write_json_key_string(&w->json, "name", colour_name(line->colour));
    write_json_key_number(&w->json, "share", 0.0, 0);
    write_json_key_number(&w->json, "regions", 0.0, 0);
    write_json_key_string(&w->json, "fate", same ? "same" : "left-out");
    if (same) key_colour(&w->json, "same_as", line->other);
    else key_null(&w->json, "same_as");
    write_json_key(&w->json, "layers");
    write_json_list_inline(&w->json);
    write_json_end(&w->json);
    write_json_key_number(&w->json, "line", (double)w->desk->docket.lines[i].id, 0);
    write_json_end(&w->json);
}

static void write_verdict(Writer *w)
{
    static const char *const KINDS[] = {[VERDICT_GOOD] = "good", [VERDICT_DETAILS_VANISH] = "details-vanish", [VERDICT_TOO_SOFT] = "too-soft"};
    if (!w->shown) {
        key_null(&w->json, "verdict");
        return;
    }
    write_json_key(&w->json, "verdict");
    write_json_object(&w->json);
    write_json_key_string(&w->json, "kind", KINDS[w->shown->verdict]);
    write_json_key_string(&w->json, "text", w->shown->verdict_text);
    write_json_end(&w->json);
}

static void write_colours(Writer *w)
{
    write_json_key(&w->json, "colours");
    write_json_list(&w->json);
    for (int i = 0; w->shown && i < w->shown->colour_count; i++) write_colour(w, i);
    for (size_t i = 0; w->shown && i < w->desk->docket.count; i++) write_gone(w, i);
    write_json_end(&w->json);
    if (!w->shown || !w->shown->has_ground) {
        key_null(&w->json, "ground");
        return;
    }
    write_json_key(&w->json, "ground");
    write_json_object(&w->json);
    if (w->shown->ground_is_clear) key_null(&w->json, "colour");
    else key_colour(&w->json, "colour", w->shown->ground);
    write_json_end(&w->json);
}

// ---- layers ----

static void write_layer(Writer *w, int l)
{
    const ShownLayer *layer = &w->shown->layers[l];
    const ShownColour *colour = &w->shown->colours[layer->colour];
    write_json_object(&w->json);
    write_json_key_string(&w->json, "id", layer->id);
    key_colour(&w->json, "colour", colour->colour);
    write_json_key_string(&w->json, "name", colour->name);
    key_bool(&w->json, "base", l == 0);
    write_json_key_number(&w->json, "order", l, 0);
    write_json_key_string(&w->json, "paper", layer->paper);
    write_json_key_number(&w->json, "pieces", layer->pieces, 0);
    write_json_key_number(&w->json, "sheets", layer->sheets, 0);
    write_json_key_number(&w->json, "seam_mm", layer->seam_mm, 1);
    write_json_key_number(&w->json, "visible_mm", layer->visible_mm, 1);
    write_json_key(&w->json, "over");
    write_json_list_inline(&w->json);
    for (int i = 0; i < layer->over_count; i++) write_json_string(&w->json, w->shown->layers[layer->over[i]].id);
    write_json_end(&w->json);
    write_json_end(&w->json);
}

static void write_geometry(Writer *w)
{
    JsonWriter *json = &w->json;
    if (!w->geometry) {
        key_null(json, "finished_mm");
        key_null(json, "figure_mm");
    } else {
        write_json_key(json, "finished_mm");
        write_json_object(json);
        write_json_key_number(json, "width", w->shown->width_mm, 3);
        write_json_key_number(json, "height", w->shown->height_mm, 3);
        write_json_end(json);
        write_json_key(json, "figure_mm");
        write_json_object(json);
        write_json_key_number(json, "left", w->shown->figure_mm[0], 3);
        write_json_key_number(json, "top", w->shown->figure_mm[1], 3);
        write_json_key_number(json, "height", w->shown->figure_mm[2], 3);
        write_json_end(json);
    }
    write_json_key(json, "layers");
    write_json_list(json);
    for (int l = 0; w->geometry && l < w->shown->layer_count; l++) write_layer(w, l);
    write_json_end(json);
}

// ---- bill ----

static void add_count(Text *text, int count, const char *one)
{
    text_printf(text, "%d %s%s", count, one, count == 1 ? "" : "s");
}

// "40 min", "3 h": as the command line says them.
static void add_time(Text *text, double minutes)
{
    if (minutes < 90.0) {
        text_number(text, minutes < 10.0 ? minutes : 5.0 * (int)(minutes / 5.0 + 0.5), 0);
        text_add(text, " min");
    } else {
        text_number(text, 0.5 * (int)(minutes / 30.0 + 0.5), 1);
        text_add(text, " h");
    }
}

static int colour_count_of_papers(const Shown *shown)
{
    int count = 0;
    for (int i = 0; i < shown->paper_count; i++) {
        bool again = false;
        for (int k = 0; k < i; k++) again = again || memcmp(&shown->papers[k].colour, &shown->papers[i].colour, sizeof(Srgb8)) == 0;
        count += !again;
    }
    return count;
}

static void say_bill(Writer *w, Text *text)
{
    const Shown *shown = w->shown;
    add_count(text, shown->sheets, "sheet");
    text_add(text, " in ");
    add_count(text, colour_count_of_papers(shown), "colour");
    text_add(text, ", ");
    add_count(text, shown->piece_count, "piece");
    if (!w->whole) return;
    text_add(text, ", about ");
    add_time(text, shown->cutting_minutes);
    text_add(text, " cutting and ");
    add_time(text, shown->assembly_minutes);
    text_add(text, " putting together");
    if (shown->cost < 0.0) return;
    char cost[32];
    snprintf(cost, sizeof cost, ", %lld.%02d", (long long)(shown->cost + 0.005), (int)((long long)(shown->cost * 100.0 + 0.5) % 100));
    text_add(text, cost);
}

static void write_worry(Writer *w)
{
    const Worry *worry = &w->shown->worry;
    if (worry->count == 0) {
        key_null(&w->json, "worry");
        return;
    }
    write_json_key(&w->json, "worry");
    write_json_object(&w->json);
    write_json_key_string(&w->json, "text", worry->text);
    key_place(&w->json, "at_mm", worry->at_mm);
    write_json_key_number(&w->json, "count", worry->count, 0);
    write_json_end(&w->json);
}

static void write_buy(Writer *w)
{
    write_json_key(&w->json, "buy");
    write_json_list(&w->json);
    for (int i = 0; i < w->shown->paper_count; i++) {
        const ShownPaper *paper = &w->shown->papers[i];
        int have = shelf_have(w->desk, paper->paper, paper->colour);
        write_json_object(&w->json);
        write_json_key_string(&w->json, "id", paper->id);
        write_json_key_string(&w->json, "paper", paper->paper);
        key_colour(&w->json, "colour", paper->colour);
        write_json_key_number(&w->json, "sheets", paper->sheets, 0);
        write_json_key_number(&w->json, "need", paper->need, 0);
        key_number_or_null(&w->json, "have", have >= 0, have, 0);
        write_json_end(&w->json);
    }
    write_json_end(&w->json);
}

static void write_plain_grid(Writer *w)
{
    const Grid *grid = &w->glance.grid;
    if (grid->shape != w->shown->shape || grid->pieces == 0) {
        key_null(&w->json, "plain_grid");
        return;
    }
    write_json_key(&w->json, "plain_grid");
    write_json_object(&w->json);
    write_json_key_number(&w->json, "pieces", grid->pieces, 0);
    write_json_key_number(&w->json, "visible_seam_mm", grid->visible_mm, 1);
    write_json_end(&w->json);
}

static bool write_bill(Writer *w, Error *err)
{
    JsonWriter *json = &w->json;
    const Shown *shown = w->shown;
    if (!w->geometry) {
        key_null(json, "bill");
        return true;
    }
    Text says = text_make(&w->own);
    say_bill(w, &says);
    if (!text_is_whole(&says, err)) return false;
    write_json_key(json, "bill");
    write_json_object(json);
    write_json_key_number(json, "sheets", shown->sheets, 0);
    write_json_key_number(json, "papers", shown->paper_count, 0);
    write_json_key_number(json, "pieces", shown->piece_count, 0);
    write_json_key_number(json, "seam_mm", shown->seam_mm, 1);
    write_json_key_number(json, "visible_seam_mm", shown->visible_seam_mm, 1);
    key_number_or_null(json, "cutting_minutes", w->whole, shown->cutting_minutes, 1);
    key_number_or_null(json, "assembly_minutes", w->whole, shown->assembly_minutes, 1);
    key_number_or_null(json, "waste_percent", w->whole, shown->waste_percent, 1);
    key_number_or_null(json, "cost", w->whole && shown->cost >= 0.0, shown->cost, 2);
    write_json_key_string(json, "says", says.bytes);
    write_worry(w);
    write_buy(w);
    write_plain_grid(w);
    write_json_key(json, "offers");
    write_json_list(json);
    write_json_end(json);
    write_json_end(json);
    return true;
}

// ---- the rest ----

static void write_findings(Writer *w)
{
    write_json_key(&w->json, "findings");
    write_json_list(&w->json);
    for (size_t i = 0; w->geometry && i < w->shown->findings.count; i++) {
        const Finding *f = &w->shown->findings.items[i];
        const double at[2] = {f->x_mm, f->y_mm};
        write_json_object(&w->json);
        write_json_key_string(&w->json, "kind", f->kind);
        write_json_key_string(&w->json, "text", f->text);
        key_place(&w->json, "at_mm", at);
        write_json_end(&w->json);
    }
    write_json_end(&w->json);
}

static void write_kit(Writer *w)
{
    JsonWriter *json = &w->json;
    const Glance *glance = &w->glance;
    write_json_key(json, "kit");
    write_json_object(json);
    key_bool(json, "ready", glance->kit && glance->kit->revision == glance->revision);
    key_bool(json, "older", glance->kit && glance->kit->revision != glance->revision);
    key_bool(json, "busy", glance->kit_wanted || glance->kit_busy);
    key_string_or_null(json, "proof", glance->kit ? glance->kit->proof : NULL);
    key_error(json, "error", &glance->kit_error);
    if (glance->kit_error.kind != ERROR_NONE) write_json_end(json);
    write_json_end(json);
}

static void write_ticks(Writer *w)
{
    write_json_key(&w->json, "ticks");
    write_json_object(&w->json);
    for (int i = 0; i < w->desk->tick_count; i++)
        if (w->desk->ticks[i].mark != TICK_NONE) write_json_key_string(&w->json, w->desk->ticks[i].piece, tick_word(w->desk->ticks[i].mark));
    write_json_end(&w->json);
}

static bool write_all(Writer *w, Error *err)
{
    JsonWriter *json = &w->json;
    if (!say_lines(w, err)) return false;
    write_json_object(json);
    write_json_key_number(json, "version", (double)w->glance.version, 0);
    write_job(w);
    write_missing(w);
    write_docket(w);
    write_settings(w);
    write_work(w);
    write_verdict(w);
    write_colours(w);
    write_geometry(w);
    if (!write_bill(w, err)) return false;
    write_json_key(json, "compare");
    if (w->glance.compare) write_json_ready(json, w->glance.compare);
    else write_json_null(json);
    write_findings(w);
    write_kit(w);
    write_ticks(w);
    write_json_end(json);
    return true;
}

// ---- glance ----

static bool take_glance(Desk *desk, Arena *own, Glance *out, Error *err)
{
    Text compare = text_make(own);
    table_lock(desk);
    *out = (Glance){.version = desk->version, .revision = desk->revision, .error_line = desk->error_line, .shown = desk->shown,
                    .kit = desk->kit, .grid = desk->grid, .error = desk->error, .kit_error = desk->kit_error, .busy = desk->busy,
                    .kit_busy = desk->kit_busy, .kit_wanted = desk->kit_wanted, .share = desk->share};
    memcpy(out->stage, desk->stage, sizeof out->stage);
    out->busy = out->busy || (desk->wish && desk->wish->revision != desk->answered);
    if (out->shown) out->shown->users++;
    if (out->kit) out->kit->users++;
    if (desk->compare) {
        JsonWriter json = write_json_make(&compare);
        compare_write(desk->compare, &json);
    }
    table_unlock(desk);
    out->compare = compare.size_bytes ? compare.bytes : NULL;
    return text_is_whole(&compare, err);
}

static void end_glance(Desk *desk, Glance *glance)
{
    table_lock(desk);
    shown_release(glance->shown);
    kit_release(glance->kit);
    table_unlock(desk);
}

bool state_write(Desk *desk, Text *reply, Error *err)
{
    Writer w = {.desk = desk, .own = arena_make(0)};
    reply_key(reply, "state");
    w.json = write_json_make(reply);
    bool done = take_glance(desk, &w.own, &w.glance, err);
    w.shown = w.glance.shown;
    w.geometry = w.shown && w.shown->level != SHOWN_COLOURS;
    w.whole = w.shown && w.shown->level == SHOWN_WHOLE && w.shown->has_totals;
    done = done && write_all(&w, err);
    end_glance(desk, &w.glance);
    arena_free(&w.own);
    return done;
}
