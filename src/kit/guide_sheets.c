// guide_sheets.c - the sheet map: every sheet large enough to read, each piece named, boxes to tick.
#include "kit/guide_checks.h"
#include "kit/guide_part.h"
#include "kit/guide_sheet.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define TITLE_MM 6.5
#define BETWEEN_MM 6.0
#define LEAST_SCALE 0.22 // smaller drawings are hard to hold beside a real sheet ...
#define LEAST_LONG_MM 80.0 // ... but a large sheet of few pieces may be drawn this long
#define FEW_PIECES 8
#define LEAST_LIST_MM 10.0 // of the names below a drawing
#define LEAST_DRAWING_MM 30.0

typedef struct Grid {
    int columns, rows;
} Grid;

static const Letters TITLE = {10, true, {0.137, 0.125, 0.110}, CANVAS_FROM_LEFT};
static const Letters LIST = {8.5, false, {0.137, 0.125, 0.110}, CANVAS_FROM_LEFT};

static double cell_w(const Canvas *canvas, Grid grid)
{
    return (canvas->width_mm - (grid.columns - 1) * BETWEEN_MM) / grid.columns;
}

static double cell_h(const Canvas *canvas, Grid grid)
{
    return (canvas->bottom_mm - canvas->y_mm - (grid.rows - 1) * BETWEEN_MM) / grid.rows;
}

// Where the top of a piece points on its sheet, to the nearest eighth of a turn.
static const char *top_arrow(const DraftPiece *piece)
{
    static const char *const ARROWS[8] = {"\u2192", "\u2198", "\u2193", "\u2199", "\u2190", "\u2196", "\u2191", "\u2197"};
    double x = -piece->to_sheet[2], y = -piece->to_sheet[3]; // of length 1
    int best = 0;
    double most = -2;
    for (int k = 0; k < 8; k++) {
        static const double HALF = 0.70710678;
        static const double TO[8][2] = {{1, 0}, {HALF, HALF}, {0, 1}, {-HALF, HALF}, {-1, 0}, {-HALF, -HALF}, {0, -1}, {HALF, -HALF}};
        double along = x * TO[k][0] + y * TO[k][1];
        if (along <= most) continue;
        most = along;
        best = k;
    }
    return ARROWS[best];
}

// The edge of the sheet that the rest lies along and does not leave.
static const char *rest_side(const DraftSheet *sheet, const Paper *paper)
{
    const double *rest = sheet->rest_mm;
    if (rest[0] > 0.0 && rest[0] + rest[2] >= paper->width_mm) return "at the right";
    if (rest[1] > 0.0 && rest[1] + rest[3] >= paper->height_mm) return "at the bottom";
    return rest[0] + rest[2] < paper->width_mm && rest[0] <= 0.0 ? "at the left" : "at the top";
}

// What is left of the sheet and worth keeping.
static void add_rest(Text *text, const DraftSheet *sheet, const Paper *paper)
{
    if (!sheet->has_rest) return;
    text_add(text, "\nKeep what is left ");
    text_add(text, rest_side(sheet, paper));
    text_add(text, ": ");
    guide_tape_length(text, sheet->rest_mm[2]);
    text_add(text, " by ");
    guide_tape_length(text, sheet->rest_mm[3]);
    text_add(text, ".");
}

typedef struct Listed { // a piece of a sheet
    int piece, place; // in the draft, on the sheet
} Listed;

static int by_piece(const void *a, const void *b)
{
    const Listed *p = a, *q = b;
    return (p->piece > q->piece) - (p->piece < q->piece);
}

static Listed *listed_by_name(const DraftSheet *sheet, Arena *keep, Error *err)
{
    Listed *all = arena_new(keep, Listed, sheet->piece_count);
    if (!all) return error_memory(err), NULL;
    for (int i = 0; i < sheet->piece_count; i++) all[i] = (Listed){sheet->pieces[i], i};
    if (sheet->piece_count) qsort(all, (size_t)sheet->piece_count, sizeof *all, by_piece);
    return all;
}

// "Do not bin: C2, C5 lie in holes of C1; D3 lies in a hole of D1."
static void add_held(Text *text, const SheetDraft *view, const Listed *all, const int *host)
{
    const DraftPiece *pieces = view->draft.pieces;
    bool any = false;
    for (int h = 0; h < view->draft.piece_count; h++) {
        int held = 0;
        for (int i = 0; i < view->draft.piece_count; i++) {
            if (host[all[i].place] != all[h].place) continue;
            text_printf(text, "%s%s", held++ ? ", " : any ? "; " : "\nDo not bin: ", pieces[all[i].place].source->id);
            any = true;
        }
        if (held) text_printf(text, held > 1 ? " lie in holes of %s" : " lies in a hole of %s", pieces[all[h].place].source->id);
    }
    if (any) text_add(text, ".");
}

