// views.c - the geometry of an answer as JSON texts, made once: replies only copy them.
#include "desk/shown.h"

#include "base/write_json.h"
#include "kit/draft.h"
#include "kit/path_text.h"
#include "seam/hiding.h"
#include "shape/row.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define HIDDEN_BY_MM 3.0        // of cover, as in docs/kit-format.md
#define PINNED_WITHIN_MM 1.0    // a seam that was asked for runs this near to where it was asked for
#define NAME_ROWS 9             // looked at for the widest place of a piece

typedef struct Writer {
    const ShownFrom *from;
    Shown *shown;
    const Job *job;
    Arena scratch;              // rewound after each item
    size_t capacity;            // of the view that grows
} Writer;

// ---- items ----

static Text begin_item(Writer *w)
{
    arena_rewind(&w->scratch, (ArenaMark){0});
    Text text = text_make(&w->scratch);
    text_add(&text, "{");
    return text;
}

static void begin_key(Text *text, const char *key)
{
    if (text->size_bytes > 1) text_add(text, ", ");
    text_printf(text, "\"%s\": ", key);
}

static void key_string(Text *text, const char *key, const char *value)
{
    begin_key(text, key);
    JsonWriter json = write_json_make(text);
    write_json_string(&json, value);
}

static void key_number(Text *text, const char *key, double value)
{
    begin_key(text, key);
    text_number(text, value, 2);
}

static void key_bool(Text *text, const char *key, bool value)
{
    begin_key(text, key);
    text_add(text, value ? "true" : "false");
}

static void key_colour(Text *text, const char *key, Srgb8 colour)
{
    char hex[8];
    colour_hex(colour, hex);
    begin_key(text, key);
    text_printf(text, "\"%s\"", hex);
}

static void key_path(Text *text, const char *key, const Path *path, const double matrix[6])
{
    begin_key(text, key);
    text_add(text, "\"");
    path_add(text, path, matrix);
    text_add(text, "\"");
}

static void add_place(Text *text, double x_mm, double y_mm)
{
    text_add(text, "[");
    text_number(text, x_mm, 2);
    text_add(text, ", ");
    text_number(text, y_mm, 2);
    text_add(text, "]");
}

static bool end_item(Writer *w, ViewKind kind, int layer, Text *text, Error *err)
{
    View *view = &w->shown->views[kind];
    text_add(text, "}");
    if (!text_is_whole(text, err)) return false;
    if (view->count == 0) w->capacity = 0;
    ViewItem *items = arena_grow(&w->shown->arena, view->items, (size_t)view->count, &w->capacity, sizeof *items);
    const char *json = arena_copy(&w->shown->arena, text->bytes, text->size_bytes, 1);
    if (!items || !json) return error_memory(err);
    items[view->count++] = (ViewItem){layer, json, text->size_bytes};
    view->items = items;
    return true;
}

// ---- picture ----

static bool write_regions(Writer *w, Error *err)
{
    const Outlines *outlines = &w->job->outlines;
    for (int r = 1; r < outlines->region_count; r++) {
        const Region *region = &outlines->regions[r];
        Text text = begin_item(w);
        Path path;
        if (!area_path(&outlines->chains, &region->area, &w->scratch, &path, err)) return false;
        if (region->label > 0) key_colour(&text, "colour", outlines->colours[region->label - 1].colour);
        key_bool(&text, "ground", region->label == 0);
        begin_key(&text, "at_mm");
        add_place(&text, region->inside.x / UM_PER_MM, region->inside.y / UM_PER_MM);
        key_path(&text, "path", &path, NULL);
        if (!end_item(w, VIEW_PICTURE, -1, &text, err)) return false;
    }
    return true;
}

// ---- borders: where two colours meet ----

static int layer_of_label(const Stack *stack, int label)
{
    for (int l = 0; label > 0 && l < stack->layer_count; l++)
        if (stack->layers[l].colour == label - 1) return l;
    return -1;
}

// The whole of an arc as a part of an open path.
static void add_arc(const Chain *chain, Path *path)
{
    memcpy(&path->curves[path->curve_count], chain->curves, (size_t)chain->curve_count * sizeof *chain->curves);
    path->curve_count += chain->curve_count;
    path->first[++path->part_count] = path->curve_count;
}

