// elsewhere.c - where else a piece would lie on the sheets: asked for here, found by whoever works.
#include "desk/answer.h"
#include "desk/change.h"

#include <string.h>

static void write_place(const OtherPlaces *places, const NestPlace *place, Text *reply)
{
    text_printf(reply, "{\"sheet\": \"%s-%d\", \"line\": {\"edit\": \"place\", \"colour\": \"#%02x%02x%02x\", \"piece\": \"%s\", \"sheet\": %d, \"to_sheet\": [",
                places->paper, place->sheet + 1, places->colour.r, places->colour.g, places->colour.b, places->piece, place->sheet + 1);
    for (int i = 0; i < 6; i++) {
        if (i > 0) text_add(reply, ", ");
        text_number(reply, place->to_sheet[i], 9);
    }
    text_add(reply, "]}}");
}

bool answer_find_places(Desk *desk, const Message *message, Text *reply, Error *err)
{
    const char *piece;
    if (!has_job(desk, err) || !message_text(message, "piece", &piece, err)) return false;
    if (strlen(piece) >= sizeof desk->places.piece) return error_set(err, ERROR_JOB, "there is no piece %.16s", piece);
    table_lock(desk);
    const OtherPlaces places = desk->places;
    bool same = strcmp(places.piece, piece) == 0, known = same && !places.wanted && desk->wish && places.revision == desk->wish->revision;
    if (!known) {
        desk->places = (OtherPlaces){.wanted = true};
        memcpy(desk->places.piece, piece, strlen(piece));
        if (desk->is_patient) atomic_store(&desk->cancel, true);
    }
    table_unlock(desk);
    if (!known) table_wake(desk);
    reply_key(reply, "places");
    text_add(reply, known ? "[" : "null");
    for (int i = 0; known && i < places.count; i++) {
        if (i > 0) text_add(reply, ", ");
        write_place(&places, &places.items[i], reply);
    }
    if (known) text_add(reply, "]");
    return true;
}
