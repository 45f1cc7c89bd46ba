// wish.c - see wish.h.
// Shape:   while wishes are replayed, an area's label is its paint, plus IS_GROUND when it is not cut: so each area of
//          the ground remembers which colour it has when it becomes paper again.
#include "separation/wish.h"

#include "base/text.h"
#include "separation/spread.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define IS_GROUND 0x80u
#define PARTS_PER_LOOK 256

typedef struct Wisher {
    WishTable *table;
    const WishNotes *notes;
    Work *work;
    Runs *runs;
    uint8_t counts_as[256]; // paint -> the paint that it counts as; a chain never closes, see counted()
    int32_t *near;          // neighbours of the area at hand, each once
    int32_t *shared;        // of each part: cracks shared with the area at hand; 0 between two looks
    int32_t near_count;
} Wisher;

// ---- telling ----

static double percent(double fraction)
{
    if (!isfinite(fraction)) return 0.0;
    return fmin(fmax(fraction, -1e4), 1e4) * 100.0;
}

void wish_place_words(double x, double y, char out[WISH_WORDS_MAX])
{
    char across[NUMBER_MAX], down[NUMBER_MAX];
    if (isfinite(x) && isfinite(y))
        snprintf(out, WISH_WORDS_MAX, "%.20s %%, %.20s %%", number_format(across, percent(x), 1),
                 number_format(down, percent(y), 1));
    else
        snprintf(out, WISH_WORDS_MAX, "no place");
}

bool wish_note(const WishNotes *notes, const char *kind, const char *words, const char *what, double x_px, double y_px,
               Error *err)
{
    char text[320];
    snprintf(text, sizeof text, "%s: %s", words, what);
    return findings_add(notes->findings, notes->keep, kind, text, x_px, y_px) || error_memory(err);
}

static void colour_words(Srgb8 colour, char out[WISH_WORDS_MAX])
{
    char hex[8];
    colour_hex(colour, hex);
    snprintf(out, WISH_WORDS_MAX, "%s (%s)", colour_name(colour), hex);
}

static void paint_words(const Wisher *w, uint8_t paint, char out[WISH_WORDS_MAX])
{
    colour_words(w->table->palette->colours[paint - LABEL_FIRST].colour, out);
}

static bool note_on_colour(const Wisher *w, const char *kind, const char *words, const char *what, Error *err)
{
    return wish_note(w->notes, kind, words, what, w->notes->middle_px[0], w->notes->middle_px[1], err);
}

// ---- areas ----

static bool is_area(const Wisher *w, int32_t part)
{
    return w->runs->parts[part].parent == part;
}

static bool is_ground(uint8_t label)
{
    return label & IS_GROUND;
}

static uint8_t paint_of(uint8_t label)
{
    return label & (uint8_t)~IS_GROUND;
}

static void note_neighbour(void *taker, int32_t neighbour, int32_t cracks)
{
    Wisher *w = taker;
    if (neighbour < 0) return;
    if (w->shared[neighbour] == 0) w->near[w->near_count++] = neighbour;
    w->shared[neighbour] += cracks;
}

static void look_round(Wisher *w, int32_t part)
{
    for (int32_t i = 0; i < w->near_count; i++) w->shared[w->near[i]] = 0;
    w->near_count = 0;
    runs_walk_border(w->runs, part, note_neighbour, w);
}

// The area takes this label and unites with neighbours that have it.
static void relabel(Wisher *w, int32_t part, uint8_t label)
{
    w->runs->parts[part].label = label;
    look_round(w, part);
    for (int32_t i = 0; i < w->near_count; i++)
        if (w->runs->parts[w->near[i]].label == label) runs_join(w->runs, w->near[i], part);
}

static int64_t paper_px(const Wisher *w, int paint) // of one paint, or of all when it is negative
{
    int64_t area = 0;
    for (int32_t i = 0; i < w->runs->part_count; i++) {
        const Part *p = &w->runs->parts[i];
        if (is_area(w, i) && !is_ground(p->label) && (paint < 0 || p->label == paint)) area += p->area_px;
    }
    return area;
}

