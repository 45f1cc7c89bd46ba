// label_strip.c - see label_strip.h.
// How:  along every edge of the face, and of what is hidden, that bounds a place where something may be written, the
//       width of that place is looked at straight across, every other millimetre; the middles make up a line. Windows
//       of this line that are long enough are tried, the widest first, with the letters' own strokes.
#include "mark/label_strip.h"

#include <math.h>
#include <stdlib.h>

#define STEP_MM 2.0      // between two looks: narrower places than a letter do not matter
#define INSIDE_UM 60.0   // a look begins so far from the edge
#define REACH_MM 14.0    // how far it goes: wider places have been looked at before
#define JUMP_MM 5.0      // middles farther apart belong to two strips
#define TANGENT_MM 3.0   // on either side of a letter: its strip's direction there
#define ROW_APART_MM 0.5 // from edges, besides the margin that these have already
#define CLOSEST_SHARE 0.9 // of the straight distance between letters
#define TURN_COSINE 0.9   // from one letter to the next: about 25 degrees
#define SPARE_COUNTS_UM 1000.0 // a strip that is wider still is no better a place: its middle is
#define SPARE_STEP_UM 250.0    // less makes no difference: then again the middle is better
#define TRIES 12         // of windows, for one size and form

typedef struct Middle {
    double x, y, width_um;
    double along_mm; // from the first middle of its run
} Middle;

typedef struct Strips {
    Middle *items;   // runs one after the other: `along_mm` is 0 where one begins
    size_t count, capacity;
    Arena *arena;
    bool goes_on;    // the next middle may belong to the same run
} Strips;

// ---- the middles of strips ----

// To the side of edge a-b where the room is; false when neither is.
static bool way_in(Room *room, Point p, Point a, Point b, Way *out)
{
    double x = (double)b.x - a.x, y = (double)b.y - a.y, length = sqrt(x * x + y * y);
    for (int side = 1; side >= -1; side -= 2) {
        *out = (Way){side * -y / length, side * x / length};
        Point q = {(int32_t)llround(p.x + INSIDE_UM * out->x), (int32_t)llround(p.y + INSIDE_UM * out->y)};
        if (cover_contains(room->face, q) && cover_contains(room->safe, q)) return true;
    }
    return false;
}

static bool add_middle(Strips *strips, double x, double y, double width_um)
{
    Middle *last = strips->count > 0 ? &strips->items[strips->count - 1] : NULL;
    double along = 0.0;
    if (last && strips->goes_on) {
        double step = sqrt((x - last->x) * (x - last->x) + (y - last->y) * (y - last->y)) / UM_PER_MM;
        if (step == 0.0) return true;
        along = step <= JUMP_MM ? last->along_mm + step : 0.0;
    }
    Middle *room = arena_grow(strips->arena, strips->items, strips->count, &strips->capacity, sizeof *room);
    if (!room) return false;
    strips->items = room;
    strips->items[strips->count++] = (Middle){x, y, width_um, along};
    strips->goes_on = true;
    return true;
}

static bool look_across(Room *room, Point p, Point a, Point b, Strips *strips)
{
    Way in;
    double back, ahead;
    double x, y;
    bool found = way_in(room, p, a, b, &in);
    if (found) {
        x = p.x + INSIDE_UM * in.x;
        y = p.y + INSIDE_UM * in.y;
        found = room_reach(room, x, y, in, REACH_MM * UM_PER_MM, &back, &ahead);
    }
    if (!found) {
        strips->goes_on = false;
        return true;
    }
    double shift = (ahead - back) / 2.0;
    return add_middle(strips, x + shift * in.x, y + shift * in.y, back + ahead);
}

// All looks from the edges of one cover where they lie in the other one.
static bool look_from(Room *room, const Cover *from, const Cover *other, Strips *strips, Work *work, Error *err)
{
    double next_mm = 0.0; // from the start of the edge
    strips->goes_on = false;
    for (int i = 0; i < from->edge_count; i++) {
        Point a = from->edges[i].a, b = from->edges[i].b;
        double length = point_distance_mm(a, b);
        Box box = box_empty();
        if (i % 256 == 0 && !work_goes_on(work, err)) return false;
        if (i == 0 || !point_equal(a, from->edges[i - 1].b)) next_mm = 0.0, strips->goes_on = false;
        box_add(&box, a);
        box_add(&box, b);
        for (; next_mm < length; next_mm += STEP_MM) {
            double t = next_mm / length;
            Point p = {(int32_t)llround(a.x + t * ((double)b.x - a.x)), (int32_t)llround(a.y + t * ((double)b.y - a.y))};
            if (!box_overlap(box, other->box) || !cover_contains(other, p)) strips->goes_on = false;
            else if (!look_across(room, p, a, b, strips)) return error_memory(err);
        }
        next_mm -= length;
    }
    return true;
}

