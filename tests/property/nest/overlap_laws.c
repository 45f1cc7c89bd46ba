// overlap_laws.c - see overlap_laws.h.
#include "overlap_laws.h"

#include "nest/check.h"
#include "nest/pair.h"
#include "shape/overlay.h"

#include <math.h>

#define SHEET_MM 2000.0
#define NEARLY_MM 3e-5          // farther apart, by the slack of the check: then nothing may be said to meet
#define SNAPPED_MM 2e-3         // an overlay on whole micrometres moves an outline by less
#define LINE_MM 1.0
#define MOST_CORNERS 20
#define TURNS 16
#define PAIR_TURNS 8

typedef struct Bytes {
    const uint8_t *at;
    size_t left;
} Bytes;

// From 0 to below - 1.
static int take(Bytes *bytes, int below)
{
    unsigned value = 0;
    for (int k = 0; k < 2; k++) {
        value = value << 8 | (bytes->left > 0 ? *bytes->at : 0);
        if (bytes->left > 0) bytes->at++, bytes->left--;
    }
    return (int)(value % (unsigned)below);
}

// --- outlines, in whole micrometres ---

static void put(Ring *ring, double x_mm, double y_mm)
{
    ring->points[ring->count++] = point_from_mm(500 + x_mm, 300 + y_mm);
}

static void turn_round(Ring *ring)
{
    for (int i = 0; i < ring->count / 2; i++) {
        Point kept = ring->points[i];
        ring->points[i] = ring->points[ring->count - 1 - i];
        ring->points[ring->count - 1 - i] = kept;
    }
}

static void star(Bytes *bytes, Ring *outer, Ring *hole)
{
    int corners = 3 + take(bytes, 10);
    double share = take(bytes, 3) ? 0 : 0.3 + 0.05 * take(bytes, 10);
    for (int i = 0; i < corners; i++) {
        double angle = 2 * 3.14159265358979 * i / corners, r = 3 + take(bytes, 60000) / 1000.0;
        put(outer, r * cos(angle), r * sin(angle));
        if (share > 0) put(hole, share * r * cos(angle), share * r * sin(angle));
    }
}

static void box(Ring *ring, double x, double y, double w, double h)
{
    put(ring, x, y), put(ring, x + w, y), put(ring, x + w, y + h), put(ring, x, y + h);
}

static void comb(Bytes *bytes, Ring *outer)
{
    int teeth = 2 + take(bytes, 3);
    double tooth = 2 + take(bytes, 10), space = 2 + take(bytes, 10), long_mm = 5 + take(bytes, 40), back = 3 + take(bytes, 10);
    put(outer, 0, 0);
    for (int t = 0; t < teeth; t++) {
        double x = t * (tooth + space), next = t + 1 < teeth ? space : 0;
        if (t > 0) put(outer, x, back);
        if (t > 0) put(outer, x, back + long_mm);
        else put(outer, 0, back + long_mm);
        put(outer, x + tooth, back + long_mm);
        put(outer, x + tooth, next > 0 ? back : 0);
    }
    turn_round(outer); // written down the other way round
}

static const Rings *outline(Bytes *bytes, Arena *keep, bool *square)
{
    Rings *rings = arena_new(keep, Rings, 1);
    rings->items = arena_new(keep, Ring, 2);
    for (int r = 0; r < 2; r++) rings->items[r].points = arena_new(keep, Point, MOST_CORNERS);
    Ring *outer = &rings->items[0], *hole = &rings->items[1];
    double w = 1 + take(bytes, 80), h = 1 + take(bytes, 80);
    int kind = take(bytes, 6);
    *square = kind != 2 && kind != 5;
    switch (kind) {
    case 0: box(outer, 0, 0, w, h); break;
    case 1: box(outer, 0, 0, w + 20, 0.05 + take(bytes, 1000) / 1000.0); break;
    case 2: put(outer, 0, 0), put(outer, w + 10, 0), put(outer, take(bytes, 60), 0.1 + take(bytes, 3000) / 1000.0); break;
    case 3:
        box(outer, 0, 0, w + 10, h + 10);
        double wall = 1 + take(bytes, 4);
        box(hole, wall, wall, w + 10 - 2 * wall, h + 10 - 2 * wall);
        break;
    case 4: comb(bytes, outer); break;
    default: star(bytes, outer, hole); break;
    }
    turn_round(hole);
    rings->count = hole->count ? 2 : 1;
    return ring_is_simple(outer) && (!hole->count || ring_is_simple(hole)) ? rings : NULL;
}

