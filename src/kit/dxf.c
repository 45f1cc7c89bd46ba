// dxf.c - see dxf.h.
#include "kit/dxf.h"

#include "base/text.h"
#include "kit/biarc.h"
#include "kit/sheet_files.h"

#define DECIMALS 4

typedef struct Drawing {
    Text text;
    Arena *keep;
    double height_mm;       // of the sheet: y goes up here
    const char *layer;
} Drawing;

static void word(Text *text, int group, const char *value)
{
    text_printf(text, "%3d\r\n%s\r\n", group, value);
}

static void whole(Text *text, int group, int value)
{
    text_printf(text, "%3d\r\n%6d\r\n", group, value);
}

static void number(Text *text, int group, double value, int decimals)
{
    text_printf(text, "%3d\r\n", group);
    text_number(text, value, decimals);
    text_add(text, "\r\n");
}

static const char *layer_word(MarkLine line)
{
    switch (line) {
    case MARK_CUT: return "CUT";
    case MARK_SCORE: return "SCORE";
    case MARK_PEN: return "PEN";
    }
    return "";
}

// Colours of the format's own table: 7 = black or white, 1 = red, 3 = green.
static int layer_colour(MarkLine line)
{
    return line == MARK_CUT ? 7 : line == MARK_SCORE ? 1 : 3;
}

// ---- head ----

static void add_header(Text *text, const Paper *paper)
{
    word(text, 0, "SECTION"), word(text, 2, "HEADER");
    word(text, 9, "$ACADVER"), word(text, 1, "AC1009");
    word(text, 9, "$INSUNITS"), whole(text, 70, 4); // millimetres
    word(text, 9, "$EXTMIN"), number(text, 10, 0, 1), number(text, 20, 0, 1), number(text, 30, 0, 1);
    word(text, 9, "$EXTMAX"), number(text, 10, paper->width_mm, DECIMALS), number(text, 20, paper->height_mm, DECIMALS), number(text, 30, 0, 1);
    word(text, 0, "ENDSEC");
}

static void add_tables(Text *text, const bool has[3])
{
    static const MarkLine LINES[] = {MARK_CUT, MARK_SCORE, MARK_PEN};
    word(text, 0, "SECTION"), word(text, 2, "TABLES");
    word(text, 0, "TABLE"), word(text, 2, "LTYPE"), whole(text, 70, 1);
    word(text, 0, "LTYPE"), word(text, 2, "CONTINUOUS"), whole(text, 70, 0), word(text, 3, "Solid line"), whole(text, 72, 65), whole(text, 73, 0), number(text, 40, 0, 1);
    word(text, 0, "ENDTAB");
    word(text, 0, "TABLE"), word(text, 2, "LAYER"), whole(text, 70, 4);
    word(text, 0, "LAYER"), word(text, 2, "0"), whole(text, 70, 0), whole(text, 62, 7), word(text, 6, "CONTINUOUS");
    for (int k = 0; k < 3; k++) {
        if (!has[k]) continue;
        word(text, 0, "LAYER"), word(text, 2, layer_word(LINES[k])), whole(text, 70, 0), whole(text, 62, layer_colour(LINES[k])), word(text, 6, "CONTINUOUS");
    }
    word(text, 0, "ENDTAB"), word(text, 0, "ENDSEC");
}

// ---- lines ----

static void add_vertex(Drawing *d, const double p[2], double bulge)
{
    word(&d->text, 0, "VERTEX"), word(&d->text, 8, d->layer);
    number(&d->text, 10, p[0], DECIMALS), number(&d->text, 20, d->height_mm - p[1], DECIMALS), number(&d->text, 30, 0, 1);
    if (bulge != 0) number(&d->text, 42, bulge, 9);
}

static bool add_run(void *context, const SheetRun *run, Error *err)
{
    Drawing *d = context;
    BowList bows = {0};
    for (int i = 0; i < run->count; i++)
        if (!biarc_add(&run->curves[i], DXF_NEAR_MM, d->keep, &bows, err)) return false;
    word(&d->text, 0, "POLYLINE"), word(&d->text, 8, d->layer), whole(&d->text, 66, 1);
    number(&d->text, 10, 0, 1), number(&d->text, 20, 0, 1), number(&d->text, 30, 0, 1), whole(&d->text, 70, run->closed ? 1 : 0);
    for (size_t i = 0; i < bows.count; i++) add_vertex(d, bows.items[i].from, -bows.items[i].bulge); // y up turns the other way
    if (!run->closed) add_vertex(d, bows.items[bows.count - 1].to, 0);
    word(&d->text, 0, "SEQEND"), word(&d->text, 8, d->layer);
    return true;
}

bool dxf_sheet(const Draft *draft, int index, Arena *keep, FileBytes *out, Error *err)
{
    static const MarkLine LINES[] = {MARK_CUT, MARK_SCORE, MARK_PEN}, ORDER[] = {MARK_PEN, MARK_SCORE, MARK_CUT};
    const DraftSheet *sheet = &draft->sheets[index];
    const Paper *paper = &draft->input->papers[sheet->paper].paper;
    Drawing d = {text_make(keep), keep, paper->height_mm, ""};
    bool has[3];
    char name[240];
    for (int k = 0; k < 3; k++) has[k] = sheet_has_line(draft, sheet, LINES[k]);
    add_header(&d.text, paper);
    add_tables(&d.text, has);
    word(&d.text, 0, "SECTION"), word(&d.text, 2, "ENTITIES");
    for (int k = 0; k < 3; k++) {
        d.layer = layer_word(ORDER[k]);
        if (!sheet_lines_visit(draft, sheet, ORDER[k], keep, add_run, &d, err)) return false;
    }
    word(&d.text, 0, "ENDSEC"), word(&d.text, 0, "EOF");
    sheet_copy_name(draft, sheet, "dxf", name);
    if (!text_is_whole(&d.text, err)) return false;
    *out = (FileBytes){arena_text(keep, name), d.text.bytes, d.text.size_bytes};
    return out->name || error_memory(err);
}
