// guide_html_picture.c - see guide_html_part.h.
// Units:   tenths of finished millimetres, whole: on a screen that is far below a pixel. Neighbours round alike, so they stay
//          edge to edge.
#include "kit/guide_html_part.h"
#include "kit/markup.h"

#include <math.h>

#define UM_A_UNIT 100

typedef struct Spot { long x, y; } Spot;

static Spot spot_of(Point p)
{
    return (Spot){lround((double)p.x / UM_A_UNIT), lround((double)p.y / UM_A_UNIT)};
}

static void add_step(Text *text, const char *before, Spot from, Spot to)
{
    text_printf(text, "%s%ld%s%ld", before, to.x - from.x, to.y < from.y ? "" : " ", to.y - from.y);
}

// Relative steps between rounded places: short, and errors do not add up. A curve whose ends meet once rounded is left out.
static void add_path(Text *text, const Path *path)
{
    for (int part = 0; part < path->part_count; part++) {
        int first = path->first[part], end = path->first[part + 1];
        if (first == end) continue;
        Spot at = spot_of(path->curves[first].p0);
        add_step(text, "M", (Spot){0, 0}, at);
        for (int i = first; i < end; i++) {
            const Curve *curve = &path->curves[i];
            Spot to = spot_of(curve->p3), p1 = spot_of(curve->p1), p2 = spot_of(curve->p2);
            bool is_still = to.x == at.x && to.y == at.y;
            if (is_still && (curve->is_line || (p1.x == at.x && p1.y == at.y && p2.x == at.x && p2.y == at.y))) continue;
            if (!curve->is_line) {
                add_step(text, "c", at, p1);
                add_step(text, p2.x < at.x ? "" : " ", at, p2);
            }
            add_step(text, curve->is_line ? "l" : to.x < at.x ? "" : " ", at, to);
            at = to;
        }
        if (!path->open) text_add(text, "z");
    }
}

static void add_layer(Text *text, const Draft *draft, int layer)
{
    const Stack *stack = draft->input->stack;
    char fill[8];
    draft_fill(stack->colours[stack->layers[layer].colour].colour, fill);
    text_printf(text, "<g class=\"layer\" data-layer=\"%s\" data-colour=\"%s\" fill=\"%s\">\n", draft->layers[layer].id, fill, fill);
    for (int i = 0; i < draft->layers[layer].piece_count; i++) {
        const DraftPiece *piece = &draft->pieces[draft->layers[layer].first_piece + i];
        text_printf(text, "<path data-piece=\"%s\" d=\"", piece->source->id);
        add_path(text, &piece->face);
        text_add(text, "\"/>\n");
    }
    text_add(text, "</g>\n");
}

static void add_seams(Text *text, const Draft *draft)
{
    text_add(text, "<g id=\"tape\">\n");
    for (int s = 0; s < draft->seam_count; s++) {
        const DraftSeam *seam = &draft->seams[s];
        const DraftPiece *pieces = &draft->pieces[draft->layers[seam->layer].first_piece];
        if (seam->source->form != SEAM_BUTT) continue;
        text_printf(text, "<path data-layer=\"%s\" data-of=\"%s %s\" d=\"", draft->layers[seam->layer].id,
                    pieces[seam->source->pieces[0]].source->id, pieces[seam->source->pieces[1]].source->id);
        add_path(text, &seam->path);
        text_add(text, "\"/>\n");
    }
    text_add(text, "</g>\n");
}

static void add_dots(Text *text, const GuideChecks *checks)
{
    text_add(text, "<g id=\"dots\">\n");
    for (int i = 0; i < checks->dot_count; i++) {
        Spot at = spot_of(checks->dots[i]);
        text_printf(text, "<g data-x=\"%ld\" data-y=\"%ld\" data-dot=\"%d\"></g>\n", at.x, at.y, i + 1);
    }
    text_add(text, "</g>\n");
}

void html_picture(Text *text, const Draft *draft, const GuideChecks *checks)
{
    const Stack *stack = draft->input->stack;
    text_printf(text, "<svg id=\"picture\" data-wide=\"%ld\" data-tall=\"%ld\" viewBox=\"0 0 %ld %ld\" role=\"img\" aria-label=\"",
                lround(stack->width_mm * 10), lround(stack->height_mm * 10), lround(stack->width_mm * 10), lround(stack->height_mm * 10));
    markup_add(text, draft->input->name);
    text_add(text, ", piece by piece\">\n<g id=\"layers\">\n");
    for (int l = 0; l < stack->layer_count; l++) add_layer(text, draft, l);
    text_add(text, "</g>\n");
    add_seams(text, draft);
    add_dots(text, checks);
    text_add(text, "<g id=\"held\"></g>\n</svg>");
}
