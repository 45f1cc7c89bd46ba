// offset.c - see offset.h.
#include "offset.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define MARGIN_PX 2

// Classes of colour: labels of the separation by colour; ground is class 0, or has the class of its colour.
typedef struct Classes {
    Srgb8 colour[OFFSET_MOST];
    bool is_clear[OFFSET_MOST];
    int count, of_label[OFFSET_MOST], of_truth[ART_MOST_CLASSES];
} Classes;

static int add_class(Classes *c, Srgb8 colour, bool is_clear)
{
    int i = 0;
    while (i < c->count && (c->is_clear[i] != is_clear || memcmp(&c->colour[i], &colour, sizeof colour))) i++;
    if (i == c->count) c->colour[i] = colour, c->is_clear[c->count++] = is_clear;
    return i;
}

static int nearest_class(const Classes *c, Srgb8 colour, bool is_clear)
{
    int best = 0, least = 1 << 30;
    for (int i = 0; i < c->count; i++) {
        int r = c->colour[i].r - colour.r, g = c->colour[i].g - colour.g, b = c->colour[i].b - colour.b;
        int d = r * r + g * g + b * b + (c->is_clear[i] != is_clear ? 1 << 24 : 0);
        if (d < least) least = d, best = i;
    }
    return best;
}

static Classes classes_of(const Separation *s, const Truth *t)
{
    Classes c = {.count = 0};
    // ground is what was seen there: a colour, or nothing
    c.of_label[0] = s->has_ground_colour ? add_class(&c, s->ground_colour, false)
                                         : add_class(&c, t->has_ground ? t->colours[0] : (Srgb8){0, 0, 0}, !t->has_ground);
    for (int i = 0; i < s->colour_count; i++) {
        Srgb8 colour = s->colours[i].colour;
        bool is_ground = s->has_ground_colour && art_de00(colour, s->ground_colour) < 3.0;
        c.of_label[i + 1] = is_ground ? c.of_label[0] : add_class(&c, colour, false);
    }
    for (int i = 0; i < t->count; i++) c.of_truth[i] = nearest_class(&c, t->colours[i], i == 0 && !t->has_ground);
    return c;
}

typedef struct Crossing { double x; int row, class_after; } Crossing;

static int by_row_then_x(const void *a, const void *b)
{
    const Crossing *p = a, *q = b;
    if (p->row != q->row) return p->row < q->row ? -1 : 1;
    return (p->x > q->x) - (p->x < q->x);
}

static Crossing *list_crossings(const Outlines *o, const Classes *c, const Truth *t, size_t *count)
{
    int samples = t->samples, rows = t->height;
    size_t capacity = 1 << 16, n = 0;
    Crossing *list = malloc(capacity * sizeof *list);
    for (int i = 0; i < o->arc_count; i++) {
        const Chain *chain = &o->chains.items[i];
        for (int k = 0; k + 1 < chain->point_count; k++) {
            double p[4] = {chain->points[k].x, chain->points[k].y, chain->points[k + 1].x, chain->points[k + 1].y};
            for (int j = 0; j < 4; j++)
                p[j] = ((p[j] / 1000 - o->offset_mm) / o->mm_per_px + o->origin_px[j % 2]) * samples - 0.5 + t->shift_px[j % 2] * samples;
            bool down = p[3] > p[1];
            double top = down ? p[1] : p[3], bottom = down ? p[3] : p[1];
            for (int y = (int)ceil(top); y < bottom && y < rows; y++) {
                if (y < 0) continue;
                if (n == capacity) list = realloc(list, (capacity *= 2) * sizeof *list);
                double x = p[0] + (p[2] - p[0]) * (y - p[1]) / (p[3] - p[1]);
                int region = down ? o->arcs[i].left : o->arcs[i].right;
                list[n++] = (Crossing){x, y, c->of_label[o->regions[region].label]};
            }
        }
    }
    qsort(list, n, sizeof *list, by_row_then_x);
    *count = n;
    return list;
}

