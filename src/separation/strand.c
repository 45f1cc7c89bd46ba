// strand.c - see strand.h.
#include "separation/strand.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define MOST_GAP_PX 3
#define LEAST_WIDTH_PX 0.5 // of a strand that goes through: what a drawing without antialiasing shows more often than not
#define LEAST_SHARE 0.2    // of each pixel of a gap: half of one that lies over two rows
#define MOST_WIDTH_PX 1.5  // a wider one has pixels of its own all along
#define LEAST_OF_ENDS 0.5  // of its width beside the gap; less, and the gap is the wider one
#define ACROSS_PX 2        // to either side
#define BESIDE_SHARE 0.1   // of a pixel beyond: a strand is over there
#define NEAR_PX 2          // colours of a blend
#define MOST_COLOURS 5     // nearest first
#define LINK_PX 5          // round a gap's middle: joined within it, the two pixels are one already
#define LINK_SIDE (2 * LINK_PX + 1)
#define SHARE_SLACK 0.05   // rounding takes a share a little below 0
#define MOST_OTHERS 2
#define FLAT_SHARE 1e-6    // of a square: less, and a colour lies on the line or plane of the others
#define MOST_WALK_PX 1024  // from a gap to something thicker
#define SEEN 0x80          // more than any label
_Static_assert(LABEL_FIRST + SEPARATION_MAX_COLOURS <= SEEN, "a label has a bit free");
#define PX_PER_LOOK 4096
#define GAPS_PER_LOOK 64
#define PAINT_CHANNELS 4

typedef struct Place { int x, y; } Place;

typedef struct Gap {
    Place first;         // pixel of the gap; before it, the label
    Place along, across; // steps
    int count, shift;    // pixels; the other end lies that many steps across. No pixels: the ends touch over a corner
    uint8_t own;
    Place way[MOST_GAP_PX + 1]; // pixels that close it, with what they were
    uint8_t before[MOST_GAP_PX + 1];
    int way_count;
    bool is_idle; // joins nothing
} Gap;

typedef struct Strand {
    const StrandView *view;
    Work *work;
    uint8_t *label;
    int width, height;
    Gap *gaps; // closed
    size_t gap_count, gap_capacity;
} Strand;

typedef struct Paint { double v[PAINT_CHANNELS]; } Paint; // premultiplied; the last one is alpha

static bool is_inside(const Strand *s, Place p)
{
    return p.x >= 0 && p.y >= 0 && p.x < s->width && p.y < s->height;
}

static size_t index_of(const Strand *s, Place p)
{
    return (size_t)p.y * (size_t)s->width + (size_t)p.x;
}

static uint8_t label_at(const Strand *s, Place p) // LABEL_UNDECIDED beyond the frame
{
    return is_inside(s, p) ? s->label[index_of(s, p)] : LABEL_UNDECIDED;
}

static Place shifted(Place p, Place step, int count)
{
    return (Place){p.x + step.x * count, p.y + step.y * count};
}

// ---- shares ----

static Paint paint_of_label(const Palette *palette, uint8_t label)
{
    if (label < LABEL_FIRST) return (Paint){{0}};
    Srgb8 c = palette->colours[label - LABEL_FIRST].colour;
    return (Paint){{c.r, c.g, c.b, 255.0}};
}

static Paint paint_at(const Strand *s, Place p)
{
    const uint8_t *rgba = s->view->picture->rgba + index_of(s, p) * 4;
    double share = rgba[3] / 255.0;
    return (Paint){{rgba[0] * share, rgba[1] * share, rgba[2] * share, rgba[3]}};
}

static Paint minus(Paint a, Paint b)
{
    for (int i = 0; i < PAINT_CHANNELS; i++) a.v[i] -= b.v[i];
    return a;
}

static double dot(Paint a, Paint b)
{
    double sum = 0.0;
    for (int i = 0; i < PAINT_CHANNELS; i++) sum += a.v[i] * b.v[i];
    return sum;
}

typedef struct Fit { double share, off; } Fit;

