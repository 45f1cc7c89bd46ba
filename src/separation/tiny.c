// tiny.c - see tiny.h.
#include "separation/tiny.h"

#include "base/text.h"
#include "separation/grow.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define NEAR_PX 1.0     // a place this far beside a speck's box still means it
#define NEAR_SHARE 0.25 // or this share of the limit, as a listed place shifts a little when the figure's box does
#define ROWS_PER_LOOK 64

typedef struct Want {
    int32_t part;         // that it was found to mean in this round; -1
    bool is_met, is_lost; // lost: a later wish says otherwise
} Want;

typedef struct Round {
    TinyTable *table;
    const WishNotes *notes;
    Work *work;
    Want *wants;
    Runs fresh; // the regions before any join
    bool keeps_more;
    bool grows;
} Round;

static void fate_words(const TinyWish *wish, char out[WISH_WORDS_MAX])
{
    char place[WISH_WORDS_MAX];
    wish_place_words(wish->x, wish->y, place);
    const char *fate = wish->fate == TINY_KEEP ? "kept" : wish->fate == TINY_ENLARGE ? "enlarged" : "drawn by pen";
    snprintf(out, WISH_WORDS_MAX, "the tiny part at %.50s, %s", place, fate);
}

static void place_px(const TinyTable *t, const TinyWish *wish, double *x, double *y)
{
    double height = t->wish_box_px[3] - t->wish_box_px[1];
    *x = t->wish_box_px[0] + wish->x * height;
    *y = t->wish_box_px[1] + wish->y * height;
}

static bool note(const Round *r, int wish, const char *kind, const char *what, Error *err)
{
    const TinyTable *t = r->table;
    char words[WISH_WORDS_MAX];
    double x, y;
    int32_t px, py;
    fate_words(&t->wishes->tiny[wish], words);
    place_px(t, &t->wishes->tiny[wish], &x, &y);
    bool inside = wish_pixel(t->wish_box_px, &t->runs, t->wishes->tiny[wish].x, t->wishes->tiny[wish].y, &px, &py);
    return wish_note(r->notes, kind, words, what, inside ? x : r->notes->middle_px[0],
                     inside ? y : r->notes->middle_px[1], err);
}

// ---- which speck a wish means ----

static double beside(double from, double to, double at)
{
    return at < from ? from - at : at > to ? at - to : 0.0;
}

// Index of the speck whose box is nearest to the place, then whose middle is; -1 when none is near.
static ptrdiff_t find_speck(const TinyTable *t, const TinyWish *wish)
{
    double x, y, best_beside = fmax(NEAR_PX, NEAR_SHARE * t->limits->part_px), best_off = INFINITY;
    ptrdiff_t best = -1;
    place_px(t, wish, &x, &y);
    if (!isfinite(x) || !isfinite(y)) return -1;
    for (size_t i = 0; i < t->specks.count; i++) {
        const Speck *s = &t->specks.items[i];
        double half_width = s->width_px / 2.0, half_height = s->height_px / 2.0;
        double out = fmax(beside(s->x_px - half_width, s->x_px + half_width, x),
                          beside(s->y_px - half_height, s->y_px + half_height, y));
        double off = fmax(fabs(s->x_px - x), fabs(s->y_px - y));
        bool wins = out < best_beside || (out == best_beside && off < best_off);
        if (out > best_beside || (best >= 0 && !wins)) continue;
        best = (ptrdiff_t)i, best_beside = out, best_off = off;
    }
    return best;
}

static bool meet_want(Round *r, int wish, Speck *speck, Error *err)
{
    TinyTable *t = r->table;
    int32_t part = r->fresh.runs[speck->first_run].part;
    Srgb8 colour = t->ground_colour;
    r->wants[wish] = (Want){.part = part, .is_met = true};
    switch (t->wishes->tiny[wish].fate) {
    case TINY_KEEP:
    case TINY_ENLARGE:
        r->fresh.parts[part].flags |= PART_KEPT;
        r->keeps_more = true;
        r->grows |= t->wishes->tiny[wish].fate == TINY_ENLARGE;
        return true;
    case TINY_PEN:
        if (speck->from >= LABEL_FIRST) colour = t->palette->colours[speck->from - LABEL_FIRST].colour;
        speck->is_drawn = true;
        r->fresh.parts[part].flags |= PART_DRAWN;
        return part_draw(&r->fresh, part, colour, r->notes->keep, r->work, &t->drawn, err);
    }
    return true;
}

// Of several wishes for one part the last one counts.
static bool is_overruled(const Round *r, const ptrdiff_t *specks, int wish, bool *says_otherwise)
{
    const TinyTable *t = r->table;
    for (int i = wish + 1; i < t->wishes->tiny_count; i++) {
        if (specks[i] < 0) continue;
        int32_t mine = r->fresh.runs[t->specks.items[specks[wish]].first_run].part;
        if (r->fresh.runs[t->specks.items[specks[i]].first_run].part != mine) continue;
        *says_otherwise = t->wishes->tiny[i].fate != t->wishes->tiny[wish].fate;
        return true;
    }
    return false;
}

