// path_text.c - see path_text.h.
#include "kit/path_text.h"

static void add_point(Text *text, Point p, const double m[6])
{
    double x = p.x / UM_PER_MM, y = p.y / UM_PER_MM;
    text_number(text, m ? m[0] * x + m[2] * y + m[4] : x, 3);
    text_add(text, " ");
    text_number(text, m ? m[1] * x + m[3] * y + m[5] : y, 3);
}

static void add_curve(Text *text, const Curve *curve, const double m[6])
{
    text_add(text, curve->is_line ? " L" : " C");
    if (!curve->is_line) {
        add_point(text, curve->p1, m);
        text_add(text, " ");
        add_point(text, curve->p2, m);
        text_add(text, " ");
    }
    add_point(text, curve->p3, m);
}

void path_add(Text *text, const Path *path, const double matrix[6])
{
    for (int part = 0; part < path->part_count; part++) {
        int first = path->first[part], end = path->first[part + 1];
        if (first == end) continue;
        text_add(text, text->size_bytes > 0 && text->bytes[text->size_bytes - 1] != '"' ? " M" : "M");
        add_point(text, path->curves[first].p0, matrix);
        for (int i = first; i < end; i++) add_curve(text, &path->curves[i], matrix);
        if (!path->open) text_add(text, " Z");
    }
}