static bool strips_find(Room *room, Arena *arena, Work *work, Strips *out, Error *err)
{
    *out = (Strips){.arena = arena};
    return look_from(room, room->face, room->safe, out, work, err) &&
           look_from(room, room->safe, room->face, out, work, err);
}

// ---- letters along a strip ----

typedef struct Window { // of one run: from first to last
    size_t first, last;
    double spare_um;    // width beyond what is needed, as far as it counts
    double off_mm;      // from the middle of the run
} Window;

static int by_room(const void *a, const void *b)
{
    const Window *one = a, *two = b;
    if (one->spare_um != two->spare_um) return one->spare_um > two->spare_um ? -1 : 1;
    if (one->off_mm != two->off_mm) return one->off_mm < two->off_mm ? -1 : 1;
    return (one->first > two->first) - (one->first < two->first);
}

static double run_length_mm(const Strips *strips, size_t i)
{
    while (i + 1 < strips->count && strips->items[i + 1].along_mm > 0.0) i++;
    return strips->items[i].along_mm;
}

// The shortest window from a middle on that is at least length_mm long; false when its run ends before, or is narrower
// than needed.
static bool window_from(const Strips *strips, size_t first, double length_mm, double needed_um, Window *out)
{
    double least_um = strips->items[first].width_um, from_mm = strips->items[first].along_mm;
    size_t last = first;
    while (least_um >= needed_um && strips->items[last].along_mm - from_mm < length_mm) {
        last++;
        if (last == strips->count || strips->items[last].along_mm == 0.0) return false;
        least_um = fmin(least_um, strips->items[last].width_um);
    }
    double steps = floor(fmin(least_um - needed_um, SPARE_COUNTS_UM) / SPARE_STEP_UM);
    *out = (Window){.first = first, .last = last, .spare_um = steps * SPARE_STEP_UM};
    return least_um >= needed_um;
}

// Windows from each middle on, the roomiest first; NULL when memory ran out.
static Window *windows_of(const Strips *strips, double length_mm, double needed_um, Arena *arena, size_t *out_count)
{
    Window *windows = arena_new(arena, Window, strips->count);
    double run_mm = 0.0;
    *out_count = 0;
    for (size_t i = 0; windows && i < strips->count; i++) {
        Window window;
        if (strips->items[i].along_mm == 0.0) run_mm = run_length_mm(strips, i);
        if (!window_from(strips, i, length_mm, needed_um, &window)) continue;
        window.off_mm = fabs(strips->items[i].along_mm + length_mm / 2.0 - run_mm / 2.0);
        windows[(*out_count)++] = window;
    }
    if (windows) qsort(windows, *out_count, sizeof *windows, by_room);
    return windows;
}

static void middle_at(const Strips *strips, const Window *window, double along_mm, double *x, double *y)
{
    size_t i = window->first;
    while (i + 1 < window->last && strips->items[i + 1].along_mm < along_mm) i++;
    const Middle *a = &strips->items[i], *b = &strips->items[i + 1];
    double t = fmin(fmax((along_mm - a->along_mm) / (b->along_mm - a->along_mm), 0.0), 1.0);
    *x = a->x + t * (b->x - a->x);
    *y = a->y + t * (b->y - a->y);
}

// The direction between two places of the strip, in which the text runs.
static Way way_between(const Strips *strips, const Window *window, double from_mm, double to_mm)
{
    double x0, y0, x1, y1;
    middle_at(strips, window, from_mm, &x0, &y0);
    middle_at(strips, window, to_mm, &x1, &y1);
    double length = sqrt((x1 - x0) * (x1 - x0) + (y1 - y0) * (y1 - y0));
    return length > 0.0 ? (Way){(x1 - x0) / length, (y1 - y0) / length} : (Way){1.0, 0.0};
}

// A row runs from left to right, or upwards where it is steep; a stack runs downwards, or to the right where it is level.
static bool runs_back(Way way, WordForm form)
{
    if (form == WORD_ROW) return fabs(way.x) > 0.25 * fabs(way.y) ? way.x < 0.0 : way.y > 0.0;
    return fabs(way.y) > 0.25 * fabs(way.x) ? way.y < 0.0 : way.x < 0.0;
}

