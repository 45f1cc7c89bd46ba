// view.c - see view.h. Every field that a view holds is hashed here, and every option.
#include "job/view.h"

// ---- shapes ----

static void hash_point(Hasher *h, Point p)
{
    const int32_t xy[2] = {p.x, p.y};
    hash_bytes(h, xy, sizeof xy);
}

static void hash_points(Hasher *h, const Point *points, int count)
{
    hash_int(h, count);
    for (int i = 0; i < count; i++) hash_point(h, points[i]);
}

static void hash_rings(Hasher *h, const Rings *rings)
{
    hash_int(h, rings->count);
    for (int i = 0; i < rings->count; i++) hash_points(h, rings->items[i].points, rings->items[i].count);
}

static void hash_curves(Hasher *h, const Curve *curves, int count)
{
    hash_int(h, count);
    for (int i = 0; i < count; i++) {
        const Point four[4] = {curves[i].p0, curves[i].p1, curves[i].p2, curves[i].p3};
        for (int k = 0; k < 4; k++) hash_point(h, four[k]);
        hash_int(h, curves[i].is_line);
    }
}

static void hash_chain(Hasher *h, const Chain *chain)
{
    hash_curves(h, chain->curves, chain->curve_count);
    hash_points(h, chain->points, chain->point_count);
    for (int i = 0; i < chain->point_count; i++) hash_double(h, chain->at[i]);
    hash_int(h, chain->closed);
    hash_int(h, chain->origin);
}

static void hash_area(Hasher *h, const Area *area)
{
    hash_int(h, area->link_count);
    for (int i = 0; i < area->link_count; i++) {
        hash_int(h, area->links[i].chain);
        hash_int(h, area->links[i].first);
        hash_int(h, area->links[i].last);
    }
    hash_int(h, area->ring_count);
    for (int i = 0; i < area->ring_count; i++) {
        hash_int(h, area->rings[i].first_link);
        hash_int(h, area->rings[i].link_count);
        hash_int(h, area->rings[i].outer);
    }
}

static void hash_path(Hasher *h, const Path *path)
{
    hash_curves(h, path->curves, path->curve_count);
    hash_int(h, path->part_count);
    for (int i = 0; i <= path->part_count; i++) hash_int(h, path->first[i]);
    hash_int(h, path->open);
}

// ---- options ----

static void hash_colour(Hasher *h, Srgb8 colour)
{
    hash_int(h, colour.r << 16 | colour.g << 8 | colour.b);
}

// What pieces and sheets depend on.
static void hash_sheet(Hasher *h, const Paper *paper)
{
    hash_text(h, paper->id);
    hash_double(h, paper->width_mm);
    hash_double(h, paper->height_mm);
    hash_int(h, paper->direction);
    hash_int(h, paper->has_loss);
    for (int i = 0; i < 4; i++) hash_double(h, paper->loss_mm[i]);
}

void hash_paper(Hasher *h, const Paper *paper)
{
    hash_sheet(h, paper);
    hash_int(h, paper->is_offcut << 4 | paper->white_core << 3 | paper->one_faced << 2 | paper->no_score << 1 | paper->no_pen);
    const double measures[] = {paper->gsm, paper->board_mm[0], paper->board_mm[1], paper->pack_price};
    for (size_t i = 0; i < sizeof measures / sizeof measures[0]; i++) hash_double(h, measures[i]);
    hash_int(h, paper->pack_count);
}

static void hash_space(Hasher *h, Space space)
{
    hash_double(h, space.width_mm);
    hash_double(h, space.height_mm);
    hash_double(h, space.corner_mm);
    hash_int(h, space.upright);
}

void hash_names(Hasher *h, const SeparationColour *colours, int count)
{
    hash_int(h, count);
    for (int i = 0; i < count; i++) hash_text(h, colours[i].name);
}

void hash_kit_options(Hasher *h, const KitOptions *options)
{
    hash_int(h, options->page);
    hash_int(h, options->sheets_for);
    hash_int(h, options->formats);
    hash_double(h, options->overcut_mm);
    hash_double(h, options->blade_offset_mm);
    for (int k = 0; k < 2; k++) hash_double(h, options->board_mm[k]);
    hash_int(h, options->cut_from_back);
}