// --- where they lie ---

// All quarters of four turns: closed under half a turn, as pair_find asks.
static Fit turn_at(int which)
{
    static const Fit FOUR[4] = {{1, 0}, {0.8, 0.6}, {12.0 / 13, 5.0 / 13}, {21.0 / 29, 20.0 / 29}};
    Fit t = FOUR[which / 4];
    switch (which % 4) {
    case 0: return t;
    case 1: return (Fit){-t.sin, t.cos};
    case 2: return (Fit){-t.cos, -t.sin};
    default: return (Fit){t.sin, -t.cos};
    }
}

typedef struct Laid {
    NestItem item;
    NestPlace place;
    Solid solid;
    Cast cast;
    double x, y;                // of the solid's origin
    int turn;                   // turn_at
    bool square;                // all its edges are level or upright when it is not turned
} Laid;

static void lay(Laid *laid, double x_mm, double y_mm)
{
    const double *origin = laid->solid.origin_mm;
    Fit turn = turn_at(laid->turn);
    laid->place = (NestPlace){0, {turn.cos, turn.sin, -turn.sin, turn.cos, x_mm, y_mm}};
    laid->x = turn.cos * origin[0] - turn.sin * origin[1] + x_mm;
    laid->y = turn.sin * origin[0] + turn.cos * origin[1] + y_mm;
    cast_turn(&laid->solid, turn, &laid->cast);
}

static Dot on_sheet(const Laid *laid, Point p)
{
    const double *m = laid->place.to_sheet, x = p.x / UM_PER_MM, y = p.y / UM_PER_MM;
    return (Dot){m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5]};
}

static Point corner(const Laid *laid, int ring, int i)
{
    const Rings *rings = laid->item.rings;
    const Ring *of = &rings->items[ring % rings->count];
    return of->points[i % of->count];
}

// A corner of b comes to a place on an edge of a, and from there next to nothing away.
static void lay_touching(Bytes *bytes, const Laid *a, Laid *b)
{
    Fit turn = turn_at(b->turn);
    int ring = take(bytes, 2), edge = take(bytes, MOST_CORNERS), which = take(bytes, MOST_CORNERS);
    Dot from = on_sheet(a, corner(a, ring, edge)), to = on_sheet(a, corner(a, ring, edge + 1));
    double t = take(bytes, 9) / 8.0, off = pow(10, -take(bytes, 8)) * (take(bytes, 3) - 1);
    Point own = corner(b, 0, which);
    double x = own.x / UM_PER_MM, y = own.y / UM_PER_MM;
    double at_x = from.x + t * (to.x - from.x) + off * (to.y - from.y) / 50, at_y = from.y + t * (to.y - from.y) - off * (to.x - from.x) / 50;
    lay(b, at_x - (turn.cos * x - turn.sin * y), at_y - (turn.sin * x + turn.cos * y));
}

// On whole millimetres, or anywhere: measured from where both start at the same place.
static void lay_anywhere(Bytes *bytes, const Laid *a, Laid *b, double unit_mm)
{
    Fit turn = turn_at(b->turn);
    int most = (int)(160 / unit_mm);
    double dx = unit_mm * (take(bytes, most) - most / 2), dy = unit_mm * (take(bytes, most) - most / 2);
    Dot to = on_sheet(a, corner(a, 0, 0));
    Point own = corner(b, 0, 0);
    double x = own.x / UM_PER_MM, y = own.y / UM_PER_MM;
    lay(b, to.x + dx - (turn.cos * x - turn.sin * y), to.y + dy - (turn.sin * x + turn.cos * y));
}

