// svg.c - see svg.h.
// Shape:   page = sheet, in mm; at most three groups, cut, score and pen, of one path each. No transforms.
#include "kit/svg.h"

#include "kit/path_text.h"

#include <stdio.h>

static void add_xy(Text *text, const char *before, double x, double y)
{
    text_add(text, before);
    text_number(text, x, 3);
    text_add(text, " ");
    text_number(text, y, 3);
}

// Right triangles in two opposite corners: all sheets of a paper get the same drawn box by them.
static void add_corner_marks(Text *text, const double box[4])
{
    double x0 = box[0], y0 = box[1], x1 = box[0] + box[2], y1 = box[1] + box[3], leg = PAPER_CORNER_MARK_MM;
    add_xy(text, "M", x0, y0);
    add_xy(text, " L", x0 + leg, y0);
    add_xy(text, " L", x0, y0 + leg);
    add_xy(text, " Z M", x1, y1);
    add_xy(text, " L", x1 - leg, y1);
    add_xy(text, " L", x1, y1 - leg);
    text_add(text, " Z");
}

static bool has_line(const Draft *draft, const DraftSheet *sheet, MarkLine line)
{
    for (int i = 0; i < sheet->piece_count; i++) {
        const DraftPiece *piece = &draft->pieces[sheet->pieces[i]];
        for (int m = 0; m < piece->mark_count; m++)
            if (piece->marks[m]->line == line) return true;
    }
    for (int n = 0; n < sheet->note_count; n++)
        if (sheet->notes[n].line == line) return true;
    return false;
}

static void add_lines(Text *text, const Draft *draft, const DraftSheet *sheet, MarkLine line)
{
    for (int i = 0; i < sheet->piece_count; i++) {
        const DraftPiece *piece = &draft->pieces[sheet->pieces[i]];
        for (int m = 0; m < piece->mark_count; m++)
            if (piece->marks[m]->line == line) path_add(text, &piece->marks[m]->path, piece->to_sheet);
    }
    for (int n = 0; n < sheet->note_count; n++)
        if (sheet->notes[n].line == line) path_add(text, &sheet->notes[n].path, NULL);
}

void svg_add_line_group(Text *text, MarkLine line)
{
    bool is_pen = line == MARK_PEN;
    text_printf(text, "<g id=\"%s\">\n<path fill=\"none\" stroke=\"%s\" stroke-width=\"0.2\" d=\"", is_pen ? "pen" : "score",
                is_pen ? SVG_PEN_COLOUR : SVG_SCORE_COLOUR);
}

static void add_group(Text *text, const Draft *draft, const DraftSheet *sheet, MarkLine line)
{
    if (!has_line(draft, sheet, line)) return;
    svg_add_line_group(text, line);
    add_lines(text, draft, sheet, line);
    text_add(text, "\"/>\n</g>\n");
}

void svg_add_head(Text *text, const Paper *paper, const char *title)
{
    text_add(text, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"");
    text_number(text, paper->width_mm, 3);
    text_add(text, "mm\" height=\"");
    text_number(text, paper->height_mm, 3);
    text_add(text, "mm\" viewBox=\"0 0 ");
    text_number(text, paper->width_mm, 3);
    text_add(text, " ");
    text_number(text, paper->height_mm, 3);
    text_printf(text, "\">\n<title>%s</title>\n", title);
}

void svg_add_cut_group(Text *text, const char *fill, const double box_mm[4])
{
    text_printf(text, "<g id=\"cut\">\n<path fill=\"%s\" fill-rule=\"evenodd\" stroke=\"none\" d=\"", fill);
    add_corner_marks(text, box_mm);
}

bool svg_sheet(const Draft *draft, const DraftSheet *sheet, Arena *keep, FileBytes *out, Error *err)
{
    Text text = text_make(keep);
    char fill[8], name[64], title[224];
    const KitPaper *paper = &draft->input->papers[sheet->paper];
    draft_fill(paper->colour, fill);
    text_safe_name(draft->input->name, name, sizeof name);
    snprintf(title, sizeof title, "%s, sheet %s of %d, %s", name, sheet->id, sheet->of, paper->paper.id);
    svg_add_head(&text, &paper->paper, title);
    svg_add_cut_group(&text, fill, sheet->box_mm);
    for (int i = 0; i < sheet->piece_count; i++) {
        const DraftPiece *piece = &draft->pieces[sheet->pieces[i]];
        path_add(&text, &piece->outline, piece->to_sheet);
    }
    add_lines(&text, draft, sheet, MARK_CUT); // rows of short cuts where no tool but the blade is there
    text_add(&text, "\"/>\n</g>\n");
    add_group(&text, draft, sheet, MARK_SCORE);
    add_group(&text, draft, sheet, MARK_PEN);
    text_add(&text, "</svg>\n");
    if (!text_is_whole(&text, err)) return false;
    const char *file = arena_text(keep, sheet->file);
    if (!file) return error_memory(err);
    *out = (FileBytes){file, text.bytes, text.size_bytes};
    return true;
}
