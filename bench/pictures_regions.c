// pictures_regions.c - see pictures_regions.h.
#include "pictures_regions.h"

#include <stdlib.h>
#include <string.h>

#define NOBODY 255 // no class: ART_MOST_CLASSES are fewer

int nearest_class(const Truth *t, Srgb8 c, double *de00)
{
    int best = -1;
    *de00 = 1e9;
    for (int i = 1; i < t->count; i++)
        if (art_de00(t->colours[i], c) < *de00) best = i, *de00 = art_de00(t->colours[i], c);
    return best;
}

int ground_class(const Truth *t, const Separation *s)
{
    double de00;
    if (!s->has_ground_colour) return 0;
    int at = nearest_class(t, s->ground_colour, &de00);
    return at > 0 && de00 < 3.0 ? at : 0;
}

int64_t flood(Flood *f, int start, bool corners, bool *at_frame)
{
    int depth = 0, first = 0;
    f->stack[depth++] = start;
    f->seen[start] = 1;
    *at_frame = false;
    while (first < depth) {
        int at = f->stack[first++], x = at % f->width, y = at / f->width;
        *at_frame |= x == 0 || y == 0 || x + 1 == f->width || y + 1 == f->height;
        for (int dy = -1; dy <= 1; dy++)
            for (int dx = -1; dx <= 1; dx++) {
                if ((dx && dy && !corners) || x + dx < 0 || y + dy < 0 || x + dx >= f->width || y + dy >= f->height) continue;
                int to = at + dy * f->width + dx;
                if (f->seen[to] || f->label[to] != f->label[at]) continue;
                f->seen[to] = 1;
                f->stack[depth++] = to;
            }
    }
    return depth;
}

// What no 3 x 3 pixels of one class cover belongs to nobody: hairlines, of which compression leaves a shade at most.
static void take_hairlines_away(uint8_t *label, int width, int height)
{
    size_t px = (size_t)width * (size_t)height;
    uint8_t *stays = calloc(px, 1);
    for (int y = 0; y + 3 <= height; y++)
        for (int x = 0; x + 3 <= width; x++) {
            const uint8_t *at = label + (size_t)y * (size_t)width + (size_t)x;
            bool even = true;
            for (int k = 1; k < 9 && even; k++) even = at[k / 3 * width + k % 3] == *at;
            for (int k = 0; k < 9 && even; k++) stays[(size_t)(y + k / 3) * (size_t)width + (size_t)(x + k % 3)] = 1;
        }
    for (size_t i = 0; i < px; i++)
        if (!stays[i]) label[i] = NOBODY;
    free(stays);
}

static void count_regions(const Truth *t, const Separation *s, bool corners, int64_t least_px, bool hairlines, int count[ART_MOST_CLASSES])
{
    int ground = ground_class(t, s);
    size_t px = (size_t)t->width * (size_t)t->height;
    uint8_t *label = malloc(px);
    for (size_t i = 0; i < px; i++) label[i] = t->has_ground && !t->at[i] ? (uint8_t)ground : t->at[i];
    if (!hairlines) take_hairlines_away(label, t->width, t->height);
    Flood f = {label, t->width, t->height, malloc(px * sizeof(int)), calloc(px, 1)};
    memset(count, 0, sizeof(int) * ART_MOST_CLASSES);
    for (size_t i = 0; i < px; i++) {
        if (f.seen[i] || label[i] == NOBODY) continue;
        bool at_frame;
        int64_t area_px = flood(&f, (int)i, corners, &at_frame);
        bool is_ground = label[i] == ground && (at_frame || !s->has_ground_colour);
        if (area_px >= least_px && !is_ground) count[label[i]]++;
    }
    free(label), free(f.stack), free(f.seen);
}

static void widen(const Truth *t, const int count[ART_MOST_CLASSES], int least[ART_MOST_CLASSES], int most[ART_MOST_CLASSES])
{
    for (int i = 0; i < t->count; i++) {
        if (count[i] < least[i]) least[i] = count[i];
        if (count[i] > most[i]) most[i] = count[i];
    }
}

void regions_expect(const Truth *t, const Separation *s, Regions *out)
{
    int count[ART_MOST_CLASSES];
    count_regions(t, s, false, LEAST_PX, true, out->strict);
    memcpy(out->least, out->strict, sizeof out->least);
    memcpy(out->most, out->strict, sizeof out->most);
    for (int way = 0; way < 4; way++) {
        count_regions(t, s, way & 1, way & 2 ? LEAST_PX * 3 / 2 : LEAST_PX * 2 / 3, true, count);
        widen(t, count, out->least, out->most);
    }
    memcpy(out->bare_least, out->least, sizeof out->least);
    memcpy(out->bare_most, out->most, sizeof out->most);
    count_regions(t, s, false, LEAST_PX, false, count);
    widen(t, count, out->bare_least, out->bare_most);
}