// The middles of b and of a's hole, or of all of a, come together, give or take two millimetres.
static void lay_within(Bytes *bytes, const Laid *a, Laid *b)
{
    const Rings *rings = a->item.rings;
    Fit turn = turn_at(b->turn);
    Box hole = ring_box(&rings->items[rings->count - 1]), own = rings_box(b->item.rings);
    Dot to = on_sheet(a, (Point){hole.min.x / 2 + hole.max.x / 2, hole.min.y / 2 + hole.max.y / 2});
    double x = (own.min.x / 2 + own.max.x / 2) / UM_PER_MM, y = (own.min.y / 2 + own.max.y / 2) / UM_PER_MM;
    lay(b, to.x + (take(bytes, 41) - 20) / 10.0 - (turn.cos * x - turn.sin * y), to.y + (take(bytes, 41) - 20) / 10.0 - (turn.sin * x + turn.cos * y));
}

// --- the laws ---

static bool nearer(const Laid *a, const Laid *b, double gap_mm, Work *work, bool *done)
{
    NestItem items[2] = {a->item, b->item};
    NestPlace places[2] = {a->place, b->place};
    NestOptions options = {.space = {SHEET_MM, SHEET_MM, 0, false}, .origin_mm = {-SHEET_MM / 2, -SHEET_MM / 2}, .gap_mm = gap_mm};
    bool bad[2];
    Error err = {0};
    *done = *done && nest_check(items, 2, &options, places, work, bad, &err);
    return *done && (bad[0] || bad[1]);
}

static double edge_mm(const Rings *rings)
{
    double sum = 0;
    for (int r = 0; r < rings->count; r++)
        for (int i = 0; i < rings->items[r].count; i++) {
            Point p = rings->items[r].points[i], q = rings->items[r].points[(i + 1) % rings->items[r].count];
            sum += hypot(q.x - p.x, q.y - p.y) / UM_PER_MM;
        }
    return sum;
}

static const Rings *on_micrometres(const Laid *laid, Arena *keep)
{
    Rings *out = arena_new(keep, Rings, 1);
    out->items = arena_new(keep, Ring, laid->item.rings->count);
    for (; out->count < laid->item.rings->count; out->count++) {
        const Ring *from = &laid->item.rings->items[out->count];
        Ring *ring = &out->items[out->count];
        *ring = (Ring){arena_new(keep, Point, from->count), from->count};
        for (int i = 0; i < from->count; i++) {
            Dot p = on_sheet(laid, from->points[i]);
            ring->points[i] = point_from_mm(p.x, p.y);
        }
    }
    return out;
}

static bool on_whole_micrometres(const Laid *laid)
{
    double x = laid->place.to_sheet[4] * UM_PER_MM, y = laid->place.to_sheet[5] * UM_PER_MM;
    return laid->square && laid->turn < 4 && fabs(x - round(x)) < 1e-6 && fabs(y - round(y)) < 1e-6;
}

// Both against an overlay: what two share by far more than rounding moves must be refused by the check. Where nothing is rounded, what
// shares nothing does not overlap, however long it touches.
static const char *judge_by_overlay(const Laid *a, const Laid *b, bool meet, bool overlaps, Arena *keep, Work *work)
{
    Rings both;
    Error err = {0};
    if (!overlay_rings(on_micrometres(a, keep), on_micrometres(b, keep), OVERLAY_INTERSECTION, keep, work, &both, &err)) return "an overlay is made";
    double area = rings_area_mm2(&both);
    if (!meet && area > SNAPPED_MM * (edge_mm(a->item.rings) + edge_mm(b->item.rings))) return "the check refuses what an overlay finds";
    if (area <= 0 && (meet || overlaps) && on_whole_micrometres(a) && on_whole_micrometres(b)) return "what touches does not overlap";
    return NULL;
}

static const char *judge_overlap(const Laid *a, const Laid *b, Arena *keep, Work *work, OverlapSeen *seen)
{
    bool done = true, meet = nearer(a, b, 0, work, &done), near = nearer(a, b, NEARLY_MM, work, &done);
    if (!done) return "a check is made";
    double dx = a->x - b->x, dy = a->y - b->y;
    bool one = cast_overlap(&a->cast, dx, dy, &b->cast) > 0, other = cast_overlap(&b->cast, -dx, -dy, &a->cast) > 0;
    seen->meet += meet, seen->apart += !near, seen->between += near && !meet;
    if (meet && !(one && other)) return "what the check refuses overlaps";
    if (!near && (one || other)) return "what lies apart does not overlap";
    return judge_by_overlay(a, b, meet, one || other, keep, work);
}

