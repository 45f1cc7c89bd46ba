// ticks.c - pieces ticked while they are cut and put together; a piece that is cut is frozen. What comes next.
#include "desk/ticks.h"

#include "desk/answer.h"
#include "desk/change.h"

#include "job/freeze.h"
#include "kit/guide_say.h"

#include <string.h>

// ---- ticks ----

static TickMark mark_of(const Desk *desk, const char *piece)
{
    for (int i = 0; i < desk->tick_count; i++)
        if (strcmp(desk->ticks[i].piece, piece) == 0) return desk->ticks[i].mark;
    return TICK_NONE;
}

bool ticks_keep(Desk *desk, const char *piece, TickMark mark, Error *err)
{
    for (int i = 0; i < desk->tick_count; i++) {
        if (strcmp(desk->ticks[i].piece, piece) != 0) continue;
        desk->ticks[i].mark = mark;
        return true;
    }
    Tick *ticks = arena_grow(&desk->job_arena, desk->ticks, (size_t)desk->tick_count, &desk->tick_capacity, sizeof *ticks);
    if (!ticks) return error_memory(err);
    desk->ticks = ticks;
    ticks[desk->tick_count] = (Tick){arena_text(&desk->job_arena, piece), mark};
    if (!ticks[desk->tick_count].piece) return error_memory(err);
    desk->tick_count++;
    return true;
}

static const ShownPiece *find_piece(const Shown *shown, const char *id)
{
    for (int i = 0; shown && i < shown->piece_count; i++)
        if (strcmp(shown->pieces[i].id, id) == 0) return &shown->pieces[i];
    return NULL;
}

static bool find_frozen(const Desk *desk, const char *piece, size_t *out)
{
    for (*out = 0; *out < desk->docket.count; (*out)++) {
        const LineInfo *line = &desk->lines[*out];
        if (!desk->docket.lines[*out].struck && line->is_edit && line->kind == EDIT_FROZEN && strcmp(line->piece, piece) == 0) return true;
    }
    return false;
}

// The piece as it is in the answer on the table, which is that of the docket but for ticks.
static bool freeze(Desk *desk, const Message *message, const Shown *shown, const char *piece, Error *err)
{
    EditList edits = {0};
    FileBytes kit_json = shown->kit_json;
    FileSet kit = {&kit_json, 1};
    if (shown->level != SHOWN_WHOLE || shown->shape != desk->shape)
        return error_set(err, ERROR_JOB, "the pieces are still being worked out; tick %.16s again in a moment", piece);
    if (!freeze_capture(&kit, shown->height_mm, &piece, 1, message->arena, &edits, err)) return false;
    Text text = text_make(message->arena);
    JsonWriter json = write_json_make(&text);
    edit_write(&edits.items[0], &json);
    const char *line;
    return text_is_whole(&text, err) && docket_check(text.bytes, text.size_bytes, message->arena, &line, err) &&
           change_add(desk, &line, 1, NULL, err);
}

static bool tick(Desk *desk, const Message *message, const Shown *shown, const char *piece, TickMark mark, Error *err)
{
    size_t frozen;
    bool is_frozen = find_frozen(desk, piece, &frozen), is_cut = mark != TICK_NONE && mark != TICK_SPOILED;
    if (!find_piece(shown, piece) && !is_frozen) return error_set(err, ERROR_JOB, "there is no piece %.16s", piece);
    if (is_cut && !is_frozen && !freeze(desk, message, shown, piece, err)) return false;
    if (!is_cut && is_frozen && !change_strike(desk, frozen, true, err)) return false;
    if (!job_file_tick(desk->file, piece, mark, err) || !ticks_keep(desk, piece, mark, err)) return false;
    table_lock(desk);
    desk->version++;
    table_unlock(desk);
    return true;
}

bool answer_tick(Desk *desk, const Message *message, Text *reply, Error *err)
{
    const char *piece, *word;
    TickMark mark;
    (void)reply;
    if (!has_job(desk, err) || !message_text(message, "piece", &piece, err) || !message_text(message, "mark", &word, err)) return false;
    if (!tick_find(word, &mark)) return error_set(err, ERROR_USAGE, "a piece is cut, taped, glued, spoiled or none of it, not \"%.40s\"", word);
    Shown *shown = table_take_shown(desk);
    bool done = tick(desk, message, shown, piece, mark, err);
    table_give_back(desk, shown);
    return done;
}

// ---- what next ----

typedef struct Next {
    const Desk *desk;
    const Shown *shown;
    const Steps *steps;
    Text says;
    const ShownPiece *piece;    // that it is about; NULL: none
    const char *caution;
    const Step *step;           // whose lines are told; NULL: none
} Next;

#define NAMED_MOST 8            // pieces of a sheet by name; more are counted

static bool is_there(TickMark mark)
{
    return mark == TICK_CUT || mark == TICK_TAPED || mark == TICK_GLUED;
}

static bool is_done(const Next *next, const Step *step, const ShownPiece *piece)
{
    TickMark mark = mark_of(next->desk, piece->id);
    return mark == TICK_GLUED || (step->joins && mark == TICK_TAPED);
}

static const ShownPiece *first_open(const Next *next, const Step *step)
{
    for (int i = 0; i < step->piece_count; i++)
        if (!is_done(next, step, &next->shown->pieces[step->pieces[i]])) return &next->shown->pieces[step->pieces[i]];
    return NULL;
}

static const ShownPiece *first_uncut(const Next *next, const Step *step)
{
    for (int i = 0; i < step->piece_count; i++)
        if (!is_there(mark_of(next->desk, next->shown->pieces[step->pieces[i]].id))) return &next->shown->pieces[step->pieces[i]];
    return NULL;
}

