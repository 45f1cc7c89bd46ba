// sample_kit.c - see sample_kit.h.
#include "sample_kit.h"

#include "base/text.h"
#include "sample_shapes.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define USABLE_X 6.35
#define USABLE_Y 6.35
#define USABLE_W 203.2
#define USABLE_H 266.7

static const char *const sheet_files[3] = {"sheets/sample-navy-1-of-2-8x10.5in.svg",
                                           "sheets/sample-navy-2-of-2-8x10.5in.svg",
                                           "sheets/sample-white-1-of-1-8x10.5in.svg"};
#define PRINTS_NAVY ", \"print\": \"sheets/sample-navy-print-8.5x11in.pdf\""
#define PRINTS_WHITE ", \"print\": \"sheets/sample-white-print-8.5x11in.pdf\""
static const char *const layer_files[3] = {"sheets/sample-navy-1-to-2-16.894x10.5in.svg", // 2 x 8 in, 22.7 mm between
                                           "sheets/sample-navy-1-to-2-16.894x10.5in.svg",
                                           "sheets/sample-white-1-of-1-8x10.5in.svg"};
static const char *const line_files[3][2] = {
    {"sheets/sample-navy-1-of-2-8x10.5in-cut.svg", "sheets/sample-navy-1-of-2-8x10.5in-score.svg"},
    {"sheets/sample-navy-2-of-2-8x10.5in-cut.svg", "sheets/sample-navy-2-of-2-8x10.5in-score.svg"},
    {"sheets/sample-white-1-of-1-8x10.5in-cut.svg", "sheets/sample-white-1-of-1-8x10.5in-pen.svg"}};
static const char *const sheet_ids[3] = {"navy-1", "navy-2", "white-1"};

static void add_spot(Text *t, double x, double y, const double *m)
{
    text_add(t, " ");
    text_number(t, m ? m[0] * x + m[2] * y + m[4] : x, 3);
    text_add(t, " ");
    text_number(t, m ? m[1] * x + m[3] * y + m[5] : y, 3);
}

static void add_path(Text *t, const Shape *s, const double *m)
{
    for (int r = 0, i = 0; r < s->rings; r++) {
        text_add(t, t->size_bytes && t->bytes[t->size_bytes - 1] != '"' ? " M" : "M");
        add_spot(t, s->curve[i].x[0], s->curve[i].y[0], m);
        for (; i < s->ring_end[r]; i++) {
            const Curve4 *c = &s->curve[i];
            if (c->line && i + 1 == s->ring_end[r] && !s->open) break; // Z draws it
            text_add(t, c->line ? " L" : " C");
            for (int k = c->line ? 3 : 1; k < 4; k++) add_spot(t, c->x[k], c->y[k], m);
        }
        i = s->ring_end[r];
        if (!s->open) text_add(t, " Z");
    }
}

static void at_t(const Curve4 *c, double t, double *x, double *y)
{
    double u = 1 - t, w[4] = {u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t};
    *x = *y = 0;
    for (int i = 0; i < 4; i++) {
        *x += w[i] * c->x[i];
        *y += w[i] * c->y[i];
    }
}

// Fine sums: 4000 chords a curve.
static void sums(const Shape *s, double *length, double *area)
{
    for (int i = 0; i < s->count; i++)
        for (int k = 0; k < 4000; k++) {
            double x0, y0, x1, y1;
            at_t(&s->curve[i], k / 4000.0, &x0, &y0);
            at_t(&s->curve[i], (k + 1) / 4000.0, &x1, &y1);
            *length += hypot(x1 - x0, y1 - y0);
            *area += 0.5 * (x0 * y1 - x1 * y0);
        }
}

static void key_path(Text *t, const char *key, const Shape *s)
{
    text_printf(t, "\"%s\": \"", key);
    add_path(t, s, NULL);
    text_add(t, "\"");
}

static void key_number(Text *t, const char *key, double value, int decimals, const char *after)
{
    text_printf(t, "\"%s\": ", key);
    text_number(t, value, decimals);
    text_add(t, after);
}

