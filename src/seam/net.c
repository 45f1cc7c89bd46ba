// net.c - see net.h.
// How:  borders are cut into chords at the outline and into segments at the cross cuts that meet them; cross cuts run
//       from border to border or to the outline.
#include "seam/net.h"

#include "seam/faces.h"

#include <math.h>
#include <stdlib.h>

#define NEAR_EDGE_MM 0.05  // a line keeps this far from corners and edges that it would only touch
#define NEAR_END_MM 0.3    // and a cross cut from the ends of a border's chords
#define LEAST_CHORD_MM 0.3 // shorter ones are touches
static const double dodges_mm[] = {0.0, 0.12, -0.12, 0.24, -0.24, 0.36, -0.36, 0.45, -0.45};

typedef struct Meeting { // a junction on a border
    double u;
    int node;
} Meeting;

typedef struct Builder {
    const NetGround *ground;
    const Layout *layout;
    Arena *scratch;
    const NetFrame *frame;
    double *borders, *crosses; // after dodging
    double *lines;             // all positions of cross cuts, rising, each once
    int line_count;
    Scan border_scan, line_scan;
    Meeting *meetings; // by border: meeting_first[b] ..
    int *meeting_first;
    int meeting_count;
    int node_room, segment_room;
    Net net;
} Builder;

static int compare_doubles(const void *pa, const void *pb)
{
    double a = *(const double *)pa, b = *(const double *)pb;
    return (a > b) - (a < b);
}

static bool has_near(const double *sorted, int count, double value, double within)
{
    int lo = 0, hi = count;
    while (lo < hi) {
        int middle = (lo + hi) / 2;
        if (sorted[middle] < value - within)
            lo = middle + 1;
        else
            hi = middle;
    }
    return lo < count && sorted[lo] <= value + within;
}

// Positions that a line must keep away from: corners where the outline turns back, edges that nearly run along it.
static double *touching_positions(const Turned *turned, const double *across, const double *along, Arena *keep,
                                  int *out_count)
{
    double *out = arena_new(keep, double, 2 * (size_t)turned->count);
    int count = 0;
    for (int a = 0; out && a < turned->count; a++) {
        int b = turned->next[a], c = turned->next[b];
        double in = across[b] - across[a], on = across[c] - across[b];
        if (in * on <= 0.0) out[count++] = across[b];
        if (fabs(in) < 2.0 * NEAR_EDGE_MM && fabs(along[b] - along[a]) > 0.5) out[count++] = across[a];
    }
    if (count) qsort(out, (size_t)count, sizeof *out, compare_doubles);
    *out_count = count;
    return out;
}

static double dodge(double at, const double *touching, int touching_count, const double *ends, int end_count)
{
    for (size_t i = 0; i < sizeof dodges_mm / sizeof *dodges_mm; i++) {
        double moved = at + dodges_mm[i];
        if (has_near(touching, touching_count, moved, NEAR_EDGE_MM)) continue;
        if (has_near(ends, end_count, moved, NEAR_END_MM)) continue;
        return moved;
    }
    return at;
}

static bool place_borders(Builder *b, Error *err)
{
    int n = b->layout->border_count;
    b->borders = arena_new(b->scratch, double, n);
    if (!b->borders) return error_memory(err);
    for (int i = 0; i < n; i++)
        b->borders[i] = dodge(b->layout->borders[i], b->frame->touching_v, b->frame->touching_v_count, NULL, 0);
    return scan_lines(&b->frame->turned, LINES_ALONG_U, b->borders, n, b->scratch, &b->border_scan, err);
}

