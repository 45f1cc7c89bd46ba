// draft.c - see draft.h.
#include "kit/draft.h"

#include "base/length.h"
#include "base/text.h"
#include "kit/cut_order.h"
#include "kit/draft_strips.h"
#include "kit/measure_path.h"
#include "kit/section_parts.h"
#include "paper/stock.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

// --- names ---

void draft_paper_word(const KitInput *input, int paper, char out[64])
{
    char mine[32], other[32];
    text_safe_name(input->papers[paper].colour_name, mine, sizeof mine);
    int same = 0, before = 0;
    for (int i = 0; i < input->paper_count; i++) {
        text_safe_name(input->papers[i].colour_name, other, sizeof other);
        if (i == paper || strcmp(mine, other) != 0) continue;
        same++;
        before += i < paper && strcmp(input->papers[i].paper.id, input->papers[paper].paper.id) == 0;
    }
    const char *size = input->papers[paper].paper.id;
    if (!same) snprintf(out, 64, "%s", mine);
    else if (!before) snprintf(out, 64, "%.20s-%.24s", size, mine);
    else snprintf(out, 64, "%.18s-%.22s-%d", size, mine, before + 1);
}

void draft_fill(Srgb8 colour, char out[8])
{
    bool white = colour.r == 255 && colour.g == 255 && colour.b == 255;
    snprintf(out, 8, "#%02x%02x%02x", white ? 0xfd : colour.r, white ? 0xfd : colour.g, white ? 0xfb : colour.b);
}

bool draft_uses(const Draft *draft, MarkLine line)
{
    for (int i = 0; i < draft->piece_count + draft->strip_count; i++)
        for (int m = 0; m < draft->pieces[i].mark_count && draft->pieces[i].sheet >= 0; m++)
            if (draft->pieces[i].marks[m]->line == line) return true;
    for (int s = 0; s < draft->sheet_count; s++)
        for (int n = 0; n < draft->sheets[s].note_count; n++)
            if (draft->sheets[s].notes[n].line == line) return true;
    return false;
}

const char *draft_seam_letter(const Draft *draft, int seam)
{
    const DraftSeam *of = &draft->seams[seam];
    const LayerMarks *marks = &draft->input->layer_marks[of->layer];
    ptrdiff_t index = of->source - draft->input->layer_pieces[of->layer].seams;
    return index < marks->seam_count ? marks->seam_letters[index] : NULL;
}

const char *draft_seam_letter_on_paper(const Draft *draft, int seam)
{
    const DraftSeam *of = &draft->seams[seam];
    const LayerMarks *marks = &draft->input->layer_marks[of->layer];
    ptrdiff_t index = of->source - draft->input->layer_pieces[of->layer].seams;
    for (int m = 0; m < marks->mark_count; m++)
        if (marks->marks[m].kind == MARK_MATCH && marks->marks[m].seam == index) return draft_seam_letter(draft, seam);
    return NULL;
}

void draft_on_sheet(const DraftPiece *piece, Point p, double out_mm[2])
{
    const double *m = piece->to_sheet;
    double x = p.x / UM_PER_MM, y = p.y / UM_PER_MM;
    out_mm[0] = m[0] * x + m[2] * y + m[4];
    out_mm[1] = m[1] * x + m[3] * y + m[5];
}

void draft_in_files(const Draft *draft, const DraftPiece *piece, double out_matrix[6])
{
    const double *box = draft->sheets[piece->sheet].box_mm;
    memcpy(out_matrix, piece->to_sheet, 6 * sizeof *out_matrix);
    if (!draft->input->options.cut_from_back) return;
    out_matrix[0] = -out_matrix[0];
    out_matrix[2] = -out_matrix[2];
    out_matrix[4] = 2 * box[0] + box[2] - out_matrix[4];
}

void draft_corners(const Draft *draft, const DraftSheet *sheet, double out_box_mm[4])
{
    memcpy(out_box_mm, sheet->box_mm, 4 * sizeof *out_box_mm);
    if (!draft->input->options.cut_from_back) return;
    out_box_mm[0] += out_box_mm[2];
    out_box_mm[2] = -out_box_mm[2];
}

