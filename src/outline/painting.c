// painting.c - see painting.h.
#include "outline/painting.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define BLOCK_CRACKS 32         // looked at in one run
#define LEAST_BLOCKS 8          // of an arc, evenly spread
#define BLOCKS_SHARE 4          // of all blocks one in four, where that is more
#define STEEP_REACH 3           // cracks each side that tell the edge's direction
#define THIRD_LEAST 4           // pixels off the line between the two colours
#define THIRD_LEAST_SHARE 0.15  // of the blended ones; fewer are a meeting with a third shape
#define THIRD_RMS 0.06          // of the third's share from what the order says; hairlines between shapes leave more
#define CLEARER 0.5             // the better way leaves less than this of the other one's squares
#define WALK_PX 4
#define WINDOW 7                // rows that a parabola is put through
#define WINDOWS_LEAST 10        // fewer say nothing
#define WINDOW_RMS 0.08         // of shares; in a window that no way explains better than this the edge has a corner
#define PLAIN_RMS 0.012         // a plain reading that leaves less is right: 8 bits and the renderer's own steps
#define BLOCK_RMS 0.025         // the same for the worst block
#define CHANGE_COST 0.06        // squares that a change of the way along an arc must save: what some 20 cracks leave over
#define TIMES_CLEARER 0.5       // of the plain way's squares, over the whole run

#define READ_ARCS 64            // that tell whether a picture was blended in light
#define READ_BLOCKS 4           // of each
#define READ_LEAST 60           // windows
#define ODD_WINDOW_RMS 0.12     // a window that leaves more has a corner
#define LIGHT_CLEARER 0.3       // of the squares of the encoded reading, which nearly all pictures ask for

Painting painting_plain(void)
{
    return (Painting){-1, LAST_UNKNOWN, 1, 1};
}

// The n-th root of 0..1 for n = 1 to 4; the third by Newton's iteration, so that no library's last bit decides.
static double root_of(double v, int n)
{
    if (n == 1 || v <= 0.0) return fmax(v, 0.0);
    if (n == 2) return sqrt(v);
    double r = sqrt(v);
    if (n == 4) return sqrt(r);
    for (int i = 0; i < 12; i++) r = (2.0 * r + v / (r * r)) / 3.0;
    return r;
}

static double power_of(double v, int n)
{
    return n == 1 ? v : n == 2 ? v * v : n == 3 ? v * v * v : v * v * v * v;
}

static double right_coverage(const Painting *p, double share)
{
    return p->right_times > 1 ? 1.0 - root_of(1.0 - share, p->right_times) : root_of(share, p->left_times);
}

static double right_share(const Painting *p, double coverage)
{
    return p->right_times > 1 ? 1.0 - power_of(1.0 - coverage, p->right_times) : power_of(coverage, p->left_times);
}

static double within_1(double share)
{
    return share < 0.0 ? 0.0 : share > 1.0 ? 1.0 : share;
}

double painting_coverage(const Painting *painting, bool other_is_right, const Shares *shares, double *doubt)
{
    *doubt = 0.0;
    if (shares->third > 0.0) {
        if (painting->last != LAST_UNKNOWN && shares->third_label == painting->third_label) {
            bool other_is_last = (painting->last == LAST_RIGHT) == other_is_right;
            return within_1(other_is_last ? shares->other : shares->other + shares->third);
        }
        *doubt = shares->third / 2; // which of the two it was drawn over cannot be seen: half each
        return within_1(shares->other + shares->third / 2);
    }
    if (painting->left_times == 1 && painting->right_times == 1) return shares->other;
    return other_is_right ? right_coverage(painting, shares->other) : 1.0 - right_coverage(painting, 1.0 - shares->other);
}

// ---- codes of ways ----

