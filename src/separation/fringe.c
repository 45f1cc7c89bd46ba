// fringe.c - see fringe.h.
#include "separation/fringe.h"

#include "separation/guess.h"
#include "separation/lack.h"
#include "separation/rim.h"

#include <math.h>
#include <stdlib.h>

#define STRIP_STARTS_PX 0.4     // of width; smaller: crumbs at its ends
#define STRIP_LEAST_PX 0.65     // its widest place; smaller: blends that are no straight mixtures
#define WHOLE_PX 0.9            // narrower: it may have gaps
#define STRIP_MOST_PX 2.5       // wider ones have pixels of their own
#define STRIP_LEAST_AREA_PX 16.0
#define SPREAD_PX 1.26          // of the smoothed edge: weights 1 6 15 20 15 6 1, and a pixel's own width
#define WINDOW_PX 3
#define OFF_EDGE_PX 0.75        // of a strip from the edge as labels have it, more than its width
#define CLAIMS_A_CRACK ((2 * WINDOW_PX + 1) * (2 * WINDOW_PX + 1))

// ---- between a strip's two sides ----

// The share of a normal distribution below z, from a table with straight lines between: no function that differs by machine.
static double share_below(double z)
{
    static const double at[] = {0.5,     0.59871, 0.69146, 0.77337, 0.84134, 0.89435, 0.93319,
                                0.95994, 0.97725, 0.98778, 0.99379, 0.99702, 0.99865, 1.0};
    double steps = fabs(z) * 4.0;
    int i = steps >= 13.0 ? 12 : (int)steps;
    double share = steps >= 13.0 ? 1.0 : at[i] + (at[i + 1] - at[i]) * (steps - i);
    return z < 0.0 ? 1.0 - share : share;
}

typedef struct Painter {
    const TintCells *cells;
    Trio trio;
    uint8_t *label;
    Arena *keep;
    size_t capacity;
    Fringes *out;
} Painter;

// How much of the way from b's lightness to a's, smoothed over a window.
static double way_at(const Painter *p, int x, int y)
{
    static const double weight[] = {20, 15, 6, 1};
    const Picture *picture = p->cells->picture;
    double b = p->cells->colour[p->trio.b][0], a = p->cells->colour[p->trio.a][0], sum = 0.0, all = 0.0;
    for (int j = -WINDOW_PX; j <= WINDOW_PX; j++)
        for (int i = -WINDOW_PX; i <= WINDOW_PX; i++) {
            if (x + i < 0 || y + j < 0 || x + i >= picture->width_px || y + j >= picture->height_px) continue;
            size_t at = (size_t)(y + j) * (size_t)picture->width_px + (size_t)(x + i);
            uint8_t label = p->cells->label[at];
            if (label != p->trio.a && label != p->trio.b && label != p->trio.s) continue;
            const uint8_t *rgba = picture->rgba + at * 4;
            double ycc[3], w = weight[abs(i)] * weight[abs(j)];
            guess_ycc((const double[3]){rgba[0], rgba[1], rgba[2]}, ycc);
            sum += w * fmin(fmax((ycc[0] - b) / (a - b), 0.0), 1.0), all += w;
        }
    return all > 0.0 ? sum / all : 0.0;
}

typedef struct Sides { double at_a, at_b; } Sides;

// What the smoothed way is along a strip's sides: `own` of it on the strip, all of it beyond, on a's side.
static Sides sides_of(const Painter *p, double width_px)
{
    const double *a = p->cells->colour[p->trio.a], *b = p->cells->colour[p->trio.b], *s = p->cells->colour[p->trio.s];
    double own = (s[0] - b[0]) / (a[0] - b[0]), across = share_below(width_px / SPREAD_PX);
    return (Sides){(1.0 - own) * 0.5 + own * across, (1.0 - own) * (1.0 - across) + own * 0.5};
}

static uint8_t label_between(const Painter *p, double way, double width_px)
{
    Sides sides = sides_of(p, width_px);
    return way > sides.at_a ? p->trio.a : way < sides.at_b ? p->trio.b : p->trio.s;
}

typedef struct Claim { uint32_t at; int32_t crack, distance2; } Claim; // from the middle of the crack, squared, of half pixels

static int by_place(const void *p, const void *q)
{
    const Claim *a = p, *b = q;
    if (a->at != b->at) return a->at < b->at ? -1 : 1;
    if (a->distance2 != b->distance2) return a->distance2 < b->distance2 ? -1 : 1;
    return (a->crack > b->crack) - (a->crack < b->crack);
}

