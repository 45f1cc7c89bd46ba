// trace.c - see trace.h.
#include "outline/trace.h"

#include "outline/dense.h"
#include "outline/right_angle.h"
#include "outline/wedge.h"

#include <math.h>

#define SMOOTH_NODE_DOT (-0.93)     // two arcs within 21 degrees of straight go on through a node
#define SMOOTH_NODE_RMS_PX 0.12     // of an end's points from their line; bent ends have no tangent to share
#define STRAIGHT_END_RMS_PX 0.1     // of the points behind the mixed ones; a bent end says nothing of them
#define STRAIGHT_END_OFF_PX 0.5     // of the node from the end's line
#define NEAREST_PX 1.0              // points nearer to a node say nothing of its lines
#define MIXED_PX 3.5                // from a node
#define MIXED_OFF_PX 0.1
#define NEAR_END_PX 0.35            // points nearer to a piece's end say nothing of its course
#define BACKWARD_MOST 6             // points at an end that may lie behind it
#define LINE_LENGTH_PX 48.0         // a straight part this long inside a curve stays straight; shorter ones cost up to two curves each
#define LINE_LENGTH_HARD_PX 80.0
#define HARD_SPAN 10
#define LONGEST_GAP_PX 4.0
#define EQUAL_PX 1e-3

static Vec sub(Vec a, Vec b)
{
    return (Vec){a.x - b.x, a.y - b.y};
}

static double dot(Vec a, Vec b)
{
    return a.x * b.x + a.y * b.y;
}

static Vec pixel_corner(Cell c)
{
    return (Vec){c.x, c.y};
}

// ---- nodes ----

typedef struct ArcEnd {
    int arc;
    bool is_end;        // the arc's last end, not its first
    bool has_line;
    EdgeLine line;
} ArcEnd;

typedef struct NodeEnds { ArcEnd items[4]; int count; } NodeEnds;

static bool collect_ends(const Trace *trace, Work *work, NodeEnds **out, Error *err)
{
    const CrackMap *map = trace->map;
    NodeEnds *ends = arena_new(&work->scratch, NodeEnds, map->node_count);
    if (!ends) return error_memory(err);
    for (int i = 0; i < map->arc_count; i++) {
        if (map->arcs[i].is_loop) continue;
        NodeEnds *from = &ends[map->arcs[i].from];
        from->items[from->count++] = (ArcEnd){.arc = i};
        NodeEnds *to = &ends[map->arcs[i].to];
        to->items[to->count++] = (ArcEnd){.arc = i, .is_end = true};
    }
    *out = ends;
    return true;
}

// Near a node where three colours meet the points of each edge are read from pixels of all three: where the edge comes straight to the
// node they are not to be believed, nor is a corner between them.
static void calm_end(TracedArc *arc, const ArcEnd *end, Vec node)
{
    Vec from = sub(node, end->line.middle), d = end->line.direction;
    if (end->line.rms_px > STRAIGHT_END_RMS_PX || fabs(d.x * from.y - d.y * from.x) > STRAIGHT_END_OFF_PX) return;
    int step = end->is_end ? -1 : 1, kept = 0;
    for (int i = end->is_end ? arc->point_count - 1 : 0; i >= 0 && i < arc->point_count; i += step) {
        EdgePoint *p = &arc->points[i];
        if (vec_distance(p->at, node) > MIXED_PX) break;
        Vec off = sub(p->at, end->line.middle);
        if (fabs(d.x * off.y - d.y * off.x) > MIXED_OFF_PX) p->slack_px = HARD_EDGE_SLACK_PX;
    }
    for (int i = 0; i < arc->corner_count; i++)
        if (vec_distance(arc->corners[i].at, node) > MIXED_PX) arc->corners[kept++] = arc->corners[i];
    arc->corner_count = kept;
}

