// seam_necks.c - see seam_necks.h.
#include "seam_necks.h"

#include "shape/overlay.h"

#define LONG_MM 50.8
#define WIDE_MM 19.05
#define NECK_MM 12.7
#define SPARE_MM 0.1        // of rounding and offsetting: a neck of the drawing that is just under the minimum is not ours
#define CORNER_MM 0.05      // facets of offset corners
#define CRUMB_MM2 100.0     // of a shrunk piece: smaller ends hang on nothing that tears
#define AROUND_MM 60.0      // of the layer, round a piece

// How long the longest seam of each piece is; 0 for pieces without.
static double *longest_seams(const LayerPieces *pieces, Arena *scratch)
{
    double *longest = arena_new(scratch, double, pieces->piece_count);
    for (int s = 0; longest && s < pieces->seam_count; s++)
        for (int side = 0; side < 2; side++) {
            double *held = &longest[pieces->seams[s].pieces[side]];
            if (pieces->seams[s].length_mm > *held) *held = pieces->seams[s].length_mm;
        }
    return longest;
}

static bool is_thin(const Piece *piece, double longest_mm, Arena *scratch, bool *out, Error *err)
{
    int count = 0, all = rings_point_count(&piece->rings), n = 0;
    Point *points = arena_new(scratch, Point, all);
    if (!points) return error_memory(err);
    for (int r = 0; r < piece->rings.count; r++)
        for (int i = 0; i < piece->rings.items[r].count; i++) points[n++] = piece->rings.items[r].points[i];
    Point *hull = hull_make(points, all, scratch, &count);
    if (!hull) return error_memory(err);
    double width_mm = hull_width_mm(hull, count);
    bool is_cut_lengthways = width_mm < WIDE_MM - SPARE_MM && longest_mm > 1.5 * width_mm;
    *out = hull_diameter_mm(hull, count) < LONG_MM - SPARE_MM || is_cut_lengthways;
    return true;
}

bool count_thin(const LayerPieces *pieces, Arena *scratch, int *out, Error *err)
{
    double *longest = longest_seams(pieces, scratch);
    if (!longest) return error_memory(err);
    for (int i = 0; i < pieces->piece_count; i++) {
        bool thin = false;
        if (longest[i] > 0.0 && !is_thin(&pieces->pieces[i], longest[i], scratch, &thin, err)) return false;
        *out += thin;
    }
    return true;
}

// ---- necks ----

static bool shrink(const Rings *rings, double spare_mm, Work *work, Rings *out, Error *err)
{
    return overlay_offset(rings, -(NECK_MM / 2.0 - spare_mm), CORNER_MM, &work->scratch, work, out, err);
}

static int count_parts(const Rings *rings)
{
    int count = 0;
    for (int i = 0; i < rings->count; i++) count += ring_area_mm2(&rings->items[i]) > CRUMB_MM2;
    return count;
}

// The layer round a piece, shrunk, as far as a neck's width beyond the piece: where the drawing itself is thin it is parted
// too; where a seam comes near to the outline it goes on behind the seam.
static bool shrink_layer(const Rings *layer, const Rings *piece, Work *work, Rings *out, Error *err)
{
    Box box = rings_box(piece);
    int32_t d = (int32_t)(AROUND_MM * UM_PER_MM);
    Point corners[4] = {{box.min.x - d, box.min.y - d}, {box.max.x + d, box.min.y - d}, {box.max.x + d, box.max.y + d},
                        {box.min.x - d, box.max.y + d}};
    Ring ring = {corners, 4};
    Rings frame = {&ring, 1}, near, shrunk, grown;
    Arena *scratch = &work->scratch;
    return overlay_rings(layer, &frame, OVERLAY_INTERSECTION, scratch, work, &near, err) &&
           shrink(&near, 0.0, work, &shrunk, err) &&
           overlay_offset(piece, NECK_MM, CORNER_MM, scratch, work, &grown, err) &&
           overlay_rings(&shrunk, &grown, OVERLAY_INTERSECTION, scratch, work, out, err);
}

// The layer is shrunk a little more, so that only what lies along seams can tell: the middles of edges there.
static bool has_edge_in(const Ring *part, const Ring *outer)
{
    Rings one = {(Ring *)outer, 1};
    for (int i = 0; i < part->count; i++) {
        Point a = part->points[i], b = part->points[(i + 1) % part->count];
        if (rings_contain(&one, (Point){a.x + (b.x - a.x) / 2, a.y + (b.y - a.y) / 2})) return true;
    }
    return false;
}

// Parts of the shrunk piece that lie in one part of the shrunk layer were one piece's worth of paper before the seams.
static int parts_in(const Rings *piece, const Ring *outer)
{
    int count = 0;
    for (int i = 0; i < piece->count; i++)
        count += ring_area_mm2(&piece->items[i]) > CRUMB_MM2 && has_edge_in(&piece->items[i], outer);
    return count;
}

static bool count_piece(const Rings *layer, const Piece *piece, Work *work, int *out, Error *err)
{
    Rings shrunk, of_layer;
    if (!shrink(&piece->rings, SPARE_MM, work, &shrunk, err)) return false;
    if (count_parts(&shrunk) < 2) return true;
    if (!shrink_layer(layer, &piece->rings, work, &of_layer, err)) return false;
    for (int i = 0; i < of_layer.count; i++) {
        int parts = ring_area_mm2(&of_layer.items[i]) > 0.0 ? parts_in(&shrunk, &of_layer.items[i]) : 0;
        if (parts > 1) *out += parts - 1;
    }
    return true;
}

bool count_necks(const Rings *layer, const LayerPieces *pieces, Work *work, int *out, Error *err)
{
    double *longest = longest_seams(pieces, &work->scratch);
    if (!longest) return error_memory(err);
    for (int i = 0; i < pieces->piece_count; i++) {
        ArenaMark mark = arena_mark(&work->scratch);
        if (longest[i] > 0.0 && !count_piece(layer, &pieces->pieces[i], work, out, err)) return false;
        arena_rewind(&work->scratch, mark);
    }
    return true;
}
