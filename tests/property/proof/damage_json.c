// damage_json.c - damages of kit.json and of the set of files.
#include "damage.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void expect(Expected *expected, const char *kind, const char *where)
{
    for (int i = 0; i < 3; i++)
        if (!expected->kind[i][0]) {
            snprintf(expected->kind[i], sizeof expected->kind[i], "%s", kind);
            break;
        }
    snprintf(expected->where, sizeof expected->where, "%s", where);
}

json_t *any_item(const EditKit *kit, Rng *rng, const char *key)
{
    int count;
    edit_list(kit, key, &count);
    return count ? edit_item(kit, key, (int)rng_below(rng, (uint32_t)count)) : NULL;
}

static json_t *by_id(const EditKit *kit, const char *key, const char *id)
{
    int count;
    edit_list(kit, key, &count);
    for (int i = 0; i < count; i++)
        if (strcmp(edit_text(edit_item(kit, key, i), "id"), id) == 0) return edit_item(kit, key, i);
    return NULL;
}

const char *first_of_file(const EditKit *kit, const json_t *sheet)
{
    int count;
    edit_list(kit, "sheets", &count);
    for (int i = 0; i < count; i++)
        if (strcmp(edit_text(edit_item(kit, "sheets", i), "file"), edit_text(sheet, "file")) == 0)
            return edit_text(edit_item(kit, "sheets", i), "id");
    return "";
}

json_t *sheet_of(const EditKit *kit, const json_t *piece)
{
    return by_id(kit, "sheets", edit_text(piece, "sheet"));
}

static void set_number(json_t *object, const char *key, double value)
{
    json_object_set_new(object, key, json_real(value));
}

static void direction(Rng *rng, double length, double *dx, double *dy)
{
    double x = rng_unit(rng) - 0.5, y = rng_unit(rng) - 0.5, n = hypot(x, y) + 1e-12;
    *dx = x / n * length;
    *dy = y / n * length;
}

// What is cut of a piece is not what it was: of one with laps that is told against its face.
static void expect_off(Expected *expected, const json_t *piece)
{
    const char *id = edit_text(piece, "id");
    if (!json_object_get(piece, "face")) {
        expect(expected, "face-off-layer", id);
        return;
    }
    expect(expected, "face-not-cut", id);
    expect(expected, "lap-visible", id);
}

static bool piece_shifted(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *piece = any_item(kit, rng, "pieces");
    ReadPath path = edit_path(kit, piece, "outline");
    double dx, dy;
    direction(rng, 0.2, &dx, &dy);
    edit_shift(&path, 0, path.curve_count, dx, dy);
    edit_set_path(piece, "outline", &path, kit->arena);
    expect_off(expected, piece);
    return true;
}

static bool piece_shrunk(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *piece = any_item(kit, rng, "pieces");
    ReadPath path = edit_path(kit, piece, "outline");
    SpotBox box = measure_box(&path);
    if (box.max.x - box.min.x < 20.0) return false;
    double cx = 0.5 * (box.min.x + box.max.x), cy = 0.5 * (box.min.y + box.max.y);
    for (int i = 0; i < path.curve_count; i++)
        for (int k = 0; k < 4; k++) {
            path.curves[i].p[k].x = cx + 0.995 * (path.curves[i].p[k].x - cx);
            path.curves[i].p[k].y = cy + 0.995 * (path.curves[i].p[k].y - cy);
        }
    edit_set_path(piece, "outline", &path, kit->arena);
    expect_off(expected, piece);
    return true;
}

static bool control_point_moved(EditKit *kit, Rng *rng, Expected *expected)
{
    bool of_layer = rng_below(rng, 3) == 0;
    json_t *item = any_item(kit, rng, of_layer ? "layers" : "pieces");
    ReadPath path = edit_path(kit, item, "outline");
    for (int tries = 0; tries < 50; tries++) {
        ReadCurve *c = &path.curves[rng_below(rng, (uint32_t)path.curve_count)];
        double dx = c->p[3].x - c->p[0].x, dy = c->p[3].y - c->p[0].y, n = hypot(dx, dy);
        if (c->is_line || n < 0.5) continue;
        double side = rng_below(rng, 2) ? 0.05 : -0.05;
        c->p[1].x += -dy / n * side;
        c->p[1].y += dx / n * side;
        edit_set_path(item, "outline", &path, kit->arena);
        if (of_layer) expect(expected, "outline-off-faces", edit_text(item, "id"));
        else expect_off(expected, item);
        return true;
    }
    return false;
}

