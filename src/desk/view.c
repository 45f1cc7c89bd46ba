// view.c - replies with geometry: texts of the newest answer, copied.
#include "desk/answer.h"

#include <string.h>

static const struct { const char *what, *list; } VIEWS[VIEW_KIND_COUNT] = {
    [VIEW_PICTURE] = {"picture", "regions"}, [VIEW_BORDERS] = {"borders", "borders"}, [VIEW_LAYERS] = {"layers", "layers"},
    [VIEW_PIECES] = {"pieces", "pieces"},    [VIEW_SEAMS] = {"seams", "seams"},       [VIEW_SHEETS] = {"sheets", "sheets"},
};

// The letter's layer, or -1 for all.
static bool find_layer(const Shown *shown, const char *letter, int *out, Error *err)
{
    *out = -1;
    if (!letter) return true;
    for (int l = 0; shown && l < shown->layer_count; l++)
        if (strcmp(shown->layers[l].id, letter) == 0) *out = l;
    return *out >= 0 || error_set(err, ERROR_USAGE, "there is no layer %.20s", letter);
}

static void write_items(const Shown *shown, ViewKind kind, int layer, Text *reply)
{
    bool first = true;
    for (int i = 0; shown && i < shown->views[kind].count; i++) {
        const ViewItem *item = &shown->views[kind].items[i];
        if (layer >= 0 && item->layer >= 0 && item->layer != layer) continue;
        text_add(reply, first ? "\n" : ",\n");
        text_add_bytes(reply, item->json, item->size_bytes);
        first = false;
    }
}

// Places that are hard to cut, or were left out for being so.
static bool is_thin(const char *kind)
{
    static const char *const KINDS[] = {"thin-part", "thin-gap", "thin-colour", "speck-joined", "narrow-piece", "colour-gone"};
    for (size_t i = 0; i < sizeof KINDS / sizeof KINDS[0]; i++)
        if (strcmp(kind, KINDS[i]) == 0) return true;
    return false;
}

static void write_thin(const Shown *shown, Text *reply)
{
    bool first = true;
    for (size_t i = 0; shown && i < shown->findings.count; i++) {
        const Finding *f = &shown->findings.items[i];
        if (!is_thin(f->kind)) continue;
        text_printf(reply, "%s{\"kind\": \"%s\", \"text\": ", first ? "" : ", ", f->kind);
        reply_string(reply, f->text);
        text_add(reply, ", \"at_mm\": [");
        text_number(reply, f->x_mm, 3);
        text_add(reply, ", ");
        text_number(reply, f->y_mm, 3);
        text_add(reply, "]}");
        first = false;
    }
}

static void write_proof(Desk *desk, Text *reply)
{
    table_lock(desk);
    reply_string(reply, desk->kit ? desk->kit->proof : "");
    table_unlock(desk);
}

static bool write_view(Desk *desk, const Shown *shown, const char *what, const char *letter, Text *reply, Error *err)
{
    int layer;
    if (!find_layer(shown, letter, &layer, err)) return false;
    if (strcmp(what, "thin") == 0) {
        reply_key(reply, "places");
        text_add(reply, "[");
        write_thin(shown, reply);
        text_add(reply, "]");
        return true;
    }
    if (strcmp(what, "proof") == 0) {
        reply_key(reply, "text");
        write_proof(desk, reply);
        return true;
    }
    for (int kind = 0; kind < VIEW_KIND_COUNT; kind++) {
        if (strcmp(what, VIEWS[kind].what) != 0) continue;
        reply_key(reply, VIEWS[kind].list);
        text_add(reply, "[");
        write_items(shown, (ViewKind)kind, layer, reply);
        text_add(reply, "]");
        return true;
    }
    return error_set(err, ERROR_USAGE, "there is no view \"%.40s\"; there are picture, borders, layers, pieces, seams, sheets, thin and proof", what);
}

bool answer_view(Desk *desk, const Message *message, Text *reply, Error *err)
{
    const char *what, *letter;
    if (!message_text(message, "what", &what, err) || !message_text_or_none(message, "layer", &letter, err)) return false;
    Shown *shown = table_take_shown(desk);
    table_lock(desk);
    text_printf(reply, ", \"version\": %llu, \"stale\": %s", (unsigned long long)desk->version,
                shown && shown->revision != desk->revision ? "true" : "false");
    table_unlock(desk);
    bool done = write_view(desk, shown, what, letter, reply, err);
    table_give_back(desk, shown);
    return done;
}
