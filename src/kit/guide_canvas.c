// guide_canvas.c - see guide_canvas.h.
#include "kit/guide_canvas.h"

#include <cairo-pdf.h>
#include <pango/pangocairo.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FONT "DejaVu Sans"
#define MADE_ON "2000-01-01T00:00:00Z" // fixed: the same kit gives the same bytes on any day
#define PARAGRAPH_PT 10.0
#define PARAGRAPH_GAP_MM 1.4
#define INDENT_MM 7.0
#define BOX_MM 3.2 // to tick

const Ink INK_BLACK = {0.137, 0.125, 0.110}, INK_GREY = {0.42, 0.40, 0.37}, INK_PALE = {0.925, 0.910, 0.885},
          INK_WHITE = {1, 1, 1};

Ink ink_of(Srgb8 colour)
{
    return (Ink){colour.r / 255.0, colour.g / 255.0, colour.b / 255.0};
}

bool ink_is_light(Ink ink)
{
    return 0.299 * ink.r + 0.587 * ink.g + 0.114 * ink.b > 0.51;
}

// --- the document ---

// The text remembers that memory ran out; cairo is not told, since cairo 1.16 crashes when it cannot write its fonts.
static cairo_status_t take_bytes(void *closure, const unsigned char *bytes, unsigned int size)
{
    text_add_bytes(closure, bytes, size);
    return CAIRO_STATUS_SUCCESS;
}

static void describe(cairo_surface_t *surface, const char *title)
{
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, title);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "papermason " PM_VERSION);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, MADE_ON);
}

// Glyphs where the font puts them, not on whole points. A font map of our own: nothing is kept between calls.
static PangoLayout *make_layout(void)
{
    PangoFontMap *fonts = pango_cairo_font_map_new();
    PangoContext *context = pango_font_map_create_context(fonts);
    PangoLayout *layout = pango_layout_new(context);
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    pango_cairo_context_set_font_options(context, options);
    pango_cairo_context_set_resolution(context, 72);
    pango_context_set_round_glyph_positions(context, FALSE);
    pango_context_set_language(context, pango_language_from_string("en"));
    cairo_font_options_destroy(options);
    g_object_unref(context); // the layout holds both
    g_object_unref(fonts);
    return layout;
}

static void take_page_size(Canvas *canvas, KitPage page)
{
    switch (page) {
    case KIT_PAGE_LETTER: canvas->page_w_mm = 215.9, canvas->page_h_mm = 279.4; break;
    case KIT_PAGE_A4: canvas->page_w_mm = 210.0, canvas->page_h_mm = 297.0; break;
    }
    canvas->width_mm = canvas->page_w_mm - 2 * CANVAS_LEFT_MM;
    canvas->bottom_mm = canvas->page_h_mm - CANVAS_FOOT_MM;
}

bool canvas_create(const char *title, KitPage page, Arena *keep, Canvas *out, Error *err)
{
    *out = (Canvas){.bytes = text_make(keep), .foot = title, .running = ""};
    take_page_size(out, page);
    out->surface = cairo_pdf_surface_create_for_stream(take_bytes, &out->bytes, out->page_w_mm / CANVAS_MM_A_PT,
                                                       out->page_h_mm / CANVAS_MM_A_PT);
    cairo_pdf_surface_restrict_to_version(out->surface, CAIRO_PDF_VERSION_1_5);
    describe(out->surface, title);
    out->cr = cairo_create(out->surface);
    if (cairo_status(out->cr) != CAIRO_STATUS_SUCCESS) return error_memory(err);
    out->font = pango_font_description_from_string(FONT);
    out->layout = make_layout();
    cairo_scale(out->cr, 1 / CANVAS_MM_A_PT, 1 / CANVAS_MM_A_PT);
    return true;
}

void canvas_destroy(Canvas *canvas)
{
    if (canvas->layout) g_object_unref(canvas->layout);
    if (canvas->font) pango_font_description_free(canvas->font);
    if (canvas->cr) cairo_destroy(canvas->cr);
    if (canvas->surface) {
        cairo_surface_finish(canvas->surface); // writes into the bytes, which are still there
        cairo_surface_destroy(canvas->surface);
    }
    *canvas = (Canvas){0};
}

// The words' language belongs into the catalogue (ISO 32000-1, 14.9.2), which this cairo cannot write. It writes the
// catalogue as the last object, so that only the place of the table behind it changes. A file of another build is left
// alone.
static bool add_language(const Text *from, Arena *keep, Text *out, Error *err)
{
    static const char LANGUAGE[] = "\n   /Lang (en)", CATALOGUE[] = "<< /Type /Catalog", TABLE[] = "\nendobj\nxref\n",
                      START[] = "startxref\n";
    const char *end = from->bytes + from->size_bytes;
    const char *tail = end - (from->size_bytes < 262144 ? from->size_bytes : 262144);
    const char *catalogue = memmem(tail, (size_t)(end - tail), CATALOGUE, strlen(CATALOGUE));
    const char *table = catalogue ? memmem(catalogue, (size_t)(end - catalogue), TABLE, strlen(TABLE)) : NULL;
    const char *start = table ? memmem(table, (size_t)(end - table), START, strlen(START)) : NULL;
    *out = *from;
    if (!start || table - catalogue > 400 || memmem(catalogue + 2, (size_t)(table - catalogue), " obj\n", 5))
        return true;
    const char *insert = catalogue + strlen(CATALOGUE);
    *out = text_make(keep);
    text_add_bytes(out, from->bytes, (size_t)(insert - from->bytes));
    text_add(out, LANGUAGE);
    text_add_bytes(out, insert, (size_t)(start + strlen(START) - insert));
    text_printf(out, "%ld\n%%%%EOF\n", strtol(start + strlen(START), NULL, 10) + (long)strlen(LANGUAGE));
    return text_is_whole(out, err);
}

