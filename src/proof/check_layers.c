// check_layers.c - the faces of a layer make it up: (a) curves that two faces share cancel, and what is left is the
// layer's outline, both ways within the tolerance; (b) on scan lines each point of the layer is covered by one face.
#include "proof/check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define OFFSET_LOOK_MM 1.0 // how far an edge is looked for; beyond it the text says "at least"

int check_higher(const Check *check, int order, const Field **out)
{
    int count = 0;
    for (int i = order + 1; i < check->kit->layer_count; i++) out[count++] = &check->layers[check->by_order[i]].field;
    return count;
}

void check_pair_name(const Check *check, int a, int b, char out[64])
{
    if (a > b) {
        int c = a;
        a = b;
        b = c;
    }
    snprintf(out, 64, "%.30s+%.30s", check->kit->pieces[a].id, check->kit->pieces[b].id);
}

bool check_fields(Check *check, Error *err)
{
    const ReadKit *kit = check->kit;
    Arena *scratch = &check->work->scratch;
    check->layers = arena_new(scratch, LayerField, kit->layer_count);
    if (!check->layers) return error_memory(err);
    for (int i = 0; i < kit->layer_count; i++) {
        Edges edges = {0};
        const ReadPath *outline = &kit->layers[i].outline;
        if (!work_goes_on(check->work, err) ||
            !measure_flatten(outline->curves, outline->curve_count, NULL, CHECK_SPLIT_MM, -1, scratch, &edges, err) ||
            !measure_field(edges.items, edges.count, scratch, &check->layers[i].field, err))
            return false;
    }
    return true;
}

typedef struct FaceCurve {
    ReadCurve curve; // in its one way
    int piece;
    bool turned;
} FaceCurve;

static int by_curve(const void *a, const void *b)
{
    const FaceCurve *p = a, *q = b;
    int order = measure_compare(&p->curve, &q->curve);
    if (order) return order;
    if (p->turned != q->turned) return (int)p->turned - (int)q->turned;
    return (p->piece > q->piece) - (p->piece < q->piece);
}

static bool faces_of(Check *check, int layer, FaceCurve **out, int *out_count, Error *err)
{
    const ReadKit *kit = check->kit;
    size_t count = 0, n = 0;
    for (int i = 0; i < kit->piece_count; i++)
        if (kit->pieces[i].layer == layer) count += (size_t)kit->pieces[i].face.curve_count;
    FaceCurve *curves = arena_new(&check->work->scratch, FaceCurve, count);
    if (!curves) return error_memory(err);
    for (int i = 0; i < kit->piece_count; i++) {
        const ReadPath *face = &kit->pieces[i].face;
        if (kit->pieces[i].layer != layer) continue;
        for (int k = 0; k < face->curve_count; k++, n++) {
            curves[n].piece = i;
            curves[n].curve = measure_one_way(face->curves[k], &curves[n].turned);
        }
    }
    qsort(curves, count, sizeof *curves, by_curve);
    *out = curves;
    *out_count = (int)count;
    return true;
}

// One group of equal curves: forward ones first. Pairs go to the inner curves; what is left is appended to the rest.
static void cancel_group(Check *check, LayerField *layer, FaceCurve *group, int count, FaceCurve *rest, int *rest_count)
{
    int forward = 0;
    while (forward < count && !group[forward].turned) forward++;
    int backward = count - forward, pairs = forward < backward ? forward : backward;
    for (int i = 0; i < pairs; i++)
        layer->inner[layer->inner_count++] =
            (InnerCurve){group[0].curve, group[i].piece, group[forward + i].piece, false};
    for (int i = pairs; i < forward; i++) rest[(*rest_count)++] = group[i];
    for (int i = forward + pairs; i < count; i++) rest[(*rest_count)++] = group[i];
    int same = forward > backward ? forward : backward, first = forward > backward ? 0 : forward;
    if (same < 2) return;
    char pair[64];
    check_pair_name(check, group[first].piece, group[first + 1].piece, pair);
    fault_add(check->faults, "faces-overlap", pair, group[0].curve.p[0].x, group[0].curve.p[0].y,
              "two faces lie on the same side of one line; each place of a layer should belong to one face");
}

