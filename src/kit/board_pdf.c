// board_pdf.c - see board_pdf.h.
#include "kit/board_pdf.h"

#include "base/length.h"
#include "kit/guide_checks.h"
#include "kit/guide_map.h"
#include "kit/guide_paths.h"

#include <cairo.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define MARGIN_MM 12.0      // printers reach this far
#define LAP_MM 5.0          // beyond the crosses on every side
#define CROSS_MM 4.0
#define LINE_MM 0.3
#define MAP_MM 130.0
#define SQUARE_MM 50.0
#define ON_JOINT_UM 3       // an edge this near its panel's cell is one of its straight sides

static const Ink PALE = {0.955, 0.945, 0.925};

typedef struct Sheets {
    const Draft *draft;
    const Board *board;
    Canvas canvas;
    Arena *keep;
    Work *work;
    double step_mm[2];      // between crosses
} Sheets;

// ---- the first page ----

static void draw_joints(Canvas *canvas, const Board *board, const double m[6])
{
    for (int i = 0; i < board->joint_count; i++) {
        Point a = board->joints[i].from, b = board->joints[i].to;
        canvas_line(canvas, m[0] * a.x / UM_PER_MM + m[4], m[3] * a.y / UM_PER_MM + m[5], m[0] * b.x / UM_PER_MM + m[4],
                    m[3] * b.y / UM_PER_MM + m[5], 0.5, INK_BLACK);
    }
}

static void draw_seams(Canvas *canvas, const Draft *draft, const double m[6])
{
    static const double DASHES[2] = {1.0, 0.8};
    cairo_set_dash(canvas->cr, DASHES, 2, 0);
    for (int s = 0; s < draft->seam_count && draft->seams[s].layer == 0; s++) {
        cairo_new_path(canvas->cr);
        paths_trace(canvas, &draft->seams[s].path, m);
        canvas_ink(canvas, INK_GREY, 1);
        cairo_set_line_width(canvas->cr, 0.25);
        cairo_stroke(canvas->cr);
    }
    cairo_set_dash(canvas->cr, NULL, 0, 0);
}

static void draw_map(Sheets *s, double top)
{
    const Stack *stack = s->draft->input->stack;
    Canvas *canvas = &s->canvas;
    double scale = fmin(canvas->width_mm / stack->width_mm, MAP_MM / stack->height_mm);
    const double m[6] = {scale, 0, 0, scale, CANVAS_LEFT_MM + (canvas->width_mm - scale * stack->width_mm) / 2, top};
    paths_fill(canvas, &s->draft->layers[0].outline, m, PALE, INK_GREY);
    for (int i = 0; i < s->board->panel_count; i++) {
        cairo_new_path(canvas->cr);
        paths_rings(canvas, &s->board->panels[i].rings, m);
        paths_paint(canvas, INK_WHITE, INK_BLACK, 0.3);
    }
    draw_seams(canvas, s->draft, m);
    draw_joints(canvas, s->board, m);
    for (int i = 0; i < s->board->panel_count; i++) {
        Box box = s->board->panels[i].box;
        double x = ((double)box.min.x + box.max.x) / 2 / UM_PER_MM, y = ((double)box.min.y + box.max.y) / 2 / UM_PER_MM;
        canvas_name(canvas, m[0] * x + m[4], m[3] * y + m[5], 4.5, INK_BLACK, s->board->panels[i].id);
    }
}

static bool say(Sheets *s, const Text *text, const char *front, Error *err)
{
    if (!text_is_whole(text, err)) return false;
    if (front) canvas_item(&s->canvas, front, text->bytes);
    else canvas_paragraph(&s->canvas, text->bytes);
    return true;
}

