// take.c - take the kit: what the maker's program goes by picks the form of the files; then it is built and proved.
#include "desk/answer.h"
#include "desk/change.h"

#include <string.h>

static const struct { const char *open_with; KitFor sheets_for; } WAYS[] = {
    {"svg", KIT_FOR_SHEET},         // knows lines apart by their colour
    {"svg-strokes", KIT_FOR_LINE},  // takes every line for a cut: a file a kind
    {"svg-objects", KIT_FOR_PIECE}, // goes by objects
    {"print", KIT_FOR_SHEET},       // scissors: the sheets to print are always there
};

static bool find_way(const char *word, KitFor *out, Error *err)
{
    for (size_t i = 0; i < sizeof WAYS / sizeof WAYS[0]; i++) {
        if (strcmp(word, WAYS[i].open_with) != 0) continue;
        *out = WAYS[i].sheets_for;
        return true;
    }
    return error_set(err, ERROR_USAGE, "a kit is opened with svg, svg-strokes, svg-objects or print, not \"%.40s\"", word);
}

static bool set_for(Desk *desk, const Message *message, KitFor sheets_for, Error *err)
{
    if (desk->settings.kit.sheets_for == sheets_for) return true;
    Text text = text_make(message->arena);
    const char *line;
    text_printf(&text, "{\"set\": \"for\", \"to\": \"%s\"}", kit_for_word(sheets_for));
    return text_is_whole(&text, err) && docket_check(text.bytes, text.size_bytes, message->arena, &line, err) &&
           change_add(desk, &line, 1, NULL, err);
}

bool answer_take(Desk *desk, const Message *message, Text *reply, Error *err)
{
    const char *word;
    KitFor sheets_for = KIT_FOR_SHEET;
    (void)reply;
    if (!has_job(desk, err) || !message_text_or_none(message, "open_with", &word, err)) return false;
    if (word && (!find_way(word, &sheets_for, err) || !set_for(desk, message, sheets_for, err))) return false;
    table_lock(desk);
    bool possible = desk->error.kind == ERROR_NONE;
    if (possible && desk->kit && desk->kit->revision == desk->revision) {
        table_tell(desk, "kit", "ready", "kit.zip"); // it has been proved, and nothing has changed
    } else if (possible) {
        desk->kit_wanted = true;
        desk->kit_error = (Error){0};
        if (desk->is_patient) atomic_store(&desk->cancel, true);
        desk->version++;
    } else {
        error_set(err, desk->error.kind, "%s", desk->error.text);
    }
    table_unlock(desk);
    table_wake(desk);
    return possible;
}
