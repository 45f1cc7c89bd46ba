// painted_picture.h - a small picture painted in a test, and what separation makes of it.
#ifndef PM_TEST_PAINTED_PICTURE_H
#define PM_TEST_PAINTED_PICTURE_H

#include "separation/separation.h"

#include <math.h>
#include <string.h>

typedef struct Drawing {
    Arena keep;
    Work work;
    Picture picture;
    Separation s;
    Error err;
    bool good;
} Drawing;

typedef struct Paint {
    uint8_t r, g, b, a;
} Paint;

static const Paint white = {255, 255, 255, 255}, black = {0, 0, 0, 255}, red = {220, 30, 40, 255},
                   grey = {128, 128, 128, 255}, blue = {40, 60, 190, 255}, clear = {0, 0, 0, 0};

static inline Drawing canvas(int width, int height, Paint ground)
{
    Drawing d = {.keep = arena_make(0), .work = {.scratch = arena_make(0)}, .picture = {width, height, NULL}};
    d.picture.rgba = arena_new(&d.keep, uint8_t, width * height * 4);
    for (int i = 0; i < width * height; i++) memcpy(d.picture.rgba + i * 4, &ground, 4);
    return d;
}

static inline void put(Drawing *d, int x, int y, Paint p)
{
    memcpy(d->picture.rgba + (y * d->picture.width_px + x) * 4, &p, 4);
}

static inline void box(Drawing *d, int x0, int y0, int x1, int y1, Paint p)
{
    for (int y = y0; y < y1; y++)
        for (int x = x0; x < x1; x++) put(d, x, y, p);
}

static inline uint8_t mix(uint8_t a, uint8_t b, double share)
{
    return (uint8_t)lround(a + (b - a) * share);
}

// An antialiased disc: coverage from 8 x 8 points, blended in encoded values; over transparency it becomes alpha.
static inline void disc(Drawing *d, double cx, double cy, double radius, Paint p)
{
    for (int y = 0; y < d->picture.height_px; y++)
        for (int x = 0; x < d->picture.width_px; x++) {
            int inside = 0;
            for (int k = 0; k < 64; k++)
                inside += hypot(x + (k % 8 + 0.5) / 8 - cx, y + (k / 8 + 0.5) / 8 - cy) < radius;
            if (!inside) continue;
            uint8_t *q = d->picture.rgba + (y * d->picture.width_px + x) * 4;
            double share = inside / 64.0;
            if (q[3] == 0) {
                put(d, x, y, (Paint){p.r, p.g, p.b, (uint8_t)lround(255 * share)});
                continue;
            }
            put(d, x, y, (Paint){mix(q[0], p.r, share), mix(q[1], p.g, share), mix(q[2], p.b, share), q[3]});
        }
}

static inline void separate(Drawing *d, double smallest_area_px)
{
    SeparationOptions options = separation_defaults();
    options.smallest_area_px = smallest_area_px;
    d->good = separation_make(&d->picture, &options, &d->keep, &d->work, &d->s, &d->err);
}

static inline void separate_well(Drawing *d, double smallest_area_px)
{
    separate(d, smallest_area_px);
    if (!d->good) fail_msg("%s", d->err.text);
}

static inline void done(Drawing *d)
{
    arena_free(&d->keep);
    arena_free(&d->work.scratch);
}

static inline int label_at(const Drawing *d, int x, int y)
{
    return d->s.label[y * d->s.width_px + x];
}

static inline void assert_colour(const Drawing *d, int label, Paint p)
{
    assert_in_range(label, 1, d->s.colour_count);
    Srgb8 c = d->s.colours[label - 1].colour;
    assert_int_equal(c.r, p.r);
    assert_int_equal(c.g, p.g);
    assert_int_equal(c.b, p.b);
}

static inline bool found(const Drawing *d, const char *kind)
{
    for (size_t i = 0; i < d->s.findings.count; i++)
        if (strcmp(d->s.findings.items[i].kind, kind) == 0) return true;
    return false;
}

#endif