static bool meet_wants(Round *r, Error *err)
{
    TinyTable *t = r->table;
    int count = t->wishes->tiny_count;
    ptrdiff_t *specks = arena_new(&r->work->scratch, ptrdiff_t, count);
    if (!specks) return error_memory(err);
    r->keeps_more = r->grows = false;
    for (int i = 0; i < count; i++) {
        if (!work_goes_on(r->work, err)) return false;
        r->wants[i].part = -1;
        specks[i] = r->wants[i].is_met ? -1 : find_speck(t, &t->wishes->tiny[i]);
    }
    for (int i = 0; i < count; i++) {
        if (specks[i] < 0) continue;
        bool says_otherwise;
        if (is_overruled(r, specks, i, &says_otherwise))
            r->wants[i] = (Want){.part = -1, .is_met = true, .is_lost = says_otherwise};
        else if (!meet_want(r, i, &t->specks.items[specks[i]], err))
            return false;
    }
    return true;
}

// ---- enlarging ----

static void hold_kept_parts(Round *r)
{
    const Runs *runs = &r->fresh;
    for (int32_t part = 0; part < runs->part_count; part++) {
        if (!(runs->parts[part].flags & PART_KEPT)) continue;
        for (int32_t i = runs->parts[part].first_run; i >= 0; i = runs->runs[i].next) {
            uint8_t *row = r->table->label + (size_t)runs_row_of(runs, i) * (size_t)runs->width_px;
            for (int32_t x = runs->runs[i].x0; x < runs->runs[i].x1; x++) row[x] |= GROW_HELD;
        }
    }
}

static bool let_go(Round *r, Error *err)
{
    for (int32_t y = 0; y < r->fresh.height_px; y++) {
        if (y % ROWS_PER_LOOK == 0 && !work_goes_on(r->work, err)) return false;
        uint8_t *row = r->table->label + (size_t)y * (size_t)r->fresh.width_px;
        for (int32_t x = 0; x < r->fresh.width_px; x++) row[x] &= (uint8_t)~GROW_HELD;
    }
    return true;
}

static bool enlarge(Round *r, Error *err)
{
    TinyTable *t = r->table;
    hold_kept_parts(r);
    for (int i = 0; i < t->wishes->tiny_count; i++) {
        if (r->wants[i].part < 0 || t->wishes->tiny[i].fate != TINY_ENLARGE) continue;
        bool is_enough;
        if (!part_grow(&r->fresh, r->wants[i].part, t->limits, t->box_px, t->label, r->work, &is_enough, err))
            return false;
        if (!is_enough && !note(r, i, WISH_NOT_KEPT,
                                "there is no room for it to grow as large as can be handled; it "
                                "stays smaller",
                                err))
            return false;
    }
    if (!let_go(r, err)) return false;
    Runs before = r->fresh;
    if (!runs_make(t->label, before.width_px, before.height_px, &r->work->scratch, r->work, &r->fresh, err))
        return false;
    return runs_carry_flags(&before, &r->fresh, r->work, err);
}

// ---- the rounds ----

static bool copy_runs(const Runs *from, Arena *arena, Runs *out, Error *err)
{
    *out = *from;
    out->runs = arena_copy(arena, from->runs, (size_t)from->run_count, sizeof *from->runs);
    out->parts = arena_copy(arena, from->parts, (size_t)from->part_count, sizeof *from->parts);
    return (out->runs && out->parts) || error_memory(err);
}

static bool go_round(Round *r, Error *err)
{
    TinyTable *t = r->table;
    Arena *arena = &r->work->scratch;
    do {
        if (!copy_runs(&r->fresh, arena, &t->runs, err)) return false;
        if (!despeckle(&t->runs, t->palette, t->limits, arena, r->work, &t->specks, err)) return false;
        if (!meet_wants(r, err)) return false;
        if (r->grows && !enlarge(r, err)) return false;
    } while (r->keeps_more);
    return true;
}

static bool note_unmet(const Round *r, Error *err)
{
    for (int i = 0; i < r->table->wishes->tiny_count; i++) {
        const Want *want = &r->wants[i];
        if (!want->is_met && !note(r, i, WISH_WITHOUT_TARGET, "there is no tiny part at this size", err)) return false;
        if (want->is_lost && !note(r, i, WISH_NOT_KEPT, "a later edit says otherwise", err)) return false;
    }
    return true;
}

bool tiny_clean_up(TinyTable *table, const WishNotes *notes, Work *work, Error *err)
{
    table->specks = (Specks){0};
    table->drawn = (PenDetails){0};
    if (table->wishes->tiny_count <= 0)
        return despeckle(&table->runs, table->palette, table->limits, &work->scratch, work, &table->specks, err);
    uint8_t same[256];
    for (int i = 0; i < 256; i++) same[i] = (uint8_t)i;
    if (!runs_write_labels(&table->runs, same, table->label, work, err)) return false;
    Round r = {.table = table, .notes = notes, .work = work, .fresh = table->runs};
    r.wants = arena_new(&work->scratch, Want, table->wishes->tiny_count);
    if (!r.wants) return error_memory(err);
    return go_round(&r, err) && note_unmet(&r, err);
}
