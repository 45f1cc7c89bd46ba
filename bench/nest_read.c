// nest_read.c - see nest_read.h.
#include "nest_read.h"

#include <jansson.h>
#include <math.h>
#include <string.h>

#define LARGEST_MM 99000.0     // as far as points reach
#define MOST_COPIES 10000

// What is wrong with a ring, in words that follow "its outline" or "its hole".
static const char *read_ring(const json_t *points, double scale, bool hole, Arena *keep, Ring *out)
{
    size_t count = json_array_size(points);
    *out = (Ring){arena_new(keep, Point, count), 0};
    if (count < 3) return "has fewer than 3 corners";
    if (!out->points) return "is larger than the memory";
    for (size_t i = 0; i < count; i++) {
        const json_t *x = json_array_get(json_array_get(points, i), 0), *y = json_array_get(json_array_get(points, i), 1);
        if (!json_is_number(x) || !json_is_number(y)) return "has a corner that is not two numbers";
        double x_mm = json_number_value(x) * scale, y_mm = json_number_value(y) * scale;
        if (!(fabs(x_mm) <= LARGEST_MM) || !(fabs(y_mm) <= LARGEST_MM)) return "has a corner too far from its origin";
        Point p = point_from_mm(x_mm, y_mm);
        if (out->count == 0 || !point_equal(p, out->points[out->count - 1])) out->points[out->count++] = p;
    }
    if (out->count < 3 || !ring_is_simple(out)) return "crosses or touches itself";
    if ((ring_area2_um2(out) < 0) != hole)
        for (int i = 0; i < out->count / 2; i++) {
            Point kept = out->points[i];
            out->points[i] = out->points[out->count - 1 - i];
            out->points[out->count - 1 - i] = kept;
        }
    return NULL;
}

static bool rings_cross(const Ring *a, const Ring *b)
{
    for (int i = 0; i < a->count; i++)
        for (int k = 0; k < b->count; k++)
            if (segments_cross(a->points[i], a->points[(i + 1) % a->count], b->points[k], b->points[(k + 1) % b->count])) return true;
    return false;
}

// Inside the outline, and neither in nor round an earlier hole.
static bool hole_is_inside(const Rings *rings, const Ring *hole)
{
    for (int r = 0; r < rings->count; r++) {
        Ring *ring = &rings->items[r], own = *hole;
        const Rings within = {ring, 1}, round = {&own, 1};
        if (rings_cross(ring, hole) || rings_contain(&within, hole->points[0]) != (r == 0)) return false;
        if (r > 0 && rings_contain(&round, ring->points[0])) return false;
    }
    return true;
}

static bool read_outline(const json_t *item, long id, double scale, Arena *keep, const Rings **out, Error *err)
{
    const json_t *holes = json_object_get(item, "holes");
    Rings *rings = arena_new(keep, Rings, 1);
    if (!rings) return error_memory(err);
    rings->items = arena_new(keep, Ring, json_array_size(holes) + 1);
    if (!rings->items) return error_memory(err);
    const char *wrong = read_ring(json_object_get(item, "outline"), scale, false, keep, &rings->items[rings->count++]);
    if (wrong) return error_set(err, ERROR_INPUT, "item %ld: its outline %s; it should be one simple polygon", id, wrong);
    for (size_t h = 0; h < json_array_size(holes); h++) {
        Ring *hole = &rings->items[rings->count];
        wrong = read_ring(json_array_get(holes, h), scale, true, keep, hole);
        if (wrong) return error_set(err, ERROR_INPUT, "item %ld: its hole %zu %s; it should be one simple polygon", id, h + 1, wrong);
        if (!hole_is_inside(rings, hole))
            return error_set(err, ERROR_INPUT, "item %ld: its hole %zu does not lie inside the outline and clear of other holes", id, h + 1);
        rings->count++;
    }
    *out = rings;
    return true;
}

static Fit fit_of_degrees(double degrees)
{
    static const Fit QUARTERS[4] = {{1, 0}, {0, 1}, {-1, 0}, {0, -1}};
    double quarter = fmod(degrees, 360) / 90;
    if (quarter == floor(quarter)) return QUARTERS[((int)quarter + 4) % 4];
    double a = degrees * acos(-1.0) / 180;
    return (Fit){cos(a), sin(a)};
}