static bool place_crosses(Builder *b, Error *err)
{
    int n = b->layout->first_cross[b->layout->border_count + 1];
    int end_count = b->border_scan.first[b->border_scan.line_count];
    double *ends = arena_new(b->scratch, double, end_count);
    b->crosses = arena_new(b->scratch, double, n);
    b->lines = arena_new(b->scratch, double, n);
    if (!ends || !b->crosses || !b->lines) return error_memory(err);
    for (int i = 0; i < end_count; i++) ends[i] = b->border_scan.items[i].at;
    if (end_count) qsort(ends, (size_t)end_count, sizeof *ends, compare_doubles);
    for (int i = 0; i < n; i++)
        b->lines[i] = b->crosses[i] =
            dodge(b->layout->crosses[i], b->frame->touching_u, b->frame->touching_u_count, ends, end_count);
    if (n) qsort(b->lines, (size_t)n, sizeof *b->lines, compare_doubles);
    for (int i = 0; i < n; i++)
        if (b->line_count == 0 || b->lines[i] > b->lines[b->line_count - 1]) b->lines[b->line_count++] = b->lines[i];
    return scan_lines(&b->frame->turned, LINES_ALONG_V, b->lines, b->line_count, b->scratch, &b->line_scan, err);
}

static bool make_room(Builder *b, Error *err)
{
    int strips = b->layout->border_count + 1;
    int crosses = b->layout->first_cross[strips];
    int on_outline = b->border_scan.first[b->border_scan.line_count] + b->line_scan.first[b->line_scan.line_count];
    b->node_room = on_outline + 2 * crosses + 1;
    b->segment_room = on_outline + 4 * crosses + 1;
    b->net.nodes = arena_new(b->scratch, NetNode, b->node_room);
    b->net.segments = arena_new(b->scratch, NetSegment, b->segment_room);
    b->meetings = arena_new(b->scratch, Meeting, 2 * crosses + 1);
    b->meeting_first = arena_new(b->scratch, int, strips + 1);
    if (!b->net.nodes || !b->net.segments || !b->meetings || !b->meeting_first) return error_memory(err);
    return true;
}

static int add_node(Builder *b, Point at, int edge, double along)
{
    b->net.nodes[b->net.node_count] = (NetNode){at, edge, along, {-1, -1, -1, -1}, -1, 0.0, false};
    return b->net.node_count++;
}

// On the edge of a piece that is cut already a seam ends at a corner only, so that the piece need not change.
static int add_corner_node(Builder *b, const Crossing *crossing)
{
    const Part *part = b->ground->part;
    int edge = crossing->along < 0.5 ? crossing->edge : part->next[crossing->edge];
    double length = point_distance_mm(part->points[crossing->edge], part->points[part->next[crossing->edge]]);
    int node = add_node(b, part->points[edge], edge, 0.0);
    b->net.nodes[node].moved_mm = length * (crossing->along < 0.5 ? crossing->along : 1.0 - crossing->along);
    return node;
}

static int add_outline_node(Builder *b, const Crossing *crossing)
{
    const Part *part = b->ground->part;
    int edge = crossing->edge;
    if (part->locked && part->locked[edge]) return add_corner_node(b, crossing);
    return add_node(b, part_node(part, b->ground->chains, edge, crossing->along), edge, crossing->along);
}

static bool add_segment(Builder *b, int from, int to, int way)
{
    NetNode *a = &b->net.nodes[from], *c = &b->net.nodes[to];
    int i = b->net.segment_count++;
    double length = point_distance_mm(a->at, c->at);
    b->net.segments[i] = (NetSegment){.a = from, .b = to, .way = way, .face = {-1, -1}, .length_mm = length};
    a->leaving[way] = 2 * i;
    c->leaving[way + 2] = 2 * i + 1;
    return length >= LEAST_CHORD_MM;
}

// The next position of a cross cut that meets border `border` from either side, at or after u; INFINITY for none.
static double next_meeting(const Builder *b, int border, double u)
{
    double best = INFINITY;
    for (int strip = border; strip <= border + 1; strip++)
        for (int i = b->layout->first_cross[strip]; i < b->layout->first_cross[strip + 1]; i++)
            if (b->crosses[i] > u && b->crosses[i] < best) best = b->crosses[i];
    return best;
}