static bool arc_parts(const Outlines *outlines, int arc, int low, int high)
{
    int left = outlines->regions[outlines->arcs[arc].left].label, right = outlines->regions[outlines->arcs[arc].right].label;
    return (left == low && right == high) || (left == high && right == low);
}

static bool write_border(Writer *w, int low, int high, int curve_count, int arc_count, Error *err)
{
    const Outlines *outlines = &w->job->outlines;
    Text text = begin_item(w);
    Path path = {arena_new(&w->scratch, Curve, curve_count), 0, arena_new(&w->scratch, int, arc_count + 1), 0, true};
    if (!path.curves || !path.first) return error_memory(err);
    for (int a = 0; a < outlines->arc_count; a++)
        if (arc_parts(outlines, a, low, high)) add_arc(&outlines->chains.items[a], &path);
    char hex[2][8];
    colour_hex(outlines->colours[low - 1].colour, hex[0]);
    colour_hex(outlines->colours[high - 1].colour, hex[1]);
    begin_key(&text, "colours");
    text_printf(&text, "[\"%s\", \"%s\"]", hex[0], hex[1]);
    int below = layer_of_label(&w->job->stack, low), above = layer_of_label(&w->job->stack, high);
    char letter[8] = "";
    if (below >= 0 && above >= 0) layer_letter(below > above ? below : above, letter);
    if (letter[0]) key_string(&text, "over", letter);
    key_path(&text, "path", &path, NULL);
    return end_item(w, VIEW_BORDERS, -1, &text, err);
}

static bool write_borders(Writer *w, Error *err)
{
    const Outlines *outlines = &w->job->outlines;
    for (int low = 1; low <= outlines->colour_count; low++)
        for (int high = low + 1; high <= outlines->colour_count; high++) {
            int curve_count = 0, arc_count = 0;
            for (int a = 0; a < outlines->arc_count; a++) {
                if (!arc_parts(outlines, a, low, high)) continue;
                curve_count += outlines->chains.items[a].curve_count;
                arc_count++;
            }
            if (arc_count > 0 && !write_border(w, low, high, curve_count, arc_count, err)) return false;
        }
    return true;
}

// ---- layers ----

// The edges of a layer that end up below a higher one.
static bool hidden_edges(const Stack *stack, const Layer *layer, Arena *arena, Path *out, Error *err)
{
    int curve_count = 0;
    for (int i = 0; i < layer->area.link_count; i++)
        if (layer->hidden[i]) curve_count += link_curve_count(&stack->chains, &layer->area.links[i]);
    *out = (Path){arena_new(arena, Curve, curve_count), 0, arena_new(arena, int, layer->area.link_count + 1), 0, true};
    if (!out->curves || !out->first) return error_memory(err);
    for (int i = 0; i < layer->area.link_count; i++) {
        if (!layer->hidden[i]) continue;
        link_curves(&stack->chains, &layer->area.links[i], &out->curves[out->curve_count]);
        out->curve_count += link_curve_count(&stack->chains, &layer->area.links[i]);
        out->first[++out->part_count] = out->curve_count;
    }
    return true;
}

static bool write_layers(Writer *w, Error *err)
{
    const Stack *stack = &w->job->stack;
    for (int l = 0; l < stack->layer_count; l++) {
        const Layer *layer = &stack->layers[l];
        Text text = begin_item(w);
        Path outline, hidden;
        char letter[8];
        layer_letter(l, letter);
        if (!area_path(&stack->chains, &layer->area, &w->scratch, &outline, err) ||
            !hidden_edges(stack, layer, &w->scratch, &hidden, err))
            return false;
        key_string(&text, "id", letter);
        key_colour(&text, "colour", stack->colours[layer->colour].colour);
        key_path(&text, "outline", &outline, NULL);
        key_path(&text, "edges_under", &hidden, NULL);
        if (!end_item(w, VIEW_LAYERS, l, &text, err)) return false;
    }
    return true;
}

// ---- pieces ----