void hash_colours(Hasher *h, const SeparationColour *colours, int count)
{
    hash_int(h, count);
    for (int i = 0; i < count; i++) {
        hash_colour(h, colours[i].colour);
        hash_int(h, colours[i].area_px);
        hash_int(h, colours[i].region_count);
    }
}

void hash_separation_options(Hasher *h, const SeparationOptions *options)
{
    const SeparationWishes *wishes = &options->wishes;
    hash_double(h, options->figure_height_mm);
    hash_double(h, options->smallest_part_mm);
    hash_double(h, options->smallest_hole_mm);
    hash_double(h, options->smallest_area_px);
    hash_double(h, options->same_de00);
    hash_double(h, options->least_width_mm);
    hash_int(h, options->most_colours);
    hash_int(h, wishes->place_count);
    for (int i = 0; i < wishes->place_count; i++) {
        hash_double(h, wishes->places[i].x);
        hash_double(h, wishes->places[i].y);
        hash_int(h, wishes->places[i].is_ground);
        hash_int(h, wishes->places[i].turn);
    }
    hash_int(h, wishes->same_count);
    for (int i = 0; i < wishes->same_count; i++) {
        hash_colour(h, wishes->same[i].colour);
        hash_colour(h, wishes->same[i].as);
        hash_int(h, wishes->same[i].turn);
    }
    hash_int(h, wishes->left_out_count);
    for (int i = 0; i < wishes->left_out_count; i++) {
        hash_colour(h, wishes->left_out[i]);
        hash_int(h, wishes->left_out_turns ? wishes->left_out_turns[i] : 0);
    }
    hash_int(h, wishes->paper_count);
    for (int i = 0; i < wishes->paper_count; i++) {
        hash_colour(h, wishes->papers[i].colour);
        hash_text(h, wishes->papers[i].name);
    }
    hash_int(h, wishes->tiny_count);
    for (int i = 0; i < wishes->tiny_count; i++) {
        hash_double(h, wishes->tiny[i].x);
        hash_double(h, wishes->tiny[i].y);
        hash_int(h, wishes->tiny[i].fate);
    }
}

void hash_stack_options(Hasher *h, const StackOptions *options)
{
    hash_int(h, options->way);
    hash_double(h, options->underlap_mm);
    hash_double(h, options->border_mm);
    hash_int(h, options->base_colour);
    hash_int(h, options->lines);
    hash_double(h, options->thin_mm);
    hash_int(h, options->raised_count);
    for (int i = 0; i < options->raised_count; i++) {
        hash_int(h, options->raised[i].colour);
        hash_int(h, options->raised[i].layer);
    }
    hash_int(h, options->order_count);
    for (int i = 0; i < options->order_count; i++) {
        hash_int(h, options->orders[i].over);
        hash_int(h, options->orders[i].under);
    }
    hash_int(h, options->inlay_count);
    for (int i = 0; i < options->inlay_count; i++) {
        hash_int(h, options->inlays[i].a);
        hash_int(h, options->inlays[i].b);
    }
}

static void hash_lines(Hasher *h, const SeamLine *lines, int count)
{
    hash_int(h, count);
    for (int i = 0; i < count; i++) hash_points(h, lines[i].points, lines[i].count);
}

static void hash_seam_options(Hasher *h, const SeamOptions *options)
{
    const SeamWishes *wishes = &options->wishes;
    hash_sheet(h, &options->paper);
    hash_int(h, options->tries);
    hash_int(h, options->form);
    hash_double(h, options->lap_mm);
    const double measures[] = {options->hidden_by_mm,   options->hidden_weight, options->piece_weight, options->stacked_weight,
                               options->detail_weight, options->least_long_mm, options->least_wide_mm, options->least_neck_mm};
    for (size_t i = 0; i < sizeof measures / sizeof measures[0]; i++) hash_double(h, measures[i]);
    hash_lines(h, options->above, options->above_count);
    hash_int(h, options->detail != NULL);
    if (options->detail) hash_rings(h, options->detail);
    hash_lines(h, wishes->fixed, wishes->fixed_count);
    hash_int(h, wishes->section_count);
    hash_int(h, wishes->whole_count);
    for (int i = 0; i < wishes->whole_count; i++) hash_int(h, wishes->whole[i]);
    hash_lines(h, wishes->forbidden, wishes->forbidden_count);
    hash_int(h, wishes->keep_clear != NULL);
    if (wishes->keep_clear) hash_rings(h, wishes->keep_clear);
    hash_int(h, wishes->frozen_count);
    for (int i = 0; i < wishes->frozen_count; i++) {
        hash_text(h, wishes->frozen[i].id);
        hash_path(h, wishes->frozen[i].outline);
        hash_int(h, wishes->frozen[i].paper != NULL);
        if (wishes->frozen[i].paper) hash_paper(h, wishes->frozen[i].paper);
        hash_int(h, wishes->frozen[i].face != NULL);
        if (wishes->frozen[i].face) hash_path(h, wishes->frozen[i].face);
    }
}