static size_t claim_pixels(const Painter *p, const Rim *rim, const bool *is_strip, Claim *claims)
{
    const Picture *picture = p->cells->picture;
    size_t count = 0;
    for (int i = 0; i < rim->count; i++) {
        const RimCrack *c = &rim->cracks[i];
        for (int k = 0; is_strip[i] && k < CLAIMS_A_CRACK; k++) {
            int dx = k % (2 * WINDOW_PX + 1) - WINDOW_PX, dy = k / (2 * WINDOW_PX + 1) - WINDOW_PX, x = c->x + dx, y = c->y + dy;
            if (x < 0 || y < 0 || x >= picture->width_px || y >= picture->height_px) continue;
            int qx = 2 * dx - c->is_upright, qy = 2 * dy - !c->is_upright;
            if (qx * qx + qy * qy > 4.0 * (c->width_px + OFF_EDGE_PX) * (c->width_px + OFF_EDGE_PX)) continue;
            claims[count++] = (Claim){(uint32_t)y * (uint32_t)picture->width_px + (uint32_t)x, i, qx * qx + qy * qy};
        }
    }
    qsort(claims, count, sizeof *claims, by_place);
    return count;
}

static bool is_free(const Painter *p, uint32_t at)
{
    uint8_t label = p->label[at];
    int width = p->cells->picture->width_px;
    if (label == p->trio.s) return tint_is_thin(p->cells, (int)at % width, (int)at / width, p->trio);
    return label == p->trio.a || label == p->trio.b;
}

static bool note_fringe(Painter *p, uint32_t at, Error *err)
{
    FringePixel *grown = arena_grow(p->keep, p->out->pixels, p->out->count, &p->capacity, sizeof *grown);
    if (!grown) return error_memory(err);
    p->out->pixels = grown;
    p->out->pixels[p->out->count++] = (FringePixel){at, p->trio.s};
    return true;
}

static bool give(Painter *p, uint32_t at, Error *err)
{
    p->label[at] = p->trio.s;
    return note_fringe(p, at, err);
}

static double way_from_middle(const Painter *p, int x, int y, double width_px)
{
    Sides sides = sides_of(p, width_px);
    return fabs(way_at(p, x, y) - 0.5 * (sides.at_a + sides.at_b));
}

// A strip that goes on over a corner goes on over one of the two pixels beside it too.
static bool join_over_corner(Painter *p, uint32_t at, int dx, double width_px, Error *err)
{
    int width = p->cells->picture->width_px, x = (int)at % width, y = (int)at / width;
    if (x + dx < 0 || x + dx >= width || y + 1 >= p->cells->picture->height_px) return true;
    uint32_t beside = (uint32_t)((int)at + dx), below = at + (uint32_t)width, across = (uint32_t)((int)below + dx);
    if (p->label[across] != p->trio.s || p->label[beside] == p->trio.s || p->label[below] == p->trio.s) return true;
    bool is_below = way_from_middle(p, x, y + 1, width_px) < way_from_middle(p, x + dx, y, width_px);
    uint32_t first = is_below ? below : beside, second = is_below ? beside : below;
    if (is_free(p, first)) return give(p, first, err);
    return !is_free(p, second) || give(p, second, err);
}

// All pixels are judged before any changes.
static bool paint(Painter *p, const Rim *rim, const bool *is_strip, Work *work, Error *err)
{
    size_t most = 0;
    for (int i = 0; i < rim->count; i++) most += is_strip[i] ? CLAIMS_A_CRACK : 0;
    Claim *claims = arena_new(&work->scratch, Claim, most);
    uint8_t *found = arena_new(&work->scratch, uint8_t, most);
    if (!claims || !found) return error_memory(err);
    size_t count = claim_pixels(p, rim, is_strip, claims);
    for (size_t i = 0; i < count; i++) {
        if (!work_goes_on(work, err)) return false;
        if ((i > 0 && claims[i].at == claims[i - 1].at) || !is_free(p, claims[i].at)) continue;
        int width = p->cells->picture->width_px;
        double way = way_at(p, (int)(claims[i].at % (uint32_t)width), (int)(claims[i].at / (uint32_t)width));
        found[i] = label_between(p, way, rim->cracks[claims[i].crack].width_px);
    }
    for (size_t i = 0; i < count; i++) {
        if (!found[i]) continue;
        p->label[claims[i].at] = found[i];
        if (found[i] == p->trio.s && !note_fringe(p, claims[i].at, err)) return false;
    }
    for (size_t i = 0; i < count; i++) {
        double width_px = rim->cracks[claims[i].crack].width_px;
        if (found[i] != p->trio.s || width_px < WHOLE_PX) continue;
        if (!join_over_corner(p, claims[i].at, -1, width_px, err) || !join_over_corner(p, claims[i].at, 1, width_px, err)) return false;
    }
    return true;
}

// Cracks of strips: of those that hang together wide enough, long enough.
static bool find_strips(const Rim *rim, bool *is_strip, Work *work, Error *err)
{
    bool *is_seen = arena_new(&work->scratch, bool, rim->count);
    int32_t *stack = arena_new(&work->scratch, int32_t, rim->count);
    if (!is_seen || !stack) return error_memory(err);
    for (int i = 0; i < rim->count; i++) {
        int count = 0, done = 0;
        double widest = 0.0, area = 0.0;
        if (is_seen[i] || rim->cracks[i].width_px < STRIP_STARTS_PX || rim->cracks[i].width_px > STRIP_MOST_PX) continue;
        is_seen[i] = true;
        for (stack[count++] = i; done < count; done++) {
            const RimCrack *c = &rim->cracks[stack[done]];
            widest = fmax(widest, c->width_px), area += c->width_px * c->length_px;
            for (int k = 0; k < 2; k++) {
                int32_t next = c->next[k];
                if (next < 0 || is_seen[next] || rim->cracks[next].width_px < STRIP_STARTS_PX || rim->cracks[next].width_px > STRIP_MOST_PX) continue;
                is_seen[next] = true;
                stack[count++] = next;
            }
        }
        for (int k = 0; k < count && widest >= STRIP_LEAST_PX && area >= STRIP_LEAST_AREA_PX; k++) is_strip[stack[k]] = true;
    }
    return true;
}

