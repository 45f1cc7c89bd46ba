// overlay.c - union, intersection, difference and offsets of areas; the only module that sees GEOS.
// Places go in as doubles that are whole micrometres, and operations run on the grid of size 1, so that results are
// whole again.
#include "shape/overlay.h"

#include "shape/relink.h"

#include <assert.h>
#include <geos_c.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#define GRID_UM 1.0
#define TRIES_MOST 20          // another thread's wish to stop may hit us, in theory more than once
#define QUADRANT_STEPS_MOST 90 // one facet a degree

struct Overlay {
    GEOSContextHandle_t geos;
    const atomic_bool *cancel;
    char message[256]; // of the last failure
};

// GEOS asks one callback for the whole program, without an argument, whether to stop. It can only know whose work it
// is interrupting by what the running thread has put down here, for the length of one call.
static _Thread_local const Overlay *running;

static bool wants_to_stop(const Overlay *overlay)
{
    return overlay && overlay->cancel && atomic_load_explicit(overlay->cancel, memory_order_relaxed);
}

static void ask_running(void)
{
    if (wants_to_stop(running)) GEOS_interruptRequest();
}

static void keep_message(const char *message, void *user)
{
    Overlay *overlay = user;
    strncpy(overlay->message, message, sizeof overlay->message - 1);
}

static void drop_message(const char *message, void *user)
{
    (void)message, (void)user;
}

bool overlay_create(const atomic_bool *cancel, Overlay **out, Error *err)
{
    *out = NULL;
    Overlay *overlay = calloc(1, sizeof *overlay);
    if (!overlay) return error_memory(err);
    overlay->cancel = cancel;
    overlay->geos = GEOS_init_r();
    if (!overlay->geos) {
        free(overlay);
        return error_memory(err);
    }
    GEOSContext_setErrorMessageHandler_r(overlay->geos, keep_message, overlay);
    GEOSContext_setNoticeMessageHandler_r(overlay->geos, drop_message, NULL);
    GEOS_interruptRegisterCallback(ask_running);
    *out = overlay;
    return true;
}

void overlay_destroy(Overlay *overlay)
{
    if (!overlay) return;
    GEOS_finish_r(overlay->geos);
    free(overlay);
}

// ---- one operation ----

typedef struct Task Task;
struct Task {
    GEOSGeometry *(*run)(const Overlay *overlay, const Task *task); // NULL on failure
    const GEOSGeometry *a, *b;
    OverlayOp op;
    double distance_um;
    int quadrant_steps;
};

static GEOSGeometry *combine(const Overlay *overlay, const Task *task)
{
    switch (task->op) {
    case OVERLAY_UNION:
        return GEOSUnionPrec_r(overlay->geos, task->a, task->b, GRID_UM);
    case OVERLAY_INTERSECTION:
        return GEOSIntersectionPrec_r(overlay->geos, task->a, task->b, GRID_UM);
    case OVERLAY_DIFFERENCE:
        return GEOSDifferencePrec_r(overlay->geos, task->a, task->b, GRID_UM);
    }
    return NULL;
}

static GEOSGeometry *unite(const Overlay *overlay, const Task *task)
{
    return GEOSUnaryUnionPrec_r(overlay->geos, task->a, GRID_UM);
}

static GEOSGeometry *to_grid(const Overlay *overlay, GEOSGeometry *geometry)
{
    if (!geometry) return NULL;
    GEOSGeometry *on_grid = GEOSGeom_setPrecision_r(overlay->geos, geometry, GRID_UM, 0);
    GEOSGeom_destroy_r(overlay->geos, geometry);
    return on_grid;
}

static GEOSGeometry *offset(const Overlay *overlay, const Task *task)
{
    return to_grid(overlay, GEOSBuffer_r(overlay->geos, task->a, task->distance_um, task->quadrant_steps));
}

