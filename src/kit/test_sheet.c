// test_sheet.c - see test_sheet.h.
#include "kit/test_sheet.h"

#include "base/length.h"
#include "base/text.h"
#include "kit/svg.h"

#include <stdio.h>
#include <string.h>

#define MARGIN_MM 6.0     // from the drawn box: clear of the corner marks
#define DISC_APART_MM 5.0 // between square and disc
#define LINE_SHORT_MM 5.0 // lines end this far from the square's corners
#define DASH_MM 1.0       // where the blade is the only tool: as placement lines are then
#define DASH_STEP_MM 7.0
#define CIRCLE_HANDLE 0.5522847498 // of a quarter circle as one cubic: 4/3 (sqrt 2 - 1), off by 0.03 % of the radius

static const double SIDES_MM[] = {2 * MM_PER_INCH, MM_PER_INCH};

// --- places ---

// The disc stands beside the square where there is room, else below it.
static bool place(TestSheet *sheet, double side_mm)
{
    double more = DISC_APART_MM + TEST_SHEET_DISC_MM, room = side_mm + 2 * MARGIN_MM;
    bool beside = sheet->box_mm[2] >= room + more && sheet->box_mm[3] >= room;
    bool below = sheet->box_mm[2] >= room && sheet->box_mm[3] >= room + more;
    if (!beside && !below) return false;
    double far_mm = side_mm + DISC_APART_MM + TEST_SHEET_DISC_MM / 2;
    sheet->side_mm = side_mm;
    for (int k = 0; k < 2; k++) sheet->square_mm[k] = sheet->box_mm[k] + MARGIN_MM;
    sheet->disc_mm[0] = sheet->square_mm[0] + (beside ? far_mm : side_mm / 2);
    sheet->disc_mm[1] = sheet->square_mm[1] + (beside ? side_mm / 2 : far_mm);
    return true;
}

// An offcut needs no test of its own, and is too small to be spent on one.
static bool is_tested(const KitInput *input, int paper)
{
    bool all = true;
    for (int i = 0; i < input->paper_count; i++) all = all && input->papers[i].paper.is_offcut;
    return all || !input->papers[paper].paper.is_offcut;
}

static bool is_new_size(const KitInput *input, int paper)
{
    for (int i = 0; i < paper; i++)
        if (is_tested(input, i) && strcmp(input->papers[i].paper.id, input->papers[paper].paper.id) == 0) return false;
    return true;
}

// "-cut" where the sheet is one of several.
static const char *name_end(const TestSheet *sheet)
{
    if (!sheet->one_line) return "";
    return sheet->line == MARK_CUT ? "-cut" : sheet->line == MARK_PEN ? "-pen" : "-score";
}

static void add_test(TestSheet sheet, const KitInput *input, TestSheet *list, int *count)
{
    char width[NUMBER_MAX], height[NUMBER_MAX];
    number_format(width, sheet.box_mm[2] / MM_PER_INCH, 3);
    number_format(height, sheet.box_mm[3] / MM_PER_INCH, 3);
    snprintf(sheet.file, sizeof sheet.file, "sheets/00-test-%.32s-%.12sx%.12sin%s.svg", input->papers[sheet.paper].paper.id,
             width, height, name_end(&sheet));
    list[(*count)++] = sheet;
}

// The kit uses the line, and some paper of this size takes it.
static bool shows(const Draft *draft, const TestSheet *sheet, MarkLine line)
{
    const char *id = draft->input->papers[sheet->paper].paper.id;
    bool takes = false;
    for (int p = 0; p < draft->input->paper_count; p++) {
        const Paper *paper = &draft->input->papers[p].paper;
        if (strcmp(paper->id, id) == 0) takes = takes || (line == MARK_SCORE ? !paper->no_score : !paper->no_pen);
    }
    return takes && draft_uses(draft, line);
}

bool test_sheets_make(const Draft *draft, Arena *keep, TestSheet **out, int *out_count, Error *err)
{
    const KitInput *input = draft->input;
    *out_count = 0;
    *out = arena_new(keep, TestSheet, 3 * (size_t)input->paper_count);
    if (!*out) return error_memory(err);
    for (int p = 0; p < input->paper_count; p++) {
        TestSheet sheet = {.paper = p};
        paper_usable(&input->papers[p].paper, sheet.box_mm);
        if (!is_tested(input, p) || !is_new_size(input, p) || (!place(&sheet, SIDES_MM[0]) && !place(&sheet, SIDES_MM[1]))) continue;
        sheet.one_line = input->options.sheets_for == KIT_FOR_LINE;
        static const MarkLine LINES[] = {MARK_CUT, MARK_SCORE, MARK_PEN};
        for (int k = 0; k < (sheet.one_line ? 3 : 1); k++) {
            sheet.line = LINES[k];
            if (k == 0 || shows(draft, &sheet, LINES[k])) add_test(sheet, input, *out, out_count);
        }
    }
    return true;
}

// --- the file ---

static void add_point(Text *text, const char *command, double x, double y)
{
    text_add(text, command);
    text_number(text, x, 3);
    text_add(text, " ");
    text_number(text, y, 3);
}

