// guide_canvas.h - the guide's paper: letter or A4 pages of a PDF, words and headings on them, a flow from page to page.
// Units:   millimetres from the page's top left corner; sizes of letters in points.
// Memory:  owns what cairo and pango hold (canvas_destroy frees it, whatever happened before); the PDF's bytes grow in the
//          arena given. A Canvas must not move after canvas_create: cairo writes into it.
// Errors:  cairo remembers the first thing that goes wrong; canvas_finish says it.
// Source:  page sizes: ANSI/ASME Y14.1 (A) and ISO 216 (A4).
// Bytes:   no clock; the font is DejaVu Sans (what fontconfig puts in its place where it is missing).
#ifndef PM_KIT_GUIDE_CANVAS_H
#define PM_KIT_GUIDE_CANVAS_H

#include "base/files.h"
#include "base/text.h"
#include "base/work.h"
#include "kit/kit.h"
#include "separation/colour.h"

struct _cairo;                  // as cairo and pango call them: who draws includes <cairo.h>
struct _cairo_surface;
struct _PangoLayout;
struct _PangoFontDescription;

#define CANVAS_LEFT_MM 15.0     // of what is written, also on the right
#define CANVAS_TOP_MM 14.0
#define CANVAS_FOOT_MM 15.4     // below the flow: the foot stands there
#define CANVAS_MM_A_PT (25.4 / 72.0)

typedef struct Ink { double r, g, b; } Ink;
extern const Ink INK_BLACK, INK_GREY, INK_PALE, INK_WHITE;
Ink ink_of(Srgb8 colour);
bool ink_is_light(Ink ink);

typedef struct Canvas {
    struct _cairo_surface *surface;
    struct _cairo *cr;
    struct _PangoLayout *layout;
    struct _PangoFontDescription *font;
    Text bytes;
    const char *foot;       // stands below each page, before its number
    const char *running;    // heading of the section; comes again when the flow goes on to a new page
    int page;               // 0 = none yet
    int bookmark;           // the last one of depth 0
    double page_w_mm, page_h_mm;
    double width_mm;        // between the margins
    double bottom_mm;       // the flow ends here
    double y_mm;            // where the flow goes on
} Canvas;

MUST_USE bool canvas_create(const char *title, KitPage page, Arena *keep, Canvas *out, Error *err);
MUST_USE bool canvas_finish(Canvas *canvas, FileBytes *out, Error *err);    // out's name is left as it is
void canvas_destroy(Canvas *canvas);    // also after a failed canvas_create, and twice

// A new page with a heading. `bookmark` at depth 1 stands below the last one of depth 0; NULL = none.
void canvas_page(Canvas *canvas, const char *heading, const char *bookmark, int depth);

typedef enum CanvasAlign { CANVAS_FROM_LEFT, CANVAS_CENTRED, CANVAS_FROM_RIGHT } CanvasAlign;

typedef struct Letters {
    double pt;
    bool bold;
    Ink ink;
    CanvasAlign align;      // within the width, or about x when the width is 0
} Letters;

// Words with their top at y, in a column of that width (0 = one line); gives the height in mm.
double canvas_words(Canvas *canvas, double x_mm, double y_mm, double width_mm, Letters letters, const char *words);
double canvas_words_height(Canvas *canvas, double width_mm, Letters letters, const char *words);
double canvas_words_width(Canvas *canvas, Letters letters, const char *words);
// A short name with its middle at (x, y); `size_mm` as in SVG's font-size.
void canvas_name(Canvas *canvas, double x_mm, double y_mm, double size_mm, Ink ink, const char *name);

// --- the flow ---

void canvas_need(Canvas *canvas, double height_mm);     // goes on to a new page where less is left
void canvas_space(Canvas *canvas, double height_mm);
void canvas_head(Canvas *canvas, const char *words);    // a heading within a page
void canvas_paragraph(Canvas *canvas, const char *words);
// A paragraph with something in front: a box to tick (NULL), a number or a dot.
void canvas_item(Canvas *canvas, const char *front, const char *words);
double canvas_item_height(Canvas *canvas, const char *words);

// --- strokes and fills ---

void canvas_ink(Canvas *canvas, Ink ink, double alpha);
void canvas_line(Canvas *canvas, double x0, double y0, double x1, double y1, double width_mm, Ink ink);
void canvas_box(Canvas *canvas, double x, double y, double w, double h, double width_mm, Ink ink);
void canvas_swatch(Canvas *canvas, double x, double y, double w, double h, Ink fill);

#endif