// The paint that this one counts as.
static uint8_t counted(const Wisher *w, uint8_t paint)
{
    while (w->counts_as[paint] != paint) paint = w->counts_as[paint];
    return paint;
}

static uint8_t find_paint(const Wisher *w, Srgb8 colour) // LABEL_UNDECIDED when there is none
{
    int index = palette_find(w->table->palette, colour, WISH_SAME_DE00);
    return index < 0 ? LABEL_UNDECIDED : (uint8_t)(LABEL_FIRST + index);
}

// Paper of the ground's colour that touches ground does so by a wish: it must not run out into it when a speck between
// them joins.
static bool hold_papers_at_ground(Wisher *w, Error *err)
{
    for (int32_t i = 0; i < w->runs->part_count; i++) {
        if (i % PARTS_PER_LOOK == 0 && !work_goes_on(w->work, err)) return false;
        if (!is_area(w, i) || w->runs->parts[i].label != w->table->ground_paint) continue;
        look_round(w, i);
        for (int32_t k = 0; k < w->near_count; k++)
            if (is_ground(w->runs->parts[w->near[k]].label)) w->runs->parts[i].flags |= PART_PAPER;
    }
    return true;
}

// ---- the map ----

static bool write_areas(WishTable *t, Work *work, Error *err)
{
    uint8_t same[256];
    for (int i = 0; i < 256; i++) same[i] = (uint8_t)i;
    return runs_write_labels(&t->runs, same, t->label, work, err);
}

// The areas of the map, with what is known of those that were there before.
static bool find_areas(WishTable *t, Work *work, Error *err)
{
    Runs anew;
    if (!runs_make(t->label, t->runs.width_px, t->runs.height_px, &work->scratch, work, &anew, err)) return false;
    if (!runs_carry_flags(&t->runs, &anew, work, err)) return false;
    t->runs = anew;
    return true;
}

static bool make_room_for_near(Wisher *w, Error *err)
{
    w->near_count = 0;
    w->near = arena_new(&w->work->scratch, int32_t, w->runs->part_count);
    w->shared = arena_new(&w->work->scratch, int32_t, w->runs->part_count);
    return (w->near && w->shared) || error_memory(err);
}

// ---- places ----

bool wish_pixel(const double box_px[4], const Runs *runs, double x, double y, int32_t *out_x, int32_t *out_y)
{
    double height = box_px[3] - box_px[1], px = box_px[0] + x * height, py = box_px[1] + y * height;
    if (!(px >= 0.0 && px < runs->width_px && py >= 0.0 && py < runs->height_px)) return false;
    *out_x = (int32_t)px;
    *out_y = (int32_t)py;
    return true;
}

// The colour of a paper that was ground; LABEL_UNDECIDED when the palette has no room for one.
static uint8_t paint_for_paper(Wisher *w, uint8_t paint)
{
    static const Srgb8 white = {255, 255, 255};
    Palette *palette = w->table->palette;
    if (paint >= LABEL_FIRST) return counted(w, paint);
    if (find_paint(w, white) != LABEL_UNDECIDED) return counted(w, find_paint(w, white));
    if (palette->count == SEPARATION_MAX_COLOURS) return LABEL_UNDECIDED;
    palette->colours[palette->count++] = (PaletteColour){.colour = white, .lab = lab_from_srgb8(white)};
    return (uint8_t)(LABEL_FIRST + palette->count - 1);
}

static bool make_paper(Wisher *w, int32_t part, const char *words, int32_t x, int32_t y, Error *err)
{
    Part *p = &w->runs->parts[part];
    if (is_ground(p->label)) {
        uint8_t paint = paint_for_paper(w, paint_of(p->label));
        if (paint == LABEL_UNDECIDED)
            return wish_note(w->notes, WISH_NOT_KEPT, words,
                             "it is transparent, and the picture has too many colours for another one", x, y, err);
        relabel(w, part, paint);
    }
    p->flags |= PART_PAPER;
    return true;
}