static bool total_edited(EditKit *kit, Rng *rng, Expected *expected)
{
    static const char *const keys[] = {"sheets",          "pieces",           "seam_mm", "visible_seam_mm",
                                       "cut_mm",          "score_mm",         "pen_mm",  "waste_percent",
                                       "cutting_minutes", "assembly_minutes", "cost"};
    const char *key = keys[rng_below(rng, 11)];
    json_t *totals = json_object_get(kit->root, "totals");
    double old = edit_number(totals, key);
    set_number(totals, key, strcmp(key, "sheets") && strcmp(key, "pieces") ? old * 1.001 + 0.2 : old + 1);
    char where[64];
    snprintf(where, sizeof where, "totals.%s", key);
    expect(expected, "number-wrong", where);
    return true;
}

static bool rate_edited(EditKit *kit, Rng *rng, Expected *expected)
{
    bool cutting = rng_below(rng, 2);
    json_t *rates = json_object_get(kit->root, "rates");
    const char *key = cutting ? "cut_mm_s" : "piece_min";
    set_number(rates, key, 1.5 * edit_number(rates, key) + 0.5);
    expect(expected, "number-wrong", cutting ? "totals.cutting_minutes" : "totals.assembly_minutes");
    return true;
}

static bool seam_length_edited(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *seam = any_item(kit, rng, "seams");
    if (!seam) return false;
    set_number(seam, "length_mm", 1.01 * edit_number(seam, "length_mm") + 0.1);
    expect(expected, "seam-length-wrong", edit_text(seam, "id"));
    return true;
}

static bool seam_visible_edited(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *seam = any_item(kit, rng, "seams");
    if (!seam) return false;
    set_number(seam, "visible_mm", edit_number(seam, "visible_mm") + 0.03 * edit_number(seam, "length_mm") + 2.5);
    expect(expected, "seam-visible-wrong", edit_text(seam, "id"));
    return true;
}

static bool seam_of_wrong_piece(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *seam = any_item(kit, rng, "seams"), *piece = any_item(kit, rng, "pieces");
    if (!seam) return false;
    json_t *pair = json_object_get(seam, "pieces");
    const char *id = edit_text(piece, "id");
    for (size_t i = 0; i < 2; i++)
        if (strcmp(json_string_value(json_array_get(pair, i)), id) == 0) return false;
    json_array_set_new(pair, rng_below(rng, 2), json_string(id));
    expect(expected, "seam-wrong-piece", edit_text(seam, "id"));
    return true;
}

// A seam and its match marks, so that nothing else gives it away.
static void drop_seam(EditKit *kit, json_t *seams, size_t index)
{
    const char *id = edit_text(json_array_get(seams, index), "id");
    int count;
    edit_list(kit, "pieces", &count);
    for (int i = 0; i < count; i++) {
        json_t *marks = json_object_get(edit_item(kit, "pieces", i), "marks");
        for (size_t k = json_array_size(marks); k-- > 0;) {
            const char *of = json_string_value(json_object_get(json_array_get(marks, k), "seam"));
            if (of && strcmp(of, id) == 0) json_array_remove(marks, k);
        }
    }
    json_array_remove(seams, index);
}

static bool seam_deleted(EditKit *kit, Rng *rng, Expected *expected)
{
    int count;
    json_t *seams = edit_list(kit, "seams", &count);
    if (count == 0) return false;
    size_t index = rng_below(rng, (uint32_t)count);
    json_t *pair = json_object_get(json_array_get(seams, index), "pieces");
    char where[64];
    snprintf(where, sizeof where, "%s+%s", json_string_value(json_array_get(pair, 0)),
             json_string_value(json_array_get(pair, 1)));
    expect(expected, "seam-missing", where);
    drop_seam(kit, seams, index);
    return true;
}