#define WAYS 7
static const Painting often[WAYS] = {{-1, LAST_UNKNOWN, 1, 1}, {-1, LAST_UNKNOWN, 1, 2}, {-1, LAST_UNKNOWN, 2, 1}, {-1, LAST_UNKNOWN, 1, 3},
                                     {-1, LAST_UNKNOWN, 3, 1}, {-1, LAST_UNKNOWN, 1, 4}, {-1, LAST_UNKNOWN, 4, 1}};

static int code_of_third(const Painting *painting)
{
    return WAYS + 2 * painting->third_label + (painting->last == LAST_RIGHT);
}

Painting painting_at(const ArcPainting *arc, int crack)
{
    if (!arc->ways) return arc->whole;
    int code = arc->ways[crack];
    if (code < WAYS) return often[code];
    return (Painting){(code - WAYS) / 2, (code - WAYS) % 2 ? LAST_RIGHT : LAST_LEFT, 1, 1};
}

// ---- the cracks that are looked at ----

typedef struct Look {
    const Pixels *pixels;
    const CrackMap *map;
    const CrackArc *arc;
    int left, right;        // labels
    Blend to_right, to_left;
    int blocks, step;       // a block begins every `step` cracks
} Look;

static Look look_at(const Pixels *pixels, const CrackMap *map, const CrackArc *arc)
{
    Look look = {.pixels = pixels, .map = map, .arc = arc};
    look.left = map->regions[arc->left].label, look.right = map->regions[arc->right].label;
    look.to_right = blend_between(pixels, look.left, look.right);
    look.to_left = blend_between(pixels, look.right, look.left);
    int all = (arc->count + BLOCK_CRACKS - 1) / BLOCK_CRACKS, some = all / BLOCKS_SHARE;
    look.blocks = all <= LEAST_BLOCKS ? all : some > LEAST_BLOCKS ? some : LEAST_BLOCKS;
    look.step = look.blocks == all ? BLOCK_CRACKS : arc->count / look.blocks;
    return look;
}

static bool is_inside(const Pixels *pixels, Cell c)
{
    return c.x >= 0 && c.y >= 0 && c.x < pixels->separation->width_px && c.y < pixels->separation->height_px;
}

// ---- what shines through, and who lies over it ----

typedef struct Third { int count; double left2, right2; } Third;   // squares of what is left over if that side is the last

// Each colour that could be it is tried: which one it is shows in what the order leaves over.
static void add_pixel(const Look *look, Cell at, bool is_left, Third *thirds, int *plain, int *off)
{
    const Blend *blend = is_left ? &look->to_right : &look->to_left;
    Shares s;
    if (!is_inside(look->pixels, at) || !blend_shares(look->pixels, blend, -1, at.x, at.y, &s) || s.is_pure) return;
    if (!s.is_off_line) {
        *plain += s.other > 0.05 && s.other < 0.95;
        return;
    }
    ++*off;
    for (int label = 0; label <= look->pixels->separation->colour_count; label++) {
        if (label == look->left || label == look->right || !blend_three(look->pixels, blend, label, at.x, at.y, &s)) continue;
        double own = 1.0 - s.other - s.third, of_left = is_left ? own : s.other, of_right = is_left ? s.other : own;
        double if_left = s.third - of_left * (1.0 - of_left), if_right = s.third - of_right * (1.0 - of_right);
        Third *t = &thirds[label];
        t->count++, t->left2 += if_left * if_left, t->right2 += if_right * if_right;
    }
}

typedef enum Found { FOUND_NONE, FOUND_UNCLEAR, FOUND } Found;