// ---- all strips of one trio ----

// Cells that lack it, and those beside them.
static void mark_zone(const TintCells *t, const Lacks *lacks, Trio trio, uint8_t *zone)
{
    int rx = LACK_BESIDE_PX / t->width_px, ry = LACK_BESIDE_PX / t->height_px;
    for (size_t i = 0; i < lacks->count; i++) {
        if (!trio_is_same(lacks->items[i].trio, trio)) continue;
        int cx = lacks->items[i].cell % t->across, cy = lacks->items[i].cell / t->across;
        for (int y = cy > ry ? cy - ry : 0; y <= cy + ry && y < t->down; y++)
            for (int x = cx > rx ? cx - rx : 0; x <= cx + rx && x < t->across; x++) zone[y * t->across + x] = 1;
    }
}

static void clear_cell(const TintCells *t, int cx, int cy, Trio was, uint8_t *label)
{
    if (cx < 0 || cy < 0 || cx >= t->across || cy >= t->down) return;
    for (int y = cy * t->height_px; y < (cy + 1) * t->height_px; y++)
        for (int x = cx * t->width_px; x < (cx + 1) * t->width_px; x++) {
            size_t at = (size_t)y * (size_t)t->picture->width_px + (size_t)x;
            if (label[at] == was.s && tint_is_thin(t, x, y, was)) label[at] = was.b;
        }
}

// Strips that have another label count as b's, until they are drawn: in cells that tell so, and those round them.
static void clear_labels(const TintCells *t, const Lacks *lacks, Trio trio, uint8_t *label)
{
    for (size_t i = 0; i < lacks->count; i++) {
        const Lack *l = &lacks->items[i];
        if (!l->was || !trio_is_same(l->trio, trio)) continue;
        for (int k = 0; k < 9; k++) clear_cell(t, l->cell % t->across + k % 3 - 1, l->cell / t->across + k / 3 - 1, (Trio){trio.a, trio.b, l->was}, label);
    }
}

static bool draw_strips(Painter *p, const uint8_t *zone, Work *work, Error *err)
{
    Rim rim;
    if (!rim_find(p->cells, zone, p->trio, work, &rim, err) || !rim_measure(p->cells, p->trio, work, &rim, err)) return false;
    bool *is_strip = arena_new(&work->scratch, bool, rim.count);
    if (!is_strip) return error_memory(err);
    return find_strips(&rim, is_strip, work, err) && paint(p, &rim, is_strip, work, err);
}

static bool draw_trio(Painter *p, const Lacks *lacks, Work *work, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    uint8_t *zone = arena_new(&work->scratch, uint8_t, p->cells->across * p->cells->down);
    if (!zone) return error_memory(err);
    mark_zone(p->cells, lacks, p->trio, zone);
    clear_labels(p->cells, lacks, p->trio, p->label);
    bool good = draw_strips(p, zone, work, err);
    arena_rewind(&work->scratch, mark);
    return good;
}

static bool is_first_of_trio(const Lacks *lacks, size_t at)
{
    for (size_t i = 0; i < at; i++)
        if (trio_is_same(lacks->items[i].trio, lacks->items[at].trio)) return false;
    return true;
}

bool fringes_find(const Picture *picture, const Palette *palette, Arena *keep, Work *work, uint8_t *label, Fringes *out, Error *err)
{
    *out = (Fringes){NULL, 0};
    if (palette->count < 3 || !tint_can_tell(picture)) return true;
    ArenaMark mark = arena_mark(&work->scratch);
    TintCells cells;
    Lacks lacks;
    tint_cells(picture, palette, label, &cells);
    Painter p = {.cells = &cells, .label = label, .keep = keep, .out = out};
    bool good = lacks_find(&cells, palette->count, work, &lacks, err);
    for (size_t i = 0; good && i < lacks.count; i++) {
        if (!is_first_of_trio(&lacks, i)) continue;
        p.trio = lacks.items[i].trio;
        good = draw_trio(&p, &lacks, work, err);
    }
    arena_rewind(&work->scratch, mark);
    return good;
}

void fringes_mark(const Fringes *fringes, Runs *runs)
{
    for (size_t i = 0; i < fringes->count; i++) {
        const FringePixel *p = &fringes->pixels[i];
        Part *part = &runs->parts[runs_part_at(runs, (int32_t)(p->at % (uint32_t)runs->width_px), (int32_t)(p->at / (uint32_t)runs->width_px))];
        if (part->label == p->label) part->flags |= PART_TOLD;
    }
}
