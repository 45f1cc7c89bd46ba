// guide_strut.c - the page on standing: a strut of board behind, drawn with every measure, so that a ruler is template enough.
// Shape:   a right triangle. Along its upright edge a flap is folded to one side and glued to the back of the picture; along its
//          lower edge a foot is folded to the other side and lies on the floor, with a weight on it.
// Source:  upright two thirds of the height, a quarter of it deep: common practice, no source. That it stands while its middle of
//          weight lies over what touches the floor: statics.
#include "kit/guide_part.h"
#include "kit/hang.h"

#include <cairo.h>
#include <math.h>

#define UP_SHARE (2.0 / 3)
#define BACK_SHARE 0.25
#define FLAP_SHARE 0.05     // of the height; not under a hand's hold, not wider than needed
#define FLAP_LEAST_MM 25.0
#define FLAP_MOST_MM 100.0
#define FLAP_OF_SMALL 0.12  // of what is no larger than a hand
#define FOOT_FLAPS 1.5      // a foot is so many flaps wide: a weight lies on it
#define TWO_FROM_MM 900.0   // what is wider gets two struts
#define APART_SHARE 0.25    // of the width, each from the middle of weight
#define WEIGHT_G_A_MM 1.0   // of height: what is taller is pushed over more easily ...
#define WEIGHT_LEAST_G 1000.0
#define WEIGHT_SHARE 3.0    // ... and of the picture's own, as the board that it is glued to weighs more than it does
#define DRAWING_MM 112.0
#define TIP_SHARE 0.08      // of the upright: the sharp tips are cut off, they bend

typedef struct Strut {
    double up_mm, back_mm, flap_mm, foot_mm;
    int count;
    double places_mm[2];    // from the left edge of the body, seen from behind
} Strut;

static Strut design(const Hang *hang)
{
    double h = box_height_mm(hang->box), w = box_width_mm(hang->box);
    double flap = fmin(fmin(FLAP_MOST_MM, fmax(FLAP_LEAST_MM, FLAP_SHARE * h)), FLAP_OF_SMALL * h);
    double middle = hang->box.max.x / UM_PER_MM - hang->centre_mm[0]; // from the left as seen from behind
    Strut strut = {h * UP_SHARE, h * BACK_SHARE, flap, FOOT_FLAPS * flap, w > TWO_FROM_MM ? 2 : 1, {middle, middle}};
    if (strut.count == 2) {
        double apart = fmin(APART_SHARE * w, 0.8 * fmin(middle, w - middle));
        strut.places_mm[0] = middle - apart;
        strut.places_mm[1] = middle + apart;
    }
    return strut;
}

// ---- the drawing ----

typedef struct View {
    Canvas *canvas;
    double x, y, scale; // of the right angle
} View;

static void corner(const View *v, double x_mm, double y_mm, bool first)
{
    if (first) cairo_move_to(v->canvas->cr, v->x + v->scale * x_mm, v->y - v->scale * y_mm);
    else cairo_line_to(v->canvas->cr, v->x + v->scale * x_mm, v->y - v->scale * y_mm);
}

static void shape(const View *v, const double (*corners)[2], int count, bool closed, double width_mm, bool dashed)
{
    static const double DASHES[2] = {2.0, 1.2};
    cairo_new_path(v->canvas->cr);
    for (int i = 0; i < count; i++) corner(v, corners[i][0], corners[i][1], i == 0);
    if (closed) cairo_close_path(v->canvas->cr);
    canvas_ink(v->canvas, INK_BLACK, 1);
    cairo_set_line_width(v->canvas->cr, width_mm);
    if (dashed) cairo_set_dash(v->canvas->cr, DASHES, 2, 0);
    cairo_stroke(v->canvas->cr);
    cairo_set_dash(v->canvas->cr, NULL, 0, 0);
}

// One outline: flap to the left of the upright edge, foot below the lower one, tips cut off.
static void draw_outline(const View *v, const Strut *s)
{
    double tip = TIP_SHARE * s->up_mm, toe = TIP_SHARE * s->back_mm, slant = s->back_mm / s->up_mm, cut = s->flap_mm * 0.4;
    const double corners[][2] = {{-s->flap_mm, cut}, {-s->flap_mm, s->up_mm - tip - cut}, {0, s->up_mm - tip}, {tip * slant, s->up_mm - tip},
                                 {s->back_mm - toe, toe / slant}, {s->back_mm - toe, 0}, {s->back_mm - toe - cut, -s->foot_mm},
                                 {cut, -s->foot_mm}, {0, 0}};
    const double fold_up[][2] = {{0, 0}, {0, s->up_mm - tip}}, fold_foot[][2] = {{0, 0}, {s->back_mm - toe, 0}};
    shape(v, corners, (int)(sizeof corners / sizeof *corners), true, 0.5, false);
    shape(v, fold_up, 2, false, 0.3, true);
    shape(v, fold_foot, 2, false, 0.3, true);
}