// c as a blend of a and `count` others by least squares: the share of a, and how far off it is; false where it is none.
static bool fit(Paint c, Paint a, const Paint *others, int count, Fit *out)
{
    Paint step[MOST_OTHERS], way = minus(c, a);
    double m[MOST_OTHERS][MOST_OTHERS + 1], share[MOST_OTHERS], sum = 0.0;
    for (int i = 0; i < count; i++) step[i] = minus(others[i], a);
    for (int i = 0; i < count; i++) {
        for (int k = 0; k < count; k++) m[i][k] = dot(step[i], step[k]);
        m[i][count] = dot(step[i], way);
    }
    for (int i = 0; i < count; i++) { // the matrix is symmetric and its diagonal positive: no pivots
        if (!(m[i][i] > FLAT_SHARE * dot(step[i], step[i])) || !(m[i][i] > 0.0)) return false; // in the span of those before
        for (int r = i + 1; r < count; r++)
            for (int k = count; k >= i; k--) m[r][k] -= m[r][i] / m[i][i] * m[i][k];
    }
    for (int i = count - 1; i >= 0; i--) {
        share[i] = m[i][count];
        for (int k = i + 1; k < count; k++) share[i] -= m[i][k] * share[k];
        share[i] /= m[i][i];
        if (share[i] < -SHARE_SLACK) return false;
        sum += share[i];
        for (int k = 0; k < PAINT_CHANNELS; k++) way.v[k] -= share[i] * step[i].v[k];
    }
    *out = (Fit){1.0 - sum, sqrt(dot(way, way))};
    return out->share >= -SHARE_SLACK;
}

typedef struct Mix {
    Paint colours[MOST_COLOURS]; // nearby, the strand's apart
    int count;
} Mix;

static Mix colours_near(const Strand *s, Place p, uint8_t own)
{
    Mix mix = {.count = 0};
    uint8_t labels[MOST_COLOURS];
    for (int reach = 0; reach <= NEAR_PX; reach++)
        for (int dy = -reach; dy <= reach; dy++)
            for (int dx = -reach; dx <= reach; dx += abs(dy) == reach || reach == 0 ? 1 : 2 * reach) {
                uint8_t label = label_at(s, (Place){p.x + dx, p.y + dy});
                bool is_known = label == own || label == LABEL_UNDECIDED || mix.count == MOST_COLOURS;
                for (int i = 0; i < mix.count && !is_known; i++) is_known = labels[i] == label;
                if (is_known) continue;
                labels[mix.count] = label;
                mix.colours[mix.count++] = paint_of_label(s->view->palette, label);
            }
    return mix;
}

static bool is_without(Paint c, const Mix *mix, double tolerance)
{
    Fit f;
    for (int i = 0; i < mix->count; i++) {
        Paint d = minus(c, mix->colours[i]);
        if (dot(d, d) <= tolerance * tolerance) return true;
        for (int k = i + 1; k < mix->count; k++)
            if (fit(c, mix->colours[i], &mix->colours[k], 1, &f) && f.off <= tolerance) return true;
    }
    return false;
}

static void take_better(Fit f, Fit *best)
{
    if (f.off <= best->off) *best = f;
}

static Fit best_fit(const Strand *s, Paint c, Paint a, const Mix *mix)
{
    const double tolerance = s->view->tolerance_codes;
    Fit best = {.share = -1.0, .off = tolerance}, f;
    for (int i = 0; i < mix->count; i++)
        if (fit(c, a, &mix->colours[i], 1, &f)) take_better(f, &best);
    if (best.share >= -SHARE_SLACK) return best;
    for (int i = 0; i < mix->count; i++)
        for (int k = i + 1; k < mix->count; k++)
            if (fit(c, a, (Paint[2]){mix->colours[i], mix->colours[k]}, 2, &f)) take_better(f, &best);
    return best;
}

// The share of a label's colour in a pixel that nothing else explains.
static double share_of(const Strand *s, Place p, uint8_t own)
{
    if (!is_inside(s, p)) return 0.0;
    const double tolerance = s->view->tolerance_codes;
    Paint c = paint_at(s, p), a = paint_of_label(s->view->palette, own), d = minus(c, a);
    if (dot(d, d) <= tolerance * tolerance) return 1.0;
    Mix mix = colours_near(s, p, own);
    if (is_without(c, &mix, tolerance)) return 0.0;
    Fit best = best_fit(s, c, a, &mix);
    if (best.share < -SHARE_SLACK) return label_at(s, p) == own ? 1.0 : 0.0; // unlike everything near
    return fmin(fmax(best.share, 0.0), 1.0);
}

