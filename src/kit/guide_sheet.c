// guide_sheet.c - see guide_sheet.h.
#include "kit/guide_sheet.h"

#include "kit/measure_path.h"

// As on the mat: of paper that is cut from the back a ring runs the other way round once it is mirrored, so it is turned.
static bool move_rings(const DraftPiece *piece, const double m[6], bool turns, Arena *keep, Rings *out, Error *err)
{
    const Rings *from = piece_cut(piece->source);
    *out = (Rings){arena_new(keep, Ring, from->count), from->count};
    if (!out->items) return error_memory(err);
    for (int r = 0; r < from->count; r++) {
        const Ring *ring = &from->items[r];
        out->items[r] = (Ring){arena_new(keep, Point, ring->count), ring->count};
        if (!out->items[r].points) return error_memory(err);
        for (int i = 0; i < ring->count; i++) {
            Point p = ring->points[turns ? ring->count - 1 - i : i];
            double x = p.x / UM_PER_MM, y = p.y / UM_PER_MM;
            out->items[r].points[i] = point_from_mm(m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5]);
        }
    }
    return true;
}

bool sheet_draft(const Draft *draft, int sheet, Arena *keep, SheetDraft *out, Error *err)
{
    const DraftSheet *from = &draft->sheets[sheet];
    const Paper *paper = &draft->input->papers[from->paper].paper;
    *out = (SheetDraft){.stack = {.width_mm = paper->width_mm, .height_mm = paper->height_mm}};
    out->input.stack = &out->stack;
    Piece *pieces = arena_new(keep, Piece, from->piece_count);
    DraftPiece *items = arena_new(keep, DraftPiece, from->piece_count);
    if (!pieces || !items) return error_memory(err);
    for (int i = 0; i < from->piece_count; i++) {
        const DraftPiece *piece = &draft->pieces[from->pieces[i]];
        pieces[i] = *piece->source;
        pieces[i].has_laps = false; // on the sheet a piece is what is cut, laps and all
        double *matrix = arena_new(keep, double, 6);
        if (!matrix) return error_memory(err);
        draft_in_files(draft, piece, matrix);
        if (!move_rings(piece, matrix, draft->input->options.cut_from_back, keep, &pieces[i].rings, err)) return false;
        items[i] = (DraftPiece){.source = &pieces[i], .strip = piece->strip, .to_sheet = matrix};
    }
    out->draft = (Draft){.input = &out->input, .pieces = items, .piece_count = from->piece_count};
    return true;
}

// A point of it lies in a hole of the other: pieces do not overlap, so that one point speaks for all.
static bool lies_in_hole(const Rings *piece, const Rings *other)
{
    if (!box_overlap(rings_box(piece), rings_box(other))) return false;
    for (int r = 0; r < other->count; r++) {
        Rings hole = {&other->items[r], 1};
        if (ring_area_mm2(&other->items[r]) < 0 && rings_contain(&hole, piece->items[0].points[0])) return true;
    }
    return false;
}

bool sheet_hosts(const SheetDraft *sheet, Arena *keep, int **host, Error *err)
{
    int count = sheet->draft.piece_count;
    *host = arena_new(keep, int, count);
    if (!*host) return error_memory(err);
    for (int i = 0; i < count; i++) {
        (*host)[i] = -1;
        for (int k = 0; k < count; k++) // of several, the innermost: it is cut first
            if (k != i && (*host)[i] < 0 &&
                lies_in_hole(&sheet->draft.pieces[i].source->rings, &sheet->draft.pieces[k].source->rings))
                (*host)[i] = k;
    }
    return true;
}

static void add_path(const Path *path, double rate_mm_s, double *seconds)
{
    *seconds += path_length_mm(path) / rate_mm_s + path->part_count * RATE_LIFT_S;
}

double sheet_minutes(const Draft *draft, int sheet)
{
    const DraftSheet *from = &draft->sheets[sheet];
    double seconds = 0;
    for (int i = 0; i < from->piece_count; i++) {
        const DraftPiece *piece = &draft->pieces[from->pieces[i]];
        add_path(&piece->outline, RATE_CUT_MM_S, &seconds);
        for (int m = 0; m < piece->mark_count; m++)
            add_path(&piece->marks[m]->path, piece->marks[m]->line == MARK_CUT ? RATE_CUT_MM_S : RATE_SCORE_MM_S,
                     &seconds);
    }
    for (int n = 0; n < from->note_count; n++)
        add_path(&from->notes[n].path, from->notes[n].line == MARK_CUT ? RATE_CUT_MM_S : RATE_SCORE_MM_S, &seconds);
    return RATE_SHEET_MIN + seconds / 60;
}
