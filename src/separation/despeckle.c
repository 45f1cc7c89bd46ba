// despeckle.c - see despeckle.h.
#include "separation/despeckle.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define JOINS_PER_LOOK 1024
#define CIRCLE_SLACK_PX 1e-7 // rounding of the circle through three corners

// ---- smallest enclosing circle ----

typedef struct Circle {
    double x, y, radius;
} Circle;

typedef struct Corner {
    double x, y;
} Corner;

// Not hypot, whose last bit differs from one C library to the next: these lengths decide.
static double length_px(double x, double y)
{
    return sqrt(x * x + y * y);
}

static bool circle_holds(Circle c, Corner p)
{
    return length_px(p.x - c.x, p.y - c.y) <= c.radius + CIRCLE_SLACK_PX;
}

static Circle circle_of_two(Corner a, Corner b)
{
    return (Circle){(a.x + b.x) / 2.0, (a.y + b.y) / 2.0, length_px(a.x - b.x, a.y - b.y) / 2.0};
}

static Circle circle_of_three(Corner a, Corner b, Corner c)
{
    double bx = b.x - a.x, by = b.y - a.y, cx = c.x - a.x, cy = c.y - a.y;
    double twice = 2.0 * (bx * cy - by * cx);
    if (twice == 0.0) { // on one line: the two farthest apart
        Circle ab = circle_of_two(a, b), ac = circle_of_two(a, c), bc = circle_of_two(b, c);
        Circle widest = ab.radius > ac.radius ? ab : ac;
        return widest.radius > bc.radius ? widest : bc;
    }
    double b2 = bx * bx + by * by, c2 = cx * cx + cy * cy;
    double ux = (cy * b2 - by * c2) / twice, uy = (bx * c2 - cx * b2) / twice;
    return (Circle){a.x + ux, a.y + uy, length_px(ux, uy)};
}

static Circle circle_with_two(const Corner *p, int count, Corner a, Corner b)
{
    Circle c = circle_of_two(a, b);
    for (int i = 0; i < count; i++)
        if (!circle_holds(c, p[i])) c = circle_of_three(a, b, p[i]);
    return c;
}

static Circle circle_with_one(const Corner *p, int count, Corner a)
{
    Circle c = {a.x, a.y, 0.0};
    for (int i = 0; i < count; i++)
        if (!circle_holds(c, p[i])) c = circle_with_two(p, i, a, p[i]);
    return c;
}

static Circle smallest_circle(const Corner *p, int count)
{
    Circle c = {p[0].x, p[0].y, 0.0};
    for (int i = 1; i < count; i++)
        if (!circle_holds(c, p[i])) c = circle_with_one(p, i, p[i]);
    return c;
}

// Grows the circle by the corner that sticks out farthest until none does: few corners ever take part.
double part_circle_px(const Runs *runs, int32_t part, double enough_px)
{
    enum { MOST_CORNERS = 64 };
    Corner used[MOST_CORNERS];
    int count = 0;
    const Part *p = &runs->parts[part];
    Circle c = {(p->x0 + p->x1) / 2.0, (p->y0 + p->y1) / 2.0, 0.0};
    while (count < MOST_CORNERS) {
        double farthest = c.radius + CIRCLE_SLACK_PX;
        bool sticks_out = false;
        Corner worst = {0};
        for (int32_t i = p->first_run; i >= 0; i = runs->runs[i].next) {
            int32_t y = runs_row_of(runs, i);
            for (int k = 0; k < 4; k++) {
                Corner q = {k & 1 ? runs->runs[i].x1 : runs->runs[i].x0, y + (k >> 1)};
                double distance = length_px(q.x - c.x, q.y - c.y);
                if (distance > farthest) farthest = distance, worst = q, sticks_out = true;
            }
        }
        if (!sticks_out) break;
        used[count++] = worst;
        c = smallest_circle(used, count);
        if (2.0 * c.radius > enough_px + CIRCLE_SLACK_PX) break;
    }
    return 2.0 * c.radius;
}

// ---- which regions are too small ----

bool part_is_speck(const Runs *runs, int32_t part, const SpeckLimits *limits)
{
    const Part *p = &runs->parts[part];
    if (p->flags & PART_KEPT) return false;
    if (p->flags & PART_HALO) return true;
    if (limits->area_px > 0.0) return (double)p->area_px < limits->area_px;
    bool is_hole = p->label == LABEL_CLEAR || p->label == limits->base_label;
    double limit_px = is_hole ? limits->hole_px : limits->part_px;
    double width = p->x1 - p->x0, height = p->y1 - p->y0;
    if (width > limit_px || height > limit_px) return false;
    if (length_px(width, height) <= limit_px) return true;
    return part_circle_px(runs, part, limit_px) <= limit_px + CIRCLE_SLACK_PX;
}