static void grow_box(const Laid *laid, double box[4])
{
    box[0] = fmin(box[0], laid->x + laid->cast.hull_x0), box[1] = fmin(box[1], laid->y + laid->cast.hull_y0);
    box[2] = fmax(box[2], laid->x + laid->cast.hull_x1), box[3] = fmax(box[3], laid->y + laid->cast.hull_y1);
}

static bool is_inside(const Lines *lines, double x, double y, const PairAsk *ask)
{
    double over = 2 * ask->over_mm + LINE_MM / 2 + 1e-6;
    return x + lines->x0 >= -over && y + lines->y0 >= -over && x + lines->x1 <= ask->width_mm + over && y + lines->y1 <= ask->height_mm + over;
}

// As they lie, they would do on a sheet of their common box: then some place has to be found, whatever it is.
static const char *judge_pair(const Laid *a, const Laid *b, Arena *keep, Work *work, OverlapSeen *seen)
{
    bool done = true;
    double all[4] = {INFINITY, INFINITY, -INFINITY, -INFINITY};
    grow_box(a, all), grow_box(b, all);
    PairAsk ask = {.width_mm = all[2] - all[0], .height_mm = all[3] - all[1], .line_mm = LINE_MM, .over_mm = LINE_MM / 4,
                   .halves_alike = true, .enough_mm = INFINITY, .most_looks = INT64_MAX / 2};
    bool lie = !nearer(a, b, 0.6 * LINE_MM, work, &done); // half a line up or down they are still apart
    Fit turns[PAIR_TURNS]; // the quarters of both
    for (int t = 0; t < PAIR_TURNS; t++) turns[t] = turn_at((t < 4 ? a->turn : b->turn) / 4 * 4 + t % 4);
    Lined lined[2];
    PairSpot spot;
    int count;
    int64_t looks = 0;
    Error err = {0};
    if (!done || !pair_lines(&a->solid, turns, PAIR_TURNS, &ask, keep, work, &lined[0], &err) ||
        !pair_lines(&b->solid, turns, PAIR_TURNS, &ask, keep, work, &lined[1], &err) ||
        !pair_find(&lined[0], &lined[1], &ask, 1, work, &spot, &count, &looks, &err))
        return "a pair is looked for";
    seen->pairs += lie, seen->pairs_found += count > 0;
    if (lie && count == 0) return "a place is found for what lies together";
    if (count > 0 && !(is_inside(spot.a, spot.ax, spot.ay, &ask) && is_inside(spot.b, spot.bx, spot.by, &ask))) return "a place lies on the sheet";
    return NULL;
}

static bool make(Bytes *bytes, Laid *out, Arena *keep, Work *work)
{
    Error err = {0};
    out->item = (NestItem){outline(bytes, keep, &out->square), {1, 0}};
    return out->item.rings && solid_make(out->item.rings, 0, keep, work, &out->solid, &err) && cast_open(out->solid.corner_count, keep, &out->cast, &err);
}

const char *overlap_broken_law(const uint8_t *from, size_t count, OverlapSeen *seen)
{
    Arena keep = arena_make(0);
    Work work = {.scratch = arena_make(0)};
    Error err = {0};
    Bytes bytes = {from, count};
    Laid a = {0}, b = {0};
    const char *broken = overlay_create(NULL, &work.overlay, &err) ? NULL : "an overlay opens";
    int how = take(&bytes, 5);
    int turns = take(&bytes, 2) ? TURNS : 4;
    a.turn = take(&bytes, turns), b.turn = take(&bytes, turns);
    if (!broken && make(&bytes, &a, &keep, &work) && make(&bytes, &b, &keep, &work)) {
        lay(&a, 0, 0);
        if (how < 2) lay_touching(&bytes, &a, &b);
        else if (how == 4) lay_within(&bytes, &a, &b);
        else lay_anywhere(&bytes, &a, &b, how == 2 ? 1 : 0.01);
        bool thin = a.solid.disc_count == 0 || b.solid.disc_count == 0; // the search never moves these
        seen->cases++, seen->thin += thin;
        if (!thin) broken = judge_overlap(&a, &b, &keep, &work, seen);
        if (!thin && !broken) broken = judge_pair(&a, &b, &keep, &work, seen);
    }
    overlay_destroy(work.overlay);
    arena_free(&keep);
    arena_free(&work.scratch);
    return broken;
}