// Two arcs that go straight on through a node get one tangent there.
static void smooth_node(Trace *trace, NodeEnds *ends)
{
    if (ends->count != 3) return;
    double best = SMOOTH_NODE_DOT;
    ArcEnd *first = NULL, *second = NULL;
    for (int a = 0; a < 3; a++)
        for (int b = a + 1; b < 3; b++) {
            if (!ends->items[a].has_line || !ends->items[b].has_line) continue;
            if (fmax(ends->items[a].line.rms_px, ends->items[b].line.rms_px) > SMOOTH_NODE_RMS_PX) continue;
            double d = dot(ends->items[a].line.direction, ends->items[b].line.direction);
            if (d >= best) continue;
            best = d;
            first = &ends->items[a];
            second = &ends->items[b];
        }
    if (!first) return;
    Vec t = sub(first->line.direction, second->line.direction); // away from the node into the first arc
    double l = sqrt(dot(t, t));
    t = (Vec){t.x / l, t.y / l};
    ArcEnd *both[2] = {first, second};
    for (int k = 0; k < 2; k++) {
        // leaving along the first arc, entering along the second; an arc's end looks against its way
        double sign = (k == 0) == !both[k]->is_end ? 1.0 : -1.0;
        if (both[k]->is_end) trace->arcs[both[k]->arc].end_tangent = (Vec){sign * t.x, sign * t.y};
        else trace->arcs[both[k]->arc].start_tangent = (Vec){sign * t.x, sign * t.y};
    }
}

// Where three edges meet the nearest points may be read from mixed pixels; those behind them tell more.
static void find_end_line(const Trace *trace, ArcEnd *end, Vec corner, bool is_mixed)
{
    const TracedArc *arc = &trace->arcs[end->arc];
    int first = end->is_end ? arc->point_count - 1 : 0, step = end->is_end ? -1 : 1;
    end->has_line = corner_end_line(arc->points, arc->point_count, first, step, corner, NEAREST_PX, trace->hard_edged, &end->line);
    if (!is_mixed || trace->hard_edged || !end->has_line || end->line.rms_px <= STRAIGHT_END_RMS_PX) return;
    EdgeLine behind;
    if (corner_end_line(arc->points, arc->point_count, first, step, corner, MIXED_PX, false, &behind) &&
        behind.rms_px <= STRAIGHT_END_RMS_PX)
        end->line = behind;
}

static bool place_nodes(Trace *trace, Work *work, Error *err)
{
    const CrackMap *map = trace->map;
    NodeEnds *ends = NULL;
    if (!collect_ends(trace, work, &ends, err)) return false;
    for (int n = 0; n < map->node_count; n++) {
        Vec corner = pixel_corner(map->nodes[n]);
        trace->node_at[n] = corner;
        EdgeLine lines[4];
        int line_count = 0;
        for (int k = 0; k < ends[n].count; k++) {
            ArcEnd *end = &ends[n].items[k];
            find_end_line(trace, end, corner, ends[n].count > 2);
            if (end->has_line) lines[line_count++] = end->line;
        }
        if (line_count < 2) continue;
        trace->node_at[n] = corner_meet(lines, line_count, corner, trace->hard_edged);
        smooth_node(trace, &ends[n]);
        for (int k = 0; k < ends[n].count && ends[n].count > 2 && !trace->hard_edged; k++)
            if (ends[n].items[k].has_line) calm_end(&trace->arcs[ends[n].items[k].arc], &ends[n].items[k], trace->node_at[n]);
    }
    return true;
}

// A loop's node is its first corner; without one it is wherever the fit starts.
static void place_loop_nodes(Trace *trace)
{
    for (int i = 0; i < trace->map->arc_count; i++) {
        const TracedArc *arc = &trace->arcs[i];
        if (trace->map->arcs[i].is_loop && arc->corner_count > 0)
            trace->node_at[trace->map->arcs[i].from] = arc->corners[0].at;
    }
}

// Corners that the pixels say are none are taken out, the others go where the pixels say. Noise would decide at random.
static void ask_pixels(const Pixels *pixels, const CrackMap *map, const CrackArc *crack, TracedArc *arc)
{
    int kept = 0, left = map->regions[crack->left].label, right = map->regions[crack->right].label;
    for (int i = 0; i < arc->corner_count; i++) {
        SharpCorner c = arc->corners[i];
        Wedge wedge = {c.at, c.in, c.out};
        Painting painting = painting_at(&arc->painting, arc->points[c.after].crack);
        WedgeVerdict verdict = wedge_fit(pixels, &painting, left, right, &wedge);
        if (verdict == WEDGE_NOT_SHARP) continue;
        if (verdict == WEDGE_SHARP) c.at = wedge.at, c.in = wedge.in, c.out = wedge.out;
        arc->corners[kept++] = c;
    }
    arc->corner_count = kept;
}

