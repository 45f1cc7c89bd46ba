// shares.c - see shares.h.
#include "outline/shares.h"

#include <math.h>

#define LINE_MOST 24            // points of the path within one pixel: two rounded vertices and more
#define SIDE_PIXELS 4096        // that one side passes at most; no side is near as long, so numbers that are no numbers end too
#define SLOTS_A_CRACK 12        // two pixels beside it, and those that a straying path passes
#define FULL_QUARTERS 3         // of the slots; then a search takes ten steps
#define ROUND_STEPS 4           // sides of a rounded vertex
#define ROUND_PX 3.0            // it is cut off up to here: longer than antialiasing reaches, so that sharp and rounded differ
#define ON_BORDER_PX 1e-6
#define OFF_BORDER_PX 1e-5      // a share changes by as much: far below what eight bits tell

typedef struct Node {           // a point that the path passes: a mean of a vertex and its two neighbours
    Vec at;
    int vertex;
    double weight[3];           // of the vertex before, of it, of the one behind
} Node;

// The sides of a pixel's square, in the order of its border: from the top left corner, down first, one unit a side.
typedef enum Border { BORDER_LEFT, BORDER_BOTTOM, BORDER_RIGHT, BORDER_TOP } Border;

typedef struct Walk {           // along the path, pixel by pixel
    EdgePath *path;
    Comparison *out;
    int x, y;                   // the pixel
    Vec line[LINE_MOST];        // the path within it so far
    int line_count;
    double entry;               // where it came in: a place on the border, 0..4
    bool is_known;              // where it came in, and all of the line fits
    PathBit *bit;               // where the next one of the comparison is made
    PathBit spare;              // or, when it is full, here
} Walk;

Vec off_grid(Vec p)
{
    if (fabs(p.x - floor(p.x + 0.5)) < ON_BORDER_PX) p.x += OFF_BORDER_PX;
    if (fabs(p.y - floor(p.y + 0.5)) < ON_BORDER_PX) p.y += OFF_BORDER_PX;
    return p;
}

// ---- what the picture says ----

// The slot of a pixel near this crack, read from the picture when it is first asked for. -1 when the table is full: then the path
// strays far from its cracks; pixels known already stay known, others count for nothing.
static int find_slot(EdgePath *path, int x, int y, int crack)
{
    uint64_t key = ((uint64_t)(uint32_t)y << 32 | (uint32_t)x) ^ 1ull << 63; // 0 for no pixel that a path reaches
    int i = (int)(key * 0x9e3779b97f4a7c15u >> 40) & path->slot_mask; // D. Knuth's multiplication by the golden ratio
    while (path->slots[i].key && path->slots[i].key != key) i = (i + 1) & path->slot_mask;
    if (path->slots[i].key) return i;
    if (path->slots_used * 4 > path->slot_mask * FULL_QUARTERS) return -1;
    path->slots_used++;
    int n = path->arc->count;
    double of_right = 0;
    Painting here = painting_at(path->painting, (crack % n + n) % n);
    bool is_blend = subpixel_coverage(path->pixels, &here, path->left_label, path->right_label, x, y, &of_right);
    path->slots[i] = (EdgePixel){.key = key, .in_picture = 1 - of_right, .is_blend = is_blend};
    return i;
}

// ---- what the path covers ----

static double cross(Vec a, Vec b)
{
    return a.x * b.y - b.x * a.y;
}

// Area to the left of a line through a pixel's square from one place on its border to another, which closes along the border.
static double area_left(const Walk *w, double exit)
{
    static const Vec corner[4] = {{0, 0}, {0, 1}, {1, 1}, {1, 0}};
    double sum = 0;
    Vec first = {w->line[0].x - w->x, w->line[0].y - w->y}, last = first;
    for (int i = 1; i < w->line_count; i++) {
        Vec p = {w->line[i].x - w->x, w->line[i].y - w->y};
        sum += cross(last, p);
        last = p;
    }
    double end = w->entry < exit ? w->entry + 4 : w->entry;
    for (int k = (int)floor(exit) + 1; k < end; k++) {
        sum += cross(last, corner[k & 3]);
        last = corner[k & 3];
    }
    return -(sum + cross(last, first)) / 2;
}

static void end_bit(Walk *w, double exit, int crack)
{
    int slot = find_slot(w->path, w->x, w->y, crack);
    if (slot < 0) return;
    EdgePixel *pixel = &w->path->slots[slot];
    double area = area_left(w, exit);
    if (pixel->stamp != w->path->stamp) pixel->stamp = w->path->stamp, pixel->in_path = area;
    else { // passed twice: what lies to the left of both, or, when they run against each other, of either
        double both = pixel->in_path + area;
        pixel->in_path = both >= 1 ? both - 1 : both;
    }
    Vec a = w->line[0], b = w->line[w->line_count - 1];
    w->bit->slot = slot;
    w->bit->middle = (Vec){(a.x + b.x) / 2, (a.y + b.y) / 2};
    if (w->out->count < COMPARED_BITS && w->bit->count > 0) w->out->count++;
    w->bit = w->out->count < COMPARED_BITS ? &w->out->bits[w->out->count] : &w->spare;
}