static bool seam_bent(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *seam = any_item(kit, rng, "seams");
    if (!seam) return false;
    ReadPath path = edit_path(kit, seam, "path");
    path.curves[rng_below(rng, (uint32_t)path.curve_count)].p[3].x += 0.001;
    for (int i = 0; i < path.curve_count; i++)
        if (path.curves[i].is_line) path.curves[i].p[2] = path.curves[i].p[3];
    edit_set_path(seam, "path", &path, kit->arena);
    expect(expected, "seam-not-shared", edit_text(seam, "id"));
    return true;
}

static bool finished_edited(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *size = json_object_get(kit->root, "finished_mm");
    const char *key = rng_below(rng, 2) ? "width" : "height";
    set_number(size, key, edit_number(size, key) + 0.02);
    expect(expected, "finished-size-wrong", "finished_mm");
    return true;
}

static bool place_edited(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *piece = any_item(kit, rng, "pieces"), *list = json_object_get(piece, "to_sheet");
    size_t index = 4 + rng_below(rng, 2);
    json_array_set_new(list, index, json_real(json_number_value(json_array_get(list, index)) + 0.05));
    expect(expected, "cut-differs", edit_text(piece, "id"));
    return true;
}

static bool place_mirrored(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *piece = any_item(kit, rng, "pieces"), *list = json_object_get(piece, "to_sheet");
    for (size_t i = 0; i < 2; i++) json_array_set_new(list, i, json_real(-json_number_value(json_array_get(list, i))));
    expect(expected, "to-sheet-no-turn", edit_text(piece, "id"));
    return true;
}

// A mark of some piece, moved onto a piece of the highest layer: nothing covers it there.
static bool mark_made_visible(EditKit *kit, Rng *rng, Expected *expected)
{
    int layers, pieces;
    edit_list(kit, "layers", &layers);
    edit_list(kit, "pieces", &pieces);
    const char *top = NULL;
    for (int i = 0; i < layers; i++)
        if ((int)edit_number(edit_item(kit, "layers", i), "order") == layers - 1)
            top = edit_text(edit_item(kit, "layers", i), "id");
    json_t *from = any_item(kit, rng, "pieces"), *mark = json_array_get(json_object_get(from, "marks"), 0);
    if (mark && strcmp(edit_text(mark, "kind"), "drawn") == 0) return false; // it may be seen
    for (int i = 0; i < pieces && mark; i++) {
        json_t *piece = edit_item(kit, "pieces", i);
        if (strcmp(edit_text(piece, "layer"), top) != 0) continue;
        json_t *moved = json_deep_copy(mark);
        ReadPath path = edit_path(kit, moved, "path"), face = edit_path(kit, piece, "outline");
        SpotBox a = measure_box(&path), b = measure_box(&face);
        edit_shift(&path, 0, path.curve_count, 0.5 * (b.min.x + b.max.x - a.min.x - a.max.x),
                   0.5 * (b.min.y + b.max.y - a.min.y - a.max.y));
        edit_set_path(moved, "path", &path, kit->arena);
        json_array_append_new(json_object_get(piece, "marks"), moved);
        expect(expected, "mark-visible", edit_text(piece, "id"));
        return true;
    }
    return false;
}

static json_t *any_mark(const EditKit *kit, Rng *rng, json_t **out_piece)
{
    *out_piece = any_item(kit, rng, "pieces");
    json_t *marks = json_object_get(*out_piece, "marks");
    size_t count = json_array_size(marks);
    return count ? json_array_get(marks, rng_below(rng, (uint32_t)count)) : NULL;
}