// So are edges that no pixel shows: parts that were made thicker or larger than they were drawn.
static bool is_mostly_doubtful(const TracedArc *arc)
{
    int doubtful = 0;
    for (int i = 0; i < arc->point_count; i++) doubtful += arc->points[i].slack_px >= HARD_EDGE_SLACK_PX;
    return 2 * doubtful > arc->point_count;
}

bool trace_prepare(const Pixels *pixels, const CrackMap *map, double tolerance_px, Work *work, Trace *out, Error *err)
{
    *out = (Trace){0};
    Arena *scratch = &work->scratch;
    Trace trace = {.map = map, .hard_edged = pixels->separation->hard_edged || pixels->separation->is_noisy,
                   .tolerance_px = tolerance_px};
    trace.arcs = arena_new(scratch, TracedArc, map->arc_count);
    trace.node_at = arena_new(scratch, Vec, map->node_count);
    trace.node_on_pixel = arena_new(scratch, bool, map->node_count);
    if (!trace.arcs || !trace.node_at || !trace.node_on_pixel) return error_memory(err);
    int pixel = pixels->separation->hard_edged ? right_angle_pixel(map) : 1;
    for (int i = 0; i < map->arc_count; i++) {
        if (i % 64 == 0 && !work_goes_on(work, err)) return false;
        TracedArc *arc = &trace.arcs[i];
        arc->is_stale = true;
        arc->points = arena_new(scratch, EdgePoint, map->arcs[i].count);
        arc->corners = arena_new(scratch, SharpCorner, map->arcs[i].count);
        arc->pins = arena_new(scratch, uint8_t, map->arcs[i].count);
        if (!arc->points || !arc->corners || !arc->pins) return error_memory(err);
        if (!painting_find(pixels, map, &map->arcs[i], work, &arc->painting, err)) return false;
        ArenaMark mark = arena_mark(scratch);
        Vec *room = arena_new(scratch, Vec, map->arcs[i].count);
        if (!room) return error_memory(err);
        arc->point_count = subpixel_points(pixels, &arc->painting, map, &map->arcs[i], room, arc->points);
        arena_rewind(scratch, mark);
        arc->is_hard = trace.hard_edged || is_mostly_doubtful(arc);
        if (!corners_find(arc->points, arc->point_count, map->arcs[i].is_loop, arc->is_hard, scratch, arc->corners,
                          &arc->corner_count, err))
            return false;
        if (pixels->separation->hard_edged &&
            !right_angles_add(map, &map->arcs[i], pixel, arc->points, arc->point_count, scratch, arc->corners, &arc->corner_count, err))
            return false;
        if (!arc->is_hard) ask_pixels(pixels, map, &map->arcs[i], arc);
        EdgeShape shape = {arc->points, arc->point_count, arc->corners, arc->corner_count};
        if (!arc->is_hard && !dense_corners(pixels, &arc->painting, map, &map->arcs[i], work, &shape, err)) return false;
        arc->point_count = shape.point_count, arc->corner_count = shape.corner_count;
    }
    if (!place_nodes(&trace, work, err)) return false;
    place_loop_nodes(&trace);
    *out = trace;
    return true;
}

// ---- curves ----

typedef struct Piece {      // what lies between two corners or nodes, both included
    Vec *at;
    double *slack;
    int count;
} Piece;

typedef struct Curves {
    FitCurve *items;
    size_t count, capacity;
    Arena *arena;
} Curves;

static bool add_curve(Curves *curves, FitCurve curve)
{
    FitCurve *items = arena_grow(curves->arena, curves->items, curves->count, &curves->capacity, sizeof *items);
    if (!items) return false;
    curves->items = items;
    items[curves->count++] = curve;
    return true;
}

static void add_point(Piece *piece, Vec at, double slack)
{
    if (piece->count > 0 && vec_distance(piece->at[piece->count - 1], at) < EQUAL_PX) return;
    piece->at[piece->count] = at;
    piece->slack[piece->count++] = slack;
}