// Looks at `blocks` blocks from crack `first` on.
static Found find_third(const Look *look, int first, int blocks, Painting *out)
{
    Third thirds[SEPARATION_MAX_COLOURS + 1];
    int plain = 0, off = 0, labels = look->pixels->separation->colour_count + 1;
    double least = THIRD_RMS * THIRD_RMS;
    Found found = FOUND_UNCLEAR;
    memset(thirds, 0, (size_t)labels * sizeof *thirds);
    for (int b = 0; b < blocks; b++)
        for (int i = first + b * look->step; i < first + b * look->step + BLOCK_CRACKS && i < look->arc->count; i++) {
            Sides sides = blend_sides(arc_corner(look->map, look->arc, i), arc_corner(look->map, look->arc, i + 1));
            add_pixel(look, sides.left, true, thirds, &plain, &off);
            add_pixel(look, sides.right, false, thirds, &plain, &off);
        }
    if (off < THIRD_LEAST || off < THIRD_LEAST_SHARE * (off + plain)) return FOUND_NONE;
    for (int i = 0; i < labels; i++) {
        const Third *t = &thirds[i];
        double better = fmin(t->left2, t->right2), worse = fmax(t->left2, t->right2);
        if (2 * t->count < off || better > least * t->count || better > CLEARER * worse) continue;
        least = better / t->count;
        out->third_label = i;
        out->last = t->left2 < t->right2 ? LAST_LEFT : LAST_RIGHT;
        found = FOUND;
    }
    return found;
}

// What is under an edge may change along it: a block at a time. A block that does not tell goes by the one before it.
static bool find_thirds(const Look *look, Work *work, ArcPainting *out, Error *err)
{
    int count = look->arc->count, before = -1;
    uint16_t *ways = arena_new(&work->scratch, uint16_t, count);
    if (!ways) return error_memory(err);
    for (int first = 0; first < count; first += BLOCK_CRACKS) {
        if (first % 1024 == 0 && !work_goes_on(work, err)) return false;
        Painting painting = painting_plain();
        Found found = find_third(look, first, 1, &painting);
        int code = found == FOUND ? code_of_third(&painting) : found == FOUND_NONE || before < 0 ? 0 : before;
        int from = before < 0 && found == FOUND ? 0 : first; // the first that tells speaks for those before it
        for (int i = from; i < first + BLOCK_CRACKS && i < count; i++) ways[i] = (uint16_t)code;
        if (found == FOUND) before = code;
    }
    out->ways = ways;
    return true;
}

// ---- how often ----

typedef struct Row {            // the pixels across the edge at one crack
    double share[2 * WALK_PX];  // of the right side's colour, from left to right
    int first, count;           // pixel `first` begins at this place across, from the crack on
    int across, along;          // place of the crack; across grows from left to right
    int way;                    // which of the four directions is across
    int crack;
    double place[WAYS];         // of the edge, by each way of painting, ...
    unsigned placed;            // ... where this bit is set: a row is in seven windows
} Row;

// Pixels of one side, outwards from the crack, into shares[0], shares[by], ...; how many, or -1 when they do not end in pure ones.
static int read_side(const Look *look, Cell at, bool is_left, int dx, int dy, double *shares, int by, int *off_line)
{
    for (int n = 0; n < WALK_PX; n++, at.x += dx, at.y += dy) {
        Shares s;
        if (blend_label(look->pixels, at.x, at.y) != (is_left ? look->left : look->right)) return -1;
        if (!blend_shares(look->pixels, is_left ? &look->to_right : &look->to_left, -1, at.x, at.y, &s)) return -1;
        *off_line += s.is_off_line && !s.is_pure;
        if (s.third > 0.0) return -1;
        shares[n * by] = is_left ? s.other : 1.0 - s.other;
        if (s.is_pure) return n + 1;
    }
    return -1;
}

// False where the edge runs nearer to across, or the pixels do not end in pure ones.
static bool read_row(const Look *look, int i, Row *row, int *off_line)
{
    Cell from = arc_corner(look->map, look->arc, i), to = arc_corner(look->map, look->arc, i + 1);
    Cell before = arc_corner(look->map, look->arc, i - STEEP_REACH), after = arc_corner(look->map, look->arc, i + 1 + STEEP_REACH);
    int along_x = abs(after.x - before.x), along_y = abs(after.y - before.y);
    if (from.x == to.x ? along_y + 1 < along_x : along_x + 1 < along_y) return false;
    Sides sides = blend_sides(from, to);
    int dx = sides.right.x - sides.left.x, dy = sides.right.y - sides.left.y;
    double shares[2 * WALK_PX];
    int left = read_side(look, sides.left, true, -dx, -dy, shares + WALK_PX - 1, -1, off_line);
    int right = left < 0 ? -1 : read_side(look, sides.right, false, dx, dy, shares + WALK_PX, 1, off_line);
    if (right < 0) return false;
    *row = (Row){.first = -left, .count = left + right, .way = dx ? dx : 2 * dy, .crack = i};
    memcpy(row->share, shares + WALK_PX - left, (size_t)row->count * sizeof *shares);
    row->across = dx ? dx * from.x : dy * from.y;
    row->along = dx ? (from.y < to.y ? from.y : to.y) : from.x < to.x ? from.x : to.x;
    return true;
}