// The first pen mark that is (or is not) a drawn detail, from some piece on; few kits have many.
static json_t *pen_mark(const EditKit *kit, Rng *rng, bool drawn, json_t **out_piece)
{
    int count;
    edit_list(kit, "pieces", &count);
    uint32_t from = rng_below(rng, (uint32_t)count);
    for (int i = 0; i < count; i++) {
        *out_piece = edit_item(kit, "pieces", (int)((from + (uint32_t)i) % (uint32_t)count));
        json_t *marks = json_object_get(*out_piece, "marks");
        for (size_t k = 0; k < json_array_size(marks); k++) {
            json_t *mark = json_array_get(marks, k);
            if (strcmp(edit_text(mark, "line"), "pen") == 0 && (strcmp(edit_text(mark, "kind"), "drawn") == 0) == drawn)
                return mark;
        }
    }
    return NULL;
}

static bool move_mark_off(EditKit *kit, json_t *piece, json_t *mark, Expected *expected)
{
    ReadPath path = edit_path(kit, mark, "path"), face = edit_path(kit, piece, "outline");
    SpotBox a = measure_box(&path), b = measure_box(&face);
    edit_shift(&path, 0, path.curve_count, b.max.x - 0.5 * (a.min.x + a.max.x), b.max.y - 0.5 * (a.min.y + a.max.y));
    edit_set_path(mark, "path", &path, kit->arena);
    expect(expected, "mark-off-piece", edit_text(piece, "id"));
    return true;
}

static bool mark_moved_off(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *piece, *mark = any_mark(kit, rng, &piece);
    return mark && move_mark_off(kit, piece, mark, expected);
}

static bool drawn_mark_moved_off(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *piece, *mark = pen_mark(kit, rng, true, &piece);
    return mark && move_mark_off(kit, piece, mark, expected);
}

// A pen mark that a higher layer covers, said to be a detail for the eye.
static bool drawn_mark_covered(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *piece, *mark = pen_mark(kit, rng, false, &piece);
    if (!mark) return false;
    json_object_set_new(mark, "kind", json_string("drawn"));
    expect(expected, "mark-covered", edit_text(piece, "id"));
    return true;
}

// ---- match marks ----

static json_t *match_mark(const EditKit *kit, Rng *rng, bool lettered, json_t **out_piece)
{
    int count;
    edit_list(kit, "pieces", &count);
    uint32_t from = rng_below(rng, (uint32_t)count);
    for (int i = 0; i < count; i++) {
        *out_piece = edit_item(kit, "pieces", (int)((from + (uint32_t)i) % (uint32_t)count));
        json_t *marks = json_object_get(*out_piece, "marks");
        for (size_t k = 0; k < json_array_size(marks); k++) {
            json_t *mark = json_array_get(marks, k);
            if (strcmp(edit_text(mark, "kind"), "match") != 0) continue;
            if (!lettered || edit_path(kit, mark, "path").part_count > 1) return mark;
        }
    }
    return NULL;
}

// By 0.03 mm: the tick begins beside the seam, or beside the other half.
static bool match_mark_shifted(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *piece, *mark = match_mark(kit, rng, false, &piece);
    if (!mark) return false;
    ReadPath path = edit_path(kit, mark, "path");
    double dx, dy;
    direction(rng, 0.03, &dx, &dy);
    edit_shift(&path, 0, path.curve_count, dx, dy);
    edit_set_path(mark, "path", &path, kit->arena);
    expect(expected, "match-unpaired", edit_text(mark, "seam"));
    return true;
}

static bool half_tick_lost(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *piece, *mark = match_mark(kit, rng, false, &piece);
    if (!mark) return false;
    expect(expected, "match-unpaired", edit_text(mark, "seam"));
    json_t *marks = json_object_get(piece, "marks");
    for (size_t k = 0; k < json_array_size(marks); k++)
        if (json_array_get(marks, k) == mark) return json_array_remove(marks, k) == 0;
    return false;
}

static bool half_tick_turned(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *piece, *mark = match_mark(kit, rng, false, &piece);
    if (!mark) return false;
    ReadPath path = edit_path(kit, mark, "path");
    ReadCurve *tick = &path.curves[0]; // ticks are written first, from the seam on
    double dx = tick->p[3].x - tick->p[0].x, dy = tick->p[3].y - tick->p[0].y;
    tick->p[3] = (Spot){tick->p[3].x - 0.05 * dy, tick->p[3].y + 0.05 * dx};
    tick->p[2] = tick->p[3];
    edit_set_path(mark, "path", &path, kit->arena);
    expect(expected, "match-crooked", edit_text(mark, "seam"));
    return true;
}

