// seam_draw.c - see seam_draw.h.
#include "seam_draw.h"

#include "seam_detail.h"

#include <stdio.h>

#define HIDDEN_BY_MM 3.0

static void draw_rings(FILE *f, const Rings *rings, const char *style)
{
    fprintf(f, "<path style=\"%s\" fill-rule=\"evenodd\" d=\"", style);
    for (int r = 0; r < rings->count; r++) {
        for (int i = 0; i < rings->items[r].count; i++)
            fprintf(f, "%c%.2f %.2f", i ? 'L' : 'M', rings->items[r].points[i].x / 1e3,
                    rings->items[r].points[i].y / 1e3);
        fprintf(f, "Z");
    }
    fprintf(f, "\"/>\n");
}

void seam_draw(const char *folder, const char *name, const Stack *stack, const LayerPieces *pieces, const char *paper)
{
    char path[1024], letter[8];
    layer_letter(pieces->layer, letter);
    snprintf(path, sizeof path, "%s/%s-%s-%s.svg", folder, name, paper, letter);
    FILE *f = fopen(path, "w");
    if (!f) return;
    const Layer *layer = &stack->layers[pieces->layer];
    fprintf(f, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"-5 -5 %.1f %.1f\">\n", stack->width_mm + 10,
            stack->height_mm + 10);
    fprintf(f, "<rect x=\"-5\" y=\"-5\" width=\"100%%\" height=\"100%%\" fill=\"#fff\"/>\n");
    draw_rings(f, &layer->rings, "fill:#ffe9a8;stroke:#222;stroke-width:1");
    draw_rings(f, &layer->cover, "fill:#8899aa;fill-opacity:.35");
    for (int i = 0; i < pieces->seam_count; i++) {
        const Seam *seam = &pieces->seams[i];
        bool seen = seam->visible_mm > 0.5 * seam->length_mm;
        fprintf(f, "<polyline fill=\"none\" stroke=\"%s\" stroke-width=\"2.5\" points=\"",
                seen                     ? "#d00"
                : seam->visible_mm > 1.0 ? "#e80"
                                         : "#357");
        for (int k = 0; k < link_point_count(&seam->links[0]); k++) {
            Point p = link_point(&pieces->chains, &seam->links[0], k);
            fprintf(f, "%.2f,%.2f ", p.x / 1e3, p.y / 1e3);
        }
        fprintf(f, "\"/>\n");
    }
    for (int i = 0; i < pieces->piece_count; i++) {
        Box box = rings_box(&pieces->pieces[i].rings);
        fprintf(f, "<text x=\"%.1f\" y=\"%.1f\" font-size=\"18\" fill=\"#060\">%s</text>\n",
                (box.min.x + box.max.x) / 2e3 - 10, (box.min.y + box.max.y) / 2e3, pieces->pieces[i].id);
    }
    fprintf(f, "</svg>\n");
    fclose(f);
}

// ---- the whole picture ----

static void draw_stretch(FILE *f, Point a, Point b, double length_mm, double from_mm, double to_mm, bool hidden)
{
    if (to_mm - from_mm < 0.01) return;
    double s = from_mm / length_mm, t = to_mm / length_mm;
    fprintf(f, "<path class=\"%c\" d=\"M%.2f %.2fL%.2f %.2f\"/>\n", hidden ? 'h' : 's', (a.x + s * ((double)b.x - a.x)) / 1e3,
            (a.y + s * ((double)b.y - a.y)) / 1e3, (a.x + t * ((double)b.x - a.x)) / 1e3, (a.y + t * ((double)b.y - a.y)) / 1e3);
}

static bool draw_straight(FILE *f, const Hiding *hiding, Point a, Point b, Arena *scratch)
{
    Stretches hidden;
    double length_mm = point_distance_mm(a, b), at_mm = 0.0;
    if (!hiding_stretches(hiding, a, b, scratch, &hidden)) return false;
    for (size_t i = 0; i < hidden.count; i++) {
        draw_stretch(f, a, b, length_mm, at_mm, hidden.items[i].lo, false);
        draw_stretch(f, a, b, length_mm, hidden.items[i].lo, hidden.items[i].hi, true);
        at_mm = hidden.items[i].hi;
    }
    draw_stretch(f, a, b, length_mm, at_mm, length_mm, false);
    return true;
}

static bool draw_seams(FILE *f, const Layer *layer, const LayerPieces *pieces, Arena *scratch, Error *err)
{
    Hiding hiding;
    if (!hiding_make(&layer->cover, HIDDEN_BY_MM, scratch, &hiding, err)) return false;
    for (int i = 0; i < pieces->seam_count; i++) {
        const Seam *seam = &pieces->seams[i];
        for (int k = 0; k < seam->link_count; k++)
            for (int n = 0; n + 1 < link_point_count(&seam->links[k]); n++)
                if (!draw_straight(f, &hiding, link_point(&pieces->chains, &seam->links[k], n),
                                   link_point(&pieces->chains, &seam->links[k], n + 1), scratch))
                    return error_memory(err);
    }
    return true;
}

static bool draw_whole(FILE *f, const Stack *stack, const LayerPieces *pieces, Work *work, Error *err)
{
    Rings details;
    fprintf(f, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"-5 -5 %.1f %.1f\">\n<style>path{fill:none}.s{stroke:#e00;stroke-width:3.5}"
               ".h{stroke:#06c;stroke-width:1.5;stroke-dasharray:6 5}</style>\n<rect x=\"-5\" y=\"-5\" width=\"100%%\" height=\"100%%\" fill=\"#fff\"/>\n",
            stack->width_mm + 10, stack->height_mm + 10);
    for (int i = 0; i < stack->layer_count; i++) {
        char style[64];
        Srgb8 c = stack->colours[stack->layers[i].colour].colour;
        snprintf(style, sizeof style, "fill:#%02x%02x%02x;fill-opacity:0.6;stroke:#444;stroke-width:0.5", 64 + c.r * 3 / 4, 64 + c.g * 3 / 4, 64 + c.b * 3 / 4);
        draw_rings(f, &stack->layers[i].rings, style);
    }
    for (int i = 0; i < stack->layer_count; i++)
        if (!draw_seams(f, &stack->layers[i], &pieces[i], &work->scratch, err)) return false;
    Arena keep = arena_make(0);
    bool fine = details_find(stack, &keep, work, &details, err);
    if (fine) draw_rings(f, &details, "fill:none;stroke:#0a0;stroke-width:1.5");
    arena_free(&keep);
    fprintf(f, "</svg>\n");
    return fine;
}

bool seam_draw_whole(const char *folder, const char *name, const Stack *stack, const LayerPieces *pieces, const char *paper,
                     Work *work, Error *err)
{
    char path[1024];
    snprintf(path, sizeof path, "%s/%s-%s.svg", folder, name, paper);
    FILE *f = fopen(path, "w");
    if (!f) return error_set(err, ERROR_SYSTEM, "%s cannot be written", path);
    ArenaMark mark = arena_mark(&work->scratch);
    bool fine = draw_whole(f, stack, pieces, work, err);
    arena_rewind(&work->scratch, mark);
    fclose(f);
    return fine;
}