// Area under min(max(z, 0), 1) up to z.
static double ramp_area(double z)
{
    return z <= 0 ? 0 : z < 1 ? z * z / 2 : z - 0.5;
}

// Coverage from the right of a pixel that begins at `left`, by an edge at `middle` of the row that leans by `slope` over it.
static double covered(double left, double middle, double slope)
{
    double z = left + 1 - middle, a = z - fabs(slope) / 2, b = z + fabs(slope) / 2;
    return b - a < 1e-9 ? within_1(z) : (ramp_area(b) - ramp_area(a)) / (b - a);
}

static double row_place(Row *row, int way)
{
    if (row->placed & 1u << way) return row->place[way];
    double place = row->across + row->first + row->count;
    for (int k = 0; k < row->count; k++) place -= right_coverage(&often[way], row->share[k]);
    row->placed |= 1u << way;
    return row->place[way] = place;
}

// Squares of what one way of painting leaves over in a window's middle row.
static double window_misfit(Row rows[WINDOW], int way)
{
    static const double mean[WINDOW] = {-2, 3, 6, 7, 6, 3, -2}; // of a parabola at its middle, in parts of 21
    double place = 0, slope = 0, sum = 0;
    for (int i = 0; i < WINDOW; i++) {
        double at = row_place(&rows[i], way);
        place += mean[i] * at / 21, slope += (i - WINDOW / 2) * at / 28;
    }
    const Row *middle = &rows[WINDOW / 2];
    for (int k = 0; k < middle->count; k++) {
        double off = right_share(&often[way], covered(middle->across + middle->first + k, place, slope)) - middle->share[k];
        sum += off * off;
    }
    return sum;
}

static bool is_even(const Row rows[WINDOW])
{
    int step = rows[1].along - rows[0].along;
    if (step != 1 && step != -1) return false;
    for (int i = 1; i < WINDOW; i++)
        if (rows[i].way != rows[0].way || rows[i].along - rows[i - 1].along != step) return false;
    return true;
}

// Seven cracks in a row that are across alike make a window, with the crack in its middle.
typedef struct Rows { Row last[2][WINDOW]; int count[2], off_line; } Rows; // of rows across and of columns across

static Row *next_window(const Look *look, int crack, Rows *rows)
{
    Row row;
    if (!read_row(look, crack, &row, &rows->off_line)) return NULL;
    int kind = row.way == 1 || row.way == -1;
    Row *last = rows->last[kind];
    if (rows->count[kind] == WINDOW) memmove(last, last + 1, (WINDOW - 1) * sizeof row), rows->count[kind]--;
    last[rows->count[kind]++] = row;
    return rows->count[kind] == WINDOW && is_even(last) ? last : NULL;
}

typedef struct Misfit { float of[WAYS]; } Misfit;

static Misfit misfit_of(Row window[WINDOW])
{
    Misfit m;
    double least = INFINITY;
    for (int w = 0; w < WAYS; w++) {
        double sum = window_misfit(window, w);
        least = fmin(least, sum);
        m.of[w] = (float)sum;
    }
    if (least > WINDOW_RMS * WINDOW_RMS * window[WINDOW / 2].count) memset(&m, 0, sizeof m);
    return m;
}