// --- pieces ---

// The path of an area with each outer ring's holes before it.
static bool holes_first(const Chains *chains, const Area *area, Arena *keep, Path *out, Error *err)
{
    Path as_is;
    if (!area_path(chains, area, keep, &as_is, err)) return false;
    Path path = {arena_new(keep, Curve, as_is.curve_count), 0, arena_new(keep, int, as_is.part_count + 1), 0, false};
    if (!path.curves || !path.first) return error_memory(err);
    for (int outer = 0; outer < area->ring_count; outer++) {
        if (area->rings[outer].outer != outer) continue;
        for (int n = 0; n <= area->ring_count; n++) {
            int ring = n < area->ring_count ? n : outer;
            if (n < area->ring_count && (n == outer || area->rings[n].outer != outer)) continue;
            int count = as_is.first[ring + 1] - as_is.first[ring];
            memcpy(&path.curves[path.curve_count], &as_is.curves[as_is.first[ring]], (size_t)count * sizeof *path.curves);
            path.curve_count += count;
            path.first[++path.part_count] = path.curve_count;
        }
    }
    *out = path;
    return true;
}

static bool take_marks(const LayerMarks *marks, int piece, Arena *keep, DraftPiece *out, Error *err)
{
    out->marks = arena_new(keep, const Mark *, marks->mark_count);
    if (!out->marks) return error_memory(err);
    for (int i = 0; i < marks->mark_count; i++) {
        const Mark *mark = &marks->marks[i];
        if (mark->piece != piece || mark->path.curve_count == 0) continue;
        out->marks[out->mark_count++] = mark;
        out->is_labelled = out->is_labelled || mark->kind == MARK_LABEL;
    }
    return true;
}

static bool make_pieces(const KitInput *input, Arena *keep, Draft *draft, Error *err)
{
    int layers = input->stack->layer_count, count = 0;
    for (int l = 0; l < layers; l++) count += input->layer_pieces[l].piece_count;
    draft->layers = arena_new(keep, DraftLayer, layers);
    draft->pieces = arena_new(keep, DraftPiece, count + draft_strips_cut(input));
    if (!draft->layers || !draft->pieces) return error_memory(err);
    for (int l = 0; l < layers; l++) {
        const LayerPieces *pieces = &input->layer_pieces[l];
        DraftLayer *layer = &draft->layers[l];
        layer_letter(l, layer->id);
        layer->first_piece = draft->piece_count;
        layer->piece_count = pieces->piece_count;
        if (!area_path(&input->stack->chains, &input->stack->layers[l].area, keep, &layer->outline, err)) return false;
        layer->area_mm2 = path_area_mm2(&layer->outline);
        for (int p = 0; p < pieces->piece_count; p++) {
            DraftPiece *piece = &draft->pieces[draft->piece_count++];
            *piece = (DraftPiece){.source = &pieces->pieces[p], .layer = l, .sheet = -1};
            if (!holes_first(&pieces->chains, piece_outline(piece->source), keep, &piece->outline, err) ||
                !take_marks(&input->layer_marks[l], p, keep, piece, err))
                return false;
            if (input->foam && input->foam->layers[l][p].count > 0) piece->foam = &input->foam->layers[l][p];
            piece->area_mm2 = path_area_mm2(&piece->outline);
            piece->face = piece->outline;
            if (piece->source->has_laps && !holes_first(&pieces->chains, &piece->source->face, keep, &piece->face, err)) return false;
        }
    }
    return true;
}

static bool seam_path(const Chains *chains, const Seam *seam, Arena *keep, Path *out, Error *err)
{
    int count = 0;
    for (int i = 0; i < seam->link_count; i++) count += link_curve_count(chains, &seam->links[i]);
    *out = (Path){arena_new(keep, Curve, count), 0, arena_new(keep, int, 2), 1, true};
    if (!out->curves || !out->first) return error_memory(err);
    for (int i = 0; i < seam->link_count; i++) {
        link_curves(chains, &seam->links[i], &out->curves[out->curve_count]);
        out->curve_count += link_curve_count(chains, &seam->links[i]);
    }
    out->first[1] = out->curve_count;
    return true;
}

