// right_angle.c - see right_angle.h.
#include "outline/right_angle.h"

#include <stdlib.h>
#include <string.h>

#define LEAST_RUN 3
#define SQUARE_PX 4   // a picture's own pixels of this size are squares to whoever looks at it
#define NEAR_CRACKS 8 // a corner read from longer stretches may lie this far off the pixel corner it stands for

static bool turns_at(const CrackMap *map, const CrackArc *arc, int i)
{
    Cell a = arc_corner(map, arc, i - 1), b = arc_corner(map, arc, i), c = arc_corner(map, arc, i + 1);
    return b.x - a.x != c.x - b.x || b.y - a.y != c.y - b.y;
}

// The next turn after i; an open arc's end counts as one.
static int next_turn(const CrackMap *map, const CrackArc *arc, int i)
{
    int end = arc->is_loop ? i + arc->count : arc->count;
    for (i++; i < end && !turns_at(map, arc, i); i++) {}
    return i;
}

// A loop's first turn: it has four at least. An open arc begins at its node.
static int first_turn(const CrackMap *map, const CrackArc *arc)
{
    int i = 0;
    while (arc->is_loop && !turns_at(map, arc, i)) i++;
    return i;
}

static int common_measure(int a, int b)
{
    while (b) {
        int rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

int right_angle_pixel(const CrackMap *map)
{
    int pixel = 0;
    for (int k = 0; k < map->arc_count && pixel != 1; k++) {
        const CrackArc *arc = &map->arcs[k];
        int first = first_turn(map, arc), end = arc->is_loop ? first + arc->count : arc->count;
        for (int at = first; at < end && pixel != 1;) {
            int next = next_turn(map, arc, at);
            pixel = common_measure(pixel, next - at);
            at = next;
        }
    }
    return pixel ? pixel : 1;
}

static bool is_rectangle(const CrackMap *map, const CrackArc *arc, int first)
{
    if (!arc->is_loop) return false;
    int turns = 0;
    for (int at = first; at < first + arc->count && turns < 5; turns++) at = next_turn(map, arc, at);
    return turns == 4;
}

static Vec unit(Cell from, Cell to)
{
    return (Vec){to.x - from.x, to.y - from.y};
}

// The last point on a crack before this one; of a loop's first cracks its last point.
static int point_before(const CrackArc *arc, const EdgePoint *points, int count, int crack)
{
    crack %= arc->count;
    int last = -1;
    while (last + 1 < count && points[last + 1].crack < crack) last++;
    return last >= 0 || !arc->is_loop ? last : count - 1;
}

static SharpCorner corner_of_turn(const CrackMap *map, const CrackArc *arc, int at, int after)
{
    Cell here = arc_corner(map, arc, at), before = arc_corner(map, arc, at - 1);
    return (SharpCorner){after, {here.x, here.y}, unit(before, here), unit(here, arc_corner(map, arc, at + 1))};
}

static int find_all(const CrackMap *map, const CrackArc *arc, int pixel, const EdgePoint *points, int count, SharpCorner *out)
{
    int n = 0, first = first_turn(map, arc), least = pixel < SQUARE_PX ? LEAST_RUN * pixel : pixel;
    bool all = is_rectangle(map, arc, first);
    int end = arc->is_loop ? first + arc->count : arc->count - 1;
    for (int before = first, at = next_turn(map, arc, first); at <= end;) {
        int next = next_turn(map, arc, at);
        int after = point_before(arc, points, count, at);
        bool is_free = after >= 0 && (arc->is_loop || after + 1 < count) && (n == 0 || out[n - 1].after != after);
        if (is_free && (all || (at - before >= least && next - at >= least))) out[n++] = corner_of_turn(map, arc, at, after);
        before = at;
        at = next;
    }
    return n;
}

static int cracks_between(const CrackArc *arc, int a, int b)
{
    int off = abs(a - b);
    return arc->is_loop && arc->count - off < off ? arc->count - off : off;
}

static bool is_near_any(const CrackArc *arc, const EdgePoint *points, const SharpCorner *corner, const SharpCorner *right, int count)
{
    for (int i = 0; i < count; i++)
        if (cracks_between(arc, points[corner->after].crack, points[right[i].after].crack) <= NEAR_CRACKS) return true;
    return false;
}

static int by_place(const void *a, const void *b)
{
    const SharpCorner *p = a, *q = b;
    return (p->after > q->after) - (p->after < q->after);
}

bool right_angles_add(const CrackMap *map, const CrackArc *arc, int pixel, const EdgePoint *points, int point_count, Arena *scratch,
                      SharpCorner *corners, int *corner_count, Error *err)
{
    if (point_count < 2) return true;
    ArenaMark mark = arena_mark(scratch);
    SharpCorner *right = arena_new(scratch, SharpCorner, arc->count);
    if (!right) return error_memory(err);
    int found = find_all(map, arc, pixel, points, point_count, right), kept = 0;
    for (int i = 0; i < *corner_count; i++)
        if (!is_near_any(arc, points, &corners[i], right, found)) corners[kept++] = corners[i];
    if (found) memcpy(corners + kept, right, (size_t)found * sizeof *right);
    *corner_count = kept + found;
    if (*corner_count) qsort(corners, (size_t)*corner_count, sizeof *corners, by_place);
    arena_rewind(scratch, mark);
    return true;
}