static bool cut_border(Builder *b, int border)
{
    const Scan *scan = &b->border_scan;
    b->meeting_first[border] = b->meeting_count;
    for (int i = scan->first[border]; i < scan->first[border + 1]; i += 2) {
        const Crossing *from = &scan->items[i], *to = &scan->items[i + 1];
        int at = add_outline_node(b, from);
        for (double u = next_meeting(b, border, from->at); u < to->at; u = next_meeting(b, border, u)) {
            int node = add_node(b, frame_to_plane(b->layout->frame, u, b->borders[border]), -1, 0.0);
            b->meetings[b->meeting_count++] = (Meeting){u, node};
            if (!add_segment(b, at, node, 0)) return false;
            at = node;
        }
        if (!add_segment(b, at, add_outline_node(b, to), 0)) return false;
    }
    return true;
}

static int meeting_node(const Builder *b, int border, double u)
{
    for (int i = b->meeting_first[border]; i < b->meeting_first[border + 1]; i++)
        if (b->meetings[i].u == u) return b->meetings[i].node;
    return -1;
}

static bool cut_across(Builder *b, int strip, double u)
{
    int line = 0, borders = b->layout->border_count;
    while (b->lines[line] < u) line++;
    double lo = strip > 0 ? b->borders[strip - 1] : -INFINITY, hi = strip < borders ? b->borders[strip] : INFINITY;
    int open = strip > 0 ? meeting_node(b, strip - 1, u) : -1;
    for (int i = b->line_scan.first[line]; i < b->line_scan.first[line + 1]; i++) {
        const Crossing *crossing = &b->line_scan.items[i];
        if (crossing->at <= lo || crossing->at >= hi) continue;
        int node = add_outline_node(b, crossing);
        if (open >= 0 && !add_segment(b, open, node, 1)) return false;
        open = open >= 0 ? -1 : node;
    }
    int end = strip < borders ? meeting_node(b, strip, u) : -1;
    if ((open >= 0) != (end >= 0)) return false;
    return open < 0 || add_segment(b, open, end, 1);
}

static bool cut_all(Builder *b)
{
    int strips = b->layout->border_count + 1;
    for (int i = 0; i + 1 < strips; i++) {
        if (i > 0 && b->borders[i] <= b->borders[i - 1]) return false;
        if (!cut_border(b, i)) return false;
    }
    b->meeting_first[strips - 1] = b->meeting_count;
    for (int s = 0; s < strips; s++)
        for (int i = b->layout->first_cross[s]; i < b->layout->first_cross[s + 1]; i++)
            if (!cut_across(b, s, b->crosses[i])) return false;
    return b->net.segment_count > 0;
}

bool net_frame_make(const Part *part, Frame frame, Arena *keep, NetFrame *out, Error *err)
{
    if (!part_turn(part, frame, keep, &out->turned, err)) return false;
    const double *u = out->turned.u, *v = out->turned.v;
    out->touching_v = touching_positions(&out->turned, v, u, keep, &out->touching_v_count);
    out->touching_u = touching_positions(&out->turned, u, v, keep, &out->touching_u_count);
    return out->touching_v && out->touching_u ? true : error_memory(err);
}

int net_half_end(const Net *net, int half)
{
    return half % 2 ? net->segments[half / 2].a : net->segments[half / 2].b;
}

bool net_make(const NetGround *ground, const NetFrame *frame, const Layout *layout, Arena *scratch, Net *out,
              Error *err)
{
    Builder b = {.ground = ground, .frame = frame, .layout = layout, .scratch = scratch};
    *out = (Net){0};
    if (!place_borders(&b, err) || !place_crosses(&b, err) || !make_room(&b, err)) return false;
    b.net.usable = cut_all(&b);
    *out = b.net;
    if (out->usable && !faces_find(ground, out, scratch, err)) return false;
    return !out->usable || faces_measure(ground, out, scratch, err);
}