static bool make_seams(const KitInput *input, Arena *keep, Draft *draft, Error *err)
{
    int count = 0;
    for (int l = 0; l < input->stack->layer_count; l++) count += input->layer_pieces[l].seam_count;
    draft->seams = arena_new(keep, DraftSeam, count);
    if (!draft->seams) return error_memory(err);
    for (int l = 0; l < input->stack->layer_count; l++)
        for (int s = 0; s < input->layer_pieces[l].seam_count; s++) {
            DraftSeam *seam = &draft->seams[draft->seam_count++];
            *seam = (DraftSeam){.source = &input->layer_pieces[l].seams[s], .layer = l};
            if (!seam_path(&input->layer_pieces[l].chains, seam->source, keep, &seam->path, err)) return false;
        }
    return true;
}

// --- sheets ---

// Those that found a place on it.
static void add_strips(Draft *draft, const KitPaper *paper, int sheet)
{
    const KitStrips *strips = draft->input->strips;
    DraftSheet *out = &draft->sheets[sheet];
    for (int i = 0; i < draft->all_strip_count; i++) {
        int piece = draft->strips[i].piece;
        if (piece < 0 || &draft->input->papers[strips->papers[i]] != paper || strips->places[i].sheet != out->number - 1) continue;
        draft->pieces[piece].sheet = sheet;
        draft->pieces[piece].to_sheet = strips->places[i].to_sheet;
        out->pieces[out->piece_count++] = piece;
    }
}

static bool fill_sheet(Draft *draft, const KitPaper *paper, int sheet, Arena *keep, Work *work, Error *err)
{
    DraftSheet *out = &draft->sheets[sheet];
    out->pieces = arena_new(keep, int, paper->piece_count + draft->strip_count);
    if (!out->pieces) return error_memory(err);
    for (int i = 0; i < paper->piece_count; i++) {
        if (paper->nest.places[i].sheet != out->number - 1) continue;
        int piece = draft->layers[paper->layers[i]].first_piece + paper->pieces[i];
        draft->pieces[piece].sheet = sheet;
        draft->pieces[piece].to_sheet = paper->nest.places[i].to_sheet;
        out->pieces[out->piece_count++] = piece;
    }
    add_strips(draft, paper, sheet);
    return cut_order_sort(draft, out, work, err);
}

static bool make_sheets(const KitInput *input, Arena *keep, Work *work, Draft *draft, Error *err)
{
    int count = 0;
    for (int p = 0; p < input->paper_count; p++) count += input->papers[p].nest.sheet_count;
    draft->sheets = arena_new(keep, DraftSheet, count);
    if (!draft->sheets) return error_memory(err);
    for (int p = 0; p < input->paper_count; p++) {
        char word[64];
        draft_paper_word(input, p, word);
        for (int s = 0; s < input->papers[p].nest.sheet_count; s++) {
            int sheet = draft->sheet_count++;
            draft->sheets[sheet] = (DraftSheet){.paper = p, .number = s + 1, .of = input->papers[p].nest.sheet_count};
            paper_usable(&input->papers[p].paper, draft->sheets[sheet].box_mm);
            snprintf(draft->sheets[sheet].id, sizeof draft->sheets[sheet].id, "%s-%d", word, s + 1);
            if (!work_goes_on(work, err) || !fill_sheet(draft, &input->papers[p], sheet, keep, work, err)) return false;
        }
    }
    return true;
}