static GEOSGeometry *repair(const Overlay *overlay, GEOSGeometry *geometry)
{
    GEOSMakeValidParams *params = GEOSMakeValidParams_create_r(overlay->geos);
    GEOSGeometry *valid = NULL;
    if (params && GEOSMakeValidParams_setMethod_r(overlay->geos, params, GEOS_MAKE_VALID_STRUCTURE))
        valid = GEOSMakeValidWithParams_r(overlay->geos, geometry, params);
    GEOSMakeValidParams_destroy_r(overlay->geos, params);
    GEOSGeom_destroy_r(overlay->geos, geometry);
    return to_grid(overlay, valid);
}

static GEOSGeometry *simplify(const Overlay *overlay, const Task *task)
{
    GEOSGeometry *simple = GEOSTopologyPreserveSimplify_r(overlay->geos, task->a, task->distance_um);
    if (!simple) return NULL;
    char valid = GEOSisValid_r(overlay->geos, simple);
    return valid == 1 ? simple : repair(overlay, simple); // rarely, a hole is left outside of a shortened outline
}

static GEOSGeometry *run_task(Overlay *overlay, const Task *task, Error *err)
{
    for (int tries = 0; tries < TRIES_MOST; tries++) {
        memset(overlay->message, 0, sizeof overlay->message);
        running = overlay;
        GEOSGeometry *result = task->run(overlay, task);
        running = NULL;
        if (result) return result;
        if (wants_to_stop(overlay)) {
            error_set(err, ERROR_CANCELLED, "the work was stopped");
            return NULL;
        }
        if (!strstr(overlay->message, "Interrupted")) break;
    }
    error_set(err, ERROR_SYSTEM, "polygon algebra failed: %s",
              overlay->message[0] ? overlay->message : "no reason was given");
    return NULL;
}

// ---- in ----

static GEOSGeometry *make_ring(const Overlay *overlay, const Ring *ring)
{
    GEOSCoordSequence *sequence = GEOSCoordSeq_create_r(overlay->geos, (unsigned)ring->count + 1, 2);
    if (!sequence) return NULL;
    for (int i = 0; i <= ring->count; i++) {
        Point p = ring->points[i < ring->count ? i : 0];
        if (!GEOSCoordSeq_setXY_r(overlay->geos, sequence, (unsigned)i, p.x, p.y)) {
            GEOSCoordSeq_destroy_r(overlay->geos, sequence);
            return NULL;
        }
    }
    return GEOSGeom_createLinearRing_r(overlay->geos, sequence); // takes the sequence, also when it fails
}

static void destroy_all(const Overlay *overlay, GEOSGeometry **items, int count)
{
    for (int i = 0; i < count; i++) GEOSGeom_destroy_r(overlay->geos, items[i]);
}

// The polygon of one outer ring; `holes` has room for all rings.
static GEOSGeometry *make_polygon(const Overlay *overlay, const Rings *rings, const int *hole_first,
                                  const int *hole_next, int outer, GEOSGeometry **holes)
{
    int count = 0;
    GEOSGeometry *shell = make_ring(overlay, &rings->items[outer]);
    for (int i = hole_first[outer]; i >= 0 && shell; i = hole_next[i]) {
        holes[count] = make_ring(overlay, &rings->items[i]);
        if (holes[count]) {
            count++;
            continue;
        }
        GEOSGeom_destroy_r(overlay->geos, shell);
        shell = NULL;
    }
    if (!shell) {
        destroy_all(overlay, holes, count);
        return NULL;
    }
    return GEOSGeom_createPolygon_r(overlay->geos, shell, holes, (unsigned)count); // takes the rings, not our array
}

typedef struct Parts { // polygons on their way to a collection
    GEOSGeometry **items;
    int count;
} Parts;