// ---- walking ----

// What the path passes at vertex k: itself, or points on the curve that cuts it off (a parabola, tangent to both sides). Returns how
// many.
static int nodes_at(const EdgePath *path, int k, bool is_end, Node *out)
{
    Vec v = path->vertices[k].at;
    if (!path->vertices[k].is_round || is_end || k == 0 || k + 1 == path->count) {
        out[0] = (Node){v, k, {0, 1, 0}};
        return 1;
    }
    Vec p = path->vertices[k - 1].at, q = path->vertices[k + 1].at;
    double a = fmin(0.5, ROUND_PX / vec_distance(p, v)), b = fmin(0.5, ROUND_PX / vec_distance(v, q));
    for (int i = 0; i <= ROUND_STEPS; i++) {
        double t = (double)i / ROUND_STEPS, w0 = (1 - t) * (1 - t) * a, w2 = t * t * b, w1 = 1 - w0 - w2;
        Vec at = {w0 * p.x + w1 * v.x + w2 * q.x, w0 * p.y + w1 * v.y + w2 * q.y};
        out[i] = (Node){off_grid(at), k, {w0, w1, w2}};
    }
    return ROUND_STEPS + 1;
}

static void add_to_line(Walk *w, Vec at)
{
    if (w->line_count < LINE_MOST) w->line[w->line_count++] = at;
    else w->is_known = false;
}

// Adds what a node's vertices do to the share; false when more vertices move this pixel's path than a bit holds.
static bool add_derivative(PathBit *bit, const Node *node, Vec by)
{
    for (int i = 0; i < 3; i++) {
        if (node->weight[i] == 0) continue;
        int at = node->vertex - 1 + i - bit->first;
        if (at < 0 || at >= BIT_VERTICES) return false;
        while (bit->count <= at) bit->by[bit->count++] = (Vec){0, 0};
        bit->by[at].x += node->weight[i] * by.x;
        bit->by[at].y += node->weight[i] * by.y;
    }
    return true;
}

// The part t0..t1 (of 1) of the side lies in this pixel.
static void weigh_part(Walk *w, const Node *from, const Node *to, double t0, double t1)
{
    Vec d = {to->at.x - from->at.x, to->at.y - from->at.y};
    double of_to = (t1 * t1 - t0 * t0) / 2, of_from = (t1 - t0) - of_to;
    if (w->bit->count == 0) w->bit->first = from->vertex - (from->weight[0] > 0);
    if (!add_derivative(w->bit, from, (Vec){-d.y * of_from, d.x * of_from}) ||
        !add_derivative(w->bit, to, (Vec){-d.y * of_to, d.x * of_to}))
        w->is_known = false;
}

// The part of a side (of 1, from p by d) at which it leaves the pixel column or row.
static double part_to_border(double p, double d, int pixel)
{
    return d > 0 ? (pixel + 1 - p) / d : d < 0 ? (pixel - p) / d : INFINITY;
}

static double border_place(Border side, Vec in_pixel)
{
    switch (side) {
    case BORDER_LEFT: return in_pixel.y;
    case BORDER_BOTTOM: return 1 + in_pixel.x;
    case BORDER_RIGHT: return 3 - in_pixel.y;
    case BORDER_TOP: return 4 - in_pixel.x;
    }
    return 0;
}

static double within_1(double v)
{
    return v > 0 ? v < 1 ? v : 1 : 0;
}

static void cross_border(Walk *w, Border side, Vec here, int crack)
{
    bool is_x = side == BORDER_LEFT || side == BORDER_RIGHT, is_up = side == BORDER_RIGHT || side == BORDER_BOTTOM;
    if (is_x) here.x = w->x + is_up;
    else here.y = w->y + is_up;
    Vec in_pixel = {within_1(here.x - w->x), within_1(here.y - w->y)};
    add_to_line(w, here);
    if (w->is_known) end_bit(w, border_place(side, in_pixel), crack);
    if (is_x) w->x += is_up ? 1 : -1;
    else w->y += is_up ? 1 : -1;
    w->entry = border_place((Border)((side + 2) & 3), in_pixel); // the next one's opposite side
    w->line[0] = here;
    w->line_count = 1;
    w->is_known = true;
    w->bit->count = 0;
}