static void add_box(Text *text, double x, double y, double w, double h)
{
    add_point(text, " M", x, y);
    add_point(text, " L", x + w, y);
    add_point(text, " L", x + w, y + h);
    add_point(text, " L", x, y + h);
    add_point(text, " L", x, y);
    text_add(text, " Z");
}

static void add_disc(Text *text, const double middle[2])
{
    static const double TURN[5][2] = {{1, 0}, {0, 1}, {-1, 0}, {0, -1}, {1, 0}};
    double r = TEST_SHEET_DISC_MM / 2, h = r * CIRCLE_HANDLE;
    add_point(text, " M", middle[0] + r, middle[1]);
    for (int q = 0; q < 4; q++) {
        const double *a = TURN[q], *b = TURN[q + 1]; // b is also the direction in which the circle leaves a
        add_point(text, " C", middle[0] + r * a[0] + h * b[0], middle[1] + r * a[1] + h * b[1]);
        add_point(text, " ", middle[0] + r * b[0] + h * a[0], middle[1] + r * b[1] + h * a[1]);
        add_point(text, " ", middle[0] + r * b[0], middle[1] + r * b[1]);
    }
    text_add(text, " Z");
}

// Along two sides that meet at a corner of the square, so that a shift in either direction shows: `far` = right and
// bottom, else left and top.
static void add_line(Text *text, const TestSheet *sheet, bool far)
{
    double near_edge = TEST_SHEET_INSET_MM, side = sheet->side_mm, at = far ? side - near_edge : near_edge;
    double from = far ? LINE_SHORT_MM : side - LINE_SHORT_MM;
    add_point(text, "M", sheet->square_mm[0] + from, sheet->square_mm[1] + at);
    add_point(text, " L", sheet->square_mm[0] + at, sheet->square_mm[1] + at);
    add_point(text, " L", sheet->square_mm[0] + at, sheet->square_mm[1] + from);
}

const char *test_sheet_sides(const Draft *draft)
{
    bool near = draft_uses(draft, MARK_SCORE) || draft_uses(draft, MARK_CUT), far = draft_uses(draft, MARK_PEN);
    if (near && far) return "four";
    return near ? "top and left" : far ? "bottom and right" : NULL;
}

// The blade's own line, on the left and top sides: a row of short cuts.
static void add_dashes(Text *text, const TestSheet *sheet)
{
    double x = sheet->square_mm[0], y = sheet->square_mm[1];
    for (double at = LINE_SHORT_MM; at + DASH_MM <= sheet->side_mm - LINE_SHORT_MM; at += DASH_STEP_MM) {
        add_point(text, " M", x + at, y + TEST_SHEET_INSET_MM);
        add_point(text, " L", x + at + DASH_MM, y + TEST_SHEET_INSET_MM);
        add_point(text, " M", x + TEST_SHEET_INSET_MM, y + at);
        add_point(text, " L", x + TEST_SHEET_INSET_MM, y + at + DASH_MM);
    }
}

// Inner before outer, as on all sheets.
static void add_cuts(Text *text, const TestSheet *sheet)
{
    double side = sheet->side_mm, x = sheet->square_mm[0], y = sheet->square_mm[1];
    double wide = (side * 0.5 - TEST_SHEET_BRIDGE_MM) / 2, high = side * 0.3, left = x + side * 0.25,
           top = y + side * 0.35;
    add_box(text, left, top, wide, high);
    add_box(text, left + wide + TEST_SHEET_BRIDGE_MM, top, wide, high);
    add_box(text, x, y, side, side);
    add_disc(text, sheet->disc_mm);
}

static void add_group(Text *text, const TestSheet *sheet, MarkLine line)
{
    svg_add_line_group(text, line, sheet->one_line ? sheet->box_mm : NULL);
    add_line(text, sheet, line == MARK_PEN);
    text_add(text, "\"/>\n</g>\n");
}

bool test_sheet_svg(const Draft *draft, const TestSheet *sheet, Arena *keep, FileBytes *out, Error *err)
{
    Text text = text_make(keep);
    char fill[8], title[96];
    const KitPaper *paper = &draft->input->papers[sheet->paper];
    draft_fill(paper->colour, fill);
    snprintf(title, sizeof title, "test sheet, %.32s", paper->paper.id);
    svg_add_head(&text, paper->paper.width_mm, paper->paper.height_mm, title);
    if (!sheet->one_line || sheet->line == MARK_CUT) {
        svg_add_cut_group(&text, fill, sheet->box_mm);
        if (draft_uses(draft, MARK_CUT)) add_dashes(&text, sheet);
        add_cuts(&text, sheet);
        text_add(&text, "\"/>\n</g>\n");
    }
    static const MarkLine LINES[] = {MARK_SCORE, MARK_PEN};
    for (int k = 0; k < 2; k++)
        if (sheet->one_line ? sheet->line == LINES[k] : shows(draft, sheet, LINES[k])) add_group(&text, sheet, LINES[k]);
    text_add(&text, "</svg>\n");
    if (!text_is_whole(&text, err)) return false;
    const char *name = arena_text(keep, sheet->file);
    if (!name) return error_memory(err);
    *out = (FileBytes){name, text.bytes, text.size_bytes};
    return true;
}