// A measure: a thin line with short ends, its words beside it.
static bool measure(const View *v, Guide *guide, double x0, double y0, double x1, double y1, double off_mm, CanvasAlign align, double mm, Error *err)
{
    Text text = text_make(guide->keep);
    guide_tape_length(&text, mm);
    const char *words = guide_words(&text, err);
    if (!words) return false;
    double ax = v->x + v->scale * x0, ay = v->y - v->scale * y0, bx = v->x + v->scale * x1, by = v->y - v->scale * y1;
    bool upright = fabs(ax - bx) < fabs(ay - by);
    if (upright) ax += off_mm, bx += off_mm;
    else ay += off_mm, by += off_mm;
    canvas_line(v->canvas, ax, ay, bx, by, 0.2, INK_GREY);
    for (int k = 0; k < 2; k++) {
        double x = k ? bx : ax, y = k ? by : ay;
        canvas_line(v->canvas, upright ? x - 1.2 : x, upright ? y : y - 1.2, upright ? x + 1.2 : x, upright ? y : y + 1.2, 0.2, INK_GREY);
    }
    double x = (ax + bx) / 2, y = (ay + by) / 2 - 2;
    if (align == CANVAS_FROM_RIGHT) x = fmin(ax, bx) - 2;
    else if (align == CANVAS_FROM_LEFT) x = fmax(ax, bx) + 2;
    else y += 3.2;
    canvas_words(v->canvas, x, y, 0, (Letters){8.5, false, INK_BLACK, align}, words);
    return true;
}

static bool draw_template(Guide *guide, const Strut *s, Frame frame, Error *err)
{
    double high = s->up_mm + s->foot_mm, scale = (frame.h - 14) / high, tip = TIP_SHARE * s->up_mm, toe = TIP_SHARE * s->back_mm;
    View v = {&guide->canvas, frame.x + 46 + scale * s->flap_mm, frame.y + 5 + scale * s->up_mm, scale};
    draw_outline(&v, s);
    return measure(&v, guide, -s->flap_mm, 0, -s->flap_mm, s->up_mm - tip, -4, CANVAS_FROM_RIGHT, s->up_mm - tip, err) &&
           measure(&v, guide, 0, -s->foot_mm, s->back_mm - toe, -s->foot_mm, 4, CANVAS_CENTRED, s->back_mm - toe, err) &&
           measure(&v, guide, s->back_mm, 0, s->back_mm, -s->foot_mm, 3, CANVAS_FROM_LEFT, s->foot_mm, err) &&
           measure(&v, guide, -s->flap_mm, s->up_mm - tip, 0, s->up_mm - tip, -4, CANVAS_FROM_RIGHT, s->flap_mm, err) &&
           measure(&v, guide, 0, s->up_mm - tip, tip * s->back_mm / s->up_mm, s->up_mm - tip, -4, CANVAS_FROM_LEFT, tip * s->back_mm / s->up_mm, err) &&
           measure(&v, guide, s->back_mm, 0, s->back_mm, toe * s->up_mm / s->back_mm, 3, CANVAS_FROM_LEFT, toe * s->up_mm / s->back_mm, err);
}

// Seen from the side: the picture, the strut behind it, the weight on its foot.
static void draw_side(Canvas *canvas, const Strut *s, double height_mm, Frame frame)
{
    double scale = (frame.h - 14) / height_mm, floor = frame.y + frame.h - 8, x = frame.x + frame.w / 2 - scale * s->back_mm / 2;
    View v = {canvas, x, floor, scale};
    double tip = TIP_SHARE * s->up_mm, toe = TIP_SHARE * s->back_mm, slant = s->back_mm / s->up_mm;
    const double side[][2] = {{0, 0}, {0, s->up_mm - tip}, {tip * slant, s->up_mm - tip}, {s->back_mm - toe, toe / slant}, {s->back_mm - toe, 0}};
    canvas_line(canvas, frame.x, floor, frame.x + frame.w, floor, 0.2, INK_GREY);
    canvas_line(canvas, x - 0.6, floor, x - 0.6, floor - scale * height_mm, 1.2, INK_BLACK);
    shape(&v, side, 5, true, 0.35, false);
    canvas_box(canvas, x + scale * s->back_mm * 0.35, floor - 5, scale * s->back_mm * 0.4, 5, 0.35, INK_BLACK);
    Letters small = {8.5, false, INK_BLACK, CANVAS_CENTRED};
    canvas_words(canvas, frame.x + frame.w / 2, floor + 1.5, 0, small, "from the side; the box is the weight");
}