static bool cancel(Check *check, LayerField *layer, FaceCurve *curves, int count, FaceCurve **rest, int *rest_count,
                   Error *err)
{
    *rest = arena_new(&check->work->scratch, FaceCurve, count);
    layer->inner = arena_new(&check->work->scratch, InnerCurve, count / 2 + 1);
    if (!*rest || !layer->inner) return error_memory(err);
    *rest_count = 0;
    for (int i = 0, n; i < count; i += n) {
        for (n = 1; i + n < count && measure_compare(&curves[i].curve, &curves[i + n].curve) == 0;) n++;
        cancel_group(check, layer, curves + i, n, *rest, rest_count);
    }
    return true;
}

static bool goes_on_at(Check *check, size_t i, Error *err)
{
    return i % 8192 != 0 || work_goes_on(check->work, err);
}

// (a) both ways: ends of short edges against the other outline.
static bool compare_outlines(Check *check, int layer, const Edges *rest, Error *err)
{
    const Field *outline = &check->layers[layer].field;
    const char *id = check->kit->layers[layer].id;
    Field field;
    double *largest = &check->measured.largest_offset_mm;
    if (!measure_field(rest->items, rest->count, &check->work->scratch, &field, err)) return false;
    for (size_t i = 0; i < rest->count; i++) {
        if (!goes_on_at(check, i, err)) return false;
        Spot p = rest->items[i].a;
        double d = measure_distance(outline, p, OFFSET_LOOK_MM, -2, NULL);
        *largest = fmax(*largest, d);
        if (d > PROOF_TOLERANCE_MM)
            fault_add(check->faults, "face-off-layer", check->kit->pieces[rest->items[i].owner].id, p.x, p.y,
                      "an edge of the face is %s%.3f mm from the outline of layer %s and is no seam; at most %.2f mm "
                      "is allowed",
                      d >= OFFSET_LOOK_MM ? "at least " : "", d, id, PROOF_TOLERANCE_MM);
    }
    for (int i = 0; i < outline->edge_count; i++) {
        if (!goes_on_at(check, (size_t)i, err)) return false;
        Spot p = outline->edges[i].a;
        double d = measure_distance(&field, p, OFFSET_LOOK_MM, -2, NULL);
        *largest = fmax(*largest, d);
        if (d > PROOF_TOLERANCE_MM)
            fault_add(check->faults, "outline-off-faces", id, p.x, p.y,
                      "the layer's outline is %s%.3f mm from the edges of its faces; at most %.2f mm is allowed",
                      d >= OFFSET_LOOK_MM ? "at least " : "", d, PROOF_TOLERANCE_MM);
    }
    return true;
}

typedef struct Cover {
    Check *check;
    int layer;
    const Field *edges;    // of layer and faces together
    unsigned char *inside; // by piece: this point of the line is in its face
} Cover;

static void report_cover(Cover *cover, Spot p, bool in_layer)
{
    const ReadKit *kit = cover->check->kit;
    int found[2] = {-1, -1}, count = 0;
    for (int i = 0; i < kit->piece_count && count < 2; i++)
        if (cover->inside[i]) found[count++] = i;
    if (count == 2) {
        char pair[64];
        check_pair_name(cover->check, found[0], found[1], pair);
        fault_add(cover->check->faults, "faces-overlap", pair, p.x, p.y,
                  "two faces of layer %s lie over one another; each place should belong to one face",
                  kit->layers[cover->layer].id);
    } else if (count == 1 && !in_layer) {
        fault_add(cover->check->faults, "face-outside-layer", kit->pieces[found[0]].id, p.x, p.y,
                  "the face covers a place that is outside the outline of layer %s", kit->layers[cover->layer].id);
    } else {
        fault_add(cover->check->faults, "layer-not-covered", kit->layers[cover->layer].id, p.x, p.y,
                  "a place of the layer is covered by no face");
    }
}

// Looks at up to this many points of a stretch that is covered wrongly: near an edge is allowed.
static void look_closer(Cover *cover, double x0, double x1, double y, bool in_layer)
{
    const int looks = 5;
    for (int i = 0; i < looks; i++) {
        Spot p = {x0 + (i + 0.5) / looks * (x1 - x0), y};
        if (measure_distance(cover->edges, p, 2.0 * PROOF_TOLERANCE_MM, -2, NULL) <= PROOF_TOLERANCE_MM) continue;
        report_cover(cover, p, in_layer);
        return;
    }
}