// ---- separation ----

Key view_separation_key(const Separation *separation)
{
    Hasher h = hasher_make("separation");
    hash_int(&h, separation->width_px);
    hash_int(&h, separation->height_px);
    hash_bytes(&h, separation->label, (size_t)separation->width_px * (size_t)separation->height_px);
    hash_int(&h, separation->repainted != NULL);
    if (separation->repainted)
        hash_bytes(&h, separation->repainted, (size_t)separation->width_px * (size_t)separation->height_px);
    hash_colours(&h, separation->colours, separation->colour_count);
    hash_names(&h, separation->colours, separation->colour_count); // those of papers in hand do not follow from the colours
    hash_int(&h, separation->has_ground_colour);
    hash_colour(&h, separation->ground_colour);
    hash_int(&h, separation->hard_edged);
    hash_int(&h, separation->is_noisy);
    for (int i = 0; i < 4; i++) hash_double(&h, separation->box_px[i]);
    for (int i = 0; i < 4; i++) hash_double(&h, separation->wish_box_px[i]);
    hash_int(&h, (int64_t)separation->findings.count);
    for (size_t i = 0; i < separation->findings.count; i++) {
        const Finding *finding = &separation->findings.items[i];
        hash_text(&h, finding->kind);
        hash_text(&h, finding->text);
        hash_double(&h, finding->x_mm);
        hash_double(&h, finding->y_mm);
    }
    hash_int(&h, separation->pen_detail_count);
    for (int i = 0; i < separation->pen_detail_count; i++) {
        const PenDetail *detail = &separation->pen_details[i];
        hash_colour(&h, detail->colour);
        hash_int(&h, detail->point_count);
        for (int k = 0; k < 2 * detail->point_count; k++) hash_double(&h, detail->xy_px[k]);
    }
    return hasher_key(&h);
}

// ---- seams ----

// Marks the chains of the area, and those they are copies of.
static void mark_chains(const Stack *stack, const Area *area, bool *is_used)
{
    for (int i = 0; i < area->link_count; i++)
        for (int chain = area->links[i].chain; chain >= 0 && !is_used[chain]; chain = stack->chains.items[chain].origin)
            is_used[chain] = true;
}

static bool take_chains(const Stack *stack, const bool *is_used, Arena *keep, int *moved, Stack *out, Error *err)
{
    size_t count = 0;
    for (size_t i = 0; i < stack->chains.count; i++) {
        if (!is_used[i]) continue;
        out->arc_count += (int)i < stack->arc_count;
        moved[i] = (int)count++;
    }
    out->chains = (Chains){arena_new(keep, Chain, count), count, count};
    if (!out->chains.items) return error_memory(err);
    for (size_t i = 0; i < stack->chains.count; i++) {
        if (!is_used[i]) continue;
        Chain *chain = &out->chains.items[moved[i]];
        *chain = stack->chains.items[i];
        if (chain->origin >= 0) chain->origin = moved[chain->origin];
    }
    return true;
}

bool view_for_seams(const Stack *stack, int layer, Arena *keep, Stack *out, Error *err)
{
    const Layer *from = &stack->layers[layer];
    *out = (Stack){.layer_count = layer + 1, .colours = &stack->colours[from->colour], .colour_count = 1,
                   .width_mm = stack->width_mm, .height_mm = stack->height_mm, .border_mm = stack->border_mm,
                   .underlap_mm = stack->underlap_mm};
    bool *is_used = arena_new(keep, bool, stack->chains.count);
    int *moved = arena_new(keep, int, stack->chains.count);
    out->layers = arena_new(keep, Layer, layer + 1);
    Link *links = arena_copy(keep, from->area.links, (size_t)from->area.link_count, sizeof *links);
    if (!is_used || !moved || !out->layers || !links) return error_memory(err);
    mark_chains(stack, &from->area, is_used);
    if (!take_chains(stack, is_used, keep, moved, out, err)) return false;
    for (int i = 0; i < from->area.link_count; i++) links[i].chain = moved[links[i].chain];
    Layer *to = &out->layers[layer];
    *to = (Layer){.area = from->area, .hidden = from->hidden, .rings = from->rings, .cover = from->cover};
    to->area.links = links;
    return true;
}

