// sheet_lines.c - see sheet_lines.h.
#include "kit/sheet_lines.h"

void sheet_curve_at(const SheetCurve *curve, double t, double out_mm[2])
{
    double s = 1 - t, a = s * s * s, b = 3 * s * s * t, d = 3 * s * t * t, e = t * t * t;
    for (int k = 0; k < 2; k++) out_mm[k] = a * curve->p[0][k] + b * curve->p[1][k] + d * curve->p[2][k] + e * curve->p[3][k];
}

typedef struct Visit {
    Arena *keep;
    VisitRun visit;
    void *context;
    Error *err;
} Visit;

static void move(Point p, const double m[6], double out[2])
{
    double x = p.x / 1000.0, y = p.y / 1000.0;
    out[0] = m[0] * x + m[2] * y + m[4];
    out[1] = m[1] * x + m[3] * y + m[5];
}

static bool visit_path(const Visit *v, const Path *path, const double matrix[6])
{
    for (int part = 0; part < path->part_count; part++) {
        int first = path->first[part], count = path->first[part + 1] - first;
        SheetCurve *curves = arena_new(v->keep, SheetCurve, count);
        if (!curves) return error_memory(v->err);
        for (int i = 0; i < count; i++) {
            const Curve *c = &path->curves[first + i];
            move(c->p0, matrix, curves[i].p[0]);
            move(c->p1, matrix, curves[i].p[1]);
            move(c->p2, matrix, curves[i].p[2]);
            move(c->p3, matrix, curves[i].p[3]);
            curves[i].is_line = c->is_line;
        }
        SheetRun run = {curves, count, !path->open};
        if (count > 0 && !v->visit(v->context, &run, v->err)) return false;
    }
    return true;
}

static bool visit_marks(const Visit *v, const Draft *draft, const DraftPiece *piece, MarkLine line)
{
    double matrix[6];
    draft_in_files(draft, piece, matrix);
    for (int m = 0; m < piece->mark_count; m++)
        if (piece->marks[m]->line == line && !visit_path(v, &piece->marks[m]->path, matrix)) return false;
    return true;
}

static bool visit_corner(const Visit *v, double x, double y, double leg_x, double leg)
{
    SheetCurve sides[3] = {0};
    const double at[3][2] = {{x, y}, {x + leg_x, y}, {x, y + leg}};
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 2; k++) {
            sides[i].is_line = true;
            sides[i].p[0][k] = sides[i].p[1][k] = at[i][k];
            sides[i].p[2][k] = sides[i].p[3][k] = at[(i + 1) % 3][k];
        }
    SheetRun run = {sides, 3, true};
    return v->visit(v->context, &run, v->err);
}

bool sheet_lines_visit(const Draft *draft, const DraftSheet *sheet, MarkLine line, Arena *keep, VisitRun visit, void *context, Error *err)
{
    static const double stays[6] = {1, 0, 0, 1, 0, 0};
    Visit v = {keep, visit, context, err};
    double box[4];
    draft_corners(draft, sheet, box);
    double leg = PAPER_CORNER_MARK_MM, leg_x = box[2] < 0 ? -leg : leg;
    for (int i = 0; i < sheet->piece_count; i++)
        if (!visit_marks(&v, draft, &draft->pieces[sheet->pieces[i]], line)) return false;
    for (int n = 0; n < sheet->note_count; n++)
        if (sheet->notes[n].line == line && !visit_path(&v, &sheet->notes[n].path, stays)) return false;
    if (line != MARK_CUT) return true;
    for (int i = 0; i < sheet->piece_count; i++) {
        const DraftPiece *piece = &draft->pieces[sheet->pieces[i]];
        double matrix[6];
        draft_in_files(draft, piece, matrix);
        if (!visit_path(&v, &piece->outline, matrix)) return false;
    }
    return visit_corner(&v, box[0], box[1], leg_x, leg) && visit_corner(&v, box[0] + box[2], box[1] + box[3], -leg_x, -leg);
}
