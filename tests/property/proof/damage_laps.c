// damage_laps.c - damages of laps: what is cut of a piece beyond its face, and what its seam says of it.
#include "damage.h"

#include <math.h>
#include <string.h>

static json_t *piece_of(const EditKit *kit, const char *id)
{
    int count;
    edit_list(kit, "pieces", &count);
    for (int i = 0; i < count; i++)
        if (strcmp(edit_text(edit_item(kit, "pieces", i), "id"), id) == 0) return edit_item(kit, "pieces", i);
    return NULL;
}

static json_t *lap_seam(EditKit *kit, Rng *rng)
{
    int count;
    edit_list(kit, "seams", &count);
    int first = count ? (int)rng_below(rng, (uint32_t)count) : 0;
    for (int i = 0; i < count; i++) {
        json_t *seam = edit_item(kit, "seams", (first + i) % count);
        if (json_object_get(seam, "lap_of")) return seam;
    }
    return NULL;
}

static json_t *lapped_piece(EditKit *kit, Rng *rng)
{
    json_t *seam = lap_seam(kit, rng);
    return seam ? piece_of(kit, edit_text(seam, "lap_of")) : NULL;
}

// A corner of the outline that is the end of two lines and no point of the face: of a lap. -1 = none.
static int lap_corner(const ReadPath *outline, const ReadPath *face, Rng *rng)
{
    int first = (int)rng_below(rng, (uint32_t)outline->curve_count);
    for (int n = 0; n + 1 < outline->curve_count; n++) {
        int i = (first + n) % (outline->curve_count - 1);
        const ReadCurve *a = &outline->curves[i], *b = &outline->curves[i + 1];
        double nearest = 1e9;
        if (!a->is_line || !b->is_line || measure_gap(a->p[3], b->p[0]) > 0.0) continue;
        for (int k = 0; k < face->curve_count; k++)
            for (int t = 0; t < 4; t += 3) nearest = fmin(nearest, measure_gap(face->curves[k].p[t], a->p[3]));
        if (nearest > 8.0) return i;
    }
    return -1;
}

static void move_corner(ReadPath *path, int i, double dx, double dy)
{
    ReadCurve *a = &path->curves[i], *b = &path->curves[i + 1];
    Spot to = {a->p[3].x + dx, a->p[3].y + dy};
    a->p[2] = a->p[3] = to;
    b->p[0] = b->p[1] = to;
}

// A corner is pulled out by far more than any layer is wide.
bool lap_pulled_out(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *piece = lapped_piece(kit, rng);
    if (!piece) return false;
    ReadPath outline = edit_path(kit, piece, "outline"), face = edit_path(kit, piece, "face");
    int corner = lap_corner(&outline, &face, rng);
    if (corner < 0) return false;
    move_corner(&outline, corner, rng_below(rng, 2) ? 400.0 : -400.0, 7.0);
    edit_set_path(piece, "outline", &outline, kit->arena);
    expect(expected, "lap-visible", edit_text(piece, "id"));
    expect(expected, "face-not-cut", edit_text(piece, "id"));
    return true;
}

bool lap_cut_off(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *seam = lap_seam(kit, rng), *piece = seam ? piece_of(kit, edit_text(seam, "lap_of")) : NULL;
    if (!piece) return false;
    ReadPath face = edit_path(kit, piece, "face");
    edit_set_path(piece, "outline", &face, kit->arena);
    if (rng_below(rng, 2)) json_object_del(piece, "face");
    expect(expected, "lap-missing", edit_text(seam, "id"));
    return true;
}

bool lap_given_to_the_other(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *seam = lap_seam(kit, rng);
    if (!seam) return false;
    json_t *pieces = json_object_get(seam, "pieces");
    int other = strcmp(json_string_value(json_array_get(pieces, 0)), edit_text(seam, "lap_of")) == 0;
    json_object_set_new(seam, "lap_of", json_string(json_string_value(json_array_get(pieces, (size_t)other))));
    expect(expected, "lap-missing", edit_text(seam, "id"));
    return true;
}

bool lap_of_nobody(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *seam = lap_seam(kit, rng), *other = any_item(kit, rng, "pieces");
    if (!seam) return false;
    json_t *pieces = json_object_get(seam, "pieces");
    for (size_t k = 0; k < 2; k++)
        if (strcmp(json_string_value(json_array_get(pieces, k)), edit_text(other, "id")) == 0) return false;
    if (rng_below(rng, 2)) json_object_del(seam, "lap_of");
    else json_object_set_new(seam, "lap_of", json_string(edit_text(other, "id")));
    expect(expected, "lap-missing", edit_text(seam, "id"));
    return true;
}

bool lap_seam_called_butt(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *seam = lap_seam(kit, rng), *piece = seam ? piece_of(kit, edit_text(seam, "lap_of")) : NULL;
    if (!piece) return false;
    json_object_set_new(seam, "form", json_string("butt"));
    json_object_del(seam, "lap_of");
    expect(expected, "lap-visible", edit_text(piece, "id"));
    return true;
}

bool butt_seam_called_lap(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *seam = any_item(kit, rng, "seams");
    if (json_object_get(seam, "lap_of")) return false;
    json_t *pieces = json_object_get(seam, "pieces");
    json_object_set_new(seam, "form", json_string("lap"));
    json_object_set_new(seam, "lap_of", json_string(json_string_value(json_array_get(pieces, rng_below(rng, 2)))));
    expect(expected, "lap-missing", edit_text(seam, "id"));
    return true;
}

// The face stays as it is, and what is cut is shifted against it.
bool face_cut_into(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *piece = lapped_piece(kit, rng);
    if (!piece) return false;
    ReadPath outline = edit_path(kit, piece, "outline");
    const ReadPart *part = &outline.parts[rng_below(rng, (uint32_t)outline.part_count)];
    edit_shift(&outline, part->first, part->count, 0.4, 0.3);
    edit_set_path(piece, "outline", &outline, kit->arena);
    expect(expected, "face-not-cut", edit_text(piece, "id"));
    return true;
}