static void write_foot(Canvas *canvas)
{
    char words[32];
    snprintf(words, sizeof words, "%d", canvas->page);
    double y = canvas->bottom_mm + 4;
    canvas_words(canvas, CANVAS_LEFT_MM, y, canvas->width_mm, (Letters){8, false, INK_GREY, CANVAS_FROM_LEFT},
                 canvas->foot);
    canvas_words(canvas, CANVAS_LEFT_MM, y, canvas->width_mm, (Letters){8, false, INK_GREY, CANVAS_FROM_RIGHT}, words);
}

bool canvas_finish(Canvas *canvas, FileBytes *out, Error *err)
{
    if (canvas->page > 0) {
        write_foot(canvas);
        cairo_show_page(canvas->cr);
    }
    cairo_surface_finish(canvas->surface);
    if (!text_is_whole(&canvas->bytes, err)) return false;
    cairo_status_t drawing = cairo_status(canvas->cr), writing = cairo_surface_status(canvas->surface);
    if (drawing == CAIRO_STATUS_NO_MEMORY || writing == CAIRO_STATUS_NO_MEMORY) return error_memory(err);
    if (drawing != CAIRO_STATUS_SUCCESS || writing != CAIRO_STATUS_SUCCESS)
        return error_set(err, ERROR_SYSTEM, "a PDF could not be written: %s; please report this",
                         cairo_status_to_string(drawing != CAIRO_STATUS_SUCCESS ? drawing : writing));
    Text whole;
    if (!add_language(&canvas->bytes, canvas->bytes.arena, &whole, err)) return false;
    out->bytes = whole.bytes;
    out->size_bytes = whole.size_bytes;
    return true;
}

void canvas_page(Canvas *canvas, const char *heading, const char *bookmark, int depth)
{
    if (canvas->page > 0) {
        write_foot(canvas);
        cairo_show_page(canvas->cr);
    }
    canvas->page++;
    canvas->running = heading;
    canvas->y_mm = CANVAS_TOP_MM;
    if (heading[0])
        canvas->y_mm += canvas_words(canvas, CANVAS_LEFT_MM, CANVAS_TOP_MM, canvas->width_mm,
                                     (Letters){17, true, INK_BLACK, CANVAS_FROM_LEFT}, heading) +
                        2;
    if (!bookmark) return;
    static const int ROOT = CAIRO_PDF_OUTLINE_ROOT;
    char place[32];
    snprintf(place, sizeof place, "page=%d", canvas->page);
    int parent = depth > 0 ? canvas->bookmark : ROOT;
    int made = cairo_pdf_surface_add_outline(canvas->surface, parent, bookmark, place, CAIRO_PDF_OUTLINE_FLAG_OPEN);
    if (depth == 0) canvas->bookmark = made;
}

// --- words ---