typedef struct List { // what stands below a drawing; the second way where a good place to stop comes after it
    const char *words, *with_stop;
} List;

// A box for each piece, pieces in holes, a rest.
static bool list_sheet(Guide *guide, int sheet, List *out, Error *err)
{
    const Draft *draft = guide->draft;
    SheetDraft view;
    int *host;
    if (!sheet_draft(draft, sheet, guide->keep, &view, err) || !sheet_hosts(&view, guide->keep, &host, err)) return false;
    Listed *all = listed_by_name(&draft->sheets[sheet], guide->keep, err);
    if (!all) return false;
    Text text = text_make(guide->keep), stop = text_make(guide->keep);
    for (int i = 0; i < view.draft.piece_count; i++) { // no-break space: a box stays with its name
        const DraftPiece *piece = &view.draft.pieces[all[i].place];
        text_printf(&text, "%s\u2610\u00a0%s\u00a0%s", i ? "   " : "", piece->source->id, piece->strip ? "" : top_arrow(piece)); // a strip has no top
    }
    add_held(&text, &view, all, host);
    add_rest(&text, &draft->sheets[sheet], &draft->input->papers[draft->sheets[sheet].paper].paper);
    out->words = guide_words(&text, err);
    if (!out->words) return false;
    text_printf(&stop, "%s\nA good place to stop, after about two hours.", out->words);
    out->with_stop = guide_words(&stop, err);
    return out->with_stop != NULL;
}

// One entry a sheet: pages are tried with several numbers of them.
static List *list_sheets(Guide *guide, Error *err)
{
    List *lists = arena_new(guide->keep, List, guide->draft->sheet_count);
    if (!lists) return error_memory(err), NULL;
    for (int s = 0; s < guide->draft->sheet_count; s++)
        if (!work_goes_on(guide->work, err) || !list_sheet(guide, s, &lists[s], err)) return NULL;
    return lists;
}

static double list_room_mm(Canvas *canvas, double width_mm, const char *words)
{
    return fmax(canvas_words_height(canvas, width_mm, LIST, words), LEAST_LIST_MM) + 2;
}

typedef struct Page { // what a page of such a grid would hold from a sheet on
    int most_pieces;
    double list_mm; // of the longest list below a drawing
} Page;

static Page look_ahead(Guide *guide, const List *lists, int sheet, Grid grid)
{
    const Draft *draft = guide->draft;
    const char *paper_id = draft->input->papers[draft->sheets[sheet].paper].paper.id;
    Page page = {0};
    for (int s = sheet; s < draft->sheet_count && s < sheet + grid.columns * grid.rows; s++) {
        if (strcmp(draft->input->papers[draft->sheets[s].paper].paper.id, paper_id) != 0) break;
        page.list_mm = fmax(page.list_mm, list_room_mm(&guide->canvas, cell_w(&guide->canvas, grid), lists[s].with_stop));
        if (draft->sheets[s].piece_count > page.most_pieces) page.most_pieces = draft->sheets[s].piece_count;
    }
    return page;
}

// The most sheets a page whose drawings are large enough; else the largest drawings.
static Grid choose_grid(Guide *guide, const List *lists, int sheet)
{
    static const Grid GRIDS[] = {{3, 2}, {2, 2}, {3, 1}, {1, 2}, {2, 1}, {1, 1}};
    const Paper *paper = &guide->draft->input->papers[guide->draft->sheets[sheet].paper].paper;
    double largest = 0, longer_mm = fmax(paper->width_mm, paper->height_mm);
    Grid best = GRIDS[0];
    for (size_t i = 0; i < sizeof GRIDS / sizeof GRIDS[0]; i++) {
        Page page = look_ahead(guide, lists, sheet, GRIDS[i]);
        double scale = map_sheet_scale(paper, cell_w(&guide->canvas, GRIDS[i]), cell_h(&guide->canvas, GRIDS[i]) - TITLE_MM - page.list_mm);
        bool is_large = scale >= LEAST_SCALE || (page.most_pieces <= FEW_PIECES && scale * longer_mm >= LEAST_LONG_MM);
        if (!is_large && scale <= largest * 1.02) continue; // hardly larger: more pages for nothing
        largest = scale;
        best = GRIDS[i];
        if (is_large) break;
    }
    return best;
}

