// guide_sections.c - of a piece that parts: the sections on one page, the steps section by section, putting up and taking apart.
// Source:  cloth tape or boards with bolts behind what is to come apart again: common practice, no source.
#include "kit/guide_part.h"
#include "kit/guide_paths.h"

#include <cairo.h>
#include <math.h>
#include <stdio.h>

#define MAP_MM 118.0
#define BEYOND_MM 4.0   // lines go on this far beyond the drawing
#define NAME_MM 7.0
#define LAYER_HEAD_MM 40.0

static void draw_lines(Canvas *canvas, const Draft *draft, const double m[6])
{
    const SectionPlan *plan = draft->input->sections;
    const Stack *stack = draft->input->stack;
    double x0 = m[4], y0 = m[5], x1 = m[0] * stack->width_mm + m[4], y1 = m[3] * stack->height_mm + m[5];
    for (int axis = 0; axis < 2; axis++)
        for (int i = 0; i < plan->count[axis]; i++) {
            double at = plan->at[axis][i] / UM_PER_MM;
            double ends[4] = {x0 - BEYOND_MM, m[3] * at + m[5], x1 + BEYOND_MM, m[3] * at + m[5]};
            if (axis == 0) ends[0] = ends[2] = m[0] * at + m[4], ends[1] = y0 - BEYOND_MM, ends[3] = y1 + BEYOND_MM;
            canvas_line(canvas, ends[0], ends[1], ends[2], ends[3], 1.3, INK_WHITE);
            canvas_line(canvas, ends[0], ends[1], ends[2], ends[3], 0.6, INK_BLACK);
        }
}

// A white disc keeps the name readable on any paper.
static void draw_section_name(Canvas *canvas, double x, double y, const char *name)
{
    cairo_new_path(canvas->cr);
    cairo_arc(canvas->cr, x, y, NAME_MM * 0.8, 0, 6.2831853);
    canvas_ink(canvas, INK_WHITE, 1);
    cairo_fill_preserve(canvas->cr);
    cairo_set_line_width(canvas->cr, 0.3);
    canvas_ink(canvas, INK_BLACK, 1);
    cairo_stroke(canvas->cr);
    canvas_name(canvas, x, y, NAME_MM * 0.75, INK_BLACK, name);
}

// The middle of its paper, not of its cell: the nearest place on the base to it would be dearer to find.
static void draw_map(Canvas *canvas, const Draft *draft, Frame frame)
{
    const Stack *stack = draft->input->stack;
    double scale = fmin(frame.w / stack->width_mm, frame.h / stack->height_mm);
    const double m[6] = {scale, 0, 0, scale, frame.x + (frame.w - scale * stack->width_mm) / 2, frame.y};
    map_picture(canvas, draft, m);
    draw_lines(canvas, draft, m);
    for (int i = 0; i < draft->sections->count; i++) {
        const SectionItem *item = &draft->sections->items[i];
        double x = ((double)item->box.min.x + item->box.max.x) / 2 / UM_PER_MM, y = ((double)item->box.min.y + item->box.max.y) / 2 / UM_PER_MM;
        draw_section_name(canvas, m[0] * x + m[4], m[3] * y + m[5], item->id);
    }
}

static bool tell_section(Guide *guide, const SectionItem *item, Error *err)
{
    Text text = text_make(guide->keep);
    text_printf(&text, "%s: ", item->id);
    guide_tape_length(&text, box_width_mm(item->box));
    text_add(&text, " wide, ");
    guide_tape_length(&text, box_height_mm(item->box));
    text_add(&text, " high, ");
    guide_count(&text, item->piece_count, "piece");
    const char *words = guide_words(&text, err);
    if (words) canvas_item(&guide->canvas, "\u2022", words);
    return words != NULL;
}

// "E2 (S2 and S3), G4 (S5 and S8)"
static bool tell_bridges(Guide *guide, Error *err)
{
    const Draft *draft = guide->draft;
    const SectionParts *parts = draft->sections;
    Text text = text_make(guide->keep);
    if (parts->bridge_count == 0) {
        canvas_paragraph(&guide->canvas, "No piece goes across a line.");
        return true;
    }
    guide_count(&text, parts->bridge_count, "bridge piece");
    text_printf(&text, " go%s across a line and come%s on where it is put up: ", parts->bridge_count == 1 ? "es" : "", parts->bridge_count == 1 ? "s" : "");
    for (int i = 0; i < parts->bridge_count; i++) {
        int said = 0;
        text_printf(&text, "%s%s", i ? ", " : "", draft->pieces[parts->bridges[i]].source->id);
        for (int s = 0; s < parts->count; s++) {
            if (!section_parts_meet(draft, parts->bridges[i], s)) continue;
            text_printf(&text, "%s%s", said++ ? " and " : " (", parts->items[s].id);
        }
        if (said) text_add(&text, ")");
    }
    text_add(&text, ".");
    const char *words = guide_words(&text, err);
    if (words) canvas_paragraph(&guide->canvas, words);
    return words != NULL;
}