// ---- the width of a strand ----

// From the pixel to both sides as far as the label reaches; *is_strand: that ends near on both.
static double sum_across(const Strand *s, Place p, Place across, uint8_t own, bool *is_strand)
{
    double width = share_of(s, p, own);
    *is_strand = width > BESIDE_SHARE;
    if (!*is_strand) return 0.0;
    for (int side = -1; side <= 1; side += 2)
        for (int i = 1; i <= ACROSS_PX + 1; i++) {
            double share = share_of(s, shifted(p, across, side * i), own);
            if (share <= BESIDE_SHARE) break;
            if (i <= ACROSS_PX) width += share;
            else *is_strand = false;
        }
    return width;
}

// 0 where the label goes on to a side: what lies there is no strand, and a gap in it is a slit.
static double width_at(const Strand *s, Place p, Place across, uint8_t own)
{
    bool is_strand;
    double width = sum_across(s, p, across, own, &is_strand);
    return is_strand ? width : 0.0;
}

// Of a strand that may run anyhow, from its widths along a row and along a column.
static double slanted_width(const Strand *s, Place p, uint8_t own)
{
    bool is_strand[2];
    double x = sum_across(s, p, (Place){1, 0}, own, &is_strand[0]), y = sum_across(s, p, (Place){0, 1}, own, &is_strand[1]);
    return (is_strand[0] || is_strand[1]) && x * y > 0.0 ? x * y / sqrt(x * x + y * y) : 0.0;
}

// Of the strand beside a gap; the pixel at the gap may be half of its end.
static double width_of_end(const Strand *s, Place end, Place outwards, Place across, uint8_t own)
{
    bool is_strand;
    return fmax(sum_across(s, end, across, own, &is_strand), sum_across(s, shifted(end, outwards, 1), across, own, &is_strand));
}

static Place other_end(const Gap *g)
{
    return shifted(shifted(g->first, g->along, g->count), g->across, g->shift);
}

static bool is_thin(double width)
{
    return width >= LEAST_WIDTH_PX && width <= MOST_WIDTH_PX;
}

static bool is_wide_enough(const Strand *s, const Gap *g)
{
    Place before = shifted(g->first, g->along, -1);
    Place back = {-g->along.x, -g->along.y};
    double least = INFINITY;
    for (int i = 0; i < g->count && least >= LEAST_WIDTH_PX; i++)
        least = fmin(least, width_at(s, shifted(g->first, g->along, i), g->across, g->own));
    if (!is_thin(least)) return false;
    return least >= LEAST_OF_ENDS * fmin(width_of_end(s, before, back, g->across, g->own), width_of_end(s, other_end(g), g->along, g->across, g->own));
}

// ---- is there a gap? ----

static bool is_linked(const Strand *s, const Gap *g)
{
    Place from = shifted(g->first, g->along, -1), to = other_end(g);
    Place corner = {(from.x + to.x) / 2 - LINK_PX, (from.y + to.y) / 2 - LINK_PX};
    bool seen[LINK_SIDE][LINK_SIDE] = {{false}};
    Place stack[LINK_SIDE * LINK_SIDE];
    int depth = 0;
    seen[from.y - corner.y][from.x - corner.x] = true;
    stack[depth++] = from;
    while (depth > 0) {
        Place p = stack[--depth];
        if (p.x == to.x && p.y == to.y) return true;
        static const Place beside[4] = {{1, 0}, {-1, 0}, {0, 1}, {0, -1}};
        for (int k = 0; k < 4; k++) {
            Place q = shifted(p, beside[k], 1);
            int x = q.x - corner.x, y = q.y - corner.y;
            if (x < 0 || y < 0 || x >= LINK_SIDE || y >= LINK_SIDE || seen[y][x] || label_at(s, q) != g->own) continue;
            seen[y][x] = true;
            stack[depth++] = q;
        }
    }
    return false;
}

static Place pixel_of(const Gap *g, int i, int shift)
{
    return shifted(shifted(g->first, g->along, i), g->across, shift);
}

