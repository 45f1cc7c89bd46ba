// draft_strips.c - see draft_strips.h.
#include "kit/draft_strips.h"

#include "kit/measure_path.h"

#include <math.h>
#include <stdio.h>

#define LABEL_EDGE_MM 3.0 // of letters from the strip's edge

int draft_strips_cut(const KitInput *input)
{
    int count = 0;
    for (int i = 0; input->strips && i < input->strips->backing.count; i++) count += input->strips->papers[i] >= 0;
    return count;
}

// Strips lie in the order of their seams; `among` of `of` strips of its seam.
static void name_strip(const Draft *draft, int seam, int among, int of, char out[16])
{
    const char *letter = draft_seam_letter(draft, seam), *layer = draft->layers[0].id;
    const char *id = draft->seams[seam].source->id;
    char number[8] = ""; // a seam is shorter than 30 m: no more than 999 strips of 40 mm
    if (of > 1) snprintf(number, sizeof number, "%s%d", letter ? "" : "-", among % 1000);
    if (letter) snprintf(out, 16, "%.3s-%.6s%s", layer, letter, number);
    else snprintf(out, 16, "%.8s%s", id, number);
}

// Letters from the side where the first corner lies, along the strip's first side.
static void lay_letters(Path *path, Box box, const BackingStrip *strip)
{
    const Point *c = strip->corners;
    double length = strip->length_mm * UM_PER_MM, ux = (c[1].x - c[0].x) / length, uy = (c[1].y - c[0].y) / length;
    double from = (length - (box.max.x - box.min.x)) / 2 - box.min.x, down = (strip->width_mm * UM_PER_MM - (box.max.y - box.min.y)) / 2 - box.min.y;
    for (int i = 0; i < path->curve_count; i++) {
        Point *points[4] = {&path->curves[i].p0, &path->curves[i].p1, &path->curves[i].p2, &path->curves[i].p3};
        for (int k = 0; k < 4; k++) {
            double t = points[k]->x + from, w = points[k]->y + down;
            *points[k] = point_from_mm((c[0].x + t * ux - w * uy) / UM_PER_MM, (c[0].y + t * uy + w * ux) / UM_PER_MM);
        }
    }
}

static bool label_strip(const KitPaper *paper, const BackingStrip *strip, DraftPiece *piece, Arena *keep, Error *err)
{
    MarkOptions options = mark_defaults(paper->line);
    if (paper->unmarked || paper->line == MARK_CUT) return true;
    for (double letter_mm = options.letter_mm; letter_mm >= options.least_letter_mm; letter_mm -= 2.0) {
        Path path;
        Box box;
        if (!mark_text(piece->source->id, letter_mm, keep, &path, &box, err)) return false;
        if (box_width_mm(box) > strip->length_mm - 2 * LABEL_EDGE_MM || box_height_mm(box) > strip->width_mm - 2 * LABEL_EDGE_MM) continue;
        lay_letters(&path, box, strip);
        Mark *mark = arena_new(keep, Mark, 1);
        piece->marks = arena_new(keep, const Mark *, 1);
        if (!mark || !piece->marks) return error_memory(err);
        *mark = (Mark){.kind = MARK_LABEL, .line = paper->line, .path = path, .text = piece->source->id};
        piece->marks[piece->mark_count++] = mark;
        piece->is_labelled = true;
        return true;
    }
    return true;
}

static bool add_piece(Draft *draft, const KitStrips *from, int index, const Piece *source, Arena *keep, Error *err)
{
    DraftPiece *piece = &draft->pieces[draft->piece_count + draft->strip_count];
    draft->strips[index].piece = draft->piece_count + draft->strip_count++;
    *piece = (DraftPiece){.source = source, .layer = 0, .strip = &draft->strips[index], .sheet = -1};
    if (!area_path(&from->chains, &source->face, keep, &piece->outline, err)) return false;
    piece->face = piece->outline;
    piece->area_mm2 = path_area_mm2(&piece->outline);
    return label_strip(&draft->input->papers[from->papers[index]], &from->backing.strips[index], piece, keep, err);
}

bool draft_strips_make(Draft *draft, Arena *keep, Error *err)
{
    const KitStrips *from = draft->input->strips;
    if (!from) return true;
    int count = from->backing.count, among = 0;
    draft->strips = arena_new(keep, DraftStrip, count);
    Piece *pieces = arena_copy(keep, from->pieces, (size_t)count, sizeof *pieces);
    if (!draft->strips || !pieces) return error_memory(err);
    draft->all_strip_count = count;
    for (int i = 0; i < count; i++) {
        const BackingStrip *strip = &from->backing.strips[i];
        int of = 1;
        among = i > 0 && strip[-1].seam == strip->seam ? among + 1 : 1;
        of = among;
        for (int k = i + 1; k < count && from->backing.strips[k].seam == strip->seam; k++) of++;
        name_strip(draft, strip->seam, among, of, pieces[i].id); // the base's seams come first in the draft
        draft->strips[i] = (DraftStrip){.source = strip, .cut = &pieces[i], .seam = strip->seam, .piece = -1};
        if (from->papers[i] >= 0 && !add_piece(draft, from, i, &pieces[i], keep, err)) return false;
    }
    return true;
}
