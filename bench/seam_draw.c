// seam_draw.c - see seam_draw.h.
#include "seam_draw.h"

#include <stdio.h>

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