static void write_layers(Text *t, const Sample *s)
{
    static const char *const ids[3] = {"A", "B", "C"};
    text_add(t, "  \"layers\": [\n");
    for (int i = 0; i < 3; i++) {
        double length = 0, area = 0;
        sums(&s->layers[i], &length, &area);
        text_printf(t,
                    "    {\"id\": \"%s\", \"name\": \"%s\", \"colour\": \"%s\", \"base\": %s, \"order\": %d, "
                    "\"papers\": [\"%s\"],\n     ",
                    ids[i], i ? "white" : "navy", i ? "#ffffff" : "#1d2f5a", i ? "false" : "true", i,
                    i ? "letter-white" : "letter-navy");
        key_path(t, "outline", &s->layers[i]);
        text_add(t, ",\n     ");
        key_number(t, "area_mm2", area, 1, i < 2 ? "},\n" : "}\n");
    }
    text_add(t, "  ],\n");
}

static const char *tool(int sheet)
{
    return sheet == 2 ? "pen" : "score";
}

static const Shape *cut_of(const Sample *s, const SamplePiece *p)
{
    return p == s->pieces && s->lapped.count ? &s->lapped : &p->shape;
}

static void write_pieces(Text *t, const Sample *s)
{
    text_add(t, "  \"pieces\": [\n");
    for (int i = 0; i < 5; i++) {
        const SamplePiece *p = &s->pieces[i];
        text_printf(t, "    {\"id\": \"%s\", \"kind\": \"face\", \"layer\": \"%s\", \"sheet\": \"%s\",\n     ", p->id,
                    p->layer, sheet_ids[p->sheet]);
        key_path(t, "outline", cut_of(s, p));
        if (cut_of(s, p) != &p->shape) {
            text_add(t, ",\n     ");
            key_path(t, "face", &p->shape);
        }
        text_add(t, ",\n     \"to_sheet\": [");
        for (int k = 0; k < 6; k++) {
            if (k) text_add(t, ", ");
            text_number(t, p->to_sheet[k], 9);
        }
        text_add(t, "],\n     \"marks\": [");
        for (int k = 0; k < p->mark_count; k++) {
            text_printf(t, "%s{\"kind\": \"%s\", \"line\": \"%s\", ", k ? ", " : "", p->marks[k].kind, tool(p->sheet));
            if (strcmp(p->marks[k].kind, "match") == 0) text_printf(t, "\"seam\": \"%s-s1\", ", p->layer);
            key_path(t, "path", &p->marks[k].shape);
            text_add(t, "}");
        }
        text_add(t, i < 4 ? "]},\n" : "]}\n");
    }
    text_add(t, "  ],\n");
}

// Hidden: within r - 3 of the covering disc's centre.
static double seam_length(const Sample *s, int i, double *visible)
{
    double length = 0, area = 0;
    sums(&s->seams[i], &length, &area);
    double dy = s->seams[1].curve[0].y[0] - 170.0;
    *visible = i == 0 ? 86.0 : length - 2.0 * sqrt(22.0 * 22.0 - dy * dy);
    return length;
}

static void write_seams(Text *t, const Sample *s)
{
    text_add(t, "  \"seams\": [\n");
    for (int i = 0; i < 2; i++) {
        double visible, length = seam_length(s, i, &visible);
        const char *l = i ? "B" : "A";
        text_printf(
            t, "    {\"id\": \"%s-s1\", \"layer\": \"%s\", \"pieces\": [\"%s1\", \"%s2\"], \"letter\": \"A\", \"form\": \"%s\",\n     ",
            l, l, l, l, i == 0 && s->lapped.count ? "lap\", \"lap_of\": \"A1" : "butt");
        key_path(t, "path", &s->seams[i]);
        text_add(t, ", ");
        key_number(t, "length_mm", length, 2, ", ");
        key_number(t, "visible_mm", visible, 2, i ? "}\n" : "},\n");
    }
    text_add(t, "  ],\n");
}

static const char *file_of(int sheet, const char *form)
{
    return strcmp(form, "layer") == 0 ? layer_files[sheet] : strcmp(form, "line") == 0 ? line_files[sheet][0] : sheet_files[sheet];
}

// The second of the two navy sheets lies beside the first where they share a file.
static double offset_of(int sheet, const char *form)
{
    return strcmp(form, "layer") == 0 && sheet == 1 ? 225.9 : 0;
}

