// print_sheet.c - see print_sheet.h.
#include "kit/print_sheet.h"

#include "base/length.h"
#include "kit/guide_canvas.h"
#include "kit/guide_paths.h"
#include "kit/print_places.h"
#include "kit/sheet_files.h"

#include <cairo-pdf.h>
#include <math.h>
#include <stdio.h>

#define LINE_MM 0.2
#define DASH_MM 2.0
#define DASH_GAP_MM 1.0
#define MARGIN_PT 6.0        // letters outside the usable box: its margin is a quarter of an inch, of which printers reach half
#define MARGIN_HIGH_MM 2.5   // of a line of them
#define SMALL_PAGE_MM 100.0  // narrower pages get smaller words

static const Ink SCORE = {0xb4 / 255.0, 0x58 / 255.0, 0x1a / 255.0}, PEN = {0x2f / 255.0, 0x6f / 255.0, 0x5e / 255.0};

typedef struct Print {
    const Draft *draft;
    int paper;
    const Paper *size;
    double box_mm[4];
    Canvas canvas;
    Arena *keep;
    int page;
} Print;

bool print_name(const KitInput *input, int paper, char out[240])
{
    char stem[160];
    const Paper *size = &input->papers[paper].paper;
    if (input->options.formats & KIT_WITHOUT_PDF) return false;
    if (size->width_mm > PRINT_MOST_MM || size->height_mm > PRINT_MOST_MM) return false;
    sheet_files_stem(input, paper, stem);
    snprintf(out, 240, "%s-print-%.32s.pdf", stem, size->id);
    return true;
}

// --- pages ---

static void begin_page(Print *print, const char *bookmark)
{
    char place[32];
    if (print->page > 0) cairo_show_page(print->canvas.cr);
    print->page++;
    snprintf(place, sizeof place, "page=%d", print->page);
    cairo_pdf_surface_add_outline(print->canvas.surface, CAIRO_PDF_OUTLINE_ROOT, bookmark, place, 0);
}

// The first of the texts that fits into the margin's width, or the last.
static void margin_words(Print *print, double y_mm, const char *const *texts, int count)
{
    Letters letters = {MARGIN_PT, false, INK_BLACK, CANVAS_FROM_LEFT};
    int i = 0;
    while (i + 1 < count && canvas_words_width(&print->canvas, letters, texts[i]) > print->box_mm[2]) i++;
    canvas_words(&print->canvas, print->box_mm[0], y_mm, 0, letters, texts[i]);
}

static void write_margins(Print *print, const DraftSheet *sheet)
{
    char whole[384], part[192];
    const KitInput *input = print->draft->input;
    snprintf(part, sizeof part, "%s: sheet %d of %d", sheet->id, sheet->number, sheet->of);
    snprintf(whole, sizeof whole, "%s of %s on %s, %.120s", part, input->papers[print->paper].colour_name, print->size->id, input->name);
    const char *above[] = {whole, part},
               *below[] = {"Print at 100 %, no fitting to page. Black lines: cut out. Lines in colour: where the next layer goes; not cut.",
                           "Print at 100 %, no fitting to page. Cut the black lines alone.", "100 %, no fitting to page"};
    margin_words(print, print->box_mm[1] - MARGIN_HIGH_MM, above, 2);
    margin_words(print, print->box_mm[1] + print->box_mm[3], below, 3);
}

// --- what is drawn ---

// Lines whose middles are at the true size.
static void draw_squares(Print *print, double x, double y, bool large)
{
    Canvas *canvas = &print->canvas;
    double inset = large ? PRINT_INCH_INSET_MM : 0, words = x + inset + 1;
    Letters letters = {7, false, INK_GREY, CANVAS_FROM_LEFT};
    canvas_box(canvas, x + inset, y + inset, MM_PER_INCH, MM_PER_INCH, LINE_MM, INK_GREY);
    canvas_words(canvas, words, y + inset + 1, 0, letters, "1 in");
    if (!large) return;
    canvas_box(canvas, x, y, PRINT_SQUARE_MM, PRINT_SQUARE_MM, LINE_MM, INK_GREY);
    canvas_words(canvas, x + inset + 1, y + inset + MM_PER_INCH + 3, PRINT_SQUARE_MM - inset - 2, letters,
                 "50 mm\nMeasure both squares before you cut.");
}

static void stroke(Print *print, const Path *path, const double matrix[6], Ink ink, bool dashed)
{
    static const double DASHES[2] = {DASH_MM, DASH_GAP_MM};
    cairo_t *cr = print->canvas.cr;
    paths_trace(&print->canvas, path, matrix);
    cairo_set_line_width(cr, LINE_MM);
    cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
    cairo_set_dash(cr, DASHES, dashed ? 2 : 0, 0);
    canvas_ink(&print->canvas, ink, 1);
    cairo_stroke(cr);
    cairo_set_dash(cr, DASHES, 0, 0);
}

// Its name is written in letters of a font instead.
static void draw_marks(Print *print, const DraftPiece *piece)
{
    for (int m = 0; m < piece->mark_count; m++) {
        const Mark *mark = piece->marks[m];
        if (mark->kind == MARK_LABEL) continue;
        bool dashed = mark->line == MARK_SCORE && mark->kind == MARK_PLACEMENT; // ticks and letters would fall to bits
        Ink ink = mark->line == MARK_SCORE ? SCORE : mark->line == MARK_PEN ? PEN : INK_BLACK;
        stroke(print, &mark->path, piece->to_sheet, ink, dashed);
    }
}

