// table.c - see table.h: what both callers see, and how it is handed over.
#include "desk/table.h"

#include "job/freeze.h"
#include "proof/read_json.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

// ---- lock, events ----

void table_lock(Desk *desk)
{
    if (desk->options.lock.lock) desk->options.lock.lock(desk->options.lock.context);
}

void table_unlock(Desk *desk)
{
    if (desk->options.lock.unlock) desk->options.lock.unlock(desk->options.lock.context);
}

void table_wake(Desk *desk)
{
    if (desk->options.lock.wake) desk->options.lock.wake(desk->options.lock.context);
}

static Event *next_event(Desk *desk)
{
    Event *event = &desk->events[desk->event_count % EVENTS_HELD];
    event->number = ++desk->event_count;
    return event;
}

// As much of the value as an event holds, as JSON: values are sentences of ours.
static void quote(const char *value, char *out, size_t room)
{
    size_t used = 0;
    for (; *value && used + 8 < room; value++) {
        unsigned char c = (unsigned char)*value;
        if (c == '"' || c == '\\') out[used++] = '\\';
        out[used++] = c < 0x20 ? ' ' : (char)c;
    }
    while (used > 0 && *value && ((unsigned char)*value & 0xc0) == 0x80) { // never half a character
        bool head = ((unsigned char)out[used - 1] & 0xc0) == 0xc0;
        used--;
        if (head) break;
    }
    out[used] = 0;
}

void table_tell(Desk *desk, const char *event, const char *key, const char *value)
{
    Event *to = next_event(desk);
    char quoted[640] = "";
    if (key) quote(value, quoted, sizeof quoted);
    if (key) snprintf(to->text, sizeof to->text, "{\"event\": \"%s\", \"version\": %llu, \"%s\": \"%s\"}", event, (unsigned long long)desk->version, key, quoted);
    else snprintf(to->text, sizeof to->text, "{\"event\": \"%s\", \"version\": %llu}", event, (unsigned long long)desk->version);
}

void table_tell_work(Desk *desk)
{
    Event *to = next_event(desk);
    char share[NUMBER_MAX];
    snprintf(to->text, sizeof to->text, "{\"event\": \"work\", \"version\": %llu, \"stage\": \"%s\", \"share\": %s}",
             (unsigned long long)desk->version, desk->stage, number_format(share, desk->share, 2));
}

// ---- what is handed over ----

void source_release(Source *source)
{
    if (!source || --source->users > 0) return;
    Arena arena = source->arena; // the struct lies in it
    arena_free(&arena);
}

void wish_release(Wish *wish)
{
    if (!wish || --wish->users > 0) return;
    source_release(wish->source);
    Arena arena = wish->arena;
    arena_free(&arena);
}

void kit_release(Kit *kit)
{
    if (!kit || --kit->users > 0) return;
    Arena arena = kit->arena;
    arena_free(&arena);
}

void recut_order_free(RecutOrder *order)
{
    if (!order) return;
    Arena arena = order->arena; // it lives in its own
    arena_free(&arena);
}

void compare_release(Compare *compare)
{
    if (!compare) return;
    for (int i = 0; i < compare->count; i++) wish_release(compare->wishes[i]);
    Arena arena = compare->arena;
    arena_free(&arena);
}

Shown *table_take_shown(Desk *desk)
{
    table_lock(desk);
    Shown *shown = desk->shown;
    if (shown) shown->users++;
    table_unlock(desk);
    return shown;
}

void table_give_back(Desk *desk, Shown *shown)
{
    table_lock(desk);
    shown_release(shown);
    table_unlock(desk);
}

