// picture.c - one try drawn as SVG; see picture.h. Marks are drawn above the piece that bears them, so that they are seen
// where they would be seen.
#include "simulate/picture.h"

static void write_path(const ReadPath *path, Motion motion, Spot first, FILE *file)
{
    for (int k = 0; k < path->part_count; k++) {
        const ReadPart *part = &path->parts[k];
        for (int i = part->first; i < part->first + part->count; i++) {
            Spot p[4];
            for (int j = 0; j < 4; j++)
                p[j] = motion_apply(motion, (Spot){path->curves[i].p[j].x + first.x, path->curves[i].p[j].y + first.y});
            if (i == part->first) fprintf(file, "M %.3f %.3f ", p[0].x, p[0].y);
            fprintf(file, "C %.3f %.3f %.3f %.3f %.3f %.3f ", p[1].x, p[1].y, p[2].x, p[2].y, p[3].x, p[3].y);
        }
        if (part->closed) fprintf(file, "Z ");
    }
}

// The kerf is drawn as a hairline of the background's grey round each piece.
static void write_piece(const Bodies *bodies, int index, const Placed *placed, double kerf_mm, FILE *file)
{
    const ReadPiece *piece = &bodies->kit->pieces[index];
    Motion motion = placed->bodies[bodies->of_piece[index]];
    fprintf(file, "<path fill=\"#%06x\" stroke=\"#888\" stroke-width=\"%.2f\" fill-rule=\"evenodd\" d=\"",
            (unsigned)bodies->kit->layers[piece->layer].colour, 0.5 * kerf_mm);
    write_path(&piece->outline, motion, (Spot){0.0, 0.0}, file);
    fprintf(file, "\"/>\n");
    for (int i = 0; i < piece->mark_count; i++) {
        Spot tool = placed_tool(bodies->kit, placed, piece->marks[i].line == READ_CUT ? -1 : index);
        fprintf(file, "<path fill=\"none\" stroke=\"#7fff00\" stroke-width=\"0.2\" d=\"");
        write_path(&piece->marks[i].path, motion, tool, file);
        fprintf(file, "\"/>\n");
    }
}

static void write_fault(const Bodies *bodies, const Watch *watch, const WatchUnit *unit, const Placed *placed,
                        double kerf_mm, FILE *file)
{
    static const char *const colours[WATCH_CLASSES] = {"#ff00ff", "#ff00ff", "#ff00ff", "#ff00ff", "#ff00ff",
                                                       "#00ffff", "#ff0000", "#ff0000", "#ffff00", "#ff0000", "#00ffff"};
    for (int i = unit->first; i < unit->first + unit->count; i++) {
        double shown, needed;
        const WatchPoint *point = &watch->points[i];
        if (!place_fails(bodies, watch, unit->class, point, placed, kerf_mm, &shown, &needed)) continue;
        Spot at = motion_apply(placed->bodies[point->body], point->at);
        fprintf(file, "<circle cx=\"%.2f\" cy=\"%.2f\" r=\"1.2\" fill=\"none\" stroke-width=\"0.3\" stroke=\"%s\"/>\n", at.x,
                at.y, colours[unit->class]);
    }
}

void picture_write(const Bodies *bodies, const Watch *watch, const Placed *placed, double kerf_mm, FILE *file)
{
    const ReadKit *kit = bodies->kit;
    fprintf(file, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"-5 -5 %.1f %.1f\">\n", kit->width_mm + 10.0,
            kit->height_mm + 10.0);
    for (int b = 0; b < bodies->count; b++)
        for (int i = 0; i < kit->piece_count; i++)
            if (bodies->of_piece[i] == b) write_piece(bodies, i, placed, kerf_mm, file);
    for (size_t u = 0; u < watch->unit_count; u++)
        write_fault(bodies, watch, &watch->units[u], placed, kerf_mm, file);
    fprintf(file, "</svg>\n");
}
