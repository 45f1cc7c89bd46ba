// pair.c - see pair.h.
#include "nest/pair.h"

#include <math.h>
#include <stdlib.h>

#define CELLS 64                // shifts along a line, in one word
#define ALL (~UINT64_C(0))
#define OPPOSITE 1e-9           // of a sine and a cosine
#define LOOKS_BETWEEN_TESTS 256 // of work_goes_on: each takes a few microseconds

// --- lines ---

static int by_value(const void *a, const void *b)
{
    float x = *(const float *)a, y = *(const float *)b;
    return (x > y) - (x < y);
}

static bool fits(const Cast *cast, const PairAsk *ask)
{
    return cast->hull_x1 - cast->hull_x0 <= ask->width_mm + 2 * ask->over_mm && cast->hull_y1 - cast->hull_y0 <= ask->height_mm + 2 * ask->over_mm;
}

// Crossings of a line with the edges of the cover, sorted.
static int cross_line(const Cast *cast, double y, float *out)
{
    int count = 0;
    const Solid *solid = cast->solid;
    for (int i = 0; i < solid->corner_count; i++) {
        Dot a = cast->corners[i], b = cast->corners[solid->next[i]];
        if ((a.y <= y) == (b.y <= y)) continue;
        out[count++] = (float)(a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x));
    }
    if (count == 2 && out[0] > out[1]) {
        float kept = out[0];
        out[0] = out[1];
        out[1] = kept;
    } else if (count > 2) qsort(out, (size_t)count, sizeof *out, by_value);
    return count;
}

static bool cut(const Cast *cast, double line_mm, float *crossings, Arena *keep, Lines *out, Error *err)
{
    *out = (Lines){.turn = {cast->cos, cast->sin}, .x0 = cast->hull_x0, .y0 = cast->hull_y0, .x1 = cast->hull_x1, .y1 = cast->hull_y1};
    out->first = (int)floor(cast->y0 / line_mm);
    out->count = (int)ceil(cast->y1 / line_mm) - out->first;
    out->span_first = arena_new(keep, int, out->count + 1);
    if (!out->span_first) return error_memory(err);
    size_t count = 0, capacity = 0;
    for (int k = 0; k < out->count; k++) {
        out->span_first[k] = (int)count;
        int found = cross_line(cast, (out->first + k + 0.5) * line_mm, crossings);
        for (int i = 0; i + 1 < found; i += 2) {
            Span *spans = arena_grow(keep, out->spans, count, &capacity, sizeof *spans);
            if (!spans) return error_memory(err);
            out->spans = spans;
            spans[count++] = (Span){crossings[i], crossings[i + 1]};
        }
    }
    out->span_first[out->count] = (int)count;
    return true;
}

static bool has_opposite(const Lines *turns, int count, Fit turn)
{
    for (int t = 0; t < count; t++)
        if (fabs(turns[t].turn.cos + turn.cos) < OPPOSITE && fabs(turns[t].turn.sin + turn.sin) < OPPOSITE) return true;
    return false;
}

bool pair_lines(const Solid *solid, const Fit *turns, int turn_count, const PairAsk *ask, Arena *keep, Work *work, Lined *out, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Cast cast;
    float *crossings = arena_new(&work->scratch, float, solid->corner_count);
    *out = (Lined){.turns = arena_new(keep, Lines, turn_count)};
    if (!crossings || !out->turns) return error_memory(err);
    if (!cast_open(solid->corner_count, &work->scratch, &cast, err)) return false;
    for (int t = 0; t < turn_count; t++) {
        if (!work_goes_on(work, err)) return false;
        cast_turn(solid, turns[t], &cast);
        if (!fits(&cast, ask)) continue;
        Lines *lines = &out->turns[out->count];
        if (!cut(&cast, ask->line_mm, crossings, keep, lines, err)) return false;
        lines->is_opposite = has_opposite(out->turns, out->count++, turns[t]);
    }
    arena_rewind(&work->scratch, mark);
    return true;
}

// --- two turns ---

typedef struct Shifts {         // of b against a, at which both lie in the room
    double x0, x1, y0, y1;
} Shifts;

static Shifts shifts_of(const Lines *a, const Lines *b, const PairAsk *ask)
{
    double over = 2 * ask->over_mm; // both
    return (Shifts){-b->x0 - ask->width_mm + a->x1 - over, ask->width_mm - b->x1 + a->x0 + over, -b->y0 - ask->height_mm + a->y1 - over,
                    ask->height_mm - b->y1 + a->y0 + over};
}

static uint64_t cells_from_to(int first, int end)
{
    return (ALL >> (CELLS - end + first)) << first;
}

// Cells that lie wholly between two places, measured in cells.
static uint64_t cells_between(float low, float high)
{
    if (high < 1.0f || low > (float)(CELLS - 1)) return 0;
    int first = low <= 0.0f ? 0 : (int)low + (low > (float)(int)low), end = high >= (float)CELLS ? CELLS : (int)high;
    return first < end ? cells_from_to(first, end) : 0;
}