static void forget_answers(Desk *desk)
{
    table_lock(desk);
    wish_release(desk->wish);
    shown_release(desk->shown);
    steps_release(desk->steps);
    kit_release(desk->kit);
    kit_release(desk->recut);
    recut_order_free(desk->recut_order);
    compare_release(desk->compare);
    source_release(desk->source);
    desk->wish = NULL;
    desk->shown = NULL;
    desk->steps = NULL;
    desk->places = (OtherPlaces){0};
    desk->kit = desk->recut = NULL;
    desk->recut_order = NULL;
    desk->compare = NULL;
    desk->source = NULL;
    desk->grid = (Grid){0};
    desk->offered = (Offered){0};
    desk->error = desk->kit_error = desk->recut_error = (Error){0};
    desk->error_line = 0;
    desk->kit_wanted = false;
    desk->revision++;
    desk->version++;
    atomic_store(&desk->cancel, true);
    table_unlock(desk);
}

void table_clear(Desk *desk)
{
    // A picture that could not be read and was never touched leaves no file behind.
    table_lock(desk);
    bool worthless = desk->file && !desk->shown && desk->error.kind == ERROR_INPUT && desk->docket.count == 0;
    table_unlock(desk);
    forget_answers(desk);
    job_file_close(desk->file);
    if (worthless) unlink(desk->path);
    desk->file = NULL;
    desk->path = desk->name = NULL;
    desk->docket = (Docket){0};
    desk->lines = NULL;
    desk->ticks = NULL;
    desk->line_capacity = desk->tick_capacity = 0;
    desk->tick_count = 0;
    desk->last_line = desk->shape = 0;
    arena_free(&desk->job_arena);
}

// ---- docket lines ----

static const char *text_of(const json_t *object, const char *key)
{
    const char *value = json_string_value(json_object_get(object, key));
    return value ? value : "";
}

static void take_edit(const json_t *object, LineInfo *out)
{
    out->is_edit = edit_kind_find(text_of(object, "edit"), &out->kind);
    (void)edit_parse_colour(text_of(object, "colour"), &out->colour);
    (void)edit_parse_colour(text_of(object, "as"), &out->other);
}

bool line_read(const char *json, Arena *keep, LineInfo *out, Error *err)
{
    Arena own = arena_make(0);
    const json_t *object;
    json_error_t where;
    *out = (LineInfo){0};
    bool done = read_json(json, strlen(json), &own, &object, &where, err);
    if (done && json_object_get(object, "edit")) take_edit(object, out);
    if (done) {
        out->what = arena_text(keep, text_of(object, "set"));
        out->to = arena_text(keep, text_of(object, out->is_edit && out->kind == EDIT_SHEET ? "paper" : "to"));
        out->piece = arena_text(keep, text_of(object, "piece"));
        out->layer = json_object_get(object, "layer") ? arena_text(keep, text_of(object, "layer")) : NULL;
        done = (out->what && out->to && out->piece) || error_memory(err);
    }
    arena_free(&own);
    return done;
}

bool table_add_line(Desk *desk, int64_t id, const char *json, bool struck, Error *err)
{
    Docket *docket = &desk->docket;
    DocketLine *lines = arena_grow(&desk->job_arena, docket->lines, docket->count, &docket->capacity, sizeof *lines);
    if (!lines) return error_memory(err);
    docket->lines = lines;
    LineInfo *infos = arena_grow(&desk->job_arena, desk->lines, docket->count, &desk->line_capacity, sizeof *infos);
    if (!infos) return error_memory(err);
    desk->lines = infos;
    lines[docket->count] = (DocketLine){id, arena_text(&desk->job_arena, json), struck};
    if (!lines[docket->count].json) return error_memory(err);
    if (!line_read(json, &desk->job_arena, &infos[docket->count], err)) return false;
    docket->count++;
    return true;
}

// ---- wishes ----

// What was never said.
static bool take_usual(Desk *desk, Settings *settings, Error *err)
{
    if (settings->height_mm == 0.0) settings->height_mm = DESK_USUAL_HEIGHT_MM;
    bool has_common = false;
    for (int i = 0; i < settings->paper_count; i++) has_common = has_common || !settings->papers[i].layer[0];
    const char *usual = desk->options.usual_paper ? desk->options.usual_paper : "letter";
    if (!has_common && !settings_add_paper(settings, usual, err)) return false;
    bool page_said = false;
    for (size_t i = 0; i < desk->docket.count; i++)
        page_said = page_said || (!desk->docket.lines[i].struck && strcmp(desk->lines[i].what, "page") == 0);
    if (!page_said && strcmp(usual, "a4") == 0) settings->kit.page = KIT_PAGE_A4;
    settings->threads = desk->options.threads;
    return true;
}

