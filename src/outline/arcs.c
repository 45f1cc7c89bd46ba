// arcs.c - one pass finds the corners, a second follows them; see arcs.h.
// Only corners with cracks are stored, row by row, with links to the corners above and below; the ones to the left
// and right are neighbours in the list. Everything after the first pass over the pixels runs on this sparse list.
#include "outline/arcs.h"

#include <stdlib.h>
#include <string.h>

enum { EAST = 1, SOUTH = 2, WEST = 4, NORTH = 8 };

#define BLOCK 8 // corners looked at in one step where nothing changes

typedef struct Corner {
    int32_t x, y;
    int32_t above, below;           // neighbours along vertical cracks
    int32_t run_above, run_below;   // runs of the pixels to the north-east and south-east
    int32_t node;                   // -1 = none
    uint8_t cracks, used;
} Corner;

typedef struct Run {        // a row's stretch of one label; the padding belongs to the first and last run
    int32_t x, row;
    int32_t parent;         // union by least index: a root is the region's first run
    uint8_t label;
} Run;

typedef struct Scan {
    const uint8_t *label;
    int width, height;
    Corner *corners;
    size_t corner_count, corner_capacity;
    Run *runs;
    size_t run_count, run_capacity;
    Arena *scratch;
} Scan;

static int root_of(Run *runs, int i)
{
    while (runs[i].parent != i) {
        runs[i].parent = runs[runs[i].parent].parent;
        i = runs[i].parent;
    }
    return i;
}

static void join(Run *runs, int a, int b)
{
    a = root_of(runs, a);
    b = root_of(runs, b);
    if (a < b) runs[b].parent = a;
    else runs[a].parent = b;
}

static bool add_run(Scan *scan, int x, int row, uint8_t label)
{
    Run *runs = arena_grow(scan->scratch, scan->runs, scan->run_count, &scan->run_capacity, sizeof(Run));
    if (!runs) return false;
    scan->runs = runs;
    runs[scan->run_count] = (Run){x, row, (int32_t)scan->run_count, label};
    scan->run_count++;
    return true;
}

// Runs of two neighbouring rows that share a pixel side and a label are one region.
static void join_rows(Run *runs, size_t above, size_t above_end, size_t below, size_t below_end)
{
    while (above < above_end && below < below_end) {
        if (runs[above].label == runs[below].label) join(runs, (int)above, (int)below);
        int32_t a = above + 1 < above_end ? runs[above + 1].x : INT32_MAX;
        int32_t b = below + 1 < below_end ? runs[below + 1].x : INT32_MAX;
        if (a <= b) above++;
        if (b <= a) below++;
    }
}

static uint64_t eight(const uint8_t *from)
{
    uint64_t word;
    memcpy(&word, from, sizeof word);
    return word;
}

static void load_row(const Scan *scan, int y, uint8_t *row)
{
    if (y < 0 || y >= scan->height) memset(row + 1, 0, (size_t)scan->width);
    else memcpy(row + 1, scan->label + (size_t)y * (size_t)scan->width, (size_t)scan->width);
}

typedef struct RowState {
    size_t corner_above, corner_above_end;  // corners of the row before
    size_t run_above, run_above_end;        // runs of the pixel row above
} RowState;

static bool add_corner(Scan *scan, int x, int y, uint8_t cracks, RowState *state)
{
    Corner *corners = arena_grow(scan->scratch, scan->corners, scan->corner_count, &scan->corner_capacity, sizeof(Corner));
    if (!corners) return false;
    scan->corners = corners;
    Corner *c = &corners[scan->corner_count];
    *c = (Corner){.x = x, .y = y, .above = -1, .below = -1, .node = -1, .cracks = cracks};
    if (cracks & NORTH) {
        while (corners[state->corner_above].x < x) state->corner_above++;
        c->above = (int32_t)state->corner_above;
        corners[state->corner_above].below = (int32_t)scan->corner_count;
    }
    while (state->run_above + 1 < state->run_above_end && scan->runs[state->run_above + 1].x <= x) state->run_above++;
    c->run_above = (int32_t)state->run_above;
    c->run_below = (int32_t)scan->run_count - 1;
    scan->corner_count++;
    return true;
}

static bool scan_row(Scan *scan, int y, const uint8_t *above, const uint8_t *below, RowState *state)
{
    for (int x = 0; x <= scan->width; x++) {
        if (x % BLOCK == 0) {
            uint64_t a = eight(above + x), b = eight(below + x);
            if (((a ^ b) | (a ^ eight(above + x + 1)) | (b ^ eight(below + x + 1))) == 0) {
                x += BLOCK - 1;
                continue;
            }
        }
        uint8_t nw = above[x], ne = above[x + 1], sw = below[x], se = below[x + 1];
        uint8_t cracks = (uint8_t)((ne != se ? EAST : 0) | (sw != se ? SOUTH : 0) | (nw != sw ? WEST : 0) |
                                   (nw != ne ? NORTH : 0));
        if (!cracks) continue;
        if ((cracks & SOUTH) && !add_run(scan, x, y, se)) return false;
        if (!add_corner(scan, x, y, cracks, state)) return false;
    }
    return true;
}

