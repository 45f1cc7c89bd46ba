// svg.c - see svg.h.
// Shape:   page in mm; at most three groups, cut, score and pen. No transforms. Within a kind what is cut first comes
//          first: short cuts that mark a place before the outlines, since a piece may slip once it is cut out.
#include "kit/svg.h"

#include "kit/path_text.h"
#include "kit/sheet_files.h"

#include <stdio.h>

static void add_xy(Text *text, const char *before, double x, double y)
{
    text_add(text, before);
    text_number(text, x, 3);
    text_add(text, " ");
    text_number(text, y, 3);
}

// Right triangles in two opposite corners: all sheets of a paper get the same drawn box by them. A box that runs to the left from
// its first corner has them mirrored.
static void add_corner_marks(Text *text, const double box[4], const char *before)
{
    double x0 = box[0], y0 = box[1], x1 = box[0] + box[2], y1 = box[1] + box[3], leg = PAPER_CORNER_MARK_MM;
    double leg_x = box[2] < 0 ? -leg : leg;
    add_xy(text, before, x0, y0);
    add_xy(text, " L", x0 + leg_x, y0);
    add_xy(text, " L", x0, y0 + leg);
    add_xy(text, " Z M", x1, y1);
    add_xy(text, " L", x1 - leg_x, y1);
    add_xy(text, " L", x1, y1 - leg);
    text_add(text, " Z");
}

// --- the parts of a file ---

void svg_add_head(Text *text, double width_mm, double height_mm, const char *title)
{
    text_add(text, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"");
    text_number(text, width_mm, 3);
    text_add(text, "mm\" height=\"");
    text_number(text, height_mm, 3);
    text_add(text, "mm\" viewBox=\"0 0 ");
    text_number(text, width_mm, 3);
    text_add(text, " ");
    text_number(text, height_mm, 3);
    text_printf(text, "\">\n<title>%s</title>\n", title);
}

// A path of one line kind, left open for its data.
static void open_path(Text *text, MarkLine line, const char *fill)
{
    if (line == MARK_CUT)
        text_printf(text, "<path fill=\"%s\" fill-rule=\"evenodd\" stroke=\"none\" d=\"", fill);
    else
        text_printf(text, "<path fill=\"none\" stroke=\"%s\" stroke-width=\"0.2\" d=\"",
                    line == MARK_PEN ? SVG_PEN_COLOUR : SVG_SCORE_COLOUR);
}

static void close_path(Text *text)
{
    text_add(text, "\"/>\n");
}

static void open_group(Text *text, const char *id, const char *more)
{
    text_printf(text, "<g id=\"%s%s\">\n", id, more);
}

static void close_group(Text *text)
{
    text_add(text, "</g>\n");
}

void svg_add_cut_group(Text *text, const char *fill, const double box_mm[4])
{
    open_group(text, "cut", "");
    open_path(text, MARK_CUT, fill);
    add_corner_marks(text, box_mm, "M");
}

void svg_add_line_group(Text *text, MarkLine line, const double *corners_mm)
{
    open_group(text, mark_line_word(line), "");
    if (corners_mm) {
        open_group(text, "corners", "");
        text_printf(text, "<path fill=\"%s\" stroke=\"none\" d=\"", line == MARK_PEN ? SVG_PEN_COLOUR : SVG_SCORE_COLOUR);
        add_corner_marks(text, corners_mm, "M");
        close_path(text);
        close_group(text);
    }
    open_path(text, line, "");
}

static bool piece_has_line(const DraftPiece *piece, MarkLine line)
{
    if (line == MARK_CUT) return true;
    for (int m = 0; m < piece->mark_count; m++)
        if (piece->marks[m]->line == line) return true;
    return false;
}

static void add_marks(Text *text, const DraftPiece *piece, MarkLine line, const double matrix[6])
{
    for (int m = 0; m < piece->mark_count; m++)
        if (piece->marks[m]->line == line) path_add(text, &piece->marks[m]->path, matrix);
}

static void place_piece(const Draft *draft, const DraftPiece *piece, const DraftSheet *sheet, double out[6])
{
    draft_in_files(draft, piece, out);
    for (int k = 0; k < 2; k++) out[4 + k] += sheet->offset_mm[k];
}

static void add_notes(Text *text, const DraftSheet *sheet, MarkLine line)
{
    const double shift[6] = {1, 0, 0, 1, sheet->offset_mm[0], sheet->offset_mm[1]};
    for (int n = 0; n < sheet->note_count; n++)
        if (sheet->notes[n].line == line) path_add(text, &sheet->notes[n].path, shift);
}

// --- one path a line kind ---

static void add_sheet(Text *text, const Draft *draft, const DraftSheet *sheet, MarkLine line)
{
    double matrix[6];
    for (int i = 0; i < sheet->piece_count; i++) {
        const DraftPiece *piece = &draft->pieces[sheet->pieces[i]];
        place_piece(draft, piece, sheet, matrix);
        add_marks(text, piece, line, matrix);
    }
    for (int i = 0; i < sheet->piece_count && line == MARK_CUT; i++) {
        const DraftPiece *piece = &draft->pieces[sheet->pieces[i]];
        place_piece(draft, piece, sheet, matrix);
        path_add(text, &piece->outline, matrix);
    }
    add_notes(text, sheet, line);
}