static bool cover_row(void *data, double y, const ScanHit *hits, int count, Error *err)
{
    (void)err;
    Cover *cover = data;
    bool in_layer = false;
    int covered = 0;
    for (int i = 0; i < count; i++) {
        if (hits[i].owner < 0)
            in_layer = !in_layer;
        else
            covered += (cover->inside[hits[i].owner] ^= 1) ? 1 : -1;
        if (i + 1 == count || covered == (in_layer ? 1 : 0)) continue;
        if (hits[i + 1].x - hits[i].x > 2.0 * PROOF_TOLERANCE_MM)
            look_closer(cover, hits[i].x, hits[i + 1].x, y, in_layer);
    }
    return true;
}

// (b) the layer's outline (owner -1) and the faces, flattened alike, on scan lines.
static bool scan_layer(Check *check, int layer, Error *err)
{
    const ReadKit *kit = check->kit;
    Arena *scratch = &check->work->scratch;
    Edges edges = {0};
    const ReadPath *outline = &kit->layers[layer].outline;
    if (!measure_flatten(outline->curves, outline->curve_count, NULL, INFINITY, -1, scratch, &edges, err)) return false;
    for (int i = 0; i < kit->piece_count; i++) {
        const ReadPath *face = &kit->pieces[i].face;
        if (kit->pieces[i].layer != layer) continue;
        if (!measure_flatten(face->curves, face->curve_count, NULL, INFINITY, i, scratch, &edges, err)) return false;
    }
    Field field;
    Cover cover = {.check = check, .layer = layer, .edges = &field};
    cover.inside = arena_new(scratch, unsigned char, kit->piece_count);
    if (!cover.inside) return error_memory(err);
    return measure_field(edges.items, edges.count, scratch, &field, err) &&
           measure_scan(edges.items, edges.count, check->work, cover_row, &cover, err);
}

static void compare_areas(Check *check, int layer)
{
    const ReadKit *kit = check->kit;
    double sum = 0.0, whole = measure_area(&kit->layers[layer].outline);
    for (int i = 0; i < kit->piece_count; i++) {
        const ReadPiece *piece = &kit->pieces[i];
        if (piece->layer != layer) continue;
        double area = measure_area(&piece->face), cut = measure_area(&piece->outline);
        if (!(area > 0.0) || !(cut > 0.0))
            fault_add(
                check->faults, "face-inside-out", piece->id, 0, 0,
                "the face's outer rings should run clockwise on screen, holes the other way; its area is %.3f mm2",
                area);
        sum += area;
        check->measured.face_count++;
    }
    double allowed = PROOF_TOLERANCE_MM * measure_length(&kit->layers[layer].outline) + 0.01;
    check->measured.layer_area_mm2 += whole;
    if (!(fabs(sum - whole) <= allowed))
        fault_add(check->faults, "area-differs", kit->layers[layer].id, 0, 0,
                  "the faces have %.2f mm2 together, the layer %.2f mm2; they may differ by %.2f mm2", sum, whole,
                  allowed);
}

bool check_layer(Check *check, int layer, Error *err)
{
    if (!work_goes_on(check->work, err)) return false;
    Arena *scratch = &check->work->scratch;
    FaceCurve *curves = NULL, *rest = NULL;
    int count = 0, rest_count = 0;
    Edges edges = {0};
    if (!faces_of(check, layer, &curves, &count, err) ||
        !cancel(check, &check->layers[layer], curves, count, &rest, &rest_count, err))
        return false;
    for (int i = 0; i < rest_count; i++)
        if (!measure_flatten(&rest[i].curve, 1, NULL, CHECK_SPLIT_MM, rest[i].piece, scratch, &edges, err))
            return false;
    if (!compare_outlines(check, layer, &edges, err)) return false;
    compare_areas(check, layer);
    ArenaMark mark = arena_mark(scratch); // the inner curves stay; the scan's edges do not
    bool done = scan_layer(check, layer, err);
    arena_rewind(scratch, mark);
    return done;
}