// The word from the window's start on; as word_places lays it straight, but along the strip.
static void places_along(const Word *word, WordForm form, const Strips *strips, const Window *window, double length_mm,
                         LetterPlace *out)
{
    LetterPlace straight[LABEL_LETTERS_MAX];
    double start = strips->items[window->first].along_mm, middle = start + length_mm / 2.0;
    bool back = runs_back(way_between(strips, window, start, start + length_mm), form);
    word_places(word, form, 0.0, 0.0, (Way){0.0, -1.0}, straight);
    for (int i = 0; i < word->letter_count; i++) {
        double along = (form == WORD_ROW ? straight[i].x : straight[i].y) / UM_PER_MM;
        double below = form == WORD_ROW ? straight[i].y : 0.0, at = middle + (back ? -along : along);
        Way way = back ? way_between(strips, window, at + TANGENT_MM, at - TANGENT_MM)
                       : way_between(strips, window, at - TANGENT_MM, at + TANGENT_MM);
        Way up = form == WORD_ROW ? (Way){way.y, -way.x} : (Way){-way.x, -way.y};
        middle_at(strips, window, at, &out[i].x, &out[i].y);
        out[i].x -= below * up.x;
        out[i].y -= below * up.y;
        out[i].up = up;
    }
}

// Where the strip's middle turns sharply letters would run into one another.
static bool reads_well(const Word *word, WordForm form, const LetterPlace *letters)
{
    LetterPlace straight[LABEL_LETTERS_MAX];
    word_places(word, form, 0.0, 0.0, (Way){0.0, -1.0}, straight);
    for (int i = 1; i < word->letter_count; i++) {
        const LetterPlace *a = &letters[i - 1], *b = &letters[i];
        double dx = b->x - a->x, dy = b->y - a->y;
        double sx = straight[i].x - straight[i - 1].x, sy = straight[i].y - straight[i - 1].y;
        if (dx * dx + dy * dy < CLOSEST_SHARE * CLOSEST_SHARE * (sx * sx + sy * sy)) return false;
        if (a->up.x * b->up.x + a->up.y * b->up.y < TURN_COSINE) return false;
    }
    return true;
}

static bool is_near_tried(const Window *windows, const size_t *tried, int count, size_t index)
{
    for (int i = 0; i < count; i++) {
        size_t a = windows[tried[i]].first, b = windows[index].first;
        if ((a > b ? a - b : b - a) < 2) return true;
    }
    return false;
}

// One size and form, at the widest windows.
static bool try_word(const Word *word, WordForm form, double apart_mm, const Strips *strips, Room *room, Arena *keep,
                     Arena *own, Label *out, Error *err)
{
    double half_x, half_y;
    word_half_size(word, form, &half_x, &half_y);
    double length_mm = 2.0 * (form == WORD_ROW ? half_x : half_y) / UM_PER_MM;
    double wide_um = 2.0 * (form == WORD_ROW ? half_y : half_x) + 2.0 * apart_mm * UM_PER_MM;
    size_t count, tried[TRIES];
    int tries = 0;
    Window *windows = windows_of(strips, length_mm, wide_um, own, &count);
    Curve *curves = arena_new(own, Curve, word->path.curve_count);
    if (!windows || !curves) return error_memory(err);
    for (size_t i = 0; i < count && tries < TRIES; i++) {
        LetterPlace letters[LABEL_LETTERS_MAX];
        if (is_near_tried(windows, tried, tries, i)) continue;
        tried[tries++] = i;
        places_along(word, form, strips, &windows[i], length_mm, letters);
        word_curves(word, letters, curves);
        if (reads_well(word, form, letters) && room_takes(room, curves, word->path.curve_count))
            return label_set(word, letters, room->over_lines, keep, out, err);
    }
    return true;
}

static bool try_all(const Word words[LABEL_SIZES], Room *room, Arena *keep, Arena *own, Work *work, Label *out, Error *err)
{
    for (int across = 0; across <= 1; across++) {
        Strips strips;
        room->over_lines = across;
        if (!strips_find(room, own, work, &strips, err)) return false;
        for (int size = 0; size < LABEL_SIZES; size++)
            if (!try_word(&words[size], WORD_ROW, ROW_APART_MM, &strips, room, keep, own, out, err) || out->found)
                return out->found;
        if (!try_word(&words[LABEL_SIZES - 1], WORD_STACK, 0.0, &strips, room, keep, own, out, err) || out->found)
            return out->found;
    }
    return true;
}

bool label_find_strip(const Word words[LABEL_SIZES], const LabelPlace *place, Arena *keep, Work *work, Label *out,
                      Error *err)
{
    Arena own = arena_make(work->scratch.budget_bytes); // work's is rewound by what is called here
    Room room = place->room;
    bool done = try_all(words, &room, keep, &own, work, out, err);
    arena_free(&own);
    if (done && room.failed) done = error_memory(err);
    return done;
}