static bool match_letter_changed(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *piece, *mark = match_mark(kit, rng, true, &piece);
    if (!mark) return false;
    ReadPath path = edit_path(kit, mark, "path");
    int part = 1 + (int)rng_below(rng, (uint32_t)path.part_count - 1);
    if (rng_below(rng, 2)) edit_drop_part(&path, part);
    else {
        ReadCurve *last = &path.curves[path.parts[part].first + path.parts[part].count - 1];
        last->p[3].x += 0.4;
        last->p[2] = last->p[3];
    }
    edit_set_path(mark, "path", &path, kit->arena);
    expect(expected, "match-letters-differ", edit_text(mark, "seam"));
    return true;
}

static bool match_mark_of_another_seam(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *piece, *mark = match_mark(kit, rng, false, &piece), *seam = any_item(kit, rng, "seams");
    if (!mark || strcmp(edit_text(mark, "seam"), edit_text(seam, "id")) == 0) return false;
    json_object_set_new(mark, "seam", json_string(edit_text(seam, "id")));
    expect(expected, "match-off-seam", edit_text(seam, "id"));
    return true;
}

static bool seam_letter_lost(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *piece, *mark = match_mark(kit, rng, false, &piece);
    if (!mark) return false;
    json_object_set_new(by_id(kit, "seams", edit_text(mark, "seam")), "letter", json_null());
    expect(expected, "match-letter-missing", edit_text(mark, "seam"));
    return true;
}

// A second seam of the layer with the same letter; the sample has one seam a layer, so it is listed once more.
static bool seam_letter_twice(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *seam = any_item(kit, rng, "seams");
    if (!seam) return false;
    json_t *twin = json_deep_copy(seam);
    json_object_set_new(twin, "id", json_string("twin"));
    json_array_append_new(json_object_get(kit->root, "seams"), twin);
    expect(expected, "match-letter-twice", "twin");
    return true;
}

static bool piece_doubled(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *piece = any_item(kit, rng, "pieces");
    json_array_append_new(json_object_get(kit->root, "pieces"), json_deep_copy(piece));
    expect(expected, "id-twice", edit_text(piece, "id"));
    return true;
}

static bool piece_doubled_as_another(EditKit *kit, Rng *rng, Expected *expected)
{
    int count, n = 0;
    json_t *piece = any_item(kit, rng, "pieces"), *twin = json_deep_copy(piece);
    edit_list(kit, "pieces", &count);
    for (int i = 0; i < count; i++)
        n += strcmp(edit_text(edit_item(kit, "pieces", i), "layer"), edit_text(piece, "layer")) == 0;
    char id[32], where[64];
    snprintf(id, sizeof id, "%s%d", edit_text(piece, "layer"), n + 1);
    snprintf(where, sizeof where, "%s+%s", edit_text(piece, "id"), id);
    json_object_set_new(twin, "id", json_string(id));
    json_array_append_new(json_object_get(kit->root, "pieces"), twin);
    expect(expected, "faces-overlap", where);
    return true;
}

static bool piece_forgotten(EditKit *kit, Rng *rng, Expected *expected)
{
    int count;
    json_t *pieces = edit_list(kit, "pieces", &count);
    size_t index = rng_below(rng, (uint32_t)count);
    const char *id = edit_text(json_array_get(pieces, index), "id"),
               *layer = edit_text(json_array_get(pieces, index), "layer");
    json_t *seams = json_object_get(kit->root, "seams");
    for (size_t i = json_array_size(seams); i-- > 0;) { // its seams go too, so that nothing else gives it away
        json_t *pair = json_object_get(json_array_get(seams, i), "pieces");
        for (size_t k = 0; k < 2; k++)
            if (strcmp(json_string_value(json_array_get(pair, k)), id) == 0) {
                drop_seam(kit, seams, i);
                break;
            }
    }
    expect(expected, "layer-not-covered", layer);
    json_array_remove(pieces, index);
    return true;
}