static bool make_ground(Wisher *w, int32_t part, const char *words, int32_t x, int32_t y, Error *err)
{
    Part *p = &w->runs->parts[part];
    if (is_ground(p->label)) return true;
    if (p->area_px == paper_px(w, -1))
        return wish_note(w->notes, WISH_NOT_KEPT, words, "nothing else is left to cut", x, y, err);
    relabel(w, part, p->label | IS_GROUND);
    p->flags &= (uint8_t)~PART_PAPER;
    return true;
}

static bool make_place(Wisher *w, const PlaceWish *wish, Error *err)
{
    char words[WISH_WORDS_MAX], place[WISH_WORDS_MAX];
    wish_place_words(wish->x, wish->y, place);
    snprintf(words, sizeof words, "the %s at %.70s", wish->is_ground ? "ground" : "paper", place);
    int32_t x, y;
    if (!wish_pixel(w->table->box_px, w->runs, wish->x, wish->y, &x, &y))
        return note_on_colour(w, WISH_WITHOUT_TARGET, words, "this place lies outside the picture", err);
    int32_t part = runs_part_at(w->runs, x, y);
    return wish->is_ground ? make_ground(w, part, words, x, y, err) : make_paper(w, part, words, x, y, err);
}

// ---- same ----

static bool touches_frame(const Runs *runs, const Part *p)
{
    return p->x0 == 0 || p->y0 == 0 || p->x1 == runs->width_px || p->y1 == runs->height_px;
}

// The rule of ground.h once more, after a colour has become that of the ground.
static bool spread_ground(Wisher *w, Error *err)
{
    uint8_t paint = w->table->ground_paint, ground = paint | IS_GROUND;
    for (int32_t i = 0; i < w->runs->part_count; i++) {
        if (i % PARTS_PER_LOOK == 0 && !work_goes_on(w->work, err)) return false;
        const Part *p = &w->runs->parts[i];
        if (!is_area(w, i) || p->label != paint || p->flags & PART_PAPER) continue;
        look_round(w, i);
        bool reached = touches_frame(w->runs, p);
        for (int32_t k = 0; k < w->near_count; k++) reached |= w->runs->parts[w->near[k]].label == ground;
        if (reached) relabel(w, i, ground);
    }
    return true;
}

static bool paint_over(Wisher *w, uint8_t from, uint8_t to, Error *err)
{
    bool *is_painted = arena_new(&w->work->scratch, bool, w->runs->part_count);
    if (!is_painted) return error_memory(err);
    for (int32_t i = 0; i < w->runs->part_count; i++) {
        Part *p = &w->runs->parts[i];
        if (!is_area(w, i) || paint_of(p->label) != from) continue;
        p->label = (p->label & IS_GROUND) | to;
        is_painted[i] = true;
    }
    for (int32_t i = 0; i < w->runs->part_count; i++) {
        if (i % PARTS_PER_LOOK == 0 && !work_goes_on(w->work, err)) return false;
        if (is_painted[i] && is_area(w, i)) relabel(w, i, w->runs->parts[i].label);
    }
    return true;
}

// Both colours' areas become one colour's. When the ground has part in it, all of the figure may run out: *is_empty.
static bool make_one(Wisher *w, uint8_t from, uint8_t to, bool *is_empty, Error *err)
{
    WishTable *t = w->table;
    *is_empty = false;
    bool with_ground = t->ground_paint != LABEL_UNDECIDED && (from == t->ground_paint || to == t->ground_paint);
    if (!with_ground) return paint_over(w, from, to, err);
    Part *parts = arena_copy(&w->work->scratch, w->runs->parts, (size_t)w->runs->part_count, sizeof *parts);
    Run *runs = arena_copy(&w->work->scratch, w->runs->runs, (size_t)w->runs->run_count, sizeof *runs);
    if (!parts || !runs) return error_memory(err);
    uint8_t ground_before = t->ground_paint;
    if (!hold_papers_at_ground(w, err) || !paint_over(w, from, to, err)) return false;
    t->ground_paint = to;
    if (!spread_ground(w, err)) return false;
    *is_empty = paper_px(w, -1) == 0;
    if (!*is_empty) return true;
    memcpy(w->runs->parts, parts, (size_t)w->runs->part_count * sizeof *parts);
    memcpy(w->runs->runs, runs, (size_t)w->runs->run_count * sizeof *runs);
    t->ground_paint = ground_before;
    return true;
}