// ---- the queue: one list a size, as specks are small ----

typedef struct Cleaner {
    Runs *runs;
    const Palette *palette;
    const SpeckLimits *limits;
    int32_t *next; // of each part: the next one in the list of its area
    int32_t *head, *tail;
    bool *is_queued;
    int32_t sizes; // lists: areas 0 ... sizes - 1
    int32_t *neighbours;
    int32_t *shared; // of each part: cracks shared with the speck at hand
    size_t neighbour_count, neighbour_capacity;
    int32_t current;
    bool failed;
    Work *work;
} Cleaner;

static int32_t largest_speck_area(const Runs *runs, const SpeckLimits *limits)
{
    double widest = limits->part_px > limits->hole_px ? limits->part_px : limits->hole_px;
    double area = limits->area_px > 0.0 ? limits->area_px : widest * widest;
    double most = (double)runs->width_px * runs->height_px;
    for (int32_t i = 0; i < runs->part_count; i++)
        if (runs->parts[i].flags & PART_HALO && (double)runs->parts[i].area_px > area)
            area = (double)runs->parts[i].area_px;
    return (int32_t)(area < most ? area : most) + 2;
}

// The last list has all larger ones too: slivers that took others' pixels.
static int64_t list_of(const Cleaner *c, int32_t part)
{
    int64_t area = c->runs->parts[part].area_px;
    return area < c->sizes ? area : c->sizes - 1;
}

static void enqueue(Cleaner *c, int32_t part)
{
    int64_t area = list_of(c, part);
    if (c->is_queued[part] || !part_is_speck(c->runs, part, c->limits)) return;
    c->is_queued[part] = true;
    c->next[part] = -1;
    if (c->head[area] < 0)
        c->head[area] = part;
    else
        c->next[c->tail[area]] = part;
    c->tail[area] = part;
}

