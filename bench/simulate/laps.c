// laps.c - see laps.h.
#include "simulate/laps.h"

#include <math.h>
#include <string.h>

#define STEP_MM 1.0
#define WIDEST_MM 20.0    // no lap is wider
#define ON_FACE_MM 0.05   // an edge nearer to the face is the face's own
#define LEAST_LAP_MM 6.0  // where a lap is narrower it is its end, and counts as bare
#define LOOK_MM 0.1       // steps in which a lap's width is found

typedef struct SeamPlace {
    Spot at;
    double nx, ny;   // towards the neighbour
    double width_mm; // of the lap there
} SeamPlace;

typedef struct EdgePlace {
    Spot at;
    double depth_mm; // to the nearest edge of the neighbour, its seam with the lap's piece left out
} EdgePlace;

typedef struct LapSeam {
    Field face, clear; // of the neighbour; its edges but for the seam
    Spot centre;
    double reach_mm;
    SeamPlace *places;
    EdgePlace *edges;
    int place_count, edge_count;
} LapSeam;

static bool flat_field(const ReadPath *path, double longest_mm, Arena *keep, Edges *edges, Field *out, Error *err)
{
    *edges = (Edges){0};
    return measure_flatten(path->curves, path->curve_count, NULL, longest_mm, 0, keep, edges, err) &&
           measure_field(edges->items, edges->count, keep, out, err);
}

static double width_at(const Field *cut, const Field *own, Spot at, double nx, double ny)
{
    double width = 0.0;
    for (double w = LOOK_MM; w <= WIDEST_MM; w += LOOK_MM) {
        Spot p = {at.x + w * nx, at.y + w * ny};
        if (!measure_inside(cut, p) || measure_inside(own, p)) break;
        width = w;
    }
    return width;
}

static bool take_places(const ReadSeam *seam, const Field *cut, const Field *own, Arena *keep, LapSeam *out, Error *err)
{
    Edges edges = {0};
    if (!measure_flatten(seam->path.curves, seam->path.curve_count, NULL, STEP_MM, 0, keep, &edges, err)) return false;
    out->places = arena_new(keep, SeamPlace, edges.count);
    if (!out->places) return error_memory(err);
    for (size_t i = 0; i < edges.count; i++) {
        Spot a = edges.items[i].a, b = edges.items[i].b;
        double length = measure_gap(a, b);
        if (!(length > 0.0)) continue;
        SeamPlace place = {{0.5 * (a.x + b.x), 0.5 * (a.y + b.y)}, -(b.y - a.y) / length, (b.x - a.x) / length, 0.0};
        if (measure_inside(own, (Spot){place.at.x + ON_FACE_MM * place.nx, place.at.y + ON_FACE_MM * place.ny}))
            place.nx = -place.nx, place.ny = -place.ny;
        place.width_mm = width_at(cut, own, place.at, place.nx, place.ny);
        out->places[out->place_count++] = place;
    }
    return true;
}

// The neighbour's edges that are not this seam's.
static bool take_clear(const ReadSeam *seam, const Edges *face, Arena *keep, LapSeam *out, Error *err)
{
    Edges run = {0};
    Field on_seam;
    int count = 0;
    Edge *clear = arena_new(keep, Edge, face->count);
    if (!clear) return error_memory(err);
    if (!flat_field(&seam->path, STEP_MM, keep, &run, &on_seam, err)) return false;
    for (size_t i = 0; i < face->count; i++) {
        Spot middle = {0.5 * (face->items[i].a.x + face->items[i].b.x), 0.5 * (face->items[i].a.y + face->items[i].b.y)};
        if (measure_distance(&on_seam, middle, ON_FACE_MM, -2, NULL) >= ON_FACE_MM) clear[count++] = face->items[i];
    }
    return measure_field(clear, (size_t)count, keep, &out->clear, err);
}

static bool take_edges(const Edges *outline, const Field *own, Arena *keep, LapSeam *out, Error *err)
{
    out->edges = arena_new(keep, EdgePlace, outline->count);
    if (!out->edges) return error_memory(err);
    for (size_t i = 0; i < outline->count; i++) {
        Spot p = outline->items[i].a;
        if (measure_distance(own, p, ON_FACE_MM, -2, NULL) < ON_FACE_MM || !measure_inside(&out->face, p)) continue;
        out->edges[out->edge_count++] = (EdgePlace){p, measure_distance(&out->clear, p, WATCH_REACH_MM, -2, NULL)};
    }
    return true;
}