static bool write_first(Sheets *s, Error *err)
{
    Canvas *canvas = &s->canvas;
    const Board *board = s->board;
    Text about = text_make(s->keep);
    text_printf(&about, "%d panel%s from boards of ", board->panel_count, board->panel_count == 1 ? "" : "s");
    guide_tape_length(&about, board->size_mm[0]);
    text_add(&about, " by ");
    guide_tape_length(&about, board->size_mm[1]);
    text_add(&about, ", ");
    guide_tape_length(&about, BOARD_INSET_MM);
    text_add(&about, " inside the edge of the base all round, so that nothing of it is seen. Lines: joints of the board; dashes: seams of the base, which "
                     "lie elsewhere. Seen from the front.");
    canvas_page(canvas, "Backing board", "Backing board", 0);
    if (!say(s, &about, NULL, err)) return false;
    if (board->along_mm >= 1.0) {
        Text along = text_make(s->keep);
        text_add(&along, "Along its joints ");
        guide_tape_length(&along, board->along_mm);
        text_add(&along, " of seam of the base run nearer than 2 in (51 mm): there it can bend. Glue a wide strip of board over the joint.");
        if (!say(s, &along, NULL, err)) return false;
    }
    draw_map(s, canvas->y_mm + 2);
    canvas->y_mm += MAP_MM + 6;
    canvas_need(canvas, SQUARE_MM + 4);
    canvas_box(canvas, CANVAS_LEFT_MM + canvas->width_mm - SQUARE_MM, canvas->y_mm + 1, SQUARE_MM, SQUARE_MM, 0.2, INK_GREY);
    canvas_words(canvas, CANVAS_LEFT_MM + canvas->width_mm - SQUARE_MM + 2, canvas->y_mm + 3, SQUARE_MM - 4, (Letters){8, false, INK_GREY, CANVAS_FROM_LEFT},
                 "50 mm. Measure this square before you go on: print at 100 %, no fitting to page.");
    double full = canvas->width_mm;
    canvas->width_mm -= SQUARE_MM + 6;
    canvas_item(canvas, "1", "Mark on each board its left and upper edge; where a panel ends in a joint, its side is the board's own straight edge.");
    canvas_item(canvas, "2", "Each of the next pages belongs to one panel and says where its upper left cross lies. Crosses with the same two numbers come "
                             "to lie on one another. Tape the pages down, cut along the thick line.");
    canvas_item(canvas, "3", "Glue the panels to the back of the joined base, joints tight, and a strip of board over each joint but those where it parts.");
    canvas->width_mm = full;
    canvas_space(canvas, 4);
    for (int i = 0; i < board->panel_count; i++) {
        Text line = text_make(s->keep);
        text_printf(&line, "%s: ", board->panels[i].id);
        guide_tape_length(&line, box_width_mm(board->panels[i].box));
        text_add(&line, " by ");
        guide_tape_length(&line, box_height_mm(board->panels[i].box));
        if (!say(s, &line, "\u2022", err)) return false;
    }
    return true;
}

// ---- pages at true size ----

static bool meets(Point a, Point b, const double window[4])
{
    double t0 = 0, t1 = 1, p[2] = {a.x / UM_PER_MM, a.y / UM_PER_MM}, q[2] = {b.x / UM_PER_MM, b.y / UM_PER_MM};
    for (int k = 0; k < 2; k++) {
        double d = q[k] - p[k], low = window[k], high = window[k] + window[k + 2];
        if (d == 0) {
            if (p[k] < low || p[k] > high) return false;
            continue;
        }
        double s = (low - p[k]) / d, t = (high - p[k]) / d;
        t0 = fmax(t0, fmin(s, t));
        t1 = fmin(t1, fmax(s, t));
    }
    return t0 < t1;
}

static bool is_on_joint(const Board *board, Point a, Point b)
{
    for (int i = 0; i < board->joint_count; i++) {
        Point p = board->joints[i].from, q = board->joints[i].to;
        if (p.x == q.x ? labs((long)a.x - p.x) <= ON_JOINT_UM && labs((long)b.x - p.x) <= ON_JOINT_UM
                       : labs((long)a.y - p.y) <= ON_JOINT_UM && labs((long)b.y - p.y) <= ON_JOINT_UM)
            return true;
    }
    return false;
}

// Whether an edge that must be drawn to be cut runs over the window.
static bool is_needed(const Board *board, const BoardPanel *panel, const double window[4])
{
    for (int r = 0; r < panel->rings.count; r++) {
        const Ring *ring = &panel->rings.items[r];
        for (int i = 0; i < ring->count; i++) {
            Point a = ring->points[i], b = ring->points[i + 1 < ring->count ? i + 1 : 0];
            if (meets(a, b, window) && !is_on_joint(board, a, b)) return true;
        }
    }
    return false;
}

