// lap_frozen.c - see lap_frozen.h.
#include "seam/lap_frozen.h"

#include "seam/lap_outline.h"

#include <math.h>
#include <string.h>

#define LOOK_OFF_MM 2.0      // from a seam: a frozen piece that is cut there has its lap there
#define LOOK_STEP_MM 2.0
#define UNDER_MM 0.05        // a place as near to the face's edge lies on it

static const FrozenPiece *frozen_of(const Lapping *l, int piece)
{
    const SeamWishes *wishes = &l->options->wishes;
    for (int i = 0; i < wishes->frozen_count; i++)
        if (strcmp(wishes->frozen[i].id, l->out->pieces[piece].id) == 0) return &wishes->frozen[i];
    return NULL;
}

// The share of the seam beside which the piece is cut beyond its face.
static double share_cut_beyond(const LappedSeam *seam, const Cover *cut, bool right)
{
    int looks = 0, found = 0;
    for (int i = 0; i + 1 < seam->count; i++) {
        Point a = seam->points[i], b = seam->points[i + 1];
        double dx = ((double)b.x - a.x) / UM_PER_MM, dy = ((double)b.y - a.y) / UM_PER_MM, length = sqrt(dx * dx + dy * dy);
        double nx = (right ? -dy : dy) / length, ny = (right ? dx : -dx) / length;
        int steps = (int)ceil(length / LOOK_STEP_MM);
        for (int k = 0; k < steps; k++, looks++) {
            double t = (k + 0.5) / steps;
            found += cover_contains(cut, point_from_mm(a.x / UM_PER_MM + t * dx + LOOK_OFF_MM * nx,
                                                       a.y / UM_PER_MM + t * dy + LOOK_OFF_MM * ny));
        }
    }
    return looks ? (double)found / looks : 0.0;
}

// Whether a place of what is cut of a frozen piece lies in its face, or under a piece that a lap seam of its own joins it to.
static bool is_covered(const Lapping *l, int piece, const Cover *faces, Point at)
{
    if (cover_distance_mm(&faces[piece], at, UNDER_MM) < UNDER_MM || cover_contains(&faces[piece], at)) return true;
    for (int k = 0; k < l->pieces[piece].seam_count; k++) {
        int seam = l->pieces[piece].seams[k];
        if (l->out->seams[seam].form != SEAM_LAP || l->out->seams[seam].lap_of != piece) continue;
        if (cover_contains(&faces[lap_other_piece(l, seam, piece)], at)) return true;
    }
    return false;
}

// What lay beside a frozen piece may have been divided anew, across its lap: then the lap would lie under two pieces.
static bool check_written_laps(Lapping *l, int piece, Error *err)
{
    const Rings *rings = &l->out->pieces[piece].cut;
    Cover *faces = arena_new(&l->store, Cover, l->out->piece_count);
    if (!faces || !cover_make(&l->out->pieces[piece].rings, &l->store, &faces[piece], err)) return faces ? false : error_memory(err);
    for (int k = 0; k < l->pieces[piece].seam_count; k++) {
        int other = lap_other_piece(l, l->pieces[piece].seams[k], piece);
        if (!cover_make(&l->out->pieces[other].rings, &l->store, &faces[other], err)) return false;
    }
    for (int r = 0; r < rings->count; r++)
        for (int i = 0; i < rings->items[r].count; i++) {
            Point a = rings->items[r].points[i], b = rings->items[r].points[(i + 1) % rings->items[r].count];
            int steps = (int)ceil(point_distance_mm(a, b) / LOOK_STEP_MM);
            for (int s = 0; s < steps; s++) {
                Point at = {a.x + (int32_t)(((double)b.x - a.x) * s / steps), a.y + (int32_t)(((double)b.y - a.y) * s / steps)};
                if (!is_covered(l, piece, faces, at))
                    return error_set(err, ERROR_JOB,
                                     "piece %s is cut already, and its lap would lie under other pieces than the one it was cut "
                                     "for; let it go, or keep the one beside it as well",
                                     l->out->pieces[piece].id);
            }
        }
    return true;
}

static bool take_written_laps(Lapping *l, int piece, Error *err)
{
    const Rings *rings = &l->out->pieces[piece].cut;
    Cover cut;
    if (!cover_make(rings, &l->store, &cut, err)) return false;
    for (int s = 0; s < l->out->seam_count; s++) {
        const int *pair = l->out->seams[s].pieces;
        if (pair[0] != piece && pair[1] != piece) continue;
        LappedPiece *under = &l->pieces[pair[0] + pair[1] - piece];
        if (share_cut_beyond(&l->seams[s], &cut, !lap_runs_along(l, s, piece)) < LAP_WIDE_SHARE) continue; // as the proof asks
        l->out->seams[s].form = SEAM_LAP;
        l->out->seams[s].lap_of = piece;
        for (int r = 0; r < rings->count; r++)
            for (int i = 0; i < rings->items[r].count; i++) {
                CoverEdge edge = {rings->items[r].points[i], rings->items[r].points[(i + 1) % rings->items[r].count]};
                if (!lap_edge_add(&under->under, &under->under_count, &under->under_room, edge, &l->store, err)) return false;
            }
    }
    return check_written_laps(l, piece, err);
}

// The angle at which the face fits need not do for what is cut.
static bool turn_to_fit(Lapping *l, int piece, Error *err)
{
    Piece *of = &l->out->pieces[piece];
    Point *points = arena_new(&l->store, Point, rings_point_count(&of->cut));
    int count = 0, hull_count;
    if (!points) return error_memory(err);
    for (int r = 0; r < of->cut.count; r++)
        for (int i = 0; i < of->cut.items[r].count; i++) points[count++] = of->cut.items[r].points[i];
    Point *hull = hull_make(points, count, &l->store, &hull_count);
    if (!hull) return error_memory(err);
    const Paper *paper = piece_paper(l->options, of->id);
    if (!hull_fits(hull, hull_count, paper_fit_space(paper), &of->fit))
        return error_set(err, ERROR_JOB, "piece %s is cut already, and does not fit %s; this change would alter it", of->id, paper->id);
    return true;
}

bool lap_take_frozen(Lapping *l, Error *err)
{
    for (int p = 0; p < l->out->piece_count && l->options->wishes.frozen_count > 0; p++) {
        const FrozenPiece *frozen = frozen_of(l, p);
        if (!frozen) continue;
        l->pieces[p].frozen = true;
        if (!frozen->face) continue;
        if (!lap_outline_as_written(l->out, p, frozen->outline, l->keep, l->work, err) || !turn_to_fit(l, p, err) ||
            !take_written_laps(l, p, err))
            return false;
    }
    return true;
}
