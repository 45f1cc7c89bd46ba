// svg.c - see svg.h.
// Shape:   page = sheet, in mm; at most three groups, cut, score and pen, of one path each. No transforms.
#include "kit/svg.h"

#include "base/text.h"
#include "kit/path_text.h"

#define SCORE_COLOUR "#b4581a"
#define PEN_COLOUR "#2f6f5e"

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

static void add_group(Text *text, const Draft *draft, const DraftSheet *sheet, MarkLine line, const char *id,
                      const char *colour)
{
    if (!has_line(draft, sheet, line)) return;
    text_printf(text, "<g id=\"%s\">\n<path fill=\"none\" stroke=\"%s\" stroke-width=\"0.2\" d=\"", id, colour);
    add_lines(text, draft, sheet, line);
    text_add(text, "\"/>\n</g>\n");
}

static void add_head(Text *text, const Draft *draft, const DraftSheet *sheet)
{
    const Paper *paper = &draft->input->papers[sheet->paper].paper;
    text_add(text, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"");
    text_number(text, paper->width_mm, 3);
    text_add(text, "mm\" height=\"");
    text_number(text, paper->height_mm, 3);
    text_add(text, "mm\" viewBox=\"0 0 ");
    text_number(text, paper->width_mm, 3);
    text_add(text, " ");
    text_number(text, paper->height_mm, 3);
    text_add(text, "\">\n");
    char name[64];
    text_safe_name(draft->input->name, name, sizeof name);
    text_printf(text, "<title>%s, sheet %s of %d, %s</title>\n", name, sheet->id, sheet->of, paper->id);
}

bool svg_sheet(const Draft *draft, const DraftSheet *sheet, Arena *keep, FileBytes *out, Error *err)
{
    Text text = text_make(keep);
    char fill[8];
    draft_fill(draft->input->papers[sheet->paper].colour, fill);
    add_head(&text, draft, sheet);
    text_printf(&text, "<g id=\"cut\">\n<path fill=\"%s\" fill-rule=\"evenodd\" stroke=\"none\" d=\"", fill);
    add_corner_marks(&text, sheet->box_mm);
    for (int i = 0; i < sheet->piece_count; i++) {
        const DraftPiece *piece = &draft->pieces[sheet->pieces[i]];
        path_add(&text, &piece->outline, piece->to_sheet);
    }
    add_lines(&text, draft, sheet, MARK_CUT); // rows of short cuts where no tool but the blade is there
    text_add(&text, "\"/>\n</g>\n");
    add_group(&text, draft, sheet, MARK_SCORE, "score", SCORE_COLOUR);
    add_group(&text, draft, sheet, MARK_PEN, "pen", PEN_COLOUR);
    text_add(&text, "</svg>\n");
    if (!text_is_whole(&text, err)) return false;
    const char *name = arena_text(keep, sheet->file);
    if (!name) return error_memory(err);
    *out = (FileBytes){name, text.bytes, text.size_bytes};
    return true;
}