static bool make_same(Wisher *w, const SameWish *wish, Error *err)
{
    char from_words[WISH_WORDS_MAX], to_words[WISH_WORDS_MAX], words[2 * WISH_WORDS_MAX], what[2 * WISH_WORDS_MAX];
    colour_words(wish->colour, from_words);
    colour_words(wish->as, to_words);
    snprintf(words, sizeof words, "%.80s counts as %.80s", from_words, to_words);
    uint8_t from = find_paint(w, wish->colour), to = find_paint(w, wish->as);
    if (from == LABEL_UNDECIDED || to == LABEL_UNDECIDED) {
        snprintf(what, sizeof what, "the picture has no colour near %.80s",
                 from == LABEL_UNDECIDED ? from_words : to_words);
        return note_on_colour(w, WISH_WITHOUT_TARGET, words, what, err);
    }
    uint8_t now = counted(w, from), target = counted(w, to);
    char now_words[WISH_WORDS_MAX];
    paint_words(w, now, now_words);
    snprintf(what, sizeof what, "by an earlier edit both count as %.80s", now_words);
    if (now == target) return from == to || now != from || note_on_colour(w, WISH_NOT_KEPT, words, what, err);
    snprintf(what, sizeof what, "by an earlier edit it counts as %.80s", now_words);
    if (now != from) return note_on_colour(w, WISH_NOT_KEPT, words, what, err);

    bool is_empty;
    ArenaMark mark = arena_mark(&w->work->scratch);
    bool good = make_one(w, from, target, &is_empty, err);
    arena_rewind(&w->work->scratch, mark);
    if (!good) return false;
    if (is_empty)
        return note_on_colour(w, WISH_NOT_KEPT, words, "all of it would be ground, and nothing be left to cut", err);
    w->counts_as[from] = target;
    w->table->is_gone[from] = true;
    return true;
}

// ---- left out ----

// What may spread over the area at hand: paper, and ground only where nothing else borders it.
static void choose_spreading(const Wisher *w, bool may_spread[256])
{
    bool any_paper = false;
    memset(may_spread, 0, 256 * sizeof *may_spread);
    for (int32_t i = 0; i < w->near_count; i++) any_paper |= !is_ground(w->runs->parts[w->near[i]].label);
    for (int32_t i = 0; i < w->near_count; i++) {
        uint8_t label = w->runs->parts[w->near[i]].label;
        if (is_ground(label) != any_paper) may_spread[label] = true;
    }
}

static bool leave_out_paint(Wisher *w, uint8_t paint, Error *err)
{
    WishTable *t = w->table;
    if (!write_areas(t, w->work, err)) return false;
    for (int32_t i = 0; i < w->runs->part_count; i++) {
        if (i % PARTS_PER_LOOK == 0 && !work_goes_on(w->work, err)) return false;
        if (!is_area(w, i) || w->runs->parts[i].label != paint) continue;
        bool may_spread[256];
        look_round(w, i);
        choose_spreading(w, may_spread);
        if (!spread_over_part(w->runs, i, may_spread, t->label, w->work, err)) return false;
    }
    return find_areas(t, w->work, err) && make_room_for_near(w, err);
}

static bool make_left_out(Wisher *w, Srgb8 colour, Error *err)
{
    char colour_text[WISH_WORDS_MAX], words[2 * WISH_WORDS_MAX], what[2 * WISH_WORDS_MAX], now_words[WISH_WORDS_MAX];
    colour_words(colour, colour_text);
    snprintf(words, sizeof words, "%.80s left out", colour_text);
    uint8_t paint = find_paint(w, colour);
    if (paint == LABEL_UNDECIDED)
        return note_on_colour(w, WISH_WITHOUT_TARGET, words, "the picture has no colour near it", err);
    paint_words(w, counted(w, paint), now_words);
    snprintf(what, sizeof what, "by an earlier edit it counts as %.80s", now_words);
    if (counted(w, paint) != paint) return note_on_colour(w, WISH_NOT_KEPT, words, what, err);
    int64_t area = paper_px(w, paint);
    if (area == 0) return note_on_colour(w, WISH_WITHOUT_TARGET, words, "no paper has this colour", err);
    if (area == paper_px(w, -1)) return note_on_colour(w, WISH_NOT_KEPT, words, "nothing else is left to cut", err);
    w->table->is_gone[paint] = true;
    return leave_out_paint(w, paint, err);
}