// A sheet is cut in one go: all of it that is not there yet is named, this piece first.
static void say_cut(Next *next, const ShownPiece *piece)
{
    bool again = mark_of(next->desk, piece->id) == TICK_SPOILED;
    int others = 0;
    text_printf(&next->says, "Cut %s%s: it lies on sheet %s", piece->id, again ? " again" : "", piece->sheet);
    for (int i = 0; i < next->shown->piece_count; i++) {
        const ShownPiece *other = &next->shown->pieces[i];
        if (other == piece || strcmp(other->sheet, piece->sheet) != 0 || is_there(mark_of(next->desk, other->id))) continue;
        if (others < NAMED_MOST) text_printf(&next->says, "%s%s", others ? ", " : ", and with it ", other->id);
        others++;
    }
    if (others > NAMED_MOST) text_printf(&next->says, " and %d more", others - NAMED_MOST);
    text_add(&next->says, ".");
    next->piece = piece;
    next->caution = GUIDE_SAY_BLADE;
}

static void say_step(Next *next, const Step *step)
{
    const ShownPiece *uncut = first_uncut(next, step);
    size_t size = strlen(step->words);
    next->piece = first_open(next, step);
    next->step = step;
    text_printf(&next->says, "%s.", step->title);
    if (size > 0 && step->words[size - 1] == ':') text_printf(&next->says, " %.*s.", (int)size - 1, step->words); // its lines are told apart
    else if (size > 0) text_printf(&next->says, " %s", step->words);
    if (uncut) text_printf(&next->says, " First cut %s, from sheet %s.", uncut->id, uncut->sheet);
    next->caution = step->joins ? NULL : GUIDE_SAY_ADHESIVE;
}

static bool holds(const Next *next, const Step *step, const ShownPiece *piece)
{
    for (int i = 0; i < step->piece_count; i++)
        if (&next->shown->pieces[step->pieces[i]] == piece) return true;
    return false;
}

// The first step that still has something to do, of all or of those with this piece.
static const Step *open_step(const Next *next, const ShownPiece *with)
{
    for (int i = 0; i < next->steps->count; i++) {
        const Step *step = &next->steps->items[i];
        if ((!with || holds(next, step, with)) && (with ? !is_done(next, step, with) : first_open(next, step) != NULL)) return step;
    }
    return NULL;
}

static bool choose(Next *next, const char *hand, Error *err)
{
    const ShownPiece *held = hand ? find_piece(next->shown, hand) : NULL;
    if (hand && !held) return error_set(err, ERROR_JOB, "there is no piece %.16s", hand);
    const Step *step = open_step(next, held);
    if (held && step && !is_there(mark_of(next->desk, held->id))) {
        say_cut(next, held);
    } else if (held && !step) {
        text_printf(&next->says, "%s is in its place.", held->id);
        next->piece = held;
    } else if (!step) {
        text_add(&next->says, "Everything is in its place.");
    } else if (!held && first_uncut(next, step)) {
        say_cut(next, first_uncut(next, step));
    } else {
        say_step(next, step);
        if (held) next->piece = held;
    }
    return true;
}

// The pieces that belong on the table for this step: those that the one in the hand is joined to, or glued on.
static void write_table(const Next *next, Text *reply)
{
    const Step *step = next->step;
    const int *pieces = step && step->joins ? step->pieces : step ? step->below : NULL;
    int count = step && step->joins ? step->piece_count : step ? step->below_count : 0;
    bool first = true;
    reply_key(reply, "table");
    text_add(reply, "[");
    for (int i = 0; i < count; i++) {
        const ShownPiece *piece = &next->shown->pieces[pieces[i]];
        if (piece == next->piece) continue;
        if (!first) text_add(reply, ", ");
        reply_string(reply, piece->id);
        first = false;
    }
    text_add(reply, "]");
}

static void write_next(const Next *next, Text *reply)
{
    reply_key(reply, "says");
    reply_string(reply, next->says.bytes ? next->says.bytes : "");
    reply_key(reply, "piece");
    if (next->piece) reply_string(reply, next->piece->id);
    else text_add(reply, "null");
    reply_key(reply, "at_mm");
    if (next->piece) {
        text_add(reply, "[");
        text_number(reply, next->piece->at_mm[0], 2);
        text_add(reply, ", ");
        text_number(reply, next->piece->at_mm[1], 2);
        text_add(reply, "]");
    } else {
        text_add(reply, "null");
    }
    reply_key(reply, "lines");
    text_add(reply, "[");
    for (int i = 0; next->step && i < next->step->line_count; i++) {
        if (i > 0) text_add(reply, ", ");
        reply_string(reply, next->step->lines[i]);
    }
    text_add(reply, "]");
    write_table(next, reply);
    reply_key(reply, "caution");
    if (next->caution) reply_string(reply, next->caution);
    else text_add(reply, "null");
}

bool answer_next(Desk *desk, const Message *message, Text *reply, Error *err)
{
    const char *hand;
    if (!has_job(desk, err) || !message_text_or_none(message, "hand", &hand, err)) return false;
    table_lock(desk);
    Next next = {.desk = desk, .shown = desk->shown, .steps = desk->steps, .says = text_make(message->arena)};
    bool known = next.shown && next.steps && next.steps->revision == next.shown->revision;
    if (known) {
        desk->shown->users++;
        desk->steps->users++;
    }
    table_unlock(desk);
    if (!known) return error_set(err, ERROR_JOB, "the steps are still being worked out; ask again in a moment");
    bool done = choose(&next, hand && hand[0] ? hand : NULL, err) && text_is_whole(&next.says, err);
    if (done) write_next(&next, reply);
    table_lock(desk);
    shown_release((Shown *)next.shown);
    steps_release((Steps *)next.steps);
    table_unlock(desk);
    return done;
}