// The middle of the widest stretch inside the piece, of a few rows.
static bool name_place(const Rings *rings, Arena *arena, double out_mm[2], Error *err)
{
    Box box = rings_box(rings);
    double best = -1.0, height = (double)box.max.y - box.min.y;
    RowCrossings row = {.x = arena_new(arena, double, rings_point_count(rings) + 1)};
    if (!row.x) return error_memory(err);
    out_mm[0] = (box.min.x + (double)box.max.x) / 2.0 / UM_PER_MM;
    out_mm[1] = (box.min.y + (double)box.max.y) / 2.0 / UM_PER_MM;
    for (int i = 0; i < NAME_ROWS; i++) {
        double off = (i % 2 ? 1.0 : -1.0) * ((i + 1) / 2) / (NAME_ROWS + 1.0); // the middle first
        row.y = box.min.y + height * (0.5 + off) + 0.5;
        row.count = 0;
        row_cross_rings(&row, rings, 1.0);
        row_sort(&row);
        for (int k = 0; k + 1 < row.count; k += 2) {
            double wide = (row.x[k + 1] - row.x[k]) * (1.0 - fabs(off)); // nearer to the middle where it matters little
            if (wide <= best) continue;
            best = wide;
            out_mm[0] = (row.x[k] + row.x[k + 1]) / 2.0 / UM_PER_MM;
            out_mm[1] = row.y / UM_PER_MM;
        }
    }
    return true;
}

static bool write_pieces(Writer *w, Error *err)
{
    int at = 0;
    for (int l = 0; l < w->job->stack.layer_count; l++) {
        const LayerPieces *pieces = &w->job->pieces[l];
        for (int p = 0; p < pieces->piece_count; p++) {
            ShownPiece *piece = &w->shown->pieces[at++];
            Text text = begin_item(w);
            Path outline;
            char letter[8];
            layer_letter(l, letter);
            if (!name_place(&pieces->pieces[p].rings, &w->scratch, piece->at_mm, err) ||
                !area_path(&pieces->chains, &pieces->pieces[p].face, &w->scratch, &outline, err))
                return false;
            key_string(&text, "id", piece->id);
            key_string(&text, "layer", letter);
            key_string(&text, "sheet", piece->sheet);
            begin_key(&text, "at_mm");
            add_place(&text, piece->at_mm[0], piece->at_mm[1]);
            key_path(&text, "outline", &outline, NULL);
            if (!end_item(w, VIEW_PIECES, l, &text, err)) return false;
        }
    }
    return true;
}

// ---- seams ----

typedef struct Pen {            // a path that is drawn stretch by stretch
    Text text;
    double x_mm, y_mm;
} Pen;

static void draw(Pen *pen, double ax, double ay, double bx, double by)
{
    bool goes_on = pen->text.size_bytes > 0 && pen->x_mm == ax && pen->y_mm == ay;
    if (!goes_on) {
        text_add(&pen->text, pen->text.size_bytes > 0 ? " M" : "M");
        text_number(&pen->text, ax, 2);
        text_add(&pen->text, " ");
        text_number(&pen->text, ay, 2);
    }
    text_add(&pen->text, " L");
    text_number(&pen->text, bx, 2);
    text_add(&pen->text, " ");
    text_number(&pen->text, by, 2);
    pen->x_mm = bx;
    pen->y_mm = by;
}

// One straight edge of a seam, as seen and as hidden stretches.
static bool draw_edge(const Hiding *hiding, Point a, Point b, Arena *arena, Pen *seen, Pen *hidden, Error *err)
{
    Stretches stretches = {0};
    double ax = a.x / UM_PER_MM, ay = a.y / UM_PER_MM, bx = b.x / UM_PER_MM, by = b.y / UM_PER_MM;
    double length = point_distance_mm(a, b), at = 0.0;
    if (length == 0.0) return true;
    if (!hiding_stretches(hiding, a, b, arena, &stretches)) return error_memory(err);
    double ux = (bx - ax) / length, uy = (by - ay) / length;
    for (size_t i = 0; i <= stretches.count; i++) {
        double from = i < stretches.count ? stretches.items[i].lo : length;
        double to = i < stretches.count ? stretches.items[i].hi : length;
        bool last = to >= length;
        if (from > at) draw(seen, ax + ux * at, ay + uy * at, from >= length ? bx : ax + ux * from, from >= length ? by : ay + uy * from);
        if (to > from) draw(hidden, ax + ux * from, ay + uy * from, last ? bx : ax + ux * to, last ? by : ay + uy * to);
        at = to;
    }
    return true;
}