static bool scan_picture(Scan *scan, Work *work, Error *err)
{
    size_t padded = (size_t)scan->width + 2 + 2 * BLOCK;
    uint8_t *above = arena_new(scan->scratch, uint8_t, padded), *below = arena_new(scan->scratch, uint8_t, padded);
    if (!above || !below || !add_run(scan, -1, -1, 0)) return error_memory(err);
    RowState state = {0, 0, 0, 1};
    for (int y = 0; y <= scan->height; y++) {
        if (y % 64 == 0 && !work_goes_on(work, err)) return false;
        load_row(scan, y, below);
        size_t first_run = scan->run_count, first_corner = scan->corner_count;
        if (!add_run(scan, -1, y, 0)) return error_memory(err); // below the picture it is the padding, whole
        size_t above_first = state.run_above, above_end = state.run_above_end;
        if (!scan_row(scan, y, above, below, &state)) return error_memory(err);
        if (scan->corner_count > INT32_MAX / 2 || scan->run_count > INT32_MAX / 2)
            return error_set(err, ERROR_INPUT, "the picture has too many edges to trace; is it a photograph?");
        join_rows(scan->runs, above_first, above_end, first_run, scan->run_count);
        state = (RowState){first_corner, scan->corner_count, first_run, scan->run_count};
        uint8_t *swap = above;
        above = below;
        below = swap;
    }
    return true;
}

static int run_length(const Scan *scan, int i)
{
    const Run *r = &scan->runs[i];
    bool is_last = (size_t)i + 1 == scan->run_count || scan->runs[i + 1].row != r->row;
    int end = is_last ? scan->width : scan->runs[i + 1].x;
    return end - (r->x < 0 ? 0 : r->x);
}

// How far the label reaches up and down from a pixel, at most `limit`.
static int reach_at(const Scan *scan, int x, int y, uint8_t label, int limit)
{
    const uint8_t *at = scan->label + (size_t)y * (size_t)scan->width + x;
    ptrdiff_t pitch = scan->width;
    int reach = 0;
    while (reach < limit && y - reach - 1 >= 0 && y + reach + 1 < scan->height && at[-(reach + 1) * pitch] == label &&
           at[(reach + 1) * pitch] == label)
        reach++;
    return reach;
}

// Numbers the regions (root_number[run] for every run), measures them and finds a place well inside each.
static bool number_regions(Scan *scan, int *number, Arena *keep, CrackMap *out, Error *err)
{
    int count = 0;
    for (size_t i = 0; i < scan->run_count; i++) {
        int root = root_of(scan->runs, (int)i);
        number[i] = root == (int)i ? count++ : number[root];
    }
    out->region_count = count;
    out->regions = arena_new(keep, PixelRegion, count);
    int *reach = arena_new(scan->scratch, int, count);
    if (!out->regions || !reach) return error_memory(err);
    for (int i = 0; i < count; i++) reach[i] = -1;
    for (size_t i = 1; i < scan->run_count; i++) {
        const Run *run = &scan->runs[i];
        int n = number[i], length = run->row < scan->height ? run_length(scan, (int)i) : 0, half = (length - 1) / 2;
        PixelRegion *region = &out->regions[n];
        region->label = run->label;
        region->area_px += length;
        if (length <= 0 || half <= reach[n] + reach[n] / 8) continue;
        int x = (run->x < 0 ? 0 : run->x) + half;
        int here = reach_at(scan, x, run->row, run->label, half);
        if (here <= reach[n]) continue;
        reach[n] = here;
        region->inside_x = x + 0.5;
        region->inside_y = run->row + 0.5;
    }
    return true;
}

static bool is_node(uint8_t cracks)
{
    return (cracks & (cracks - 1)) != 0 && __builtin_popcount(cracks) > 2;
}

static uint8_t opposite(uint8_t direction)
{
    return direction == EAST ? WEST : direction == WEST ? EAST : direction == SOUTH ? NORTH : SOUTH;
}

static int neighbour(const Corner *corners, int i, uint8_t direction)
{
    switch (direction) {
    case EAST: return i + 1;
    case WEST: return i - 1;
    case SOUTH: return corners[i].below;
    case NORTH: return corners[i].above;
    }
    return -1;
}