static bool add_polygons(const Overlay *overlay, const Rings *rings, Arena *scratch, Parts *parts)
{
    int *outer = arena_new(scratch, int, rings->count), *first = arena_new(scratch, int, rings->count);
    int *next = arena_new(scratch, int, rings->count);
    GEOSGeometry **holes = arena_new(scratch, GEOSGeometry *, rings->count);
    if (!outer || !first || !next || !holes || !rings_find_outers(rings, scratch, outer)) return false;
    for (int i = 0; i < rings->count; i++) first[i] = -1;
    for (int i = rings->count - 1; i >= 0; i--) {
        if (outer[i] == i) continue;
        next[i] = first[outer[i]];
        first[outer[i]] = i;
    }
    for (int i = 0; i < rings->count; i++) {
        if (outer[i] != i) continue;
        GEOSGeometry *polygon = make_polygon(overlay, rings, first, next, i, holes);
        if (!polygon) return false;
        parts->items[parts->count++] = polygon;
    }
    return true;
}

// All sets in one multipolygon, overlaps and all; NULL with err.
static GEOSGeometry *make_geometry(const Overlay *overlay, const Rings *sets, int set_count, Arena *scratch, Error *err)
{
    size_t most = 0;
    for (int i = 0; i < set_count; i++) most += (size_t)sets[i].count;
    Parts parts = {arena_new(scratch, GEOSGeometry *, most), 0};
    bool ok = parts.items;
    for (int i = 0; ok && i < set_count; i++) ok = add_polygons(overlay, &sets[i], scratch, &parts);
    if (!ok) {
        destroy_all(overlay, parts.items, parts.count);
        error_memory(err);
        return NULL;
    }
    GEOSGeometry *all =
        GEOSGeom_createCollection_r(overlay->geos, GEOS_MULTIPOLYGON, parts.items, (unsigned)parts.count);
    if (!all) error_memory(err); // the parts were taken all the same
    return all;
}

// ---- out ----

typedef struct Reading {
    Ring *items;
    size_t count, capacity;
    const Overlay *overlay;
    Arena *keep, *scratch;
} Reading;

static int32_t whole_um(double um)
{
    double whole = round(um);
    assert(isfinite(um) && fabs(um - whole) < 1e-3 && fabs(whole) <= 2.0 * POINT_MAX_UM);
    return (int32_t)whole;
}

static void reverse_points(Point *points, int low, int high)
{
    for (; low < high; low++, high--) {
        Point p = points[low];
        points[low] = points[high];
        points[high] = p;
    }
}

// Starts the ring at its least point, with the sign of area that is wanted.
static void settle_ring(Ring *ring, bool outer)
{
    if ((ring_area2_um2(ring) > 0) != outer) reverse_points(ring->points, 0, ring->count - 1);
    int least = 0;
    for (int i = 1; i < ring->count; i++)
        if (point_compare(ring->points[i], ring->points[least]) < 0) least = i;
    reverse_points(ring->points, 0, least - 1); // turning by three reversals
    reverse_points(ring->points, least, ring->count - 1);
    reverse_points(ring->points, 0, ring->count - 1);
}

static bool read_ring(Reading *reading, const GEOSGeometry *geometry, bool outer)
{
    GEOSContextHandle_t geos = reading->overlay->geos;
    const GEOSCoordSequence *sequence = GEOSGeom_getCoordSeq_r(geos, geometry);
    unsigned size = 0;
    if (!sequence || !GEOSCoordSeq_getSize_r(geos, sequence, &size)) return false;
    Ring ring = {arena_new(reading->keep, Point, size), 0};
    if (!ring.points) return false;
    for (unsigned i = 0; i + 1 < size; i++) { // the last one is the first again
        double x, y;
        if (!GEOSCoordSeq_getXY_r(geos, sequence, i, &x, &y)) return false;
        Point p = {whole_um(x), whole_um(y)};
        if (ring.count == 0 || !point_equal(p, ring.points[ring.count - 1])) ring.points[ring.count++] = p;
    }
    if (ring.count < 3 || ring_area2_um2(&ring) == 0) return true;
    settle_ring(&ring, outer);
    Ring *items = arena_grow(reading->scratch, reading->items, reading->count, &reading->capacity, sizeof *items);
    if (!items) return false;
    reading->items = items;
    items[reading->count++] = ring;
    return true;
}