static void write_name(Print *print, const PrintName *name, const char *id)
{
    cairo_t *cr = print->canvas.cr;
    const cairo_matrix_t upwards = {.xx = 0, .yx = -1, .xy = 1, .yy = 0, .x0 = name->x_mm, .y0 = name->y_mm};
    Ink ink = name->kind == PRINT_NAME_INSIDE ? INK_GREY : INK_BLACK;
    cairo_save(cr);
    if (name->upright) cairo_transform(cr, &upwards);
    canvas_name(&print->canvas, name->upright ? 0 : name->x_mm, name->upright ? 0 : name->y_mm, name->size_mm, ink, id);
    cairo_restore(cr);
    if (name->has_leader)
        canvas_line(&print->canvas, name->from_mm[0], name->from_mm[1], name->to_mm[0], name->to_mm[1], LINE_MM / 2, INK_GREY);
}

static void draw_sheet(Print *print, const DraftSheet *sheet, const PrintPlaces *places)
{
    begin_page(print, sheet->id);
    write_margins(print, sheet);
    if (places->has_squares) draw_squares(print, places->squares_mm[0], places->squares_mm[1], true);
    for (int i = 0; i < sheet->piece_count; i++) {
        const DraftPiece *piece = &print->draft->pieces[sheet->pieces[i]];
        draw_marks(print, piece);
        stroke(print, &piece->outline, piece->to_sheet, INK_BLACK, false);
        write_name(print, &places->names[i], piece->source->id);
    }
}

// Words over squares, within the usable box.
static void draw_first_page(Print *print, const char *title)
{
    Canvas *canvas = &print->canvas;
    bool small = print->box_mm[2] < SMALL_PAGE_MM, large = print->box_mm[2] >= PRINT_SQUARE_MM && print->box_mm[3] >= 1.8 * PRINT_SQUARE_MM;
    double x = print->box_mm[0], y = print->box_mm[1], w = print->box_mm[2];
    begin_page(print, "Print this page first");
    y += canvas_words(canvas, x, y, w, (Letters){small ? 9 : 17, true, INK_BLACK, CANVAS_FROM_LEFT}, "Print this page first: measure") + 1;
    y += canvas_words(canvas, x, y, w, (Letters){small ? 6 : 10, false, INK_GREY, CANVAS_FROM_LEFT}, title) + 2;
    if (print->box_mm[1] + print->box_mm[3] - y >= (large ? PRINT_SQUARE_MM : MM_PER_INCH)) {
        draw_squares(print, x + 1, y, large);
        y += (large ? PRINT_SQUARE_MM : MM_PER_INCH) + 3;
    }
    Letters letters = {small ? 6 : 10, false, INK_BLACK, CANVAS_FROM_LEFT};
    const char *words = "Any paper of this size will do for this page. Are both squares as large as they say, each way? If not, choose 100 % (or: "
                        "actual size) in the printer's window, and no fitting to the page.\n\n"
                        "Then print the sheets on the paper itself, or, where it is too dark for black lines, on plain paper that you fix on top. Cut along the black lines, "
                        "holes before outer edges. Lines in colour are not cut: they show where the next layer goes, or belong to the "
                        "picture. Names stand where the next layer covers them, or beside the piece with a line to it.";
    if (y + canvas_words_height(canvas, w, letters, words) <= print->box_mm[1] + print->box_mm[3])
        canvas_words(canvas, x, y, w, letters, words);
}

// --- the file ---

static bool make_pages(Print *print, const char *title, Work *work, Error *err)
{
    const Draft *draft = print->draft;
    int count = 0;
    bool all_have_squares = true;
    PrintPlaces *places = arena_new(print->keep, PrintPlaces, draft->sheet_count);
    if (!places) return error_memory(err);
    for (int s = 0; s < draft->sheet_count; s++) {
        if (draft->sheets[s].paper != print->paper) continue;
        if (!work_goes_on(work, err) || !print_places_find(draft, s, print->keep, work, &places[s], err)) return false;
        all_have_squares = all_have_squares && places[s].has_squares;
        count++;
    }
    if (!all_have_squares || count == 0) draw_first_page(print, title);
    for (int s = 0; s < draft->sheet_count; s++) {
        if (draft->sheets[s].paper != print->paper) continue;
        if (!work_goes_on(work, err)) return false;
        draw_sheet(print, &draft->sheets[s], &places[s]);
    }
    cairo_show_page(print->canvas.cr);
    return true;
}

bool print_paper(const Draft *draft, int paper, Arena *keep, Work *work, FileBytes *out, Error *err)
{
    char name[240];
    const KitPaper *kit_paper = &draft->input->papers[paper];
    Print print = {.draft = draft, .paper = paper, .size = &kit_paper->paper, .keep = keep};
    Text title = text_make(keep);
    text_printf(&title, "%s: %s on %s, sheets to print", draft->input->name, kit_paper->colour_name, print.size->id);
    if (!text_is_whole(&title, err) || !print_name(draft->input, paper, name)) return false;
    paper_usable(print.size, print.box_mm);
    *out = (FileBytes){.name = arena_text(keep, name)};
    if (!out->name) return error_memory(err);
    bool done = canvas_create(title.bytes, KIT_PAGE_LETTER, keep, &print.canvas, err); // the page takes the paper's size next
    if (done) {
        cairo_pdf_surface_set_size(print.canvas.surface, print.size->width_mm / CANVAS_MM_A_PT, print.size->height_mm / CANVAS_MM_A_PT);
        done = make_pages(&print, title.bytes, work, err) && canvas_finish(&print.canvas, out, err);
    }
    canvas_destroy(&print.canvas);
    if (!done) *out = (FileBytes){0};
    return done;
}