static void draw_cross(Canvas *canvas, double x, double y, int column, int row)
{
    char words[32];
    snprintf(words, sizeof words, "%d, %d", column, row);
    canvas_line(canvas, x - CROSS_MM, y, x + CROSS_MM, y, 0.15, INK_BLACK);
    canvas_line(canvas, x, y - CROSS_MM, x, y + CROSS_MM, 0.15, INK_BLACK);
    canvas_words(canvas, x + 0.8, y + 0.6, 0, (Letters){6.5, false, INK_GREY, CANVAS_FROM_LEFT}, words);
}

static bool write_tile(Sheets *s, const BoardPanel *panel, int column, int row, Error *err)
{
    Canvas *canvas = &s->canvas;
    double x0 = panel->box.min.x / UM_PER_MM + column * s->step_mm[0], y0 = panel->box.min.y / UM_PER_MM + row * s->step_mm[1];
    const double window[4] = {x0 - LAP_MM, y0 - LAP_MM, s->step_mm[0] + 2 * LAP_MM, s->step_mm[1] + 2 * LAP_MM};
    const double m[6] = {1, 0, 0, 1, MARGIN_MM - window[0], MARGIN_MM - window[1]};
    Text where = text_make(s->keep);
    if (!is_needed(s->board, panel, window)) return true;
    text_printf(&where, "%s, column %d, row %d: its upper left cross is ", panel->id, column + 1, row + 1);
    guide_tape_length(&where, column * s->step_mm[0]);
    text_add(&where, " from the left edge of the panel and ");
    guide_tape_length(&where, row * s->step_mm[1]);
    text_add(&where, " from its upper edge");
    if (!text_is_whole(&where, err)) return false;
    canvas_page(canvas, "", NULL, 0);
    canvas_words(canvas, MARGIN_MM, 5, 0, (Letters){8, false, INK_BLACK, CANVAS_FROM_LEFT}, where.bytes);
    cairo_save(canvas->cr);
    cairo_rectangle(canvas->cr, MARGIN_MM, MARGIN_MM, window[2], window[3]);
    cairo_clip(canvas->cr);
    cairo_new_path(canvas->cr);
    paths_rings(canvas, &panel->rings, m);
    paths_paint(canvas, PALE, INK_BLACK, 2 * LINE_MM);
    cairo_restore(canvas->cr);
    for (int k = 0; k < 4; k++)
        draw_cross(canvas, MARGIN_MM + LAP_MM + (k % 2) * s->step_mm[0], MARGIN_MM + LAP_MM + (k / 2) * s->step_mm[1], column + k % 2, row + k / 2);
    return work_goes_on(s->work, err);
}

static bool write_panel(Sheets *s, const BoardPanel *panel, Error *err)
{
    int columns = (int)ceil(box_width_mm(panel->box) / s->step_mm[0]), rows = (int)ceil(box_height_mm(panel->box) / s->step_mm[1]);
    for (int row = 0; row < rows; row++)
        for (int column = 0; column < columns; column++)
            if (!write_tile(s, panel, column, row, err)) return false;
    return true;
}

static bool write_all(Sheets *s, Error *err)
{
    s->step_mm[0] = s->canvas.page_w_mm - 2 * (MARGIN_MM + LAP_MM);
    s->step_mm[1] = s->canvas.page_h_mm - 2 * (MARGIN_MM + LAP_MM) - 6; // the foot has a line
    if (!write_first(s, err)) return false;
    for (int i = 0; i < s->board->panel_count; i++)
        if (!write_panel(s, &s->board->panels[i], err)) return false;
    return true;
}

bool board_pdf(const Draft *draft, Arena *keep, Work *work, FileBytes *out, Error *err)
{
    Text title = text_make(keep);
    text_printf(&title, "%s: backing board, at true size", draft->input->name);
    *out = (FileBytes){.name = "backing-board.pdf"};
    if (!text_is_whole(&title, err)) return false;
    Sheets sheets = {.draft = draft, .board = draft->board, .keep = keep, .work = work};
    bool done = canvas_create(title.bytes, draft->input->options.page, keep, &sheets.canvas, err) && write_all(&sheets, err) &&
                canvas_finish(&sheets.canvas, out, err);
    canvas_destroy(&sheets.canvas);
    return done;
}