static bool hole_filled_of(EditKit *kit, json_t *piece, Expected *expected)
{
    ReadPath path = edit_path(kit, piece, "outline");
    for (int i = 0; i < path.part_count; i++) {
        ReadPath only = path;
        only.parts = &path.parts[i];
        only.part_count = 1;
        double area = measure_area(&only);
        if (area >= -1.0) continue;
        edit_drop_part(&path, i);
        edit_set_path(piece, "outline", &path, kit->arena);
        expect(expected, json_object_get(piece, "face") ? "lap-visible" : "face-outside-layer", edit_text(piece, "id"));
        return true;
    }
    return false;
}

// The first piece with a hole from a random one on: few have any.
static bool hole_filled(EditKit *kit, Rng *rng, Expected *expected)
{
    int count;
    edit_list(kit, "pieces", &count);
    int start = (int)rng_below(rng, (uint32_t)count);
    for (int i = 0; i < count; i++)
        if (hole_filled_of(kit, edit_item(kit, "pieces", (start + i) % count), expected)) return true;
    return false;
}

static bool colour_changed(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *layer = any_item(kit, rng, "layers");
    json_object_set_new(layer, "colour", json_string("#123456"));
    expect(expected, "colour-differs", edit_text(layer, "id"));
    return true;
}

static bool order_swapped(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *a = any_item(kit, rng, "layers"), *b = any_item(kit, rng, "layers");
    if (a == b) return false;
    json_t *order = json_deep_copy(json_object_get(a, "order"));
    json_object_set(a, "order", json_object_get(b, "order"));
    json_object_set_new(b, "order", order);
    expect(expected, "letter-wrong", edit_text(a, "id"));
    return true;
}

static bool area_edited(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *layer = any_item(kit, rng, "layers");
    ReadPath path = edit_path(kit, layer, "outline");
    set_number(layer, "area_mm2", edit_number(layer, "area_mm2") * 1.001 + 0.01 * measure_length(&path));
    expect(expected, "area-wrong", edit_text(layer, "id"));
    return true;
}

static bool box_edited(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *sheet = any_item(kit, rng, "sheets"), *box = json_object_get(sheet, "box_mm");
    size_t index = rng_below(rng, 4);
    json_array_set_new(box, index, json_real(json_number_value(json_array_get(box, index)) + 0.05));
    expect(expected, "drawn-box-wrong", edit_text(sheet, "id"));
    return true;
}

static bool key_removed(EditKit *kit, Rng *rng, Expected *expected)
{
    static const char *const keys[] = {"outline", "to_sheet", "sheet", "layer", "kind", "marks"};
    static const char *const heads[] = {"format", "version", "name",      "finished_mm", "papers",
                                        "layers", "pieces",  "seams",     "sheets",      "findings",
                                        "rates",  "totals",  "border_mm", "made_by"};
    int count;
    char where[64];
    if (rng_below(rng, 2)) {
        const char *key = heads[rng_below(rng, sizeof heads / sizeof *heads)];
        json_object_del(kit->root, key);
        expect(expected, "bad-file", key);
        return true;
    }
    edit_list(kit, "pieces", &count);
    int index = (int)rng_below(rng, (uint32_t)count);
    const char *key = keys[rng_below(rng, 6)];
    json_object_del(edit_item(kit, "pieces", index), key);
    snprintf(where, sizeof where, "pieces[%d].%s", index, key);
    expect(expected, "bad-file", where);
    return true;
}

static bool json_cut_short(EditKit *kit, Rng *rng, Expected *expected)
{
    edit_close(kit);
    const FileBytes *file = file_find(&kit->files, "kit.json");
    edit_put(kit, "kit.json", file->bytes, rng_below(rng, (uint32_t)file->size_bytes - 2));
    expect(expected, "bad-file", "kit.json");
    return true;
}