static bool read_polygon(Reading *reading, const GEOSGeometry *polygon)
{
    GEOSContextHandle_t geos = reading->overlay->geos;
    if (GEOSisEmpty_r(geos, polygon)) return true;
    if (!read_ring(reading, GEOSGetExteriorRing_r(geos, polygon), true)) return false;
    int holes = GEOSGetNumInteriorRings_r(geos, polygon);
    for (int i = 0; i < holes; i++)
        if (!read_ring(reading, GEOSGetInteriorRingN_r(geos, polygon, i), false)) return false;
    return holes >= 0;
}

// Polygons only: points and lines that snapping may leave have no area.
static bool read_parts(Reading *reading, const GEOSGeometry *geometry)
{
    GEOSContextHandle_t geos = reading->overlay->geos;
    int type = GEOSGeomTypeId_r(geos, geometry);
    if (type == GEOS_POLYGON) return read_polygon(reading, geometry);
    if (type != GEOS_MULTIPOLYGON && type != GEOS_GEOMETRYCOLLECTION) return type >= 0;
    int count = GEOSGetNumGeometries_r(geos, geometry); // no part of ours is a collection again
    for (int i = 0; i < count; i++) {
        const GEOSGeometry *part = GEOSGetGeometryN_r(geos, geometry, i);
        if (GEOSGeomTypeId_r(geos, part) == GEOS_POLYGON && !read_polygon(reading, part)) return false;
    }
    return count >= 0;
}

static int by_least_point(const void *a, const void *b)
{
    const Ring *one = a, *two = b;
    int order = point_compare(one->points[0], two->points[0]);
    if (order) return order;
    int64_t one_area = ring_area2_um2(one), two_area = ring_area2_um2(two);
    if (one_area != two_area) return one_area > two_area ? -1 : 1;
    return point_compare(one->points[1], two->points[1]);
}

static bool read_rings(const Overlay *overlay, const GEOSGeometry *geometry, Arena *keep, Arena *scratch, Rings *out,
                       Error *err)
{
    Reading reading = {.overlay = overlay, .keep = keep, .scratch = scratch};
    if (!read_parts(&reading, geometry)) return error_memory(err);
    Rings rings = {arena_copy(keep, reading.items, reading.count, sizeof *reading.items), (int)reading.count};
    if (!rings.items) return error_memory(err);
    qsort(rings.items, reading.count, sizeof *rings.items, by_least_point);
    *out = rings;
    return true;
}

// ---- operations on rings ----

// Runs a task on one or two operands made of plain rings.
static bool run_on_rings(Task *task, const Rings *a, int a_count, const Rings *b, Arena *keep, Work *work, Rings *out,
                         Error *err)
{
    *out = (Rings){0};
    assert(work->overlay);
    Overlay *overlay = work->overlay;
    GEOSGeometry *made_a = make_geometry(overlay, a, a_count, &work->scratch, err), *made_b = NULL, *result = NULL;
    bool ok = made_a;
    if (ok && b) {
        made_b = make_geometry(overlay, b, 1, &work->scratch, err);
        ok = made_b;
    }
    if (ok) {
        task->a = made_a;
        task->b = made_b;
        result = run_task(overlay, task, err);
        ok = result && read_rings(overlay, result, keep, &work->scratch, out, err);
    }
    GEOSGeom_destroy_r(overlay->geos, made_a);
    GEOSGeom_destroy_r(overlay->geos, made_b);
    GEOSGeom_destroy_r(overlay->geos, result);
    return ok;
}

// The same, and scratch is left as it was found (unless the caller keeps his results there).
static bool run_tidily(Task *task, const Rings *a, int a_count, const Rings *b, Arena *keep, Work *work, Rings *out,
                       Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    bool ok = run_on_rings(task, a, a_count, b, keep, work, out, err);
    if (keep != &work->scratch) arena_rewind(&work->scratch, mark);
    return ok;
}

