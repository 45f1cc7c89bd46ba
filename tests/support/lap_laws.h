// lap_laws.h - what must hold of the laps of every division, judged by overlays: the lap code itself samples and measures.
#ifndef PM_TESTS_SUPPORT_LAP_LAWS_H
#define PM_TESTS_SUPPORT_LAP_LAWS_H

#include "support/seam_case.h"

#define LAP_LAW_CLEAR_MM 1.25 // LAP_CLEAR_MM less what a place between two samples is off

static inline Rings lap_laws_combine(SeamCase *c, const Rings *a, const Rings *b, OverlayOp op)
{
    Rings out;
    assert_true(overlay_rings(a, b, op, &c->keep, &c->work, &out, &c->err));
    return out;
}

// What is cut of the piece beyond its face.
static inline Rings lap_laws_lap(SeamCase *c, const Piece *piece)
{
    return lap_laws_combine(c, piece_cut(piece), &piece->rings, OVERLAY_DIFFERENCE);
}

// The neighbours that this piece's laps may lie under.
static inline Rings lap_laws_under(SeamCase *c, const LayerPieces *pieces, int piece)
{
    Rings all = {0};
    for (int s = 0; s < pieces->seam_count; s++) {
        const Seam *seam = &pieces->seams[s];
        if (seam->form != SEAM_LAP || seam->lap_of != piece) continue;
        int other = seam->pieces[0] == piece ? seam->pieces[1] : seam->pieces[0];
        all = all.count ? lap_laws_combine(c, &all, &pieces->pieces[other].rings, OVERLAY_UNION) : pieces->pieces[other].rings;
    }
    return all;
}

static inline void lap_laws_check_piece(SeamCase *c, const LayerPieces *pieces, int index)
{
    const Piece *piece = &pieces->pieces[index];
    bool wanted = false;
    for (int s = 0; s < pieces->seam_count; s++)
        wanted = wanted || (pieces->seams[s].form == SEAM_LAP && pieces->seams[s].lap_of == index);
    assert_true(piece->has_laps == wanted);
    if (!wanted) return;
    const Rings *cut = piece_cut(piece);
    int outer = -1, hull_count;
    for (int r = 0; r < cut->count; r++) {
        assert_true(ring_is_simple(&cut->items[r]));
        if (piece->outline.rings[r].outer == r) {
            assert_true(outer < 0);
            outer = r;
        }
    }
    Point *hull = hull_make(cut->items[outer].points, cut->items[outer].count, &c->keep, &hull_count);
    assert_true(hull_fits_at(hull, hull_count, paper_fit_space(&c->options.paper), piece->fit));
    Rings lost = lap_laws_combine(c, &piece->rings, cut, OVERLAY_DIFFERENCE), lap = lap_laws_lap(c, piece), safe;
    assert_true(rings_area_mm2(&lost) < 0.01 * piece->rings.count); // edges are rounded to micrometres
    Rings under = lap_laws_under(c, pieces, index), over = lap_laws_combine(c, &lap, &under, OVERLAY_DIFFERENCE);
    assert_true(rings_area_mm2(&over) < 0.05);
    assert_true(overlay_offset(&c->layer.rings, -LAP_LAW_CLEAR_MM, 0.01, &c->keep, &c->work, &safe, &c->err));
    Rings near = lap_laws_combine(c, &lap, &safe, OVERLAY_DIFFERENCE);
    assert_true(rings_area_mm2(&near) < 0.05);
}

// Laps that are grown by half a millimetre do not meet.
static inline void lap_laws_check_apart(SeamCase *c, const LayerPieces *pieces)
{
    Rings all = {0};
    double sum = 0.0;
    for (int i = 0; i < pieces->piece_count; i++) {
        if (!pieces->pieces[i].has_laps) continue;
        Rings lap = lap_laws_lap(c, &pieces->pieces[i]), grown;
        assert_true(overlay_offset(&lap, 0.5, 0.02, &c->keep, &c->work, &grown, &c->err));
        sum += rings_area_mm2(&grown);
        all = all.count ? lap_laws_combine(c, &all, &grown, OVERLAY_UNION) : grown;
    }
    assert_true(fabs(rings_area_mm2(&all) - sum) < 0.5);
}

static inline void lap_laws_check(SeamCase *c, const LayerPieces *pieces)
{
    ArenaMark mark = arena_mark(&c->keep);
    for (int i = 0; i < pieces->piece_count; i++) lap_laws_check_piece(c, pieces, i);
    lap_laws_check_apart(c, pieces);
    for (int s = 0; s < pieces->seam_count; s++)
        assert_true((pieces->seams[s].form == SEAM_LAP) == (pieces->seams[s].lap_of >= 0));
    arena_rewind(&c->keep, mark);
}

#endif