// ---- the replay ----

typedef enum StepKind { STEP_SAME, STEP_PLACE, STEP_LEFT_OUT } StepKind; // in this order within a turn

typedef struct Step {
    int turn;
    StepKind kind;
    int index;
} Step;

static int by_turn(const void *a, const void *b)
{
    const Step *p = a, *q = b;
    if (p->turn != q->turn) return p->turn < q->turn ? -1 : 1;
    if (p->kind != q->kind) return p->kind < q->kind ? -1 : 1;
    return (p->index > q->index) - (p->index < q->index);
}

static bool order_steps(const SeparationWishes *wishes, Arena *arena, Step **out, int *out_count, Error *err)
{
    int count = 0;
    size_t most = (size_t)wishes->same_count + (size_t)wishes->place_count + (size_t)wishes->left_out_count;
    Step *steps = arena_new(arena, Step, most);
    if (!steps) return error_memory(err);
    for (int i = 0; i < wishes->same_count; i++) steps[count++] = (Step){wishes->same[i].turn, STEP_SAME, i};
    for (int i = 0; i < wishes->place_count; i++) steps[count++] = (Step){wishes->places[i].turn, STEP_PLACE, i};
    for (int i = 0; i < wishes->left_out_count; i++)
        steps[count++] = (Step){wishes->left_out_turns ? wishes->left_out_turns[i] : 0, STEP_LEFT_OUT, i};
    qsort(steps, (size_t)count, sizeof *steps, by_turn);
    *out = steps, *out_count = count;
    return true;
}

static bool make_step(Wisher *w, const SeparationWishes *wishes, Step step, Error *err)
{
    switch (step.kind) {
    case STEP_SAME:
        return make_same(w, &wishes->same[step.index], err);
    case STEP_PLACE:
        return make_place(w, &wishes->places[step.index], err);
    case STEP_LEFT_OUT:
        return make_left_out(w, wishes->left_out[step.index], err);
    }
    return true;
}

static void remember_grounds_paint(WishTable *t)
{
    for (int32_t i = 0; i < t->runs.part_count; i++) {
        Part *p = &t->runs.parts[i];
        const Run *first = &t->runs.runs[p->first_run];
        size_t pixel = (size_t)p->y0 * (size_t)t->runs.width_px + (size_t)first->x0;
        if (p->label == LABEL_CLEAR) p->label = t->label[pixel] | IS_GROUND;
    }
}

// Areas of the ground forget their paint; the map is written and its regions are found anew.
static bool settle(WishTable *t, Work *work, Error *err)
{
    for (int32_t i = 0; i < t->runs.part_count; i++)
        if (is_ground(t->runs.parts[i].label)) t->runs.parts[i].label = LABEL_CLEAR;
    return write_areas(t, work, err) && find_areas(t, work, err);
}

bool wishes_any(const SeparationWishes *wishes)
{
    return wishes->same_count > 0 || wishes->place_count > 0 || wishes->left_out_count > 0;
}

bool wish_apply(const SeparationWishes *wishes, const WishNotes *notes, Work *work, WishTable *table, Error *err)
{
    Wisher w = {.table = table, .notes = notes, .work = work, .runs = &table->runs};
    Step *steps = NULL;
    int count = 0;
    for (int i = 0; i < 256; i++) w.counts_as[i] = (uint8_t)i;
    if (!make_room_for_near(&w, err)) return false;
    if (!order_steps(wishes, &work->scratch, &steps, &count, err)) return false;
    remember_grounds_paint(table);
    for (int i = 0; i < count; i++)
        if (!work_goes_on(work, err) || !make_step(&w, wishes, steps[i], err)) return false;
    return hold_papers_at_ground(&w, err) && settle(table, work, err);
}