static bool near_line(FigurePoint p, const double frame[3], const Chains *chains, const Seam *seam)
{
    Point at = point_from_mm(frame[0] + p.x * frame[2], frame[1] + p.y * frame[2]);
    for (int l = 0; l < seam->link_count; l++)
        for (int i = 1; i < link_point_count(&seam->links[l]); i++)
            if (point_segment_distance_mm(at, link_point(chains, &seam->links[l], i - 1), link_point(chains, &seam->links[l], i)) <= PINNED_WITHIN_MM)
                return true;
    return false;
}

// The middles of the asked line's stretches lie on the seam: its ends may be cut off by the outline.
static bool runs_along(const Edit *edit, const double frame[3], const Chains *chains, const Seam *seam)
{
    for (int i = 1; i < edit->point_count; i++) {
        FigurePoint a = edit->points[i - 1], b = edit->points[i];
        if (!near_line((FigurePoint){(a.x + b.x) / 2.0, (a.y + b.y) / 2.0}, frame, chains, seam)) return false;
    }
    return edit->point_count > 1;
}

static int64_t pinning_line(const Writer *w, const Chains *chains, const Seam *seam, Srgb8 colour)
{
    const EditList *edits = w->from->edits;
    const double *frame = w->shown->figure_mm;
    for (size_t i = edits->count; i-- > 0;) {
        const Edit *edit = &edits->items[i];
        if (edit->kind != EDIT_SEAM && edit->kind != EDIT_SEAM_MOVED) continue;
        if (replay_find_colour(&(SeparationColour){.colour = colour}, 1, edit->colour) != 0) continue;
        if (frame[2] > 0.0 && runs_along(edit, frame, chains, seam)) return w->from->edit_lines[i];
    }
    return 0;
}

static bool write_course(const Chains *chains, const Seam *seam, const Hiding *hiding, Text *text, Arena *arena, Error *err)
{
    Pen seen = {.text = text_make(arena)}, hidden = {.text = text_make(arena)};
    begin_key(text, "points");
    text_add(text, "[");
    bool first = true;
    for (int l = 0; l < seam->link_count; l++)
        for (int i = l == 0 ? 0 : 1; i < link_point_count(&seam->links[l]); i++) {
            Point p = link_point(chains, &seam->links[l], i);
            if (!first) text_add(text, ", ");
            first = false;
            add_place(text, p.x / UM_PER_MM, p.y / UM_PER_MM);
            if (i > 0 && !draw_edge(hiding, link_point(chains, &seam->links[l], i - 1), p, arena, &seen, &hidden, err)) return false;
        }
    text_add(text, "]");
    if (!text_is_whole(&seen.text, err) || !text_is_whole(&hidden.text, err)) return false;
    key_string(text, "visible", seen.text.size_bytes ? seen.text.bytes : "");
    key_string(text, "hidden", hidden.text.size_bytes ? hidden.text.bytes : "");
    return true;
}

static bool write_seam(Writer *w, int layer, const Seam *seam, const Hiding *hiding, Error *err)
{
    const LayerPieces *pieces = &w->job->pieces[layer];
    const Chains *chains = &pieces->chains;
    Text text = begin_item(w);
    char letter[8];
    layer_letter(layer, letter);
    Point a = link_start(chains, &seam->links[0]), b = link_end(chains, &seam->links[seam->link_count - 1]);
    key_string(&text, "id", seam->id);
    key_string(&text, "layer", letter);
    begin_key(&text, "pieces");
    text_printf(&text, "[\"%s\", \"%s\"]", pieces->pieces[seam->pieces[0]].id, pieces->pieces[seam->pieces[1]].id);
    begin_key(&text, "ends");
    text_add(&text, "[");
    add_place(&text, a.x / UM_PER_MM, a.y / UM_PER_MM);
    text_add(&text, ", ");
    add_place(&text, b.x / UM_PER_MM, b.y / UM_PER_MM);
    text_add(&text, "]");
    if (!write_course(chains, seam, hiding, &text, &w->scratch, err)) return false;
    key_number(&text, "length_mm", seam->length_mm);
    key_number(&text, "visible_mm", seam->visible_mm);
    int64_t line = pinning_line(w, chains, seam, w->job->stack.colours[w->job->stack.layers[layer].colour].colour);
    begin_key(&text, "pinned");
    if (line) text_printf(&text, "%lld", (long long)line);
    else text_add(&text, "null");
    return end_item(w, VIEW_SEAMS, layer, &text, err);
}

