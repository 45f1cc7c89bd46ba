// shelf_talk.c - the maker's papers and cutters, asked for and changed.
#include "desk/shelf_talk.h"

#include "desk/answer.h"

#include "store/shelf_match.h"

#include <string.h>

#define LARGEST_COUNT 1000000

bool shelf_refresh(Desk *desk, Error *err)
{
    Arena arena = arena_make(0);
    ShelfList list;
    if (!shelf_read(desk->shelf, &arena, &list, err)) {
        arena_free(&arena);
        return false;
    }
    arena_free(&desk->shelf_arena);
    desk->shelf_arena = arena;
    desk->shelf_list = list;
    return true;
}

static bool has_shelf(const Desk *desk, Error *err)
{
    if (desk->shelf) return true;
    if (desk->shelf_error.kind != ERROR_NONE) return error_set(err, desk->shelf_error.kind, "%s", desk->shelf_error.text);
    return error_set(err, ERROR_SYSTEM, "there is no shelf here: no home folder is known");
}

bool shelf_lacks(const Desk *desk, const LineInfo *line, Arena *keep, const char **out, Error *err)
{
    bool of_paper = strcmp(line->what, "paper") == 0 || (line->is_edit && line->kind == EDIT_SHEET);
    bool of_cutter = strcmp(line->what, "cutter") == 0;
    *out = NULL;
    if ((!of_paper && !of_cutter) || desk->shelf_list.count == 0) return true;
    Text text = text_make(keep);
    ShelfPiles piles;
    bool done = of_cutter ? shelf_say_no_cutter(&desk->shelf_list, line->to, &text, err)
                          : shelf_piles(&desk->shelf_list, keep, &piles, err) && shelf_say_no_paper(&piles, line->to, &text, err);
    if (!done || !text_is_whole(&text, err)) return false;
    if (text.size_bytes > 0) *out = text.bytes;
    return true;
}

static void write_item(const ShelfItem *item, Text *reply, bool first)
{
    char hex[8];
    text_printf(reply, "%s{\"id\": %lld, \"words\": ", first ? "" : ", ", (long long)item->id);
    reply_string(reply, item->words);
    reply_key(reply, "name");
    reply_string(reply, item->name);
    if (item->kind != SHELF_CUTTER) {
        colour_hex(item->colour, hex);
        reply_key(reply, "colour");
        if (item->has_colour) reply_string(reply, hex);
        else text_add(reply, "null");
        reply_key(reply, "count");
        if (item->count >= 0) text_printf(reply, "%d", item->count);
        else text_add(reply, "null");
        text_printf(reply, ", \"offcut\": %s", item->kind == SHELF_OFFCUT ? "true" : "false");
    }
    text_add(reply, "}");
}

static void write_list(const Desk *desk, bool cutters, Text *reply)
{
    bool first = true;
    text_add(reply, "[");
    for (int i = 0; i < desk->shelf_list.count; i++) {
        const ShelfItem *item = &desk->shelf_list.items[i];
        if ((item->kind == SHELF_CUTTER) != cutters) continue;
        write_item(item, reply, first);
        first = false;
    }
    text_add(reply, "]");
}

static void write_shelf(const Desk *desk, Text *reply)
{
    reply_key(reply, "papers");
    write_list(desk, false, reply);
    reply_key(reply, "cutters");
    write_list(desk, true, reply);
}

bool answer_shelf(Desk *desk, const Message *message, Text *reply, Error *err)
{
    (void)message;
    if (!has_shelf(desk, err) || !shelf_refresh(desk, err)) return false; // another program may have changed it
    write_shelf(desk, reply);
    return true;
}

static bool read_item(const Message *message, ShelfItem *item, Error *err)
{
    const char *paper, *cutter, *name, *colour;
    bool offcut = false;
    int64_t count = -1;
    if (!message_text_or_none(message, "paper", &paper, err) || !message_text_or_none(message, "cutter", &cutter, err) ||
        !message_text_or_none(message, "name", &name, err) || !message_text_or_none(message, "colour", &colour, err))
        return false;
    if (!paper == !cutter) return error_set(err, ERROR_USAGE, "name a \"paper\" or a \"cutter\" for the shelf");
    if (message_value(message, "offcut") && !message_bool(message, "offcut", &offcut, err)) return false;
    if (message_value(message, "count") && !message_whole(message, "count", &count, err)) return false;
    if (count < -1 || count > LARGEST_COUNT) return error_set(err, ERROR_USAGE, "a count of sheets is a number from 0 to %d", LARGEST_COUNT);
    *item = (ShelfItem){.kind = cutter ? SHELF_CUTTER : offcut ? SHELF_OFFCUT : SHELF_PAPER, .words = cutter ? cutter : paper,
                        .name = name ? name : "", .count = (int)count, .has_colour = colour != NULL};
    if (colour && !edit_parse_colour(colour, &item->colour)) return error_set(err, ERROR_USAGE, "a colour is said as #1d2f5a, not \"%.40s\"", colour);
    return true;
}

static bool tell_changed(Desk *desk, Text *reply, Error *err)
{
    if (!shelf_refresh(desk, err)) return false;
    table_lock(desk);
    desk->version++;
    table_unlock(desk);
    write_shelf(desk, reply);
    return true;
}

bool answer_shelf_add(Desk *desk, const Message *message, Text *reply, Error *err)
{
    ShelfItem item;
    int64_t id;
    return has_shelf(desk, err) && read_item(message, &item, err) && shelf_add(desk->shelf, &item, &id, err) && tell_changed(desk, reply, err);
}

bool answer_shelf_remove(Desk *desk, const Message *message, Text *reply, Error *err)
{
    int64_t id;
    return has_shelf(desk, err) && message_whole(message, "id", &id, err) && shelf_remove(desk->shelf, id, err) && tell_changed(desk, reply, err);
}

// The last kit, with one user more, whose rests are from now on the shelf's; NULL when there is none or they lie there already.
static Kit *take_rests(Desk *desk)
{
    table_lock(desk);
    Kit *kit = desk->kit && !desk->kit->rests_kept ? desk->kit : NULL;
    if (kit) {
        kit->rests_kept = true;
        kit->users++;
    }
    table_unlock(desk);
    return kit;
}

bool answer_shelf_keep(Desk *desk, const Message *message, Text *reply, Error *err)
{
    (void)message;
    if (!has_shelf(desk, err)) return false;
    Kit *kit = take_rests(desk);
    if (!kit) return error_set(err, ERROR_JOB, "nothing new is left for the shelf; make the kit first");
    bool done = true;
    int64_t id;
    for (int i = 0; i < kit->rests.count && done; i++) done = shelf_add(desk->shelf, &kit->rests.items[i], &id, err);
    table_lock(desk);
    kit->rests_kept = done;
    kit_release(kit);
    table_unlock(desk);
    return done && tell_changed(desk, reply, err);
}