static void set_words(Canvas *canvas, double width_mm, Letters letters, const char *words)
{
    static const PangoAlignment ALIGN[] = {PANGO_ALIGN_LEFT, PANGO_ALIGN_CENTER, PANGO_ALIGN_RIGHT};
    pango_font_description_set_absolute_size(canvas->font, letters.pt * PANGO_SCALE);
    pango_font_description_set_weight(canvas->font, letters.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_layout_set_font_description(canvas->layout, canvas->font);
    pango_layout_set_width(canvas->layout, width_mm > 0 ? (int)(width_mm / CANVAS_MM_A_PT * PANGO_SCALE) : -1);
    pango_layout_set_wrap(canvas->layout, PANGO_WRAP_WORD_CHAR);
    pango_layout_set_alignment(canvas->layout, ALIGN[letters.align]);
    pango_layout_set_text(canvas->layout, words, -1);
}

static double layout_mm(Canvas *canvas, bool height)
{
    int w, h;
    pango_layout_get_size(canvas->layout, &w, &h);
    return (height ? h : w) * CANVAS_MM_A_PT / PANGO_SCALE;
}

static void show(Canvas *canvas, double x_mm, double y_mm, Ink ink)
{
    cairo_save(canvas->cr);
    cairo_translate(canvas->cr, x_mm, y_mm);
    cairo_scale(canvas->cr, CANVAS_MM_A_PT, CANVAS_MM_A_PT);
    cairo_set_source_rgb(canvas->cr, ink.r, ink.g, ink.b);
    pango_cairo_show_layout(canvas->cr, canvas->layout);
    cairo_restore(canvas->cr);
}

double canvas_words(Canvas *canvas, double x_mm, double y_mm, double width_mm, Letters letters, const char *words)
{
    set_words(canvas, width_mm, letters, words);
    double before = 0;
    if (width_mm <= 0 && letters.align != CANVAS_FROM_LEFT)
        before = layout_mm(canvas, false) * (letters.align == CANVAS_CENTRED ? 0.5 : 1);
    show(canvas, x_mm - before, y_mm, letters.ink);
    return layout_mm(canvas, true);
}

double canvas_words_height(Canvas *canvas, double width_mm, Letters letters, const char *words)
{
    set_words(canvas, width_mm, letters, words);
    return layout_mm(canvas, true);
}

double canvas_words_width(Canvas *canvas, Letters letters, const char *words)
{
    set_words(canvas, 0, letters, words);
    return layout_mm(canvas, false);
}

// Digits and capitals stand 0.73 of the size over the baseline: that is what is centred.
void canvas_name(Canvas *canvas, double x_mm, double y_mm, double size_mm, Ink ink, const char *name)
{
    set_words(canvas, 0, (Letters){size_mm / CANVAS_MM_A_PT, true, ink, CANVAS_FROM_LEFT}, name);
    double baseline = pango_layout_get_baseline(canvas->layout) * CANVAS_MM_A_PT / PANGO_SCALE;
    show(canvas, x_mm - layout_mm(canvas, false) / 2, y_mm + 0.365 * size_mm - baseline, ink);
}

// --- the flow ---

void canvas_need(Canvas *canvas, double height_mm)
{
    if (canvas->y_mm + height_mm > canvas->bottom_mm) canvas_page(canvas, canvas->running, NULL, 0);
}

void canvas_space(Canvas *canvas, double height_mm)
{
    canvas->y_mm += height_mm;
}

static void flow(Canvas *canvas, double indent_mm, const char *front, Letters letters, const char *words)
{
    double width = canvas->width_mm - indent_mm;
    canvas_need(canvas, canvas_words_height(canvas, width, letters, words));
    double y = canvas->y_mm;
    if (indent_mm > 0 && front)
        canvas_words(canvas, CANVAS_LEFT_MM, y, 0, (Letters){letters.pt, true, letters.ink, CANVAS_FROM_LEFT}, front);
    else if (indent_mm > 0)
        canvas_box(canvas, CANVAS_LEFT_MM, y + 0.5, BOX_MM, BOX_MM, 0.25, INK_BLACK);
    canvas->y_mm += canvas_words(canvas, CANVAS_LEFT_MM + indent_mm, y, width, letters, words) + PARAGRAPH_GAP_MM;
}

void canvas_head(Canvas *canvas, const char *words)
{
    canvas_need(canvas, 32); // never with a line or two at the bottom
    canvas->y_mm += 2.5;
    flow(canvas, 0, NULL, (Letters){12, true, INK_BLACK, CANVAS_FROM_LEFT}, words);
}

void canvas_paragraph(Canvas *canvas, const char *words)
{
    flow(canvas, 0, NULL, (Letters){PARAGRAPH_PT, false, INK_BLACK, CANVAS_FROM_LEFT}, words);
}

void canvas_item(Canvas *canvas, const char *front, const char *words)
{
    flow(canvas, INDENT_MM, front, (Letters){PARAGRAPH_PT, false, INK_BLACK, CANVAS_FROM_LEFT}, words);
}

double canvas_item_height(Canvas *canvas, const char *words)
{
    return canvas_words_height(canvas, canvas->width_mm - INDENT_MM,
                               (Letters){PARAGRAPH_PT, false, INK_BLACK, CANVAS_FROM_LEFT}, words) +
           PARAGRAPH_GAP_MM;
}

// --- strokes and fills ---

void canvas_ink(Canvas *canvas, Ink ink, double alpha)
{
    cairo_set_source_rgba(canvas->cr, ink.r, ink.g, ink.b, alpha);
}

void canvas_line(Canvas *canvas, double x0, double y0, double x1, double y1, double width_mm, Ink ink)
{
    cairo_move_to(canvas->cr, x0, y0);
    cairo_line_to(canvas->cr, x1, y1);
    cairo_set_line_width(canvas->cr, width_mm);
    canvas_ink(canvas, ink, 1);
    cairo_stroke(canvas->cr);
}

void canvas_box(Canvas *canvas, double x, double y, double w, double h, double width_mm, Ink ink)
{
    cairo_rectangle(canvas->cr, x, y, w, h);
    cairo_set_line_width(canvas->cr, width_mm);
    canvas_ink(canvas, ink, 1);
    cairo_stroke(canvas->cr);
}

void canvas_swatch(Canvas *canvas, double x, double y, double w, double h, Ink fill)
{
    cairo_rectangle(canvas->cr, x, y, w, h);
    canvas_ink(canvas, fill, 1);
    cairo_fill_preserve(canvas->cr);
    cairo_set_line_width(canvas->cr, 0.15);
    canvas_ink(canvas, INK_BLACK, 1);
    cairo_stroke(canvas->cr);
}