static bool write_cell(Guide *guide, int sheet, const char *list, Frame frame, Error *err)
{
    const DraftSheet *from = &guide->draft->sheets[sheet];
    Canvas *canvas = &guide->canvas;
    Text title = text_make(guide->keep), time = text_make(guide->keep);
    text_printf(&title, "\u2610 %s %d of %d", guide->draft->input->papers[from->paper].colour_name, from->number,
                from->of);
    guide_time(&time, sheet_minutes(guide->draft, sheet));
    const char *words = guide_words(&title, err), *minutes = guide_words(&time, err);
    if (!words || !minutes) return false;
    canvas_words(canvas, frame.x, frame.y, frame.w, TITLE, words);
    canvas_words(canvas, frame.x, frame.y + 0.5, frame.w, (Letters){8, false, INK_GREY, CANVAS_FROM_RIGHT}, minutes);
    double list_mm = list_room_mm(canvas, frame.w, list);
    Frame drawing = {frame.x, frame.y + TITLE_MM, frame.w, fmax(frame.h - TITLE_MM - list_mm, LEAST_DRAWING_MM)};
    const Paper *paper = &guide->draft->input->papers[from->paper].paper;
    double drawn_h = paper->height_mm * map_sheet_scale(paper, drawing.w, drawing.h);
    if (!map_sheet(canvas, guide->draft, sheet, drawing, guide->keep, guide->work, err)) return false;
    canvas_words(canvas, frame.x, drawing.y + drawn_h + 1.5, frame.w, LIST, list);
    return true;
}

static const char *map_words(const Draft *draft)
{
    if (draft->input->options.cut_from_back)
        return "Peel a piece off, write its name on the side that lies up, its back, with an arrow to its top (below: where that is on the "
               "sheet), and tick it. Sheets lie as on the mat, face down; the names of their files have the same colour and number.";
    return "Peel a piece off, write its name on its back, with an arrow to its top (below: where that is on the sheet), and tick "
           "it. Sheets lie as on the mat, face up; the names of their files have the same colour and number.";
}

static bool begin_page(Guide *guide, const Paper *paper, bool first, bool first_of_size, Error *err)
{
    Text heading = text_make(guide->keep);
    text_printf(&heading, "Sheet map: %s", paper->id);
    const char *words = guide_words(&heading, err);
    if (!words) return false;
    canvas_page(&guide->canvas, words, first ? "Sheet map" : first_of_size ? words : NULL, first ? 0 : 1);
    canvas_words(
        &guide->canvas, CANVAS_LEFT_MM, guide->canvas.y_mm, guide->canvas.width_mm,
        (Letters){9, false, INK_GREY, CANVAS_FROM_LEFT}, map_words(guide->draft));
    guide->canvas.y_mm += 11;
    return true;
}

bool guide_sheet_map(Guide *guide, Error *err)
{
    const Draft *draft = guide->draft;
    double since_stop = 0;
    int cell = 0;
    Grid grid = {1, 1};
    List *lists = list_sheets(guide, err);
    if (!lists) return false;
    for (int s = 0; s < draft->sheet_count; s++) {
        const Paper *paper = &draft->input->papers[draft->sheets[s].paper].paper;
        bool first_of_size =
            s == 0 || strcmp(draft->input->papers[draft->sheets[s - 1].paper].paper.id, paper->id) != 0;
        if (!work_goes_on(guide->work, err)) return false;
        if (first_of_size || cell == grid.columns * grid.rows) {
            if (!begin_page(guide, paper, s == 0, first_of_size, err)) return false;
            grid = choose_grid(guide, lists, s);
            cell = 0;
        }
        since_stop += sheet_minutes(draft, s);
        bool stop = s + 1 < draft->sheet_count && since_stop + sheet_minutes(draft, s + 1) > GUIDE_STOP_MIN;
        if (stop) since_stop = 0;
        double w = cell_w(&guide->canvas, grid), h = cell_h(&guide->canvas, grid);
        Frame frame = {CANVAS_LEFT_MM + (cell % grid.columns) * (w + BETWEEN_MM),
                       guide->canvas.y_mm + (cell / grid.columns) * (h + BETWEEN_MM), w, h};
        if (!write_cell(guide, s, stop ? lists[s].with_stop : lists[s].words, frame, err)) return false;
        cell++;
    }
    return true;
}