static void write_sheets(Text *t, const Sample *s, const char *form)
{
    text_add(t, "  \"sheets\": [\n");
    for (int i = 0; i < 3; i++) {
        text_printf(t, "    {\"id\": \"%s\", \"paper\": \"%s\", \"file\": \"%s\", \"box_mm\": [6.35, 6.35, 203.2, 266.7], ",
                    sheet_ids[i], i < 2 ? "letter-navy" : "letter-white", file_of(i, form));
        if (strcmp(form, "layer") == 0) text_add(t, i == 1 ? "\"offset_mm\": [225.9, 0], " : "\"offset_mm\": [0, 0], ");
        if (strcmp(form, "line") == 0)
            text_printf(t, "\"files\": {\"cut\": \"%s\", \"%s\": \"%s\"}, ", line_files[i][0], tool(i), line_files[i][1]);
        text_add(t, "\"notes\": [");
        if (i == 2) {
            text_add(t, "{\"text\": \"C1\", \"line\": \"pen\", ");
            key_path(t, "path", &s->note);
            text_add(t, "}");
        }
        text_add(t, i < 2 ? "]},\n" : "]}\n");
    }
    text_add(t, "  ],\n");
}

static void write_totals(Text *t, const Sample *s)
{
    double cut = 0, piece_area = 0, score = 0, pen = 0, ignored = 0, strokes = s->note.rings, visible[2];
    for (int i = 0; i < 5; i++) {
        const SamplePiece *p = &s->pieces[i];
        sums(cut_of(s, p), &cut, &piece_area);
        strokes += p->shape.rings;
        for (int k = 0; k < p->mark_count; k++) {
            sums(&p->marks[k].shape, p->sheet == 2 ? &pen : &score, &ignored);
            strokes += p->marks[k].shape.rings;
        }
    }
    sums(&s->note, &pen, &ignored);
    double seam = seam_length(s, 0, &visible[0]) + seam_length(s, 1, &visible[1]);
    text_add(
        t,
        "  \"rates\": {\"cut_mm_s\": 25, \"score_mm_s\": 50, \"lift_s\": 0.5, \"sheet_min\": 1.5, \"seam_min\": 1.5, "
        "\"piece_min\": 1, \"source\": \"common practice, changeable\"},\n  \"totals\": {\"sheets\": 3, \"pieces\": "
        "5, ");
    key_number(t, "seam_mm", seam, 1, ", ");
    key_number(t, "visible_seam_mm", visible[0] + visible[1], 1, ", ");
    key_number(t, "cut_mm", cut, 1, ", ");
    key_number(t, "score_mm", score, 1, ", ");
    key_number(t, "pen_mm", pen, 1, ", ");
    key_number(t, "waste_percent", 100.0 * (1.0 - piece_area / (3.0 * USABLE_W * USABLE_H)), 1, ", ");
    key_number(t, "cutting_minutes", 3 * 1.5 + (cut / 25 + (score + pen) / 50 + strokes * 0.5) / 60, 1, ", ");
    key_number(t, "assembly_minutes", 2 * 1.5 + 5, 1, ", \"cost\": 7.58}\n");
}

// Navy: 2 sheets and 1 spare; 6 letter sheets lie on 22 x 28 in when turned; 5 boards cost 6. White: 1 sheet and 1 spare.
#define NAVY_PAPER                                                                                                                         \
    "\"takes\": [\"score\", \"pen\"], \"gsm\": 175.8, \"board_mm\": [558.8, 711.2], \"pack\": {\"count\": 5, \"price\": 6}, \"price\": 0.2, "  \
    "\"to_buy\": {\"spares\": 1, \"sheets\": 3, \"boards\": 1, \"packs\": 1, \"cost\": 6}"
#define WHITE_PAPER                                                                                                                        \
    "\"takes\": [\"pen\"], \"gsm\": null, \"board_mm\": null, \"pack\": {\"count\": 1, \"price\": 0.79}, \"price\": 0.79, "                     \
    "\"to_buy\": {\"spares\": 1, \"sheets\": 2, \"boards\": null, \"packs\": null, \"cost\": 1.58}"