// See docket_cut_last.
static bool take_loose(Desk *desk, Wish *wish, bool has_extra, Error *err)
{
    size_t count = wish->edits.count, edit = 0;
    wish->edit_lines = arena_new(&wish->arena, int64_t, count + 1);
    wish->loose_lines = arena_new(&wish->arena, int64_t, count + 1);
    if (!wish->edit_lines || !wish->loose_lines) return error_memory(err);
    for (size_t i = 0; i < desk->docket.count; i++) {
        if (!desk->docket.lines[i].struck && desk->lines[i].is_edit && edit < count) wish->edit_lines[edit++] = desk->docket.lines[i].id;
    }
    for (size_t i = 0, loose = 0; i < count; i++)
        if (wish->edits.items[i].kind != EDIT_FROZEN) wish->loose_lines[loose++] = wish->edit_lines[i];
    wish->loose_first = !has_extra && docket_cut_last(&desk->docket);
    return edits_without_frozen(&wish->edits, &wish->arena, &wish->loose, err);
}

static bool fill_wish(Desk *desk, const char *extra, Wish *wish, int64_t *wrong_line, Error *err)
{
    Docket docket = desk->docket;
    if (extra) {
        docket.lines = arena_new(&wish->arena, DocketLine, docket.count + 1);
        if (!docket.lines) return error_memory(err);
        if (docket.count) memcpy(docket.lines, desk->docket.lines, docket.count * sizeof *docket.lines);
        docket.lines[docket.count++] = (DocketLine){0, extra, false};
    }
    return docket_replay(&docket, &wish->arena, &wish->settings, &wish->edits, wrong_line, err) &&
           take_usual(desk, &wish->settings, err) && take_loose(desk, wish, extra != NULL, err);
}

bool table_make_wish(Desk *desk, const char *extra, Wish **out, int64_t *wrong_line, Error *err)
{
    Arena arena = arena_make(0);
    Wish *wish = arena_new(&arena, Wish, 1);
    *out = NULL;
    *wrong_line = 0;
    if (!wish) return error_memory(err);
    *wish = (Wish){.arena = arena, .users = 1, .last_line = desk->last_line, .shape = desk->shape};
    if (!fill_wish(desk, extra, wish, wrong_line, err)) {
        wish_release(wish);
        return false;
    }
    table_lock(desk);
    wish->source = desk->source;
    wish->source->users++;
    table_unlock(desk);
    *out = wish;
    return true;
}

bool table_changed(Desk *desk, int64_t line, bool alters, Error *err)
{
    Wish *wish;
    Error why = {0};
    int64_t wrong_line;
    if (line) desk->last_line = line;
    bool possible = table_make_wish(desk, NULL, &wish, &wrong_line, &why);
    if (!possible && why.kind == ERROR_SYSTEM) return error_set(err, why.kind, "%s", why.text);
    if (possible) desk->settings = wish->settings;
    table_lock(desk);
    int64_t revision = ++desk->revision;
    desk->version++;
    if (alters) desk->shape = revision;
    if (possible) {
        wish->revision = revision;
        wish->shape = desk->shape;
    }
    wish_release(desk->wish);
    desk->wish = wish;
    desk->error = why;
    desk->error_line = wrong_line;
    desk->kit_error = desk->recut_error = (Error){0};
    compare_release(desk->compare);
    desk->compare = NULL;
    atomic_store(&desk->cancel, true);
    table_tell(desk, "saved", NULL, NULL);
    if (!possible) table_tell(desk, "error", "text", why.text);
    table_unlock(desk);
    table_wake(desk);
    return true;
}