// The free cells at one height; the line that was in the way last goes first.
static uint64_t free_cells(const Lines *a, const Lines *b, int up, float from, float a_cell, int *in_the_way)
{
    int first = a->first > b->first + up ? a->first : b->first + up;
    int end = a->first + a->count < b->first + b->count + up ? a->first + a->count : b->first + b->count + up;
    uint64_t free = ALL;
    float per = 1.0f / a_cell;
    if (first >= end) return free;
    int k = *in_the_way < first || *in_the_way >= end ? first : *in_the_way;
    for (int n = first; n < end; n++, k = k + 1 < end ? k + 1 : first) {
        const int *of_a = &a->span_first[k - a->first], *of_b = &b->span_first[k - up - b->first];
        for (int s = of_a[0]; s < of_a[1]; s++)
            for (int t = of_b[0]; t < of_b[1]; t++)
                free &= ~cells_between((a->spans[s].from - b->spans[t].to - from) * per, (a->spans[s].to - b->spans[t].from - from) * per);
        if (free) continue;
        *in_the_way = k;
        return 0;
    }
    return free;
}

// The longest run of free cells: how long, and its middle.
static int longest_run(uint64_t free, double *middle)
{
    int best = 0;
    *middle = 0;
    for (int i = 0; i < CELLS;) {
        if (!(free >> i & 1)) {
            i++;
            continue;
        }
        int end = i;
        while (end < CELLS && free >> end & 1) end++;
        if (end - i > best) best = end - i, *middle = (i + end) / 2.0;
        i = end;
    }
    return best;
}

static double between(double v, double least, double most)
{
    return v < least ? least : v > most ? most : v;
}

// Both as far inside as the shift between them lets them be.
static void set_apart(double room_mm, double a0, double a1, double b0, double b1, double shift, double *a, double *b)
{
    double least = fmax(-a0, -b0 - shift), most = fmin(room_mm - a1, room_mm - b1 - shift);
    *a = (least + most) / 2;
    *b = between(*a + shift, -b0, room_mm - b1);
    *a = between(*a, -a0, room_mm - a1);
}

// What is free at a height, and better so a line higher and lower too: between lines they may meet.
static double room_at(const uint64_t free[3], const Shifts *shifts, double cell, double y, const PairAsk *ask, double *x)
{
    uint64_t safe = free[0] & free[1] & free[2];
    double middle, half = longest_run(safe ? safe : free[1], &middle) * cell / 2, over = 2 * ask->over_mm;
    *x = shifts->x0 + middle * cell;
    double room = fmin(*x + half, shifts->x1 - over) - fmax(*x - half, shifts->x0 + over);
    room -= fmax(0, fmax(shifts->y0 + over - y, y - (shifts->y1 - over)));
    return safe ? room : room - ask->line_mm;
}

// The best height of two turns. False when there is none.
static bool look(const Lines *a, const Lines *b, const PairAsk *ask, int *in_the_way, PairSpot *out)
{
    Shifts shifts = shifts_of(a, b, ask);
    if (shifts.x0 > shifts.x1 || shifts.y0 > shifts.y1) return false;
    double cell = fmax((shifts.x1 - shifts.x0) / CELLS, 1e-6), best_x = 0, best_y = 0;
    int low = (int)ceil(shifts.y0 / ask->line_mm - 0.5), high = (int)floor(shifts.y1 / ask->line_mm + 0.5);
    uint64_t free[3] = {0, ALL, low <= high ? free_cells(a, b, low, (float)shifts.x0, (float)cell, in_the_way) : 0};
    *out = (PairSpot){.a = a, .b = b, .room_mm = -INFINITY};
    for (int up = low; up <= high; up++) {
        free[0] = free[1];
        free[1] = free[2];
        free[2] = up < high ? free_cells(a, b, up + 1, (float)shifts.x0, (float)cell, in_the_way) : ALL;
        if (!free[1]) continue;
        double x, y = up * ask->line_mm, room = room_at(free, &shifts, cell, y, ask, &x);
        if (room <= out->room_mm) continue;
        out->room_mm = room;
        best_x = x;
        best_y = y;
    }
    if (out->room_mm == -INFINITY) return false;
    set_apart(ask->width_mm, a->x0, a->x1, b->x0, b->x1, best_x, &out->ax, &out->bx);
    set_apart(ask->height_mm, a->y0, a->y1, b->y0, b->y1, best_y, &out->ay, &out->by);
    return true;
}

// --- all turns ---

static void keep_spot(PairSpot *kept, int *count, int most, const PairSpot *spot)
{
    int k = *count < most ? (*count)++ : most - 1;
    if (k == most - 1 && kept[k].a && kept[k].room_mm >= spot->room_mm) return;
    for (; k > 0 && kept[k - 1].room_mm < spot->room_mm; k--) kept[k] = kept[k - 1];
    kept[k] = *spot;
}

bool pair_find(const Lined *a, const Lined *b, const PairAsk *ask, int most, Work *work, PairSpot *out, int *out_count, int64_t *looks,
               Error *err)
{
    int in_the_way = 0;
    int64_t end = *looks + ask->most_looks;
    *out_count = 0;
    for (int k = 0; k < most; k++) out[k] = (PairSpot){0};
    for (int i = 0; i < a->count; i++) {
        if (ask->halves_alike && a->turns[i].is_opposite) continue;
        for (int j = 0; j < b->count; j++) {
            PairSpot spot;
            if (*looks >= end) return true;
            if ((*looks)++ % LOOKS_BETWEEN_TESTS == 0 && !work_goes_on(work, err)) return false;
            if (!look(&a->turns[i], &b->turns[j], ask, &in_the_way, &spot)) continue;
            keep_spot(out, out_count, most, &spot);
            if (spot.room_mm >= ask->enough_mm) return true;
        }
    }
    return true;
}