// Truth components (in picture pixels) that the separation gave away, grown by MARGIN_PX.
static uint8_t *left_out(const Truth *t, const Separation *s, const Classes *c)
{
    int w = s->width_px, h = s->height_px, half = t->samples / 2;
    size_t px = (size_t)w * (size_t)h;
    uint8_t *class_at = malloc(px), *out = calloc(px, 1), *seen = calloc(px, 1);
    int *stack = malloc(px * sizeof *stack);
    for (int y = 0; y < h; y++)
        for (int x = 0; x < w; x++)
            class_at[(size_t)y * (size_t)w + (size_t)x] =
                (uint8_t)c->of_truth[t->at[(size_t)(y * t->samples + half) * (size_t)t->width + (size_t)(x * t->samples + half)]];
    for (size_t start = 0; start < px; start++) {
        if (seen[start]) continue;
        int depth = 0, first = 0;
        int64_t wrong = 0;
        stack[depth++] = (int)start;
        seen[start] = 1;
        // the stack doubles as the list: its entries up to `depth` stay
        while (first < depth) {
            int at = stack[first++], x = at % w, steps[4] = {1, -1, w, -w};
            wrong += c->of_label[s->label[at]] != class_at[at];
            for (int k = 0; k < 4; k++) {
                int to = at + steps[k];
                if (to < 0 || (size_t)to >= px || (k == 0 && x + 1 == w) || (k == 1 && x == 0)) continue;
                if (seen[to] || class_at[to] != class_at[at]) continue;
                seen[to] = 1;
                stack[depth++] = to;
            }
        }
        if (wrong * 2 <= depth) continue;
        for (int i = 0; i < depth; i++)
            for (int dy = -MARGIN_PX; dy <= MARGIN_PX; dy++)
                for (int dx = -MARGIN_PX; dx <= MARGIN_PX; dx++) {
                    int x = stack[i] % w + dx, y = stack[i] / w + dy;
                    if (x >= 0 && y >= 0 && x < w && y < h) out[(size_t)y * (size_t)w + (size_t)x] = 1;
                }
    }
    free(class_at);
    free(seen);
    free(stack);
    return out;
}

#define STRIDE 32   // samples that are passed at once where all are alike

// Whether from x on, up to before `end`, a whole stride of samples has one number.
static bool is_even_stride(const uint8_t *row, int x, int end)
{
    return x + STRIDE <= end && !memcmp(row + x, row + x + 1, STRIDE - 1);
}

// Samples that one truth has of another class than we.
static void count_differing(const Outlines *o, const Classes *c, const Truth *t, const uint8_t *skip, int width_px, Offsets *sum)
{
    size_t count, next = 0;
    Crossing *list = list_crossings(o, c, t, &count);
    for (int y = 0; y < t->height; y++) {
        int mine = c->of_label[0];
        const uint8_t *row = t->at + (size_t)y * (size_t)t->width;
        for (int x = 0; x < t->width; x++) {
            while (next < count && list[next].row == y && list[next].x <= x) mine = list[next++].class_after;
            int theirs = c->of_truth[row[x]];
            double end = next < count && list[next].row == y ? fmin(ceil(list[next].x), t->width) : t->width;
            while (mine == theirs && is_even_stride(row, x, (int)end)) x += STRIDE - 1; // its last sample is the next stride's first
            if (mine == theirs) continue;
            if (skip[(size_t)(y / t->samples) * (size_t)width_px + (size_t)(x / t->samples)]) continue;
            sum->differing[mine]++, sum->differing[theirs]++;
            sum->area[mine]++, sum->area[theirs]--;
        }
        while (next < count && list[next].row == y) next++;
    }
    free(list);
}

// Most pixels are: seen from their rows' first samples, all in one truth's numbers.
static bool is_flat(const Truth *truths, int truth_count, int x, int y)
{
    for (int i = 0; i < truth_count; i++)
        for (int v = 0; v < truths->samples; v++) {
            const uint8_t *row = truths[i].at + (size_t)(y + v) * (size_t)truths[i].width + x;
            for (int u = 0; u < truths->samples; u++)
                if (row[u] != truths->at[(size_t)y * (size_t)truths->width + x]) return false;
        }
    return true;
}