bool draft_make(const KitInput *input, Arena *keep, Work *work, Draft *out, Error *err)
{
    *out = (Draft){.input = input};
    if (!make_pieces(input, keep, out, err) || !make_seams(input, keep, out, err) || !draft_strips_make(out, keep, err) ||
        !make_sheets(input, keep, work, out, err))
        return false;
    for (int i = 0; i < out->piece_count + out->strip_count && !input->recut_of; i++)
        if (out->pieces[i].sheet < 0)
            return error_set(err, ERROR_SYSTEM, "piece %s lies on no sheet; please report this", out->pieces[i].source->id);
    return section_parts_make(out, keep, &out->sections, err);
}

// --- totals ---

static void add_line(DraftTotals *totals, MarkLine line, const Path *path)
{
    double length = path_length_mm(path);
    switch (line) {
    case MARK_SCORE: totals->score_mm += length; break;
    case MARK_PEN: totals->pen_mm += length; break;
    case MARK_CUT: totals->cut_mm += length; break;
    }
}

StockOrder kit_order(const KitPaper *paper)
{
    if (paper->at_hand) return (StockOrder){.has_cost = true};
    return stock_order(&paper->paper, paper->nest.sheet_count);
}

// To the hundredth a paper, as kit.json tells them: the sum of what is told is the total.
static void add_cost(const KitInput *input, DraftTotals *totals)
{
    totals->has_cost = input->paper_count > 0;
    for (int p = 0; p < input->paper_count; p++) {
        StockOrder order = kit_order(&input->papers[p]);
        totals->has_cost = totals->has_cost && order.has_cost;
        totals->cost += floor(order.cost * 100.0 + 0.5) / 100.0;
    }
    if (!totals->has_cost) totals->cost = 0.0;
}

bool draft_is_joined(const Draft *draft, int seam)
{
    const DraftSeam *of = &draft->seams[seam];
    const DraftPiece *pieces = &draft->pieces[draft->layers[of->layer].first_piece];
    return pieces[of->source->pieces[0]].sheet >= 0 || pieces[of->source->pieces[1]].sheet >= 0;
}

void draft_total(Draft *draft)
{
    DraftTotals t = {.sheets = draft->sheet_count, .strips = draft->strip_count,
                     .foam_squares = draft->input->foam ? draft->input->foam->square_count : 0};
    double strokes = 0, piece_mm2 = 0, usable_mm2 = 0;
    int joins = 0;
    for (int i = 0; i < draft->piece_count + draft->strip_count; i++) {
        const DraftPiece *piece = &draft->pieces[i];
        if (piece->sheet < 0) continue;
        t.pieces += piece->strip == NULL;
        t.cut_mm += path_length_mm(&piece->outline);
        strokes += piece->outline.part_count;
        piece_mm2 += piece->area_mm2;
        for (int m = 0; m < piece->mark_count; m++) {
            add_line(&t, piece->marks[m]->line, &piece->marks[m]->path);
            strokes += piece->marks[m]->path.part_count;
        }
    }
    for (int s = 0; s < draft->sheet_count; s++) {
        const DraftSheet *sheet = &draft->sheets[s];
        usable_mm2 += sheet->box_mm[2] * sheet->box_mm[3];
        for (int n = 0; n < sheet->note_count; n++) {
            add_line(&t, sheet->notes[n].line, &sheet->notes[n].path);
            strokes += sheet->notes[n].path.part_count;
        }
    }
    for (int i = 0; i < draft->seam_count; i++) {
        t.seam_mm += draft->seams[i].source->length_mm;
        t.visible_seam_mm += draft->seams[i].source->visible_mm;
        joins += draft_is_joined(draft, i);
    }
    t.waste_percent = usable_mm2 > 0 ? 100 * (1 - piece_mm2 / usable_mm2) : 0;
    t.cutting_minutes = t.sheets * RATE_SHEET_MIN + (t.cut_mm / RATE_CUT_MM_S + (t.score_mm + t.pen_mm) / RATE_SCORE_MM_S +
                                                     strokes * RATE_LIFT_S) / 60;
    t.assembly_minutes = joins * RATE_SEAM_MIN + t.pieces * RATE_PIECE_MIN;
    add_cost(draft->input, &t);
    draft->totals = t;
}