// A long gap says nothing about the curve there, which would be free to bulge: straight on, but with doubt.
static void add_over_gap(Piece *piece, Vec at, double slack)
{
    Vec from = piece->at[piece->count - 1];
    double gap = vec_distance(from, at);
    int steps = gap > LONGEST_GAP_PX ? (int)(gap / LONGEST_GAP_PX) + 1 : 1;
    for (int i = 1; i < steps; i++) {
        double t = (double)i / steps;
        add_point(piece, (Vec){from.x + (at.x - from.x) * t, from.y + (at.y - from.y) * t}, HARD_EDGE_SLACK_PX);
    }
    add_point(piece, at, slack);
}

// Takes out the points at a piece's ends that lie on the end or behind it.
static void clear_ends(Piece *piece)
{
    for (int round = 0; round < BACKWARD_MOST && piece->count > 3; round++) {
        Vec *p = piece->at;
        if (vec_distance(p[0], p[1]) >= NEAR_END_PX && dot(sub(p[1], p[0]), sub(p[2], p[1])) > 0) break;
        for (int i = 1; i + 1 < piece->count; i++) p[i] = p[i + 1], piece->slack[i] = piece->slack[i + 1];
        piece->count--;
    }
    for (int round = 0; round < BACKWARD_MOST && piece->count > 3; round++) {
        Vec *p = piece->at;
        int n = piece->count;
        if (vec_distance(p[n - 1], p[n - 2]) >= NEAR_END_PX && dot(sub(p[n - 1], p[n - 2]), sub(p[n - 2], p[n - 3])) > 0) break;
        p[n - 2] = p[n - 1];
        piece->slack[n - 2] = piece->slack[n - 1];
        piece->count--;
    }
    if (piece->count == 3 && (vec_distance(piece->at[0], piece->at[1]) < NEAR_END_PX ||
                              vec_distance(piece->at[1], piece->at[2]) < NEAR_END_PX) &&
        vec_distance(piece->at[0], piece->at[2]) > NEAR_END_PX) {
        piece->at[1] = piece->at[2];
        piece->count = 2;
    }
}

static bool put_piece(const Trace *trace, const TracedArc *arc, const Piece *piece, FitOptions options, Curves *curves, Error *err)
{
    int n = piece->count;
    if (n < 2 || (n == 2 && vec_distance(piece->at[0], piece->at[1]) < EQUAL_PX)) return true;
    options.tolerance = trace->tolerance_px;
    options.by_shortest_path = trace->by_shortest_path;
    options.line_tolerance = options.tolerance / 2;
    options.line_length = arc->is_hard ? LINE_LENGTH_HARD_PX : LINE_LENGTH_PX;
    options.span = arc->is_hard ? HARD_SPAN : 0;
    options.slack = piece->slack;
    FitCurve *fitted;
    int count;
    if (!fit_curves(piece->at, n, &options, curves->arena, &fitted, &count, err)) return false;
    for (int i = 0; i < count; i++)
        if (!add_curve(curves, fitted[i])) return error_memory(err);
    return true;
}

// What an arc passes, in order. Between two breaks it is smooth.
typedef struct Station {
    Vec at;
    double slack_px;
    bool is_break;
} Station;

typedef struct Stations { Station *items; int count; } Stations;

static void pass(Stations *stations, Vec at, double slack_px, bool is_break)
{
    Station *last = stations->count > 0 ? &stations->items[stations->count - 1] : NULL;
    if (last && vec_distance(last->at, at) < EQUAL_PX) {
        if (is_break) *last = (Station){at, 0.0, true};
        return;
    }
    stations->items[stations->count++] = (Station){at, slack_px, is_break};
}

static bool same_direction(const Trace *trace, int arc, int i)
{
    Cell a = arc_corner(trace->map, &trace->map->arcs[arc], i), b = arc_corner(trace->map, &trace->map->arcs[arc], i + 1), c = arc_corner(trace->map, &trace->map->arcs[arc], i + 2);
    return b.x - a.x == c.x - b.x && b.y - a.y == c.y - b.y;
}

// True when a crack from that of point k up to that of the next point follows the pixels: a corner there is theirs.
static bool corner_is_pinned(const Trace *trace, int index, int k)
{
    const TracedArc *arc = &trace->arcs[index];
    int cracks = trace->map->arcs[index].count;
    int from = arc->points[k].crack, next = k + 1 < arc->point_count ? k + 1 : 0, to = arc->points[next].crack;
    if (to < from) to += cracks;
    for (int i = from; i <= to; i++)
        if (arc->pins[i % cracks] == PIN_PIXELS) return true;
    return false;
}