typedef enum Side { SIDE_EITHER, SIDE_LEFT, SIDE_RIGHT } Side; // which one may have been painted more than once

static bool is_allowed(int way, Side side)
{
    return side == SIDE_EITHER || (side == SIDE_LEFT ? often[way].right_times : often[way].left_times) == 1;
}

// The cheapest run of ways along the arc: the squares that each crack's window leaves over, and a cost for each change.
static void cheapest_ways(const Misfit *misfits, int count, Side side, uint8_t (*before)[WAYS], uint16_t *out)
{
    double cost[WAYS] = {0};
    for (int w = 1; w < WAYS; w++) cost[w] = is_allowed(w, side) ? CHANGE_COST : INFINITY;
    for (int i = 0; i < count; i++) {
        int best = 0;
        for (int w = 1; w < WAYS; w++)
            if (cost[w] < cost[best]) best = w;
        double changed = cost[best] + CHANGE_COST;
        for (int w = 0; w < WAYS; w++) {
            bool stays = cost[w] <= changed || !is_allowed(w, side);
            before[i][w] = (uint8_t)(stays ? w : best);
            cost[w] = (stays ? cost[w] : changed) + misfits[i].of[w];
        }
    }
    int at = 0;
    for (int w = 1; w < WAYS; w++)
        if (cost[w] < cost[at]) at = w;
    for (int i = count - 1; i >= 0; i--) {
        out[i] = (uint16_t)at;
        at = before[i][at];
    }
}

// The side that saves more squares: the same shape lies on one side of an arc from end to end.
static Side likelier_side(const Misfit *misfits, int count, const uint16_t *times)
{
    double saved[2] = {0};
    for (int i = 0; i < count; i++)
        if (times[i]) saved[often[times[i]].right_times > 1] += misfits[i].of[0] - misfits[i].of[times[i]];
    return saved[1] > saved[0] ? SIDE_RIGHT : SIDE_LEFT;
}

// Runs that are not much better so than plain are plain.
static void drop_unclear(const Misfit *misfits, int count, uint16_t *times)
{
    for (int i = 0, end = 0; i < count; i = end) {
        double plain = 0, own = 0;
        for (end = i; end < count && times[end] == times[i]; end++) plain += misfits[end].of[0], own += misfits[end].of[times[i]];
        if (times[i] && own > TIMES_CLEARER * plain) memset(times + i, 0, (size_t)(end - i) * sizeof *times);
    }
}

// How often the edge was painted, crack by crack.
static bool find_changing(const Look *look, Work *work, const uint16_t **out, Error *err)
{
    int count = look->arc->count;
    uint16_t *times = arena_new(&work->scratch, uint16_t, count);
    ArenaMark mark = arena_mark(&work->scratch);
    Misfit *misfits = arena_new(&work->scratch, Misfit, count);
    uint8_t (*before)[WAYS] = arena_take(&work->scratch, (size_t)count, sizeof *before);
    if (!times || !misfits || !before) return error_memory(err);
    Rows rows = {.off_line = 0};
    for (int i = 0; i < count; i++) {
        if (i % 1024 == 0 && !work_goes_on(work, err)) return false;
        Row *window = next_window(look, i, &rows);
        if (window) misfits[window[WINDOW / 2].crack] = misfit_of(window);
    }
    cheapest_ways(misfits, count, SIDE_EITHER, before, times);
    cheapest_ways(misfits, count, likelier_side(misfits, count, times), before, times);
    drop_unclear(misfits, count, times);
    arena_rewind(&work->scratch, mark);
    *out = times;
    return true;
}

typedef struct Glance { double misfit; int windows, pixels, off_line; bool has_odd_block; } Glance;

// Whether any way of painting leaves clearly less over than the plain one.
static bool is_better_otherwise(Row window[WINDOW], double plain)
{
    for (int w = 1; w < WAYS; w++)
        if (window_misfit(window, w) < TIMES_CLEARER * plain) return true;
    return false;
}