Key view_seams_key(const Stack *view, int layer, const SeamOptions *options)
{
    Hasher h = hasher_make("seams");
    const Layer *only = &view->layers[layer];
    hash_int(&h, layer);
    hash_colours(&h, view->colours, view->colour_count);
    hash_names(&h, view->colours, view->colour_count); // findings tell them
    const double sizes[] = {view->width_mm, view->height_mm, view->border_mm, view->underlap_mm};
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) hash_double(&h, sizes[i]);
    hash_int(&h, view->arc_count);
    hash_int(&h, (int64_t)view->chains.count);
    for (size_t i = 0; i < view->chains.count; i++) hash_chain(&h, &view->chains.items[i]);
    hash_area(&h, &only->area);
    for (int i = 0; i < only->area.link_count; i++) hash_int(&h, only->hidden[i]);
    hash_rings(&h, &only->rings);
    hash_rings(&h, &only->cover);
    hash_seam_options(&h, options);
    return hasher_key(&h);
}

// ---- marks ----

static bool take_strokes(const Stack *stack, int layer, Arena *keep, Stack *out, Error *err)
{
    out->pen_strokes = arena_new(keep, PenStroke, stack->pen_stroke_count);
    if (!out->pen_strokes) return error_memory(err);
    for (int i = 0; i < stack->pen_stroke_count; i++)
        if (stack->pen_strokes[i].layer == layer) out->pen_strokes[out->pen_stroke_count++] = stack->pen_strokes[i];
    return true;
}

static bool take_pieces(const LayerPieces *from, Arena *keep, LayerPieces *out, Error *err)
{
    *out = (LayerPieces){.layer = from->layer, .piece_count = from->piece_count};
    out->pieces = arena_copy(keep, from->pieces, (size_t)from->piece_count, sizeof *out->pieces);
    if (!out->pieces) return error_memory(err);
    for (int i = 0; i < out->piece_count; i++) { // marks lie on faces
        out->pieces[i].face = out->pieces[i].outline = (Area){0};
        out->pieces[i].cut = (Rings){0};
        out->pieces[i].has_laps = false;
    }
    return true;
}

// The seams as flat lines, one chain each: where they run, and between which pieces.
static bool take_seams(const LayerPieces *from, Arena *keep, LayerPieces *out, Error *err)
{
    out->seam_count = from->seam_count;
    out->seams = arena_new(keep, Seam, from->seam_count);
    out->chains.items = arena_new(keep, Chain, from->seam_count);
    Link *links = arena_new(keep, Link, from->seam_count);
    if (!out->seams || !out->chains.items || !links) return error_memory(err);
    out->chains.count = out->chains.capacity = (size_t)from->seam_count;
    for (int i = 0; i < from->seam_count; i++) {
        const Seam *seam = &from->seams[i];
        int count = 0;
        for (int k = 0; k < seam->link_count; k++) count += link_point_count(&seam->links[k]) - 1;
        Point *points = arena_new(keep, Point, count + 1);
        if (!points) return error_memory(err);
        count = 0;
        for (int k = 0; k < seam->link_count; k++)
            for (int n = k == 0 ? 0 : 1; n < link_point_count(&seam->links[k]); n++)
                points[count++] = link_point(&from->chains, &seam->links[k], n);
        out->chains.items[i] = (Chain){.points = points, .point_count = count, .origin = -1};
        links[i] = (Link){i, 0, count - 1};
        out->seams[i] = (Seam){.pieces = {seam->pieces[0], seam->pieces[1]}, .links = &links[i], .link_count = 1};
    }
    return true;
}

