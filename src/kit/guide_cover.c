// guide_cover.c - the cover of the guide: the finished piece beside a door and a grown person.
// Source:  a door of 80 x 32 in and a person of 1.7 m: common sizes, to compare with.
#include "base/length.h"
#include "kit/guide_part.h"

#include <cairo.h>
#include <math.h>

#define DOOR_H_MM (80 * MM_PER_INCH)
#define DOOR_W_MM (32 * MM_PER_INCH)
#define PERSON_MM 1700.0
#define PERSON_W_MM 520.0
#define APART_MM 260.0 // between piece, door and person
#define LINE_MM 0.35
#define SMALL_MM 90.0 // a piece that is drawn lower than this beside the door is shown by itself as well

typedef struct Scene {
    double x, floor_y, scale; // page mm of the left end of the floor; page mm a real mm
} Scene;

static void at(cairo_t *cr, const Scene *scene, double x, double up, bool line)
{
    double u = scene->x + x * scene->scale, v = scene->floor_y - up * scene->scale;
    if (line)
        cairo_line_to(cr, u, v);
    else
        cairo_move_to(cr, u, v);
}

static void stroke(Canvas *canvas, double width_mm, Ink ink)
{
    cairo_set_line_width(canvas->cr, width_mm);
    cairo_set_line_join(canvas->cr, CAIRO_LINE_JOIN_ROUND);
    canvas_ink(canvas, ink, 1);
    cairo_stroke(canvas->cr);
}

static void draw_rectangle(Canvas *canvas, const Scene *scene, double x, double up, double w, double h)
{
    cairo_rectangle(canvas->cr, scene->x + x * scene->scale, scene->floor_y - (up + h) * scene->scale, w * scene->scale,
                    h * scene->scale);
    stroke(canvas, LINE_MM, INK_GREY);
}

static void draw_door(Canvas *canvas, const Scene *scene, double x)
{
    draw_rectangle(canvas, scene, x - 60, 0, DOOR_W_MM + 120, DOOR_H_MM + 60);
    draw_rectangle(canvas, scene, x, 0, DOOR_W_MM, DOOR_H_MM);
    draw_rectangle(canvas, scene, x + 130, 1080, DOOR_W_MM - 260, DOOR_H_MM - 1080 - 150);
    draw_rectangle(canvas, scene, x + 130, 170, DOOR_W_MM - 260, 720);
    cairo_arc(canvas->cr, scene->x + (x + DOOR_W_MM - 65) * scene->scale, scene->floor_y - 985 * scene->scale,
              32 * scene->scale, 0, 6.2831853);
    stroke(canvas, LINE_MM, INK_GREY);
}

// Standing, arms down: half of the outline, from the neck to the crotch; the other half is its mirror image.
static void draw_person(Canvas *canvas, const Scene *scene, double x)
{
    static const double SIDE[][2] = {{45, 1480}, {60, 1430},  {180, 1395}, {215, 1340}, {250, 1080}, {262, 790},
                                     {228, 775}, {205, 1060}, {175, 1240}, {150, 1060}, {170, 900},  {165, 480},
                                     {140, 70},  {185, 15},   {175, 0},    {75, 0},     {60, 480},   {12, 830}};
    int count = sizeof SIDE / sizeof SIDE[0];
    double middle = x + PERSON_W_MM / 2;
    for (int i = 0; i < count; i++) at(canvas->cr, scene, middle + SIDE[i][0], SIDE[i][1], i > 0);
    for (int i = count - 1; i >= 0; i--) at(canvas->cr, scene, middle - SIDE[i][0], SIDE[i][1], true);
    stroke(canvas, LINE_MM, INK_GREY);
    cairo_save(canvas->cr);
    cairo_translate(canvas->cr, scene->x + middle * scene->scale, scene->floor_y - 1580 * scene->scale);
    cairo_scale(canvas->cr, 88 * scene->scale, 120 * scene->scale);
    cairo_arc(canvas->cr, 0, 0, 1, 0, 6.2831853);
    cairo_restore(canvas->cr);
    stroke(canvas, LINE_MM, INK_GREY);
}

static void draw_measure(Canvas *canvas, double x0, double y0, double x1, double y1, const char *words)
{
    double dx = x1 - x0, dy = y1 - y0, length = sqrt(dx * dx + dy * dy), nx = -dy / length * 1.3,
           ny = dx / length * 1.3;
    canvas_line(canvas, x0, y0, x1, y1, 0.2, INK_BLACK);
    canvas_line(canvas, x0 - nx, y0 - ny, x0 + nx, y0 + ny, 0.2, INK_BLACK);
    canvas_line(canvas, x1 - nx, y1 - ny, x1 + nx, y1 + ny, 0.2, INK_BLACK);
    cairo_save(canvas->cr);
    cairo_translate(canvas->cr, (x0 + x1) / 2, (y0 + y1) / 2);
    cairo_rotate(canvas->cr, atan2(dy, dx));
    bool below = dy == 0; // a line that runs across has its words below, one that runs up has them on its left
    canvas_words(canvas, 0, below ? 0.8 : -5.2, 0, (Letters){9, false, INK_BLACK, CANVAS_CENTRED}, words);
    cairo_restore(canvas->cr);
}