// What the plain way leaves over in a block.
static void glance_at_block(const Look *look, int first, Glance *sum)
{
    Rows rows = {.off_line = 0};
    Glance block = {.windows = 0};
    for (int i = first; i < first + BLOCK_CRACKS && i < look->arc->count; i++) {
        Row *window = next_window(look, i, &rows);
        if (!window) continue;
        double misfit = window_misfit(window, 0);
        int count = window[WINDOW / 2].count;
        // where no other way is better either the edge bends or has a corner
        if (misfit > PLAIN_RMS * PLAIN_RMS * count && !is_better_otherwise(window, misfit)) continue;
        block.misfit += misfit, block.pixels += count, block.windows++;
    }
    sum->misfit += block.misfit, sum->pixels += block.pixels, sum->windows += block.windows;
    sum->off_line += rows.off_line;
    sum->has_odd_block |= block.windows >= WINDOWS_LEAST && block.misfit > BLOCK_RMS * BLOCK_RMS * block.pixels;
}

// ---- encoded or in proportion to light ----

typedef struct Reading { double misfit; int windows, pixels; } Reading;

static void read_block(const Look *look, int first, Reading *sum)
{
    Rows rows = {.off_line = 0};
    for (int i = first; i < first + BLOCK_CRACKS && i < look->arc->count; i++) {
        Row *window = next_window(look, i, &rows);
        if (!window) continue;
        double misfit = window_misfit(window, 0);
        int count = window[WINDOW / 2].count;
        if (misfit > ODD_WINDOW_RMS * ODD_WINDOW_RMS * count) continue;
        sum->misfit += misfit, sum->pixels += count, sum->windows++;
    }
}

bool painting_choose_pixels(const Picture *picture, const Separation *separation, const CrackMap *map, Work *work, Pixels *out, Error *err)
{
    *out = blend_prepare(picture, separation, false);
    if (separation->hard_edged || separation->is_noisy) return true;
    Pixels light = blend_prepare(picture, separation, true);
    Reading encoded = {.windows = 0}, in_light = {.windows = 0};
    int step = map->arc_count / READ_ARCS + 1;
    for (int i = 0; i < map->arc_count; i += step) {
        if (!work_goes_on(work, err)) return false;
        Look look = look_at(out, map, &map->arcs[i]), same = look_at(&light, map, &map->arcs[i]);
        for (int b = 0; b < look.blocks && b < READ_BLOCKS; b++) {
            read_block(&look, b * look.step, &encoded);
            read_block(&same, b * look.step, &in_light);
        }
    }
    bool tells = encoded.windows >= READ_LEAST && in_light.windows >= READ_LEAST &&
                 encoded.misfit > PLAIN_RMS * PLAIN_RMS * encoded.pixels;
    if (tells && in_light.misfit / in_light.pixels < LIGHT_CLEARER * encoded.misfit / encoded.pixels) *out = light;
    return true;
}

bool painting_find(const Pixels *pixels, const CrackMap *map, const CrackArc *arc, Work *work, ArcPainting *out, Error *err)
{
    *out = (ArcPainting){painting_plain(), NULL};
    if (pixels->separation->hard_edged || pixels->separation->is_noisy) return true;
    Look look = look_at(pixels, map, arc);
    Glance glance = {.windows = 0};
    for (int b = 0; b < look.blocks; b++) {
        if (b % 32 == 0 && !work_goes_on(work, err)) return false;
        glance_at_block(&look, b * look.step, &glance);
    }
    if (glance.off_line >= THIRD_LEAST / 2) {
        Found found = find_third(&look, 0, look.blocks, &out->whole);
        if (found == FOUND) return true;
        if (found == FOUND_UNCLEAR) return find_thirds(&look, work, out, err);
    }
    bool is_odd = glance.windows >= WINDOWS_LEAST && glance.misfit > PLAIN_RMS * PLAIN_RMS * glance.pixels;
    if (!is_odd && !glance.has_odd_block) return true;
    return find_changing(&look, work, &out->ways, err);
}