// Passes the cracks from `start` on, all of them once.
static void pass_cracks(const Trace *trace, int index, int start, Stations *stations)
{
    const TracedArc *arc = &trace->arcs[index];
    int cracks = trace->map->arcs[index].count, k = 0, corner = 0;
    while (k < arc->point_count && arc->points[k].crack < start) k++;
    while (corner < arc->corner_count && arc->corners[corner].after < k) corner++;
    for (int i = start; i < start + cracks; i++) {
        int c = i % cracks;
        if (c == 0) k = 0, corner = 0;
        bool on_pixels = arc->pins[c] == PIN_PIXELS;
        if (on_pixels) {
            if (i == start || arc->pins[(i - 1) % cracks] != PIN_PIXELS) pass(stations, pixel_corner(arc_corner(trace->map, &trace->map->arcs[index], c)), 0, true);
            bool goes_on = i + 1 < start + cracks && arc->pins[(i + 1) % cracks] == PIN_PIXELS && same_direction(trace, index, c);
            if (!goes_on) pass(stations, pixel_corner(arc_corner(trace->map, &trace->map->arcs[index], c + 1)), 0, true);
        }
        for (; k < arc->point_count && arc->points[k].crack == c; k++) {
            if (!on_pixels) pass(stations, arc->points[k].at, arc->points[k].slack_px, arc->pins[c] == PIN_POINTS);
            for (; corner < arc->corner_count && arc->corners[corner].after == k; corner++)
                if (!corner_is_pinned(trace, index, k)) pass(stations, arc->corners[corner].at, 0, true);
        }
    }
}

static bool put_stations(const Trace *trace, int index, const Stations *stations, Piece *piece, Curves *curves, Error *err)
{
    const TracedArc *arc = &trace->arcs[index];
    bool steered = !trace->map->arcs[index].is_loop && !arc->is_pinned;
    FitOptions options = {.start_tangent = steered ? arc->start_tangent : (Vec){0, 0}};
    for (int i = 0; i < stations->count; i++) {
        const Station *s = &stations->items[i];
        if (i == 0 || (s->is_break && piece->count == 1)) add_point(piece, s->at, s->slack_px);
        else add_over_gap(piece, s->at, s->slack_px);
        if (i == 0 || !s->is_break) continue;
        if (steered && i + 1 == stations->count) options.end_tangent = arc->end_tangent;
        clear_ends(piece);
        if (!put_piece(trace, arc, piece, options, curves, err)) return false;
        piece->count = 0;
        options.start_tangent = (Vec){0, 0};
        add_point(piece, s->at, 0.0);
    }
    return true;
}

// Where a loop starts: at a pinned stretch, else behind its first corner.
static int loop_start(const Trace *trace, int index)
{
    const TracedArc *arc = &trace->arcs[index];
    int cracks = trace->map->arcs[index].count;
    for (Pin pin = PIN_PIXELS; pin > PIN_NONE && arc->is_pinned; pin--)
        for (int i = 0; i < cracks; i++)
            if (arc->pins[i] >= pin && arc->pins[(i + cracks - 1) % cracks] < pin) return i;
    if (arc->is_pinned || arc->corner_count == 0) return 0;
    int next = arc->corners[0].after + 1;
    return arc->points[next < arc->point_count ? next : 0].crack;
}

static bool put_breaks(const Trace *trace, int index, Piece *piece, Curves *curves, Error *err)
{
    const TracedArc *arc = &trace->arcs[index];
    const CrackArc *crack = &trace->map->arcs[index];
    Stations stations = {arena_new(curves->arena, Station, arc->point_count + arc->corner_count + 2 * crack->count + 4), 0};
    if (!stations.items) return error_memory(err);
    if (crack->is_loop) {
        if (!arc->is_pinned) pass(&stations, arc->corners[0].at, 0, true);
        pass_cracks(trace, index, loop_start(trace, index), &stations);
        if (stations.count < 3) return true; // nothing is left of it: the caller sees a loop without curves
        stations.items[0].is_break = true;
        pass(&stations, stations.items[0].at, 0, true);
    } else {
        pass(&stations, trace->node_at[crack->from], 0, true);
        pass_cracks(trace, index, 0, &stations);
        pass(&stations, trace->node_at[crack->to], 0, true);
    }
    return put_stations(trace, index, &stations, piece, curves, err);
}