static bool sheet_deleted(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *sheet = any_item(kit, rng, "sheets");
    expect(expected, "file-missing", first_of_file(kit, sheet));
    edit_remove(kit, edit_text(sheet, "file"));
    return true;
}

static bool key_plan_deleted(EditKit *kit, Rng *rng, Expected *expected)
{
    (void)rng;
    edit_remove(kit, "key-plan.svg");
    expect(expected, "file-missing", "key-plan.svg");
    return true;
}

static bool file_added(EditKit *kit, Rng *rng, Expected *expected)
{
    const FileBytes *file = file_find(&kit->files, edit_text(any_item(kit, rng, "sheets"), "file"));
    edit_put(kit, "sheets/copy.svg", file->bytes, file->size_bytes);
    expect(expected, "file-extra", "sheets/copy.svg");
    return true;
}

static bool piece_listed_on_another_sheet(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *piece = any_item(kit, rng, "pieces"), *sheet = any_item(kit, rng, "sheets");
    if (strcmp(edit_text(piece, "sheet"), edit_text(sheet, "id")) == 0) return false;
    json_object_set_new(piece, "sheet", json_string(edit_text(sheet, "id")));
    expect(expected, "cut-differs", edit_text(piece, "id"));
    return true;
}

const NamedDamage json_damages[] = {
    {"piece shifted by 0.2 mm", piece_shifted},
    {"piece shrunk by 0.5 %", piece_shrunk},
    {"control point moved by 0.05 mm", control_point_moved},
    {"total edited", total_edited},
    {"rate edited", rate_edited},
    {"seam length edited", seam_length_edited},
    {"seam in sight edited", seam_visible_edited},
    {"seam of a wrong piece", seam_of_wrong_piece},
    {"seam deleted", seam_deleted},
    {"seam bent by 0.001 mm", seam_bent},
    {"finished size edited", finished_edited},
    {"place on the sheet edited", place_edited},
    {"place mirrored", place_mirrored},
    {"mark made visible", mark_made_visible},
    {"mark moved off its piece", mark_moved_off},
    {"drawn mark moved off its piece", drawn_mark_moved_off},
    {"drawn mark covered", drawn_mark_covered},
    {"match mark shifted by 0.03 mm", match_mark_shifted},
    {"half a tick lost", half_tick_lost},
    {"half a tick turned", half_tick_turned},
    {"letter of a match mark changed", match_letter_changed},
    {"match mark of another seam", match_mark_of_another_seam},
    {"letter of a seam lost", seam_letter_lost},
    {"letter of a seam twice", seam_letter_twice},
    {"piece doubled", piece_doubled},
    {"piece doubled under another name", piece_doubled_as_another},
    {"piece forgotten", piece_forgotten},
    {"hole filled", hole_filled},
    {"layer's colour changed", colour_changed},
    {"order of layers swapped", order_swapped},
    {"area edited", area_edited},
    {"drawn box edited", box_edited},
    {"key removed", key_removed},
    {"kit.json cut short", json_cut_short},
    {"sheet deleted", sheet_deleted},
    {"key plan deleted", key_plan_deleted},
    {"file added", file_added},
    {"piece listed on another sheet", piece_listed_on_another_sheet},
    {"paper given a direction", direction_given},
    {"paper takes no lines", line_refused},
    {"cutter without tools", tool_lost},
    {"cutter's loss edited", loss_edited},
    {"mat made narrow", mat_shrunk},
    {"purchase edited", purchase_edited},
    {"price of a pack edited", pack_edited},
    {"board edited", board_edited},
    {"offcut said", offcut_said},
    {"lap pulled out", lap_pulled_out},
    {"lap cut off", lap_cut_off},
    {"lap given to the other piece", lap_given_to_the_other},
    {"lap of nobody", lap_of_nobody},
    {"lap seam called butt", lap_seam_called_butt},
    {"butt seam called lap", butt_seam_called_lap},
    {"face cut into", face_cut_into},
    {"what is said of a paper removed", property_removed},
};
const int json_damage_count = sizeof json_damages / sizeof *json_damages;