static bool is_free(const Strand *s, const Gap *g, int shift)
{
    for (int i = 0; i < g->count; i++) {
        uint8_t label = label_at(s, pixel_of(g, i, shift));
        if (label == g->own || label == LABEL_UNDECIDED) return false;
    }
    return true;
}

static double share_in(const Strand *s, const Gap *g, int i, int shift)
{
    return share_of(s, pixel_of(g, i, shift), g->own);
}

static void add_to_way(const Strand *s, Gap *g, Place p)
{
    g->way[g->way_count] = p;
    g->before[g->way_count++] = s->label[index_of(s, p)];
}

// The way from end to end with the largest shares, false where there is hardly any: along the first line, a step across, and along the other one.
static bool find_way(const Strand *s, Gap *g)
{
    double best = -1.0;
    int turn = 0;
    for (int at = 0; at < g->count && g->shift; at++) {
        double sum = 0.0;
        for (int i = 0; i < g->count; i++) sum += share_in(s, g, i, i <= at ? 0 : g->shift);
        sum += share_in(s, g, at, g->shift);
        if (sum > best) best = sum, turn = at;
    }
    for (int i = 0; i < g->count; i++) add_to_way(s, g, pixel_of(g, i, g->shift && i > turn ? g->shift : 0));
    if (g->shift) add_to_way(s, g, pixel_of(g, turn, g->shift));
    for (int i = 0; i < g->way_count; i++)
        if (share_of(s, g->way[i], g->own) < LEAST_SHARE) return g->way_count = 0, false;
    return true;
}

// ---- what a strand leads to ----

static bool has_block(const Strand *s, Place p) // of 3 x 3 with p in the middle
{
    uint8_t own = label_at(s, p);
    for (int k = 0; k < 9; k++)
        if ((label_at(s, (Place){p.x + k % 3 - 1, p.y + k / 3 - 1}) & (uint8_t)~SEEN) != (own & (uint8_t)~SEEN)) return false;
    return true;
}

// Does the label lead from a gap's end to a block? Pixels passed are marked, and unmarked in the end.
static bool leads_to_body(const Strand *s, Place end, uint8_t own)
{
    Place passed[MOST_WALK_PX];
    int count = 0;
    bool is_body = false;
    passed[count++] = end;
    s->label[index_of(s, end)] |= SEEN;
    for (int i = 0; i < count && !is_body; i++) {
        static const Place beside[4] = {{1, 0}, {-1, 0}, {0, 1}, {0, -1}};
        is_body = has_block(s, passed[i]);
        for (int k = 0; k < 4 && count < MOST_WALK_PX; k++) {
            Place q = shifted(passed[i], beside[k], 1);
            if (label_at(s, q) != own) continue;
            s->label[index_of(s, q)] |= SEEN;
            passed[count++] = q;
        }
    }
    for (int i = 0; i < count; i++) s->label[index_of(s, passed[i])] &= (uint8_t)~SEEN;
    return is_body;
}

static void set_way(const Strand *s, const Gap *g, bool is_own)
{
    for (int i = 0; i < g->way_count; i++) s->label[index_of(s, g->way[i])] = is_own ? g->own : g->before[i];
}

static bool joins_bodies(const Strand *s, const Gap *g)
{
    set_way(s, g, false);
    bool good = leads_to_body(s, shifted(g->first, g->along, -1), g->own) && leads_to_body(s, other_end(g), g->own);
    set_way(s, g, true);
    return good;
}

// ---- the whole ----

static bool keep_gap(Strand *s, const Gap *g, Error *err)
{
    Gap *gaps = arena_grow(&s->work->scratch, s->gaps, s->gap_count, &s->gap_capacity, sizeof *gaps);
    if (!gaps) return error_memory(err);
    s->gaps = gaps;
    gaps[s->gap_count++] = *g;
    return true;
}

static Place better_of(const Strand *s, const Place between[2], uint8_t own)
{
    return between[share_of(s, between[1], own) > share_of(s, between[0], own)];
}

static double share_of_four(const Strand *s, const Place ends[2], const Place between[2], uint8_t own)
{
    return share_of(s, ends[0], own) + share_of(s, ends[1], own) + share_of(s, between[0], own) + share_of(s, between[1], own);
}