static bool read_turns(const char *rotations, const json_t *root, Instance *out, Error *err)
{
    const json_t *turns = json_object_get(root, "allowed_rotations_deg");
    bool file = strcmp(rotations, "file") == 0;
    size_t count = file ? json_array_size(turns) : 4;
    out->free_turns = strcmp(rotations, "free") == 0;
    if (count > NEST_MOST_TURNS) return error_set(err, ERROR_INPUT, "%zu angles are allowed; at most %d are read", count, NEST_MOST_TURNS);
    for (size_t i = 0; i < count; i++) {
        if (file && !json_is_number(json_array_get(turns, i))) return error_set(err, ERROR_INPUT, "allowed angle %zu is no number", i + 1);
        out->turns[out->turn_count++] = fit_of_degrees(file ? json_number_value(json_array_get(turns, i)) : 90.0 * (double)i);
    }
    if (out->turn_count == 0) out->turns[out->turn_count++] = (Fit){1, 0};
    return true;
}

static bool read_demand(const json_t *item, long id, int *out, Error *err)
{
    const json_t *demand = json_object_get(item, "demand");
    json_int_t count = json_integer_value(demand);
    if (!json_is_integer(demand)) return error_set(err, ERROR_INPUT, "item %ld: its demand is no whole number; it should be 1 to %d", id, MOST_COPIES);
    if (count < 1 || count > MOST_COPIES)
        return error_set(err, ERROR_INPUT, "item %ld: its demand is %lld; it should be 1 to %d", id, (long long)count, MOST_COPIES);
    *out = (int)count;
    return true;
}

static bool read_items(const json_t *items, Arena *keep, Instance *out, Error *err)
{
    size_t capacity = 0;
    for (size_t i = 0; i < json_array_size(items); i++) {
        const json_t *item = json_array_get(items, i);
        long id = (long)json_integer_value(json_object_get(item, "id"));
        const Rings *rings = NULL;
        int demand = 0;
        if (!read_demand(item, id, &demand, err) || !read_outline(item, id, out->scale, keep, &rings, err)) return false;
        for (int copy = 0; copy < demand; copy++) {
            One *grown = arena_grow(keep, out->ones, (size_t)out->count, &capacity, sizeof *grown);
            if (!grown) return error_memory(err);
            out->ones = grown;
            grown[out->count++] = (One){id, copy, rings, NULL};
            out->area_mm2 += rings_area_mm2(rings);
        }
    }
    return out->count > 0 ? true : error_set(err, ERROR_INPUT, "there are no pieces");
}

static bool is_length(double length)
{
    return length > 0 && length < 1e9;
}

static bool read_sizes(const json_t *root, Instance *out, Error *err)
{
    const json_t *sheet = json_object_get(root, "sheet"), *strip = json_object_get(root, "strip_width");
    if (!sheet && !strip) return error_set(err, ERROR_INPUT, "the instance has neither strip_width nor sheet");
    for (size_t i = 0; i < 2 && sheet; i++) out->sheet[i] = json_number_value(json_array_get(sheet, i));
    if (sheet && !(is_length(out->sheet[0]) && is_length(out->sheet[1])))
        return error_set(err, ERROR_INPUT, "the sheet is %g x %g; both should be more than 0", out->sheet[0], out->sheet[1]);
    if (!sheet) out->strip = json_number_value(strip);
    if (!sheet && !is_length(out->strip)) return error_set(err, ERROR_INPUT, "the strip is %g wide; it should be more than 0", out->strip);
    return true;
}

static bool read_length(const json_t *root, const char *key, double *out, Error *err)
{
    const json_t *value = json_object_get(root, key);
    *out = json_number_value(value);
    return !value || (json_is_number(value) && *out >= 0) ? true : error_set(err, ERROR_INPUT, "%s is not a number of 0 or more", key);
}

static bool read_instance(const char *rotations, const json_t *root, Arena *keep, Instance *out, Error *err)
{
    const char *name = json_string_value(json_object_get(root, "name"));
    if (!name) return error_set(err, ERROR_INPUT, "the instance has no name");
    out->name = arena_copy(keep, name, strlen(name) + 1, 1);
    if (!out->name) return error_memory(err);
    if (!read_sizes(root, out, err) || !read_length(root, "gap_mm", &out->gap_mm, err) || !read_length(root, "corner_mm", &out->corner_mm, err))
        return false;
    double widest = fmax(out->strip, fmax(out->sheet[0], out->sheet[1]));
    out->scale = out->gap_mm > 0 ? 1 : NEST_SCALED_MM / widest; // with a gap the units are millimetres
    return read_turns(rotations, root, out, err) && read_items(json_object_get(root, "items"), keep, out, err);
}

bool nest_read(const char *path, const char *rotations, Arena *keep, Instance *out, Error *err)
{
    json_error_t wrong;
    json_t *root = json_load_file(path, 0, &wrong);
    *out = (Instance){0};
    if (!root) return error_set(err, ERROR_INPUT, "%s cannot be read as JSON, line %d: %s", path, wrong.line, wrong.text);
    bool done = read_instance(rotations, root, keep, out, err);
    json_decref(root);
    return done;
}