static bool write_seams(Writer *w, Error *err)
{
    for (int l = 0; l < w->job->stack.layer_count; l++) {
        const LayerPieces *pieces = &w->job->pieces[l];
        Arena own = arena_make(0);
        Hiding hiding;
        bool done = pieces->seam_count == 0 || hiding_make(&w->job->stack.layers[l].cover, HIDDEN_BY_MM, &own, &hiding, err);
        for (int s = 0; s < pieces->seam_count && done; s++) done = write_seam(w, l, &pieces->seams[s], &hiding, err);
        arena_free(&own);
        if (!done) return false;
    }
    return true;
}

// ---- sheets ----

static void key_box(Text *text, const char *key, const double *values, int count)
{
    begin_key(text, key);
    text_add(text, "[");
    for (int i = 0; i < count; i++) {
        if (i > 0) text_add(text, ", ");
        text_number(text, values[i], 3);
    }
    text_add(text, "]");
}

static bool write_on_sheet(Writer *w, const KitPaper *paper, int i, Text *text, bool first, Error *err)
{
    const LayerPieces *pieces = &w->job->pieces[paper->layers[i]];
    const Piece *piece = &pieces->pieces[paper->pieces[i]];
    Path outline;
    if (!area_path(&pieces->chains, &piece->face, &w->scratch, &outline, err)) return false;
    text_add(text, first ? "{\"id\": " : ", {\"id\": ");
    text_printf(text, "\"%s\", \"outline\": \"", piece->id);
    path_add(text, &outline, paper->nest.places[i].to_sheet);
    text_add(text, "\"}");
    return true;
}

static bool write_sheet(Writer *w, int paper_index, int sheet, const char *word, Error *err)
{
    const KitPaper *paper = &w->job->papers[paper_index];
    Text text = begin_item(w);
    char id[80];
    double size[2] = {paper->paper.width_mm, paper->paper.height_mm}, usable[4];
    paper_usable(&paper->paper, usable);
    snprintf(id, sizeof id, "%s-%d", word, sheet + 1);
    key_string(&text, "id", id);
    key_string(&text, "paper", paper->paper.id);
    key_colour(&text, "colour", paper->colour);
    key_box(&text, "size_mm", size, 2);
    key_box(&text, "usable_mm", usable, 4);
    begin_key(&text, "pieces");
    text_add(&text, "[");
    bool first = true;
    for (int i = 0; i < paper->piece_count; i++) {
        if (paper->nest.places[i].sheet != sheet) continue;
        if (!write_on_sheet(w, paper, i, &text, first, err)) return false;
        first = false;
    }
    text_add(&text, "]");
    return end_item(w, VIEW_SHEETS, -1, &text, err);
}

static bool write_sheets(Writer *w, Error *err)
{
    KitInput input = {.papers = w->job->papers, .paper_count = w->job->paper_count};
    for (int p = 0; p < w->job->paper_count; p++) {
        char word[64];
        draft_paper_word(&input, p, word);
        for (int s = 0; s < w->job->papers[p].nest.sheet_count; s++)
            if (!write_sheet(w, p, s, word, err)) return false;
    }
    return true;
}

bool views_make(const ShownFrom *from, Shown *shown, Error *err)
{
    Writer w = {.from = from, .shown = shown, .job = from->job, .scratch = arena_make(0)};
    bool done = write_regions(&w, err) && write_borders(&w, err) && write_layers(&w, err) && write_pieces(&w, err) &&
                write_seams(&w, err) && write_sheets(&w, err);
    arena_free(&w.scratch);
    return done;
}