static void write_kit(Text *t, const Sample *s, const char *form)
{
    text_add(t, "{\n  \"format\": \"papermason-kit\", \"version\": 1, \"made_by\": \"papermason 0.1.0\", \"name\": "
                "\"sample\",\n"
                "  \"finished_mm\": {\"width\": 300, \"height\": 240}, \"border_mm\": 0,\n"
                "  \"cutter\": {\"name\": \"12x24in\", \"mat_mm\": [304.8, 609.6], \"loss_mm\": [6.35, 6.35, 6.35, 6.35], \"tools\": "
                "[\"score\", \"pen\"]},\n");
    if (strcmp(form, "sheet") != 0) text_printf(t, "  \"sheets_for\": \"%s\",\n", form);
    text_add(t, "  \"papers\": [\n");
    for (int i = 0; i < 2; i++)
        text_printf(
            t,
            "    {\"id\": \"letter-%s\", \"size_mm\": [215.9, 279.4], \"usable_mm\": [6.35, 6.35, 203.2, 266.7], "
            "\"colour\": \"%s\", \"direction\": \"plain\", \"white_core\": %s, \"one_faced\": false, %s, \"gap_mm\": 3%s}%s\n",
            i ? "white" : "navy", i ? "#ffffff" : "#1d2f5a", i ? "false" : "true", i ? WHITE_PAPER : NAVY_PAPER,
            strcmp(form, "sheet") == 0 ? "" : i ? PRINTS_WHITE : PRINTS_NAVY, i ? "" : ",");
    text_add(t, "  ],\n");
    write_layers(t, s);
    write_pieces(t, s);
    write_seams(t, s);
    write_sheets(t, s, form);
    text_add(t, "  \"findings\": [{\"kind\": \"no-covered-place\", \"text\": \"C1 is covered by nothing; its name is "
                "in the waste.\", \"at_mm\": [150, 170]}],\n");
    write_totals(t, s);
    text_add(t, "}\n");
}

static void begin_file(Text *t, const char *title, double width_mm)
{
    text_add(t, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"");
    text_number(t, width_mm, 3);
    text_add(t, "mm\" height=\"279.4mm\" viewBox=\"0 0 ");
    text_number(t, width_mm, 3);
    text_printf(t, " 279.4\">\n<title>sample, sheet %s</title>\n", title);
}

static void begin_path(Text *t, const char *line, int sheet)
{
    if (strcmp(line, "cut") == 0)
        text_printf(t, "<path fill=\"%s\" fill-rule=\"evenodd\" d=\"", sheet == 2 ? "#fdfdfb" : "#1d2f5a");
    else
        text_printf(t, "<path fill=\"none\" stroke=\"%s\" stroke-width=\"0.2\" d=\"", sheet == 2 ? "#2f6f5e" : "#b4581a");
}

static void add_corners(Text *t, double offset)
{
    const double l = USABLE_X + offset, r = l + USABLE_W, b = USABLE_Y + USABLE_H;
    Shape corners = {0};
    sample_line(&corners, l, USABLE_Y, l + 3, USABLE_Y);
    sample_line(&corners, l + 3, USABLE_Y, l, USABLE_Y + 3);
    sample_line(&corners, l, USABLE_Y + 3, l, USABLE_Y);
    sample_ring(&corners);
    sample_line(&corners, r, b, r - 3, b);
    sample_line(&corners, r - 3, b, r, b - 3);
    sample_line(&corners, r, b - 3, r, b);
    sample_ring(&corners);
    add_path(t, &corners, NULL);
}

// A piece's outline or marks.
static void add_piece(Text *t, const Sample *s, const SamplePiece *p, const char *line, double offset)
{
    double m[6];
    memcpy(m, p->to_sheet, sizeof m);
    m[4] += offset;
    if (strcmp(line, "cut") == 0)
        add_path(t, cut_of(s, p), m);
    else
        for (int k = 0; k < p->mark_count; k++) add_path(t, &p->marks[k].shape, m);
}

static void add_lines(Text *t, const Sample *s, int sheet, const char *line, double offset)
{
    for (int i = 0; i < 5; i++)
        if (s->pieces[i].sheet == sheet) add_piece(t, s, &s->pieces[i], line, offset);
    if (sheet == 2 && strcmp(line, "cut") != 0) add_path(t, &s->note, NULL);
}

// Both line kinds of the sheets first .. last, one path each.
static void write_file(Text *t, const Sample *s, int first, int last, const char *form)
{
    begin_file(t, sheet_ids[first], last > first ? 441.8 : 215.9);
    for (int k = 0; k < 2; k++) {
        const char *line = k == 0 ? "cut" : tool(first);
        text_printf(t, "<g id=\"%s\">\n", line);
        begin_path(t, line, first);
        for (int sheet = first; sheet <= last; sheet++) {
            if (k == 0) add_corners(t, offset_of(sheet, form));
            add_lines(t, s, sheet, line, offset_of(sheet, form));
        }
        text_add(t, "\"/>\n</g>\n");
    }
    text_add(t, "</svg>\n");
}