bool guide_section_map(Guide *guide, Error *err)
{
    Canvas *canvas = &guide->canvas;
    const SectionParts *parts = guide->draft->sections;
    if (!parts) return true;
    canvas_page(canvas, "Sections", "Sections", 0);
    Text text = text_make(guide->keep);
    text_printf(&text, "It parts along straight lines that go through all layers. Each of its %d sections is put together for itself, as the chapters after "
                       "the maps of the layers tell; nothing is glued or taped across a line before it is put up.", parts->count);
    const char *words = guide_words(&text, err);
    if (!words) return false;
    canvas_paragraph(canvas, words);
    draw_map(canvas, guide->draft, (Frame){CANVAS_LEFT_MM, canvas->y_mm + BEYOND_MM + 1, canvas->width_mm, MAP_MM});
    canvas->y_mm += MAP_MM + 2 * BEYOND_MM + 4;
    for (int i = 0; i < parts->count; i++)
        if (!tell_section(guide, &parts->items[i], err)) return false;
    return tell_bridges(guide, err);
}

// ---- steps ----

static bool has_steps(const GuideSteps *steps, int section, bool meets)
{
    for (int i = 0; i < steps->count; i++)
        if (steps->items[i].section == section && steps->items[i].meets == meets) return true;
    return false;
}

static bool write_layer(Guide *guide, int layer, const GuideSteps *steps, int section, bool meets, int *number, Sketches *sketches,
                        Error *err)
{
    Canvas *canvas = &guide->canvas;
    Text heading = text_make(guide->keep);
    if (!has_steps(steps, section, meets)) return true;
    text_printf(&heading, "Layer %s: %s", guide->draft->layers[layer].id, guide_colour_name(guide->draft, layer));
    const char *words = guide_words(&heading, err);
    if (!words) return false;
    canvas_need(canvas, LAYER_HEAD_MM);
    canvas_head(canvas, words);
    for (int i = 0; i < steps->count; i++) {
        if (steps->items[i].section != section || steps->items[i].meets != meets) continue;
        if (!work_goes_on(guide->work, err) || !guide_write_step(guide, layer, steps, i, ++*number, sketches, 0, err)) return false;
    }
    return true;
}

static bool begin_section(Guide *guide, int section, Error *err)
{
    const SectionItem *item = &guide->draft->sections->items[section];
    Text heading = text_make(guide->keep), about = text_make(guide->keep);
    text_printf(&heading, "Section %s: steps", item->id);
    text_add(&about, "When it is done it measures ");
    guide_tape_length(&about, box_width_mm(item->box));
    text_add(&about, " by ");
    guide_tape_length(&about, box_height_mm(item->box));
    text_add(&about, ". Its edges on the lines stay straight and free of glue. ");
    text_add(&about, guide_say_lines(guide->draft));
    const char *head = guide_words(&heading, err), *words = guide_words(&about, err);
    if (!head || !words) return false;
    canvas_page(&guide->canvas, head, head, 0);
    guide->canvas.running = head;
    canvas_paragraph(&guide->canvas, words);
    return true;
}

bool guide_section_steps(Guide *guide, const GuideSteps *by_layer, Sketches *sketches, Error *err)
{
    const Draft *draft = guide->draft;
    int layers = draft->input->stack->layer_count, number = 0;
    for (int section = 0; section < draft->sections->count; section++) {
        number = 0;
        if (!begin_section(guide, section, err)) return false;
        for (int l = 0; l < layers; l++)
            if (!write_layer(guide, l, &by_layer[l], section, false, &number, sketches, err)) return false;
    }
    number = 0;
    canvas_page(&guide->canvas, "Where it is put up: steps", "Where it is put up: steps", 0);
    guide->canvas.running = "Where it is put up: steps";
    for (int pass = 0; pass < 2; pass++) // bridge pieces go on when all else lies right
        for (int l = 0; l < layers; l++)
            if (!write_layer(guide, l, &by_layer[l], SECTION_OF_BRIDGE, pass == 0, &number, sketches, err)) return false;
    return guide_tell_end(guide, err);
}