// The two classes in a pixel and the first one's share of the samples; false when there are fewer or more.
static bool true_share(const Classes *maps, const Truth *truths, int truth_count, int x, int y, int *a, int *b, double *share)
{
    int n = truths->samples, of_a = 0;
    *a = *b = -1;
    if (is_flat(truths, truth_count, x * n, y * n)) return false;
    for (int i = 0; i < truth_count; i++)
        for (int v = 0; v < n; v++)
            for (int u = 0; u < n; u++) {
                int at = maps[i].of_truth[truths[i].at[(size_t)(y * n + v) * (size_t)truths[i].width + (size_t)(x * n + u)]];
                if (*a < 0) *a = at;
                if (at == *a) of_a++;
                else if (*b < 0) *b = at;
                else if (at != *b) return false;
            }
    *share = of_a / (double)(truth_count * n * n);
    return *b >= 0;
}

// A pixel's share of class a between a and b, premultiplied by alpha.
static double share_told(const Classes *c, const uint8_t *rgba, int a, int b)
{
    double along = 0, length2 = 0, alpha = rgba[3] / 255.0;
    for (int k = 0; k < 4; k++) {
        const uint8_t *ca = &c->colour[a].r, *cb = &c->colour[b].r;
        double from = c->is_clear[b] ? 0 : k < 3 ? cb[k] : 255, to = c->is_clear[a] ? 0 : k < 3 ? ca[k] : 255;
        along += ((k < 3 ? rgba[k] * alpha : rgba[3]) - from) * (to - from);
        length2 += (to - from) * (to - from);
    }
    return length2 > 0 ? fmin(1, fmax(0, along / length2)) : 0;
}

static void count_told(const Picture *picture, const Classes *maps, const Truth *truths, int truth_count, const uint8_t *skip, Offsets *sum)
{
    for (int y = 0; y < picture->height_px; y++)
        for (int x = 0; x < picture->width_px; x++) {
            size_t at = (size_t)y * (size_t)picture->width_px + (size_t)x;
            int a, b;
            double share;
            if (skip[at] || !true_share(maps, truths, truth_count, x, y, &a, &b, &share)) continue;
            double more = share_told(maps, picture->rgba + 4 * at, a, b) - share;
            sum->told[a] += more, sum->told[b] -= more;
        }
}

static void finish(const Outlines *o, const Classes *c, double samples, Offsets *sum)
{
    for (int i = 0; i < o->arc_count; i++) {
        Link whole = {i, 0, o->chains.items[i].point_count - 1};
        double length_px = link_length_mm(&o->chains, &whole) / o->mm_per_px;
        int a = c->of_label[o->regions[o->arcs[i].left].label], b = c->of_label[o->regions[o->arcs[i].right].label];
        if (a != b) sum->border[a] += length_px, sum->border[b] += length_px;
    }
    double differing = 0, border = 0;
    sum->count = c->count;
    for (int i = 0; i < c->count; i++) {
        sum->differing[i] /= samples, sum->area[i] /= samples;
        differing += sum->differing[i], border += sum->border[i];
        if (sum->border[i] <= 0) continue;
        sum->worst_px = fmax(sum->worst_px, sum->differing[i] / sum->border[i]);
        sum->worst_area_px = fmax(sum->worst_area_px, fabs(sum->area[i]) / sum->border[i]);
        sum->worst_told_px = fmax(sum->worst_told_px, fabs(sum->told[i]) / sum->border[i]);
        sum->worst_beyond_px = fmax(sum->worst_beyond_px, fabs(sum->area[i] - sum->told[i]) / sum->border[i]);
    }
    sum->mean_px = border > 0 ? differing / border : 0;
}

Offsets offset_measure(const Outlines *o, const Separation *s, const Picture *picture, const Truth *truths, int truth_count)
{
    Offsets sum = {.left_out_px = 0};
    // the classes are the separation's, the same each time; only the numbers that the truth gives its colours may differ
    Classes *maps = malloc((size_t)truth_count * sizeof *maps);
    for (int i = 0; i < truth_count; i++) maps[i] = classes_of(s, &truths[i]);
    uint8_t *skip = left_out(truths, s, maps);
    for (size_t i = 0; i < (size_t)s->width_px * (size_t)s->height_px; i++) sum.left_out_px += skip[i];
    for (int i = 0; i < truth_count; i++) count_differing(o, &maps[i], &truths[i], skip, s->width_px, &sum);
    if (picture) count_told(picture, maps, truths, truth_count, skip, &sum);
    finish(o, maps, (double)truths->samples * truths->samples * truth_count, &sum);
    free(skip);
    free(maps);
    return sum;
}