bool overlay_rings(const Rings *a, const Rings *b, OverlayOp op, Arena *keep, Work *work, Rings *out, Error *err)
{
    Task task = {.run = combine, .op = op};
    return run_tidily(&task, a, 1, b, keep, work, out, err);
}

bool overlay_rings_union(const Rings *sets, int set_count, Arena *keep, Work *work, Rings *out, Error *err)
{
    Task task = {.run = unite};
    return run_tidily(&task, sets, set_count, NULL, keep, work, out, err);
}

// Facets of a round corner: an angle of step, its sagitta r (1 - cos(step / 2)) is below r step^2 / 8.
static int quadrant_steps(double distance_um, double corner_um)
{
    assert(corner_um > 0.0);
    double step = sqrt(8.0 * corner_um / fmax(fabs(distance_um), corner_um));
    double steps = ceil(1.5707963267948966 / step); // a quarter turn
    return steps < 2.0 ? 2 : steps > QUADRANT_STEPS_MOST ? QUADRANT_STEPS_MOST : (int)steps;
}

bool overlay_offset(const Rings *rings, double distance_mm, double corner_mm, Arena *keep, Work *work, Rings *out,
                    Error *err)
{
    double um = distance_mm * UM_PER_MM;
    assert(isfinite(um));
    Task task = {.run = offset, .distance_um = um, .quadrant_steps = quadrant_steps(um, corner_mm * UM_PER_MM)};
    return run_tidily(&task, rings, 1, NULL, keep, work, out, err);
}

bool overlay_simplify(const Rings *rings, double within_mm, Arena *keep, Work *work, Rings *out, Error *err)
{
    assert(isfinite(within_mm) && within_mm >= 0.0);
    Task task = {.run = simplify, .distance_um = within_mm * UM_PER_MM};
    return run_tidily(&task, rings, 1, NULL, keep, work, out, err);
}

// ---- operations on areas ----

static bool combine_areas(const Area *a, const Area *b, OverlayOp op, Chains *chains, Arena *keep, Work *work,
                          Area *out, Error *err)
{
    Rings a_rings, b_rings, result;
    Arena *scratch = &work->scratch;
    Task task = {.run = combine, .op = op};
    if (!area_rings(chains, a, scratch, &a_rings, err) || !area_rings(chains, b, scratch, &b_rings, err)) return false;
    if (!run_on_rings(&task, &a_rings, 1, &b_rings, scratch, work, &result, err)) return false;
    return relink(&result, a, b, chains, keep, work, out, err);
}

bool overlay_combine(const Area *a, const Area *b, OverlayOp op, Chains *chains, Arena *keep, Work *work, Area *out,
                     Error *err)
{
    *out = (Area){0};
    if (!work_goes_on(work, err)) return false;
    ArenaMark mark = arena_mark(&work->scratch);
    bool ok = combine_areas(a, b, op, chains, keep, work, out, err);
    if (keep != &work->scratch) arena_rewind(&work->scratch, mark);
    return ok;
}

bool area_from_rings(const Rings *rings, Chains *chains, Arena *keep, Area *out, Error *err)
{
    *out = (Area){0};
    Area area = {arena_new(keep, Link, rings->count), rings->count, arena_new(keep, LinkRing, rings->count),
                 rings->count};
    if (!area.links || !area.rings) return error_memory(err);
    for (int i = 0; i < rings->count; i++) {
        Chain chain;
        int index;
        if (!chain_from_points(rings->items[i].points, rings->items[i].count, true, keep, &chain, err)) return false;
        if (!chains_add(chains, &chain, keep, &index, err)) return false;
        area.links[i] = (Link){index, 0, rings->items[i].count};
        area.rings[i] = (LinkRing){i, 1, i};
    }
    return area_normalise(chains, &area, keep, out, err);
}