// ---- words ----

static bool tell_steps(Guide *guide, const Hang *hang, const Strut *s, Error *err)
{
    Canvas *canvas = &guide->canvas;
    Text where = text_make(guide->keep), weight = text_make(guide->keep);
    canvas_item(canvas, "1", "Draw it on stiff board (corrugated board of 1/4 in, 6 mm, does) by these measures. Whole lines are cut, dashed ones "
                             "are creased along a ruler and folded: the flap to one side, the foot to the other.");
    text_add(&where, s->count == 2 ? "Make two, mirrored. Glue the flaps to the back, upright, their folds " : "Glue the flap to the back, upright, its fold ");
    for (int i = 0; i < s->count; i++) {
        if (i) text_add(&where, " and ");
        guide_tape_length(&where, s->places_mm[i]);
    }
    text_add(&where, " from the left edge as seen from behind");
    text_add(&where, s->count == 2 ? ", one on each side of its middle of weight; the feet on the floor line." : ", through its middle of weight; the foot on the floor line.");
    double grams = fmax(WEIGHT_LEAST_G, fmax(WEIGHT_G_A_MM * box_height_mm(hang->box), WEIGHT_SHARE * hang->all_grams)) / s->count;
    text_add(&weight, "Lay a weight on each foot, a bag of sand or a bottle of water: ");
    text_number(&weight, ceil(grams / 100) / 10, 1);
    text_add(&weight, " kg or more. Tie it to the foot.");
    const char *where_words = guide_words(&where, err), *weight_words = guide_words(&weight, err);
    if (!where_words || !weight_words) return false;
    canvas_item(canvas, "2", where_words);
    canvas_item(canvas, "3", weight_words);
    return true;
}

bool guide_strut(Guide *guide, const Hang *hang, Error *err)
{
    Canvas *canvas = &guide->canvas;
    Strut strut = design(hang);
    bool stands = hang->centre_mm[0] > hang->stands_mm[0] && hang->centre_mm[0] < hang->stands_mm[1];
    canvas_page(canvas, "Standing: a strut of board", "Standing: a strut of board", 0);
    canvas_paragraph(canvas, guide->draft->board ? "A picture of paper stands when it is glued to board (backing-board.pdf has its panels at true size) and has a "
                                                   "strut behind."
                                                 : "A picture of paper stands when it is glued to board and has a strut behind.");
    double top = canvas->y_mm + 1, left = canvas->width_mm * 0.64;
    if (!draw_template(guide, &strut, (Frame){CANVAS_LEFT_MM, top, left, DRAWING_MM}, err)) return false;
    draw_side(canvas, &strut, box_height_mm(hang->box), (Frame){CANVAS_LEFT_MM + left, top, canvas->width_mm - left, DRAWING_MM});
    canvas->y_mm = top + DRAWING_MM + 3;
    if (!tell_steps(guide, hang, &strut, err)) return false;
    canvas_paragraph(canvas, stands ? "Its middle of weight lies over what touches the floor: it does not lean to a side by itself."
                                    : "Its middle of weight does not lie over what touches the floor: a foot of board as wide as the picture, under "
                                      "its lower edge and fixed to the struts, keeps it from falling to a side.");
    if (guide->draft->sections)
        canvas_paragraph(canvas, "It parts: put the struts behind the sections that stand on the floor, when these are joined, and take them off first "
                                 "when it is taken apart. The upper sections hold by what joins them: behind them a strip of board across each level line.");
    canvas_head(canvas, "Care");
    canvas_paragraph(canvas, "A strut is made for still air and a level floor indoors: not for wind, doors in a draught or a crowd that pushes, and it is "
                             "no toy and no climbing frame: children must not lean on it. Keep ways out free. Where it could fall on somebody, tie its "
                             "top to the wall as well.");
    return true;
}