static void corners_of(const Draft *draft, const DraftSheet *sheet, double out[4])
{
    draft_corners(draft, sheet, out);
    for (int k = 0; k < 2; k++) out[k] += sheet->offset_mm[k];
}

static void add_whole_group(Text *text, const Draft *draft, const DraftFile *file, MarkLine line, const char *fill)
{
    double corners[4];
    const DraftSheet *first = &draft->sheets[file->first_sheet];
    corners_of(draft, first, corners);
    if (line == MARK_CUT) svg_add_cut_group(text, fill, corners);
    else svg_add_line_group(text, line, file->one_line ? corners : NULL);
    for (int s = 0; s < file->sheet_count; s++) {
        corners_of(draft, &first[s], corners);
        if (s > 0 && line == MARK_CUT) add_corner_marks(text, corners, " M");
        add_sheet(text, draft, &first[s], line);
    }
    close_path(text);
    close_group(text);
}

// --- one group a piece ---

static void add_piece_group(Text *text, const Draft *draft, const DraftPiece *piece, const DraftSheet *sheet, MarkLine line, const char *fill)
{
    double matrix[6];
    place_piece(draft, piece, sheet, matrix);
    open_group(text, piece->source->id, line == MARK_CUT ? "" : line == MARK_PEN ? "-pen" : "-score");
    open_path(text, line, fill);
    add_marks(text, piece, line, matrix);
    if (line == MARK_CUT) path_add(text, &piece->outline, matrix);
    close_path(text);
    close_group(text);
}

static void add_note_group(Text *text, const DraftSheet *sheet, MarkLine line)
{
    bool has = false;
    for (int n = 0; n < sheet->note_count; n++) has = has || sheet->notes[n].line == line;
    if (!has) return;
    open_group(text, "notes-", mark_line_word(line));
    open_path(text, line, "");
    add_notes(text, sheet, line);
    close_path(text);
    close_group(text);
}

static void add_grouped(Text *text, const Draft *draft, const DraftSheet *sheet, MarkLine line, const char *fill)
{
    double corners[4];
    open_group(text, mark_line_word(line), "");
    if (line == MARK_CUT) {
        open_group(text, "corners", "");
        open_path(text, line, fill);
        corners_of(draft, sheet, corners);
        add_corner_marks(text, corners, "M");
        close_path(text);
        close_group(text);
    }
    for (int i = 0; i < sheet->piece_count; i++) {
        const DraftPiece *piece = &draft->pieces[sheet->pieces[i]];
        if (piece_has_line(piece, line)) add_piece_group(text, draft, piece, sheet, line, fill);
    }
    add_note_group(text, sheet, line);
    close_group(text);
}

// --- the file ---

static void add_title(Text *text, const Draft *draft, const DraftFile *file)
{
    char name[64], title[320];
    const DraftSheet *sheet = &draft->sheets[file->first_sheet], *last = sheet + file->sheet_count - 1;
    const char *paper = draft->input->papers[sheet->paper].paper.id;
    text_safe_name(draft->input->name, name, sizeof name);
    if (file->sheet_count > 1)
        snprintf(title, sizeof title, "%s, sheets %s to %s, %s", name, sheet->id, last->id, paper);
    else
        snprintf(title, sizeof title, "%s, sheet %s of %d, %s%s%s", name, sheet->id, sheet->of, paper,
                 file->one_line ? ", " : "", file->one_line ? mark_line_word(file->line) : "");
    svg_add_head(text, file->size_mm[0], file->size_mm[1], title);
}

static bool file_has_line(const Draft *draft, const DraftFile *file, MarkLine line)
{
    if (file->one_line && line != file->line) return false;
    for (int s = 0; s < file->sheet_count; s++)
        if (sheet_has_line(draft, &draft->sheets[file->first_sheet + s], line)) return true;
    return false;
}

bool svg_file(const Draft *draft, const DraftFile *file, Arena *keep, FileBytes *out, Error *err)
{
    static const MarkLine LINES[] = {MARK_CUT, MARK_SCORE, MARK_PEN};
    Text text = text_make(keep);
    char fill[8];
    const DraftSheet *sheet = &draft->sheets[file->first_sheet];
    draft_fill(draft->input->papers[sheet->paper].colour, fill);
    add_title(&text, draft, file);
    for (int k = 0; k < 3; k++) {
        if (!file_has_line(draft, file, LINES[k])) continue;
        if (draft->input->options.sheets_for == KIT_FOR_PIECE) add_grouped(&text, draft, sheet, LINES[k], fill);
        else add_whole_group(&text, draft, file, LINES[k], fill);
    }
    text_add(&text, "</svg>\n");
    if (!text_is_whole(&text, err)) return false;
    const char *name = arena_text(keep, file->name);
    if (!name) return error_memory(err);
    *out = (FileBytes){name, text.bytes, text.size_bytes};
    return true;
}