static void walk_side(Walk *w, const Node *from, const Node *to)
{
    Vec p = from->at, d = {to->at.x - p.x, to->at.y - p.y};
    int crack = w->path->vertices[from->vertex].crack;
    double done = 0;
    add_to_line(w, p);
    for (int i = 0; i < SIDE_PIXELS; i++) {
        double to_x = part_to_border(p.x, d.x, w->x), to_y = part_to_border(p.y, d.y, w->y);
        double border = to_x < to_y ? to_x : to_y, next = border > done ? border < 1.0 ? border : 1.0 : done;
        weigh_part(w, from, to, done, next);
        done = next;
        if (to_x >= 1 && to_y >= 1) return;
        Border x_side = d.x > 0 ? BORDER_RIGHT : BORDER_LEFT, y_side = d.y > 0 ? BORDER_BOTTOM : BORDER_TOP;
        cross_border(w, to_x <= to_y ? x_side : y_side, (Vec){p.x + done * d.x, p.y + done * d.y}, crack);
    }
}

// Leaves out the pixels in which the first side begins and the last ends: the path goes on there.
static void walk(EdgePath *path, int from, int to, Comparison *out)
{
    Node nodes[ROUND_STEPS + 1];
    (void)nodes_at(path, from, true, nodes);
    Node last = nodes[0];
    Walk w = {.path = path, .out = out, .x = (int)floor(last.at.x), .y = (int)floor(last.at.y), .bit = out->bits};
    w.bit->count = 0;
    for (int k = from + 1; k <= to; k++) {
        int n = nodes_at(path, k, k == to, nodes);
        for (int i = 0; i < n; i++) {
            walk_side(&w, &last, &nodes[i]);
            last = nodes[i];
        }
    }
}

// ---- comparing ----

static double off_share(const EdgePixel *pixel)
{
    return pixel->is_blend ? pixel->in_path - pixel->in_picture : 0;
}

// A pixel counts once, however often the path passes it.
static void add_passed(const EdgePath *path, Comparison *out)
{
    int slots[COMPARED_BITS]; // side by side: looked through for each bit
    for (int i = 0; i < out->count; i++) {
        PathBit *bit = &out->bits[i];
        const EdgePixel *pixel = &path->slots[bit->slot];
        bit->is_blend = pixel->is_blend;
        bit->off = off_share(pixel);
        slots[i] = bit->slot;
        bool again = false;
        for (int k = i - 1; k >= 0 && k > i - 12 && !again; k--) again = slots[k] == bit->slot;
        if (!again) out->cost += bit->off * bit->off;
    }
}

// The pixels on both sides of a crack that the path does not pass lie wholly to one side of it.
static void add_beside(EdgePath *path, int k, Comparison *out)
{
    Sides sides = blend_sides(arc_corner(path->map, path->arc, k), arc_corner(path->map, path->arc, k + 1));
    for (int i = 0; i < 2; i++) {
        Cell c = i ? sides.right : sides.left;
        int slot = find_slot(path, c.x, c.y, k);
        if (slot < 0 || path->slots[slot].stamp == path->stamp) continue;
        path->slots[slot].stamp = path->stamp;
        path->slots[slot].in_path = i ? 0 : 1;
        double off = off_share(&path->slots[slot]);
        out->cost += off * off;
    }
}

void shares_compare(EdgePath *path, int from, int to, Comparison *out)
{
    out->count = 0, out->cost = 0;
    path->stamp++;
    walk(path, from > 0 ? from - 1 : 0, to + 1 < path->count ? to + 1 : path->count - 1, out);
    add_passed(path, out);
    int n = path->arc->count, first = path->vertices[from].crack, last = path->vertices[to].crack;
    if (last < first && path->is_closed) last += n;
    if (path->is_closed && from == 0 && to == path->count - 1) last = first + n - 1;
    for (int i = first; i <= last; i++) add_beside(path, i % n, out);
}

bool shares_prepare(const Pixels *pixels, const ArcPainting *painting, const CrackMap *map, const CrackArc *arc, bool is_closed,
                    int crack_count, int most, Arena *scratch, EdgePath *out, Error *err)
{
    *out = (EdgePath){.pixels = pixels, .painting = painting, .map = map, .arc = arc, .is_closed = is_closed, .most = most};
    out->left_label = map->regions[arc->left].label, out->right_label = map->regions[arc->right].label;
    int slots = 64;
    while (slots < SLOTS_A_CRACK * crack_count) slots *= 2;
    out->slot_mask = slots - 1;
    out->slots = arena_new(scratch, EdgePixel, slots);
    out->vertices = arena_new(scratch, PathVertex, most);
    return out->slots && out->vertices ? true : error_memory(err);
}