static bool put_smooth_loop(const Trace *trace, int index, Piece *piece, Curves *curves, Error *err)
{
    const TracedArc *arc = &trace->arcs[index];
    int n = arc->point_count, shift = 0;
    while (shift + 1 < n && arc->points[shift].slack_px > 0) shift++;
    for (int i = 0; i < n; i++) {
        const EdgePoint *p = &arc->points[(i + shift) % n];
        if (i == 0) add_point(piece, p->at, p->slack_px);
        else add_over_gap(piece, p->at, p->slack_px);
    }
    while (piece->count > 1 && vec_distance(piece->at[0], piece->at[piece->count - 1]) < EQUAL_PX) piece->count--;
    if (piece->count < 3) return true; // as above
    piece->at[piece->count] = piece->at[0];
    piece->slack[piece->count] = piece->slack[0];
    piece->count++;
    return put_piece(trace, arc, piece, (FitOptions){.closed = true}, curves, err);
}

static bool trace_one(Trace *trace, int index, Arena *scratch, Error *err)
{
    TracedArc *arc = &trace->arcs[index];
    const CrackArc *crack = &trace->map->arcs[index];
    Curves curves = {.arena = scratch};
    // each point may lie a pixel or two off its crack, and a gap between them is filled
    size_t most = 2 * ((size_t)arc->point_count + (size_t)arc->corner_count) + 2 * (size_t)crack->count + 16;
    Piece piece = {arena_new(scratch, Vec, most), arena_new(scratch, double, most), 0};
    if (!piece.at || !piece.slack) return error_memory(err);
    bool is_smooth = crack->is_loop && arc->corner_count == 0 && !arc->is_pinned;
    bool ok = is_smooth ? put_smooth_loop(trace, index, &piece, &curves, err)
                        : put_breaks(trace, index, &piece, &curves, err);
    if (!ok) return false;
    arc->curves = curves.items;
    arc->curve_count = (int)curves.count;
    arc->is_stale = false;
    if (crack->is_loop && arc->curve_count > 0) trace->node_at[crack->from] = arc->curves[0].p0;
    return true;
}

bool trace_some(Trace *trace, int first, int step, Arena *own, Work *work, Error *err)
{
    for (int i = first; i < trace->map->arc_count; i += step) {
        if (!trace->arcs[i].is_stale) continue;
        if (!work_goes_on(work, err) || !trace_one(trace, i, own, err)) return false;
    }
    return true;
}

bool trace_curves(Trace *trace, Work *work, Error *err)
{
    return trace_some(trace, 0, 1, &work->scratch, work, err);
}

static void node_to_pixel(Trace *trace, int node)
{
    if (trace->node_on_pixel[node]) return;
    trace->node_on_pixel[node] = true;
    trace->node_at[node] = pixel_corner(trace->map->nodes[node]);
    for (int i = 0; i < trace->map->arc_count; i++)
        if (trace->map->arcs[i].from == node || trace->map->arcs[i].to == node) trace->arcs[i].is_stale = true;
}

bool trace_pin(Trace *trace, int index, Vec at, double radius_px, Pin pin)
{
    TracedArc *arc = &trace->arcs[index];
    const CrackArc *crack = &trace->map->arcs[index];
    bool changed = false;
    for (int i = 0; i < crack->count; i++) {
        Vec a = pixel_corner(arc_corner(trace->map, &trace->map->arcs[index], i)), b = pixel_corner(arc_corner(trace->map, &trace->map->arcs[index], i + 1));
        Vec middle = {(a.x + b.x) / 2, (a.y + b.y) / 2};
        if (arc->pins[i] >= pin || vec_distance(middle, at) > radius_px) continue;
        arc->pins[i] = (uint8_t)pin;
        changed = true;
    }
    if (!changed) return false;
    arc->is_pinned = arc->is_stale = true;
    if (!crack->is_loop && arc->pins[0] == PIN_PIXELS) node_to_pixel(trace, crack->from);
    if (!crack->is_loop && arc->pins[crack->count - 1] == PIN_PIXELS) node_to_pixel(trace, crack->to);
    return true;
}

bool trace_pin_all(Trace *trace, int index)
{
    return trace_pin(trace, index, (Vec){0, 0}, INFINITY, PIN_PIXELS);
}