// Where a strand meets a body its width says little: there it should have most of the corner.
static bool is_thin_at_corner(const Strand *s, const Place ends[2], const Place between[2], uint8_t own)
{
    double first = slanted_width(s, ends[0], own), second = slanted_width(s, ends[1], own);
    const Place better = better_of(s, between, own);
    double width = slanted_width(s, better, own);
    if (width == 0.0) width = share_of(s, better, own) > BESIDE_SHARE ? fmax(first, second) : 0.0;
    bool is_at_body = first == 0.0 || second == 0.0;
    return is_thin(width) && (!is_at_body || share_of_four(s, ends, between, own) > 2.0);
}

// Another strand goes over the same corner the other way, and has more of its four pixels.
static bool is_crossed(const Strand *s, const Place ends[2], const Place between[2], uint8_t own)
{
    uint8_t other = label_at(s, between[0]);
    if (other < LABEL_FIRST || label_at(s, between[1]) != other || !is_thin_at_corner(s, between, ends, other)) return false;
    return share_of_four(s, ends, between, other) > share_of_four(s, ends, between, own);
}

// Ends that touch over a corner: the better of the two pixels between them.
static bool try_corner(Strand *s, Gap *g, Error *err)
{
    for (g->shift = -1; g->shift <= 1; g->shift += 2) {
        const Place ends[2] = {shifted(g->first, g->along, -1), other_end(g)};
        const Place between[2] = {g->first, shifted(ends[0], g->across, g->shift)};
        if (label_at(s, ends[1]) != g->own || label_at(s, between[1]) == g->own || is_linked(s, g)) continue;
        if (!is_thin_at_corner(s, ends, between, g->own) || is_crossed(s, ends, between, g->own)) continue;
        add_to_way(s, g, better_of(s, between, g->own));
        set_way(s, g, true);
        return keep_gap(s, g, err);
    }
    return true;
}

static bool try_gaps(Strand *s, Place p, Place along, Error *err)
{
    Gap g = {.first = p, .along = along, .across = {along.y, along.x}, .own = label_at(s, shifted(p, along, -1))};
    if (g.own == label_at(s, p) || g.own < LABEL_FIRST) return true;
    if (along.x && !try_corner(s, &g, err)) return false;
    if (label_at(s, p) == g.own) return true;
    for (g.count = 1; g.count <= MOST_GAP_PX; g.count++)
        for (g.shift = -1; g.shift <= 1; g.shift++) {
            if (label_at(s, other_end(&g)) != g.own || !is_free(s, &g, 0) || (g.shift && !is_free(s, &g, g.shift))) continue;
            if (is_linked(s, &g) || !is_wide_enough(s, &g) || !find_way(s, &g)) continue;
            set_way(s, &g, true);
            return keep_gap(s, &g, err);
        }
    return true;
}

// All are closed at first, as a strand may have several; those that lead to no body on one side are opened again together.
static bool join(Strand *s, Error *err)
{
    for (size_t i = 0; i < s->view->edge_count; i++) {
        if (i % PX_PER_LOOK == 0 && !work_goes_on(s->work, err)) return false;
        Place p = {(int)(s->view->edge[i] % (uint32_t)s->width), (int)(s->view->edge[i] / (uint32_t)s->width)};
        if (!try_gaps(s, p, (Place){1, 0}, err) || !try_gaps(s, p, (Place){0, 1}, err)) return false;
    }
    for (size_t i = 0; i < s->gap_count; i++) {
        if (i % GAPS_PER_LOOK == 0 && !work_goes_on(s->work, err)) return false;
        s->gaps[i].is_idle = !joins_bodies(s, &s->gaps[i]);
    }
    for (size_t i = s->gap_count; i-- > 0;)
        if (s->gaps[i].is_idle) set_way(s, &s->gaps[i], false);
    return true;
}

bool strands_join(const StrandView *view, Work *work, uint8_t *label, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Strand s = {.view = view, .work = work, .label = label, .width = view->picture->width_px, .height = view->picture->height_px};
    bool good = join(&s, err);
    arena_rewind(&work->scratch, mark);
    return good;
}