// ---- putting up and taking apart ----

static bool lies_on(const GuideBelow *below, int piece)
{
    for (int k = 0; k < below->count; k++)
        if (below->pieces[k] == piece) return true;
    return false;
}

// What lies on a bridge piece alone is glued to it at home; what reaches over its edge keeps that edge loose.
static bool tell_bridge(Guide *guide, const GuideBelow *below, int bridge, Error *err)
{
    const Draft *draft = guide->draft;
    Text text = text_make(guide->keep), loose = text_make(guide->keep);
    int on = 0, over = 0, after = 0;
    text_printf(&text, "%s: ", draft->pieces[bridge].source->id);
    for (int i = 0; i < draft->piece_count; i++) {
        if (!lies_on(&below[i], bridge)) continue;
        if (draft->sections->of_piece[i] == SECTION_OF_BRIDGE) after++; // it has an entry of its own, below this one
        else if (below[i].count == 1) text_printf(&text, "%s%s", on++ ? ", " : "glue on it at home: ", draft->pieces[i].source->id);
        else text_printf(&loose, "%s%s", over++ ? ", " : "it slips under ", draft->pieces[i].source->id);
    }
    if (over) text_printf(&text, "%s%s; leave %s edge there unglued until then", on ? "; " : "", loose.bytes, over == 1 ? "its" : "their");
    if (after) text_printf(&text, "%s%s", on + over ? "; " : "", after == 1 ? "another bridge piece goes on after it" : "other bridge pieces go on after it");
    if (on + over + after == 0) text_add(&text, "nothing lies on it");
    text_add(&text, ".");
    const char *words = guide_words(&text, err);
    if (!words || !text_is_whole(&loose, err)) return false;
    canvas_item(&guide->canvas, "\u2022", words);
    return true;
}

bool guide_section_moves(Guide *guide, const GuideBelow *below, Error *err)
{
    Canvas *canvas = &guide->canvas;
    const SectionParts *parts = guide->draft->sections;
    canvas_page(canvas, "Putting up and taking apart", "Putting up and taking apart", 0);
    canvas_head(canvas, "Before you leave");
    canvas_paragraph(canvas, "Write the name of each section on its back, with an arrow to the top. Lay all of them side by side once and look along the "
                             "lines. Pack them flat, with smooth paper between, the largest at the bottom; the bridge pieces in an envelope of "
                             "their own. Take along: tape, low-tack tape, glue, scissors, a pencil, this guide.");
    canvas_head(canvas, "Putting up");
    canvas_item(canvas, "1", "Lay the sections face down on a clean floor, mirrored, edge to edge; begin at the bottom row.");
    canvas_item(canvas, "2", "Join them behind along the lines: strips of cloth tape as long as the seam, or strips of board, 4 in (100 mm) wide, "
                             "with two bolts on each side of the line, when it is to come apart often. Strips of the kit lie "
                             "behind other seams of the base alone.");
    canvas_item(canvas, "3", "Turn the whole with two people and a board, or stand it up row by row.");
    canvas_item(canvas, "4", "From the front: do the edges of every layer meet along the lines? Press them down; where one stands off, a small "
                             "piece of low-tack double-sided tape holds it.");
    if (parts->bridge_count > 0)
        canvas_item(canvas, "5", "Bridge pieces last. Put them on with low-tack double-sided tape, or a few dots of glue that come off again:");
    for (int i = 0; i < parts->bridge_count; i++)
        if (!tell_bridge(guide, below, parts->bridges[i], err)) return false;
    canvas_head(canvas, "Taking apart");
    canvas_item(canvas, "1", parts->bridge_count > 0 ? "Lift off the bridge pieces first, slowly, from the middle of one edge."
                                                     : "Lay it face down with two people; never fold it along a line.");
    canvas_item(canvas, "2", "Face down again, cut the tape along the lines with a knife, or undo the bolts: the paper below stays whole.");
    canvas_item(canvas, "3", "Pack as before. Tape that stays on the back is no harm: the next goes on it.");
    canvas_head(canvas, "Care");
    canvas_paragraph(canvas, "Two people carry a section as large as a door. On a ladder somebody holds it. In the car nothing heavy on it, and nothing "
                             "that hides the driver's view.");
    return true;
}