static void write_line_file(Text *t, const Sample *s, int sheet, bool cut)
{
    const char *line = cut ? "cut" : tool(sheet);
    begin_file(t, sheet_ids[sheet], 215.9);
    text_printf(t, "<g id=\"%s\">\n", line);
    if (!cut) {
        text_printf(t, "<g id=\"corners\"><path fill=\"%s\" d=\"", sheet == 2 ? "#2f6f5e" : "#b4581a");
        add_corners(t, 0);
        text_add(t, "\"/></g>\n");
    }
    begin_path(t, line, sheet);
    if (cut) add_corners(t, 0);
    add_lines(t, s, sheet, line, 0);
    text_add(t, "\"/>\n</g>\n</svg>\n");
}

static void write_grouped(Text *t, const Sample *s, int sheet)
{
    begin_file(t, sheet_ids[sheet], 215.9);
    for (int k = 0; k < 2; k++) {
        const char *line = k == 0 ? "cut" : tool(sheet);
        text_printf(t, "<g id=\"%s\">\n", line);
        if (k == 0) {
            text_add(t, "<g id=\"corners\">");
            begin_path(t, line, sheet);
            add_corners(t, 0);
            text_add(t, "\"/></g>\n");
        }
        for (int i = 0; i < 5; i++) {
            if (s->pieces[i].sheet != sheet) continue;
            text_printf(t, "<g id=\"%s%s%s\">", s->pieces[i].id, k == 0 ? "" : "-", k == 0 ? "" : line);
            begin_path(t, line, sheet);
            add_piece(t, s, &s->pieces[i], line, 0);
            text_add(t, "\"/></g>\n");
        }
        if (k == 1 && sheet == 2) {
            text_printf(t, "<g id=\"notes-%s\">", line);
            begin_path(t, line, sheet);
            add_path(t, &s->note, NULL);
            text_add(t, "\"/></g>\n");
        }
        text_add(t, "</g>\n");
    }
    text_add(t, "</svg>\n");
}

static bool put(FileSet *files, const char *name, const Text *text)
{
    files->items[files->count++] = (FileBytes){name, text->bytes, text->size_bytes};
    return !text->failed;
}

// All forms but the first have files to print as well; nothing in them is read.
static bool put_prints(FileSet *files, Arena *keep)
{
    Text pdf = text_make(keep);
    text_add(&pdf, "%PDF-1.5\n%%EOF\n");
    return put(files, "sheets/sample-navy-print-8.5x11in.pdf", &pdf) && put(files, "sheets/sample-white-print-8.5x11in.pdf", &pdf);
}

static bool put_sheets(FileSet *files, const Sample *s, const char *form, Arena *keep)
{
    bool by_line = strcmp(form, "line") == 0, by_layer = strcmp(form, "layer") == 0, whole = true;
    for (int i = 0; i < 3; i++) {
        for (int k = 0; k < (by_line ? 2 : 1); k++) {
            Text text = text_make(keep);
            if (by_layer && i == 1) continue; // with the first
            if (by_line) write_line_file(&text, s, i, k == 0);
            else if (strcmp(form, "piece") == 0) write_grouped(&text, s, i);
            else write_file(&text, s, i, by_layer && i == 0 ? 1 : i, form);
            whole = put(files, by_line ? line_files[i][k] : file_of(i, form), &text) && whole;
        }
    }
    return whole;
}

bool sample_kit_for(const char *form, Arena *keep, FileSet *out)
{
    Sample *sample = arena_new(keep, Sample, 1);
    *out = (FileSet){.items = arena_new(keep, FileBytes, 10)};
    if (!sample || !out->items) return false;
    bool laps = strcmp(form, "lap") == 0;
    if (laps) form = "sheet";
    sample_make(sample, laps);
    Text kit = text_make(keep), plan = text_make(keep);
    write_kit(&kit, sample, form);
    text_add(&plan, "<?xml version=\"1.0\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 300 240\">"
                    "<text x=\"1\" y=\"2\">A1 &amp; A2</text></svg>\n");
    bool whole = put(out, "kit.json", &kit) && put(out, "key-plan.svg", &plan) && put_sheets(out, sample, form, keep);
    if (strcmp(form, "sheet") != 0) whole = put_prints(out, keep) && whole;
    files_sort(out);
    return whole;
}

bool sample_kit(Arena *keep, FileSet *out)
{
    return sample_kit_for("sheet", keep, out);
}