bool view_for_marks(const Stack *stack, const LayerPieces *pieces, int layer, Arena *keep, MarkView *out, Error *err)
{
    Stack *view = &out->stack;
    *view = (Stack){.layer_count = stack->layer_count, .width_mm = stack->width_mm, .height_mm = stack->height_mm};
    view->layers = arena_new(keep, Layer, stack->layer_count);
    out->pieces = arena_new(keep, LayerPieces, stack->layer_count);
    if (!view->layers || !out->pieces) return error_memory(err);
    for (int i = layer; i < stack->layer_count; i++) {
        const Layer *from = &stack->layers[i];
        view->layers[i] = (Layer){.area = {.rings = from->area.rings, .ring_count = from->area.ring_count},
                                  .rings = from->rings, .raised = from->raised};
    }
    view->layers[layer].cover = stack->layers[layer].cover;
    return take_strokes(stack, layer, keep, view, err) && take_pieces(&pieces[layer], keep, &out->pieces[layer], err) &&
           take_seams(&pieces[layer], keep, &out->pieces[layer], err);
}

Key view_marks_key(const MarkView *view, int layer, const MarkOptions *options)
{
    Hasher h = hasher_make("marks");
    const Stack *stack = &view->stack;
    const LayerPieces *pieces = &view->pieces[layer];
    hash_int(&h, layer);
    hash_int(&h, options->line);
    hash_int(&h, options->pen_missing << 2 | options->no_marks << 1 | options->no_pen);
    const double measures[] = {options->inset_mm, options->hide_mm, options->letter_mm, options->least_letter_mm, stack->width_mm,
                               stack->height_mm};
    for (size_t i = 0; i < sizeof measures / sizeof measures[0]; i++) hash_double(&h, measures[i]);
    hash_int(&h, stack->layer_count);
    for (int i = layer; i < stack->layer_count; i++) {
        hash_area(&h, &stack->layers[i].area);
        hash_rings(&h, &stack->layers[i].rings);
        hash_int(&h, stack->layers[i].raised);
    }
    hash_rings(&h, &stack->layers[layer].cover);
    hash_int(&h, stack->pen_stroke_count);
    for (int i = 0; i < stack->pen_stroke_count; i++) {
        hash_colour(&h, stack->pen_strokes[i].colour);
        hash_points(&h, stack->pen_strokes[i].points, stack->pen_strokes[i].point_count);
    }
    hash_int(&h, pieces->piece_count);
    for (int i = 0; i < pieces->piece_count; i++) {
        const Piece *piece = &pieces->pieces[i];
        hash_text(&h, piece->id);
        hash_int(&h, piece->part);
        hash_rings(&h, &piece->rings);
        hash_double(&h, piece->fit.cos);
        hash_double(&h, piece->fit.sin);
        hash_double(&h, piece->area_mm2);
    }
    hash_int(&h, pieces->seam_count);
    for (int i = 0; i < pieces->seam_count; i++) {
        const Chain *line = &pieces->chains.items[pieces->seams[i].links[0].chain];
        hash_int(&h, pieces->seams[i].pieces[0]);
        hash_int(&h, pieces->seams[i].pieces[1]);
        hash_points(&h, line->points, line->point_count);
    }
    return hasher_key(&h);
}

// ---- nest ----

static void hash_nest_options(Hasher *h, const NestOptions *options)
{
    hash_sheet(h, &options->paper);
    hash_space(h, options->space);
    const double measures[] = {options->origin_mm[0], options->origin_mm[1], options->gap_mm};
    for (size_t i = 0; i < sizeof measures / sizeof measures[0]; i++) hash_double(h, measures[i]);
    hash_int(h, options->turn);
    hash_int(h, options->orders);
    hash_int(h, options->moves);
    hash_int(h, (int64_t)options->seed);
    hash_int(h, options->most_sheets);
}

static void hash_items(Hasher *h, const NestItem *items, int count)
{
    hash_int(h, count);
    for (int i = 0; i < count; i++) {
        hash_rings(h, items[i].rings);
        hash_double(h, items[i].fit.cos);
        hash_double(h, items[i].fit.sin);
    }
}

Key view_nest_key(const NestItem *items, int count, const NestOptions *options)
{
    Hasher h = hasher_make("nest");
    hash_nest_options(&h, options);
    hash_items(&h, items, count);
    return hasher_key(&h);
}

Key view_mixed_key(const NestItem *items, int count, const NestKind *kinds, int kind_count)
{
    Hasher h = hasher_make("nest of several kinds");
    hash_int(&h, kind_count);
    for (int k = 0; k < kind_count; k++) {
        hash_nest_options(&h, &kinds[k].options);
        hash_int(&h, kinds[k].count);
        hash_double(&h, kinds[k].price);
    }
    hash_items(&h, items, count);
    return hasher_key(&h);
}
