// guide_paths.c - see guide_paths.h.
#include "kit/guide_paths.h"

#include <cairo.h>

void paths_go(Canvas *canvas, Point p, const double m[6], bool line)
{
    double x = p.x / UM_PER_MM, y = p.y / UM_PER_MM;
    double u = m[0] * x + m[2] * y + m[4], v = m[1] * x + m[3] * y + m[5];
    if (line)
        cairo_line_to(canvas->cr, u, v);
    else
        cairo_move_to(canvas->cr, u, v);
}

static void curve_to(cairo_t *cr, const Curve *c, const double m[6])
{
    const Point points[3] = {c->p1, c->p2, c->p3};
    double to[6];
    for (int i = 0; i < 3; i++) {
        double x = points[i].x / UM_PER_MM, y = points[i].y / UM_PER_MM;
        to[2 * i] = m[0] * x + m[2] * y + m[4];
        to[2 * i + 1] = m[1] * x + m[3] * y + m[5];
    }
    cairo_curve_to(cr, to[0], to[1], to[2], to[3], to[4], to[5]);
}

void paths_trace(Canvas *canvas, const Path *path, const double m[6])
{
    for (int part = 0; part < path->part_count; part++) {
        int first = path->first[part], end = path->first[part + 1];
        if (first == end) continue;
        paths_go(canvas, path->curves[first].p0, m, false);
        for (int i = first; i < end; i++) {
            if (path->curves[i].is_line)
                paths_go(canvas, path->curves[i].p3, m, true);
            else
                curve_to(canvas->cr, &path->curves[i], m);
        }
        if (!path->open) cairo_close_path(canvas->cr);
    }
}

void paths_fill(Canvas *canvas, const Path *path, const double m[6], Ink fill, Ink edge)
{
    paths_trace(canvas, path, m);
    paths_paint(canvas, fill, edge, PATHS_EDGE_MM);
}

Ink paths_ink(const Draft *draft, int layer)
{
    const Stack *stack = draft->input->stack;
    return ink_of(stack->colours[stack->layers[layer].colour].colour);
}

void paths_rings(Canvas *canvas, const Rings *rings, const double m[6])
{
    for (int r = 0; r < rings->count; r++) {
        for (int i = 0; i < rings->items[r].count; i++) paths_go(canvas, rings->items[r].points[i], m, i > 0);
        cairo_close_path(canvas->cr);
    }
}

void paths_paint(Canvas *canvas, Ink fill, Ink edge, double edge_mm)
{
    cairo_set_fill_rule(canvas->cr, CAIRO_FILL_RULE_EVEN_ODD);
    canvas_ink(canvas, fill, 1);
    cairo_fill_preserve(canvas->cr);
    cairo_set_line_width(canvas->cr, edge_mm);
    canvas_ink(canvas, edge, 1);
    cairo_stroke(canvas->cr);
}
