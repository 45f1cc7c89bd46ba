// seam_case.h - stacks of one layer made by hand, and the laws that every division must keep.
#ifndef PM_TESTS_SUPPORT_SEAM_CASE_H
#define PM_TESTS_SUPPORT_SEAM_CASE_H

#include "seam/seam.h"
#include "shape/overlay.h"

#include <math.h>
#include <string.h>

typedef struct SeamCase {
    Arena keep;
    Work work;
    Stack stack;
    Layer layer;
    SeamOptions options;
    LayerPieces pieces;
    Error err;
} SeamCase;

static inline void seam_case_open(SeamCase *c, const char *paper_word)
{
    Paper paper;
    *c = (SeamCase){.keep = arena_make(0), .work = {.scratch = arena_make(0)}};
    assert_true(paper_parse(paper_word, &paper, &c->err));
    assert_true(overlay_create(NULL, &c->work.overlay, &c->err));
    c->options = seam_defaults(&paper);
    c->stack.layers = &c->layer;
    c->stack.layer_count = 1;
}

static inline void seam_case_close(SeamCase *c)
{
    overlay_destroy(c->work.overlay);
    arena_free(&c->work.scratch);
    arena_free(&c->keep);
}

// A ring of count corners in inches, as written; outer rings clockwise on screen, holes the other way.
static inline Ring seam_case_ring_in(SeamCase *c, const double (*corners)[2], int count, bool hole)
{
    Ring ring = {arena_new(&c->keep, Point, count), count};
    for (int i = 0; i < count; i++) ring.points[i] = point_from_mm(corners[i][0] * 25.4, corners[i][1] * 25.4);
    if ((ring_area2_um2(&ring) < 0) != hole)
        for (int i = 0, k = count - 1; i < k; i++, k--) {
            Point swap = ring.points[i];
            ring.points[i] = ring.points[k];
            ring.points[k] = swap;
        }
    return ring;
}

static inline void seam_case_set_layer(SeamCase *c, const Ring *rings, int count)
{
    Rings all = {arena_copy(&c->keep, rings, (size_t)count, sizeof *rings), count};
    Area area;
    assert_true(area_from_rings(&all, &c->stack.chains, &c->keep, &area, &c->err));
    assert_true(area_normalise(&c->stack.chains, &area, &c->keep, &c->layer.area, &c->err));
    assert_true(area_rings(&c->stack.chains, &c->layer.area, &c->keep, &c->layer.rings, &c->err));
}

static inline void seam_case_set_cover(SeamCase *c, const Ring *rings, int count)
{
    c->layer.cover = (Rings){arena_copy(&c->keep, rings, (size_t)count, sizeof *rings), count};
}

#define SEAM_CASE_LAYER(c, corners)                                                                                    \
    do {                                                                                                               \
        Ring layer_ring_ = seam_case_ring_in((c), (corners), (int)(sizeof(corners) / sizeof *(corners)), false);       \
        seam_case_set_layer((c), &layer_ring_, 1);                                                                     \
    } while (0)

#define SEAM_CASE_COVER(c, corners)                                                                                    \
    do {                                                                                                               \
        Ring cover_ring_ = seam_case_ring_in((c), (corners), (int)(sizeof(corners) / sizeof *(corners)), false);       \
        seam_case_set_cover((c), &cover_ring_, 1);                                                                     \
    } while (0)

static inline double seam_case_length_mm(const LayerPieces *pieces, bool visible)
{
    double sum = 0.0;
    for (int i = 0; i < pieces->seam_count; i++)
        sum += visible ? pieces->seams[i].visible_mm : pieces->seams[i].length_mm;
    return sum;
}

static inline bool seam_case_face_has(const Area *face, int chain, bool forward)
{
    for (int i = 0; i < face->link_count; i++)
        if (face->links[i].chain == chain && (face->links[i].first < face->links[i].last) == forward) return true;
    return false;
}

static inline double seam_case_boundary_mm(const SeamCase *c)
{
    double sum = 0.0;
    for (int r = 0; r < c->layer.rings.count; r++) sum += ring_length_mm(&c->layer.rings.items[r]);
    return sum;
}

static inline double seam_case_face_length_mm(const SeamCase *c, const LayerPieces *pieces)
{
    double sum = 0.0;
    (void)c;
    for (int i = 0; i < pieces->piece_count; i++)
        for (int k = 0; k < pieces->pieces[i].face.link_count; k++)
            sum += link_length_mm(&pieces->chains, &pieces->pieces[i].face.links[k]);
    return sum;
}

// Pieces fit, have one outer ring each, are simple, add up to the layer; seams lie between two pieces, in both to the
// bit, run against one another; all edges of pieces are outline or seam.
static inline void seam_case_check_laws(const SeamCase *c, const LayerPieces *pieces)
{
    Space space = paper_fit_space(&c->options.paper);
    double sum = 0.0, boundary = seam_case_boundary_mm(c);
    for (int i = 0; i < pieces->piece_count; i++) {
        const Piece *piece = &pieces->pieces[i];
        int outers = 0, hull_count;
        for (int r = 0; r < piece->face.ring_count; r++) outers += piece->face.rings[r].outer == r;
        assert_int_equal(outers, 1);
        Arena scratch = arena_make(0);
        int outer = piece->face.rings[0].outer;
        Point *hull =
            hull_make(piece->rings.items[outer].points, piece->rings.items[outer].count, &scratch, &hull_count);
        assert_true(hull_fits_at(hull, hull_count, space, piece->fit));
        if (space.upright) assert_true(piece->fit.cos == 1.0 && piece->fit.sin == 0.0);
        arena_free(&scratch);
        for (int r = 0; r < piece->rings.count; r++) assert_true(ring_is_simple(&piece->rings.items[r]));
        assert_true(piece->area_mm2 > 0.0);
        assert_true(strlen(piece->id) >= 2);
        sum += piece->area_mm2;
    }
    assert_true(fabs(sum - rings_area_mm2(&c->layer.rings)) <= 0.006 * boundary);
    for (int i = 0; i < pieces->seam_count; i++) {
        const Seam *seam = &pieces->seams[i];
        int a = seam->pieces[0], b = seam->pieces[1], chain = seam->links[0].chain;
        assert_true(a >= 0 && a < b && b < pieces->piece_count);
        assert_int_equal(seam->link_count, 1);
        assert_true(seam_case_face_has(&pieces->pieces[a].face, chain, true) !=
                    seam_case_face_has(&pieces->pieces[a].face, chain, false));
        assert_true(seam_case_face_has(&pieces->pieces[b].face, chain, true) ==
                    seam_case_face_has(&pieces->pieces[a].face, chain, false));
        assert_true(seam->visible_mm >= 0.0 && seam->visible_mm <= seam->length_mm + 1e-9);
    }
    double edges = seam_case_face_length_mm(c, pieces);
    assert_true(fabs(edges - boundary - 2.0 * seam_case_length_mm(pieces, false)) <= 0.01 * (pieces->seam_count + 1));
}

static inline void seam_case_divide(SeamCase *c)
{
    bool fine = seam_divide(&c->stack, 0, &c->options, &c->keep, &c->work, &c->pieces, &c->err);
    if (!fine) print_error("%s\n", c->err.text);
    assert_true(fine);
    seam_case_check_laws(c, &c->pieces);
}

#endif