// Regions left and right of the crack that leaves corner i, as seen by a traveller on a picture with y down.
static void sides_of(const Corner *corners, int i, uint8_t direction, const int *number, CrackArc *arc)
{
    int south_east, other;
    switch (direction) {
    case EAST:
    case WEST: {
        const Corner *c = &corners[direction == EAST ? i : i - 1];
        south_east = number[c->run_below], other = number[c->run_above];
        arc->left = direction == EAST ? other : south_east;
        arc->right = direction == EAST ? south_east : other;
        break;
    }
    case SOUTH:
    case NORTH: {
        const Corner *c = &corners[direction == SOUTH ? i : corners[i].above];
        south_east = number[c->run_below], other = number[c->run_below - 1];
        arc->left = direction == SOUTH ? south_east : other;
        arc->right = direction == SOUTH ? other : south_east;
        break;
    }
    }
}

typedef struct Walk {
    Corner *corners;
    const int *number;
    CrackMap *map;
    int cell_count;
} Walk;

static void follow(Walk *walk, int start, uint8_t direction)
{
    CrackMap *map = walk->map;
    CrackArc *arc = &map->arcs[map->arc_count++];
    sides_of(walk->corners, start, direction, walk->number, arc);
    arc->from = walk->corners[start].node;
    arc->first = walk->cell_count;
    int at = start;
    map->corners[walk->cell_count++] = (Cell){walk->corners[at].x, walk->corners[at].y};
    do {
        walk->corners[at].used |= direction;
        at = neighbour(walk->corners, at, direction);
        walk->corners[at].used |= opposite(direction);
        map->corners[walk->cell_count++] = (Cell){walk->corners[at].x, walk->corners[at].y};
        arc->count++;
        direction = (uint8_t)(walk->corners[at].cracks & ~opposite(direction));
    } while (walk->corners[at].node < 0);
    arc->to = walk->corners[at].node;
}

static void make_node(Walk *walk, int i)
{
    CrackMap *map = walk->map;
    walk->corners[i].node = map->node_count;
    map->nodes[map->node_count++] = (Cell){walk->corners[i].x, walk->corners[i].y};
}

// Every crack belongs to one arc: first those that leave nodes, then the loops that are left over.
static bool follow_all(const Scan *scan, const int *number, Arena *keep, CrackMap *out, Work *work, Error *err)
{
    size_t ends = 0, cracks = 0, plain = 0;
    for (size_t i = 0; i < scan->corner_count; i++) {
        uint8_t c = scan->corners[i].cracks;
        cracks += (size_t)__builtin_popcount(c);
        if (is_node(c)) ends += (size_t)__builtin_popcount(c);
        else plain++;
    }
    size_t most_arcs = ends / 2 + plain / 4 + 1; // a loop has 4 corners or more
    out->arcs = arena_new(keep, CrackArc, most_arcs);
    out->nodes = arena_new(keep, Cell, ends / 3 + plain / 4 + 1);
    out->corners = arena_new(keep, Cell, cracks / 2 + most_arcs);
    if (!out->arcs || !out->nodes || !out->corners) return error_memory(err);
    Walk walk = {scan->corners, number, out, 0};
    for (size_t i = 0; i < scan->corner_count; i++)
        if (is_node(scan->corners[i].cracks)) make_node(&walk, (int)i);
    for (size_t i = 0; i < scan->corner_count; i++) {
        if (i % 65536 == 0 && !work_goes_on(work, err)) return false;
        if (!is_node(scan->corners[i].cracks)) continue;
        for (int bit = EAST; bit <= NORTH; bit *= 2)
            if (scan->corners[i].cracks & ~scan->corners[i].used & bit) follow(&walk, (int)i, (uint8_t)bit);
    }
    for (size_t i = 0; i < scan->corner_count; i++) {
        if (i % 65536 == 0 && !work_goes_on(work, err)) return false;
        if (scan->corners[i].used) continue;
        make_node(&walk, (int)i);
        out->arcs[out->arc_count].is_loop = true;
        follow(&walk, (int)i, EAST);
    }
    return true;
}

bool arcs_find(const uint8_t *label, int width_px, int height_px, Arena *keep, Work *work, CrackMap *out, Error *err)
{
    *out = (CrackMap){.width_px = width_px, .height_px = height_px};
    Scan scan = {.label = label, .width = width_px, .height = height_px, .scratch = &work->scratch};
    bool ok = scan_picture(&scan, work, err);
    if (ok) {
        int *number = arena_new(&work->scratch, int, scan.run_count);
        ok = number ? number_regions(&scan, number, keep, out, err) && follow_all(&scan, number, keep, out, work, err)
                    : error_memory(err);
        out->corner_count = (int64_t)scan.corner_count;
    }
    if (!ok) *out = (CrackMap){0};
    return ok;
}
