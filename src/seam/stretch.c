// stretch.c - see stretch.h.
#include "seam/stretch.h"

#include <math.h>
#include <stdlib.h>

#define FEW 24

static void include(Stretch *s, double at)
{
    if (at < s->lo) s->lo = at;
    if (at > s->hi) s->hi = at;
}

// What the line y = 0 has in common with a disc.
static void include_disc(Stretch *s, double x, double y, double radius)
{
    double rest = radius * radius - y * y;
    if (rest <= 0.0) return;
    double half = sqrt(rest);
    include(s, x - half);
    include(s, x + half);
}

static void include_crossing(Stretch *s, double x0, double y0, double x1, double y1)
{
    if ((y0 > 0.0) == (y1 > 0.0)) return;
    include(s, x0 + (x1 - x0) * (y0 / (y0 - y1)));
}

Stretch capsule_stretch(double x0, double y0, double x1, double y1, double radius)
{
    Stretch s = {INFINITY, -INFINITY};
    if ((y0 > radius && y1 > radius) || (y0 < -radius && y1 < -radius)) return s;
    double dx = x1 - x0, dy = y1 - y0, length = sqrt(dx * dx + dy * dy);
    include_disc(&s, x0, y0, radius);
    include_disc(&s, x1, y1, radius);
    if (length > 0.0) {
        double nx = -dy / length * radius, ny = dx / length * radius;
        include_crossing(&s, x0 + nx, y0 + ny, x1 + nx, y1 + ny);
        include_crossing(&s, x0 - nx, y0 - ny, x1 - nx, y1 - ny);
    }
    return s;
}

static int compare(const void *pa, const void *pb)
{
    const Stretch *a = pa, *b = pb;
    if (a->lo != b->lo) return a->lo < b->lo ? -1 : 1;
    return (a->hi > b->hi) - (a->hi < b->hi);
}

bool stretches_add(Stretches *list, Stretch s, Arena *arena)
{
    Stretch *items = arena_grow(arena, list->items, list->count, &list->capacity, sizeof *items);
    if (!items) return false;
    list->items = items;
    items[list->count++] = s;
    return true;
}

// Few are sorted quickest by moving each one down to its place.
static void sort(Stretch *items, size_t count)
{
    if (count > FEW) qsort(items, count, sizeof *items, compare);
    for (size_t i = 1; count <= FEW && i < count; i++) {
        Stretch s = items[i];
        size_t k = i;
        for (; k > 0 && (items[k - 1].lo > s.lo || (items[k - 1].lo == s.lo && items[k - 1].hi > s.hi)); k--) items[k] = items[k - 1];
        items[k] = s;
    }
}

size_t stretches_tidy(Stretch *items, size_t count)
{
    size_t n = 0;
    sort(items, count);
    for (size_t i = 0; i < count; i++) {
        if (n && items[i].lo <= items[n - 1].hi) {
            if (items[i].hi > items[n - 1].hi) items[n - 1].hi = items[i].hi;
        } else {
            items[n++] = items[i];
        }
    }
    return n;
}