static void draw_scene(Canvas *canvas, const Draft *draft, Frame frame)
{
    double w = draft->input->stack->width_mm, h = draft->input->stack->height_mm;
    double wide = w + APART_MM + DOOR_W_MM + 120 + APART_MM + PERSON_W_MM, tall = fmax(h, DOOR_H_MM + 60);
    double scale = fmin((frame.w - 12) / wide, (frame.h - 8) / tall);
    Scene scene = {frame.x + 10 + (frame.w - 12 - wide * scale) / 2, frame.y + frame.h - 8, scale};
    const double matrix[6] = {scale, 0, 0, scale, scene.x, scene.floor_y - h * scale};
    canvas_line(canvas, frame.x, scene.floor_y, frame.x + frame.w, scene.floor_y, 0.3, INK_GREY);
    draw_door(canvas, &scene, w + APART_MM + 60);
    draw_person(canvas, &scene, w + 2 * APART_MM + DOOR_W_MM + 120);
    map_picture(canvas, draft, matrix);
    char tall_words[32], wide_words[32];
    length_format_inches(h, tall_words);
    length_format_inches(w, wide_words);
    draw_measure(canvas, scene.x - 5, scene.floor_y, scene.x - 5, scene.floor_y - h * scale, tall_words);
    draw_measure(canvas, scene.x, scene.floor_y + 3, scene.x + w * scale, scene.floor_y + 3, wide_words);
    double door_x = scene.x + (w + APART_MM + 60 + DOOR_W_MM / 2) * scale;
    Letters small = {8, false, INK_GREY, CANVAS_CENTRED};
    canvas_words(canvas, door_x, scene.floor_y + 1.5, 0, small, "door, 80 x 32 in");
    canvas_words(canvas, scene.x + (wide - PERSON_W_MM / 2) * scale, scene.floor_y + 1.5, 0, small, "5 ft 7 in");
}

static void draw_large(Canvas *canvas, const Draft *draft, Frame frame)
{
    double w = draft->input->stack->width_mm, h = draft->input->stack->height_mm,
           scale = fmin(frame.w / w, frame.h / h);
    const double matrix[6] = {
        scale, 0, 0, scale, frame.x + (frame.w - w * scale) / 2, frame.y + (frame.h - h * scale) / 2};
    map_picture(canvas, draft, matrix);
}

static double height_in_scene(const Draft *draft, Frame frame)
{
    double w = draft->input->stack->width_mm, h = draft->input->stack->height_mm;
    double wide = w + 2 * APART_MM + DOOR_W_MM + 120 + PERSON_W_MM;
    return h * fmin((frame.w - 12) / wide, (frame.h - 8) / fmax(h, DOOR_H_MM + 60));
}

static bool write_facts(Guide *guide, Error *err)
{
    const Draft *draft = guide->draft;
    const Stack *stack = draft->input->stack;
    Text text = text_make(guide->keep);
    text_add(&text, "Finished size ");
    guide_tape_length(&text, stack->height_mm);
    text_add(&text, " tall, ");
    guide_tape_length(&text, stack->width_mm);
    text_add(&text, " wide");
    if (stack->border_mm > 0) {
        text_add(&text, ", with a border of ");
        guide_tape_length(&text, stack->border_mm);
        text_add(&text, " all round; without it ");
        guide_tape_length(&text, stack->height_mm - 2 * stack->border_mm);
        text_add(&text, " by ");
        guide_tape_length(&text, stack->width_mm - 2 * stack->border_mm);
    }
    text_add(&text, ".\n");
    guide_count(&text, draft->totals.pieces, "piece");
    text_add(&text, " in ");
    guide_count(&text, stack->layer_count, "layer");
    text_add(&text, ", cut from ");
    guide_count(&text, draft->totals.sheets, "sheet");
    text_add(&text, ". About ");
    guide_time(&text, draft->totals.cutting_minutes);
    text_add(&text, " of cutting and ");
    guide_time(&text, draft->totals.assembly_minutes);
    text_add(&text, " of putting together.");
    const char *words = guide_words(&text, err);
    if (!words) return false;
    canvas_words(&guide->canvas, CANVAS_LEFT_MM, 34, guide->canvas.width_mm, (Letters){11, false, INK_BLACK, CANVAS_FROM_LEFT},
                 words);
    return true;
}

bool guide_cover(Guide *guide, Error *err)
{
    Canvas *canvas = &guide->canvas;
    canvas_page(canvas, "", guide->draft->input->name, 0);
    Letters title = {26, true, INK_BLACK, CANVAS_FROM_LEFT};
    while (title.pt > 8 && canvas_words_width(canvas, title, guide->draft->input->name) > canvas->width_mm)
        title.pt -= 1;
    canvas_words(canvas, CANVAS_LEFT_MM, 14, 0, title, guide->draft->input->name);
    canvas_words(canvas, CANVAS_LEFT_MM, 26, canvas->width_mm, (Letters){12, false, INK_GREY, CANVAS_FROM_LEFT},
                 "A layered paper picture: how to cut it and put it together");
    if (!write_facts(guide, err)) return false;
    Frame whole = {CANVAS_LEFT_MM, 58, canvas->width_mm, canvas->bottom_mm - 99};
    if (height_in_scene(guide->draft, whole) < SMALL_MM) {
        draw_large(canvas, guide->draft, (Frame){whole.x, whole.y, whole.w, whole.h - 70});
        whole = (Frame){whole.x, whole.y + whole.h - 63, whole.w, 63};
    }
    draw_scene(canvas, guide->draft, whole);
    canvas->y_mm = canvas->bottom_mm - 33;
    canvas_paragraph(canvas,
                     "In this guide: what to buy; the test sheet, how to read the drawings and how to join; every sheet with its "
                     "pieces; every layer with its steps; hanging, standing, carrying; findings; labels for envelopes. "
                     "Before anything else: READ-ME-FIRST.txt.");
    canvas_paragraph(canvas, "May this picture be used for what you plan? If it is not yours, ask its owner.");
    return true;
}