static bool cleaner_make(Runs *runs, const Palette *palette, const SpeckLimits *limits, Work *work, Cleaner *c,
                         Error *err)
{
    Arena *arena = &work->scratch;
    *c = (Cleaner){.runs = runs, .palette = palette, .limits = limits, .work = work};
    c->sizes = largest_speck_area(runs, limits);
    c->next = arena_new(arena, int32_t, runs->part_count);
    c->shared = arena_new(arena, int32_t, runs->part_count);
    c->is_queued = arena_new(arena, bool, runs->part_count);
    c->head = arena_new(arena, int32_t, c->sizes);
    c->tail = arena_new(arena, int32_t, c->sizes);
    if (!c->next || !c->shared || !c->is_queued || !c->head || !c->tail) return error_memory(err);
    memset(c->head, -1, (size_t)c->sizes * sizeof *c->head);
    for (int32_t i = 0; i < runs->part_count; i++) {
        if (i % JOINS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
        enqueue(c, i);
    }
    return true;
}

// ---- joining ----

static void note_neighbour(void *taker, int32_t neighbour, int32_t cracks)
{
    Cleaner *c = taker;
    if (neighbour < 0 || c->failed) return;
    if (c->shared[neighbour] == 0) {
        int32_t *grown = arena_grow(&c->work->scratch, c->neighbours, c->neighbour_count, &c->neighbour_capacity,
                                    sizeof *c->neighbours);
        c->failed = !grown;
        if (!grown) return;
        c->neighbours = grown;
        c->neighbours[c->neighbour_count++] = neighbour;
    }
    c->shared[neighbour] += cracks;
}

static double difference(const Cleaner *c, uint8_t a, uint8_t b)
{
    // Ground that is transparent is unlike any colour.
    if (a == LABEL_CLEAR) a = c->limits->ground_paint;
    if (b == LABEL_CLEAR) b = c->limits->ground_paint;
    if (a < LABEL_FIRST || b < LABEL_FIRST) return 1e3;
    return lab_difference_2000(c->palette->colours[a - LABEL_FIRST].lab, c->palette->colours[b - LABEL_FIRST].lab);
}

static int32_t choose_receiver(const Cleaner *c, int32_t speck)
{
    const Part *parts = c->runs->parts;
    int32_t best = c->neighbours[0];
    for (size_t i = 1; i < c->neighbour_count; i++) {
        int32_t other = c->neighbours[i];
        if (c->shared[other] != c->shared[best]) {
            if (c->shared[other] > c->shared[best]) best = other;
            continue;
        }
        double d = difference(c, parts[speck].label, parts[other].label);
        double e = difference(c, parts[speck].label, parts[best].label);
        if (d < e || (d == e && other < best)) best = other;
    }
    return best;
}

static bool same_paint(const Cleaner *c, uint8_t a, uint8_t b)
{
    if (a == LABEL_CLEAR) a = c->limits->ground_paint;
    if (b == LABEL_CLEAR) b = c->limits->ground_paint;
    return a == b;
}

// Whether `other`, which the speck touches as well, becomes one with the whole that takes the speck.
static bool unites(const Cleaner *c, const Part *other, const Part *whole)
{
    if (other->label == whole->label) return true;
    if (other->label != LABEL_CLEAR && whole->label != LABEL_CLEAR) return false;
    const Part *paper = other->label == LABEL_CLEAR ? whole : other;
    return !(paper->flags & PART_PAPER) && same_paint(c, other->label, whole->label);
}

// Joins the speck with its receiver, and with the speck's other neighbours of the receiver's colour, which now touch
// it. The receiver takes the others' runs; ground beside the ground's colour makes all of it ground.
static int32_t join(Cleaner *c, int32_t speck, int32_t receiver)
{
    Runs *runs = c->runs;
    Part *whole = &runs->parts[receiver];
    for (size_t i = 0; i < c->neighbour_count; i++) {
        Part *other = &runs->parts[c->neighbours[i]];
        if (c->neighbours[i] == receiver || !unites(c, other, whole)) continue;
        if (other->label == LABEL_CLEAR) whole->label = LABEL_CLEAR;
        bool are_crumbs = part_is_speck(runs, c->neighbours[i], c->limits) && part_is_speck(runs, receiver, c->limits);
        runs_join(runs, c->neighbours[i], receiver);
        bool is_scrap = are_crumbs && whole->flags & PART_SCRAP;
        if (!is_scrap) whole->flags &= (uint8_t)~(PART_HALO | PART_SCRAP); // it is more than that now
    }
    uint8_t flags = whole->flags; // what was said of the speck is not said of the whole
    runs_join(runs, speck, receiver);
    whole->flags = flags;
    return receiver;
}

static bool join_speck(Cleaner *c, int32_t speck, Arena *arena, Specks *out, Error *err)
{
    Part *part = &c->runs->parts[speck];
    c->neighbour_count = 0;
    runs_walk_border(c->runs, speck, note_neighbour, c);
    if (c->failed) return error_memory(err);
    if (c->neighbour_count == 0) return true; // nothing else is there
    int32_t receiver = choose_receiver(c, speck);
    Speck *items = arena_grow(arena, out->items, out->count, &out->capacity, sizeof *items);
    if (!items) return error_memory(err);
    out->items = items;
    items[out->count++] = (Speck){part->area_px,
                                  part->x1 - part->x0,
                                  part->y1 - part->y0,
                                  (part->x0 + part->x1) / 2.0,
                                  (part->y0 + part->y1) / 2.0,
                                  part->first_run,
                                  part->label,
                                  c->runs->parts[receiver].label,
                                  (part->flags & PART_DRAWN) != 0};
    int32_t whole = join(c, speck, receiver);
    for (size_t i = 0; i < c->neighbour_count; i++) c->shared[c->neighbours[i]] = 0;
    enqueue(c, whole);
    return true;
}

bool despeckle(Runs *runs, const Palette *palette, const SpeckLimits *limits, Arena *arena, Work *work, Specks *out,
               Error *err)
{
    *out = (Specks){0};
    Cleaner c;
    if (!cleaner_make(runs, palette, limits, work, &c, err)) return false;
    size_t looks = 0;
    for (int32_t size = 0; size < c.sizes; size++) {
        while (c.head[size] >= 0) {
            int32_t part = c.head[size];
            c.head[size] = c.next[part];
            c.is_queued[part] = false;
            if (++looks % JOINS_PER_LOOK == 0 && !work_goes_on(work, err)) return false;
            // It may have joined another meanwhile, or have grown.
            if (runs->parts[part].parent != part) continue;
            if (list_of(&c, part) != size) {
                enqueue(&c, part);
                continue;
            }
            if (part_is_speck(runs, part, limits) && !join_speck(&c, part, arena, out, err)) return false;
        }
    }
    return true;
}