static bool make_seam(const ReadKit *kit, const ReadSeam *seam, Arena *keep, LapSeam *out, Error *err)
{
    const ReadPiece *piece = &kit->pieces[seam->lap_of];
    const ReadPiece *other = &kit->pieces[seam->pieces[0] == seam->lap_of ? seam->pieces[1] : seam->pieces[0]];
    Edges outline, own_edges, face;
    Field cut, own;
    if (!flat_field(&piece->outline, STEP_MM, keep, &outline, &cut, err) ||
        !flat_field(&piece->face, INFINITY, keep, &own_edges, &own, err) || !flat_field(&other->face, STEP_MM, keep, &face, &out->face, err))
        return false;
    const SpotBox box = out->face.box;
    out->centre = (Spot){0.5 * (box.min.x + box.max.x), 0.5 * (box.min.y + box.max.y)};
    for (size_t i = 0; i < face.count; i++) out->reach_mm = fmax(out->reach_mm, measure_gap(face.items[i].a, out->centre));
    return take_places(seam, &cut, &own, keep, out, err) && take_clear(seam, &face, keep, out, err) &&
           take_edges(&outline, &own, keep, out, err);
}

static void try_seam(const LapSeam *seam, Motion motion, double kerf_mm, LapTallies *out)
{
    for (int i = 0; i < seam->place_count; i++) {
        const SeamPlace *place = &seam->places[i];
        Spot moved = motion_apply(motion, place->at);
        double gap = (moved.x - place->at.x) * place->nx + (moved.y - place->at.y) * place->ny + 0.5 * kerf_mm;
        if (place->width_mm >= LEAST_LAP_MM) {
            tally_place(&out->uncovered, gap > place->width_mm - 0.5 * kerf_mm, gap);
            tally_need(&out->uncovered, gap + 0.5 * kerf_mm);
        } else {
            tally_place(&out->bare, gap + 0.5 * kerf_mm > TRIES_GAP_MM, gap + 0.5 * kerf_mm);
        }
    }
    for (int i = 0; i < seam->edge_count; i++) {
        Spot p = motion_undo(motion, seam->edges[i].at);
        double depth = measure_distance(&seam->clear, p, WATCH_REACH_MM, -2, NULL);
        bool behind_seam = measure_distance(&seam->face, p, WATCH_REACH_MM, -2, NULL) < depth; // there the joint has opened
        if (!measure_inside(&seam->face, p) && !behind_seam) depth = -depth;
        tally_place(&out->looks_out, depth < 0.5 * kerf_mm, 0.5 * kerf_mm - depth);
        tally_need(&out->looks_out, seam->edges[i].depth_mm - depth + 0.5 * kerf_mm);
    }
    tally_end_unit(&out->uncovered);
    tally_end_unit(&out->bare);
    tally_end_unit(&out->looks_out);
}

bool laps_run(const ReadKit *kit, const MakerErrors *errors, int tries, uint64_t seed, Arena *keep, Work *work,
              LapTallies *out, Error *err)
{
    LapSeam *seams = arena_new(keep, LapSeam, kit->seam_count);
    int count = 0;
    *out = (LapTallies){0};
    if (!seams) return error_memory(err);
    for (int s = 0; s < kit->seam_count; s++)
        if (strcmp(kit->seams[s].form, "lap") == 0 && kit->seams[s].lap_of >= 0 && !make_seam(kit, &kit->seams[s], keep, &seams[count++], err))
            return false;
    Rng rng = rng_make(seed);
    for (int i = 0; i < tries && count > 0; i++) {
        if (!work_goes_on(work, err)) return false;
        for (int s = 0; s < count; s++)
            try_seam(&seams[s], maker_placing(errors, seams[s].centre, seams[s].reach_mm, &rng), errors->kerf_mm, out);
        tally_end_try(&out->uncovered);
        tally_end_try(&out->bare);
        tally_end_try(&out->looks_out);
    }
    return true;
}
