// guide_sketch.c - see guide_sketch.h.
#include "kit/guide_sketch.h"

#include "kit/guide_paths.h"
#include "stack/coarse.h"

#include <cairo.h>
#include <math.h>
#include <string.h>

#define CAPTION_MM 4.0
#define FINE_MM 0.05        // on the page: what the eye does not miss
#define LEAST_MM 0.12       // smaller things are not drawn
#define MOST_BESIDE 10      // names beside a picture; with more, only those that find a place in it are written
#define LETTERS_SMALLER 1.25 // 1.8 mm at least instead of 2.3: can just be read, and better than a line to each piece
#define ROUND_IT 1.7        // the part of the piece that is shown, of what the step brings ...
#define LEAST_SHARE 0.3     // ... and of the piece's longer side
#define APART 0.12          // pieces that are to be joined lie apart by this, of the way from their middle
#define TAPE_MM 1.3
#define WITHOUT_MARGIN_MM 0.5
#define LEAST_ASPECT 0.42   // height of a picture by its width: names beside a lower one would be small
#define EDGE_STRONG_MM 0.25

static const Ink BACK = {0.985, 0.98, 0.97}, TAPE = {0.72, 0.66, 0.54}, STRIP = {0.80, 0.88, 0.84};

typedef struct Sketch {
    Canvas *canvas;
    Sketches *all;
    int layer;
    const GuideStep *step;
    Frame frame;            // for the picture, names included
    Box region;             // finished micrometres
    bool from_behind;
    double scale;
    double matrix[6];       // finished mm to page mm
    Work *work;
} Sketch;

bool sketches_make(const Draft *draft, Arena *keep, Work *work, Sketches *out, Error *err)
{
    *out = (Sketches){draft, keep, work, arena_new(keep, Rings, (size_t)draft->input->stack->layer_count * SKETCH_LEVELS)};
    return out->layers ? true : error_memory(err);
}

// A layer's outline, fine enough for this scale.
static const Rings *layer_rings(Sketches *all, int layer, double scale, Error *err)
{
    const Stack *stack = all->draft->input->stack;
    double coarse_mm = FINE_MM * fmax(stack->width_mm, stack->height_mm) / 30; // for the whole piece in 30 mm
    int level = 0;
    while (level + 1 < SKETCH_LEVELS && coarse_mm * scale > FINE_MM) coarse_mm /= 2, level++;
    Rings *rings = &all->layers[layer * SKETCH_LEVELS + level];
    if (!rings->items && !coarse_rings(&stack->layers[layer].rings, coarse_mm, all->keep, all->work, rings, err)) return NULL;
    return rings;
}

static const DraftPiece *piece_of(const Sketch *sketch, int piece)
{
    const Draft *draft = sketch->all->draft;
    return &draft->pieces[draft->layers[sketch->layer].first_piece + piece];
}

static Ink pale(Ink ink)
{
    const double keep = 0.35;
    return (Ink){1 - keep * (1 - ink.r), 1 - keep * (1 - ink.g), 1 - keep * (1 - ink.b)};
}

// --- where ---

static Box box_of(const Sketch *sketch, const int *pieces, int count)
{
    Box box = box_empty();
    for (int i = 0; i < count; i++) {
        Box one = rings_box(&piece_of(sketch, pieces[i])->source->rings);
        box_add(&box, one.min);
        box_add(&box, one.max);
    }
    return box;
}

static void grow_side(int32_t *min, int32_t *max, double want_um, double limit_um)
{
    double middle = ((double)*min + *max) / 2, half = fmin(fmax(want_um, (double)*max - *min), limit_um) / 2;
    middle = fmin(fmax(middle, half), limit_um - half);
    *min = (int32_t)floor(middle - half);
    *max = (int32_t)ceil(middle + half);
}

// The step's pieces alone, with room to lie apart: the same for both pictures, so that they have one scale.
static Box table_region(const Sketch *sketch)
{
    Box box = box_of(sketch, sketch->step->pieces, sketch->step->piece_count);
    double w = (1 + APART) * ((double)box.max.x - box.min.x), h = (1 + APART) * ((double)box.max.y - box.min.y);
    double x = ((double)box.min.x + box.max.x) / 2, y = ((double)box.min.y + box.max.y) / 2;
    h = fmax(h, LEAST_ASPECT * w);
    return (Box){{(int32_t)(x - w / 2), (int32_t)(y - h / 2)}, {(int32_t)(x + w / 2), (int32_t)(y + h / 2)}};
}

// What the step brings, with enough round it to find the place.
static Box region_of(const Sketch *sketch)
{
    const Stack *stack = sketch->all->draft->input->stack;
    Box box = box_of(sketch, sketch->step->pieces, sketch->step->piece_count);
    double width_um = stack->width_mm * UM_PER_MM, height_um = stack->height_mm * UM_PER_MM,
           least_um = LEAST_SHARE * fmax(width_um, height_um);
    grow_side(&box.min.x, &box.max.x, fmax(least_um, ROUND_IT * ((double)box.max.x - box.min.x)), width_um);
    grow_side(&box.min.y, &box.max.y, fmax(least_um, ROUND_IT * ((double)box.max.y - box.min.y)), height_um);
    return box;
}

static void look(Sketch *sketch, Box region, bool from_behind, double margin_mm)
{
    double w = box_width_mm(region), h = box_height_mm(region);
    double scale = fmin(1, fmin((sketch->frame.w - 2 * margin_mm) / w, sketch->frame.h / h));
    double left = sketch->frame.x + (sketch->frame.w - w * scale) / 2, top = sketch->frame.y;
    double side = from_behind ? -scale : scale, start = from_behind ? left + w * scale : left;
    sketch->region = region;
    sketch->from_behind = from_behind;
    sketch->scale = scale;
    const double m[6] = {side, 0, 0, scale, start - side * region.min.x / UM_PER_MM, top - scale * region.min.y / UM_PER_MM};
    memcpy(sketch->matrix, m, sizeof m);
}

static bool is_on_table(const GuideStep *step)
{
    return step->kind == GUIDE_STEP_JOIN || step->kind == GUIDE_STEP_UNITE || step->kind == GUIDE_STEP_STRIPS || step->kind == GUIDE_STEP_TURN;
}

double sketch_height(Sketches *sketches, int layer, const GuideStep *step, double width_mm, double most_mm)
{
    Sketch sketch = {.all = sketches, .layer = layer, .step = step};
    Box region = is_on_table(step) ? table_region(&sketch) : region_of(&sketch);
    double scale = fmin(1, (width_mm - 2 * WITHOUT_MARGIN_MM) / fmax(1, box_width_mm(region)));
    return fmin(most_mm, box_height_mm(region) * scale + CAPTION_MM);
}

// --- pieces ---

// How far pieces that are to be joined lie from their places: single ones from their middle, two parts from each other.
static void shift_of(const Sketch *sketch, int index, double out_mm[2])
{
    const GuideStep *step = sketch->step;
    Box whole = box_of(sketch, step->pieces, step->piece_count), one;
    double much = APART;
    if (step->kind == GUIDE_STEP_UNITE) {
        bool first = index < step->first_count;
        one = first ? box_of(sketch, step->pieces, step->first_count)
                    : box_of(sketch, step->pieces + step->first_count, step->piece_count - step->first_count);
    } else {
        one = box_of(sketch, &step->pieces[index], 1);
    }
    out_mm[0] = much * ((double)one.min.x + one.max.x - whole.min.x - whole.max.x) / 2 / UM_PER_MM;
    out_mm[1] = much * ((double)one.min.y + one.max.y - whole.min.y - whole.max.y) / 2 / UM_PER_MM;
}

// Pieces that lie apart show their laps.
static bool simple_piece(const Sketch *sketch, int piece, bool apart, const double shift_mm[2], Rings *out, Error *err)
{
    const Piece *source = piece_of(sketch, piece)->source;
    const Rings *from = apart ? piece_cut(source) : &source->rings;
    if (!coarse_rings(from, FINE_MM / sketch->scale, sketch->all->keep, sketch->all->work, out, err)) return false;
    for (int r = 0; r < out->count; r++) {
        Ring *ring = &out->items[r];
        Point *points = arena_new(sketch->all->keep, Point, ring->count);
        if (!points) return error_memory(err);
        for (int i = 0; i < ring->count; i++)
            points[i] = (Point){ring->points[i].x + (int32_t)lround(shift_mm[0] * UM_PER_MM),
                                ring->points[i].y + (int32_t)lround(shift_mm[1] * UM_PER_MM)};
        ring->points = points;
    }
    return true;
}

// Rings of the step's pieces, where this picture shows them.
static bool step_pieces(const Sketch *sketch, bool apart, Rings **out, Error *err)
{
    *out = arena_new(sketch->all->keep, Rings, sketch->step->piece_count);
    if (!*out) return error_memory(err);
    for (int i = 0; i < sketch->step->piece_count; i++) {
        double shift_mm[2] = {0, 0};
        if (apart) shift_of(sketch, i, shift_mm);
        if (!work_goes_on(sketch->work, err) || !simple_piece(sketch, sketch->step->pieces[i], apart, shift_mm, &(*out)[i], err))
            return false;
    }
    return true;
}

static void draw_pieces(const Sketch *sketch, const Rings *rings, Ink fill)
{
    for (int i = 0; i < sketch->step->piece_count; i++) {
        paths_rings(sketch->canvas, &rings[i], sketch->matrix);
        paths_paint(sketch->canvas, fill, INK_BLACK, EDGE_STRONG_MM);
    }
}

// A dashed line where they will come to lie.
static void draw_places(const Sketch *sketch, const Rings *rings)
{
    static const double DASHES[] = {0.9, 0.6};
    cairo_t *cr = sketch->canvas->cr;
    for (int i = 0; i < sketch->step->piece_count; i++) paths_rings(sketch->canvas, &rings[i], sketch->matrix);
    cairo_set_dash(cr, DASHES, 2, 0);
    cairo_set_line_width(cr, EDGE_STRONG_MM);
    canvas_ink(sketch->canvas, INK_BLACK, 1);
    cairo_stroke(cr);
    cairo_set_dash(cr, NULL, 0, 0);
}

// --- names ---

static bool is_named(const Sketch *sketch, int index)
{
    const GuideStep *step = sketch->step;
    if (step->kind != GUIDE_STEP_UNITE) return true;
    const Draft *draft = sketch->all->draft; // only those along the long seam
    for (int s = 0; s < draft->seam_count; s++) {
        if (draft->seams[s].layer != sketch->layer) continue;
        const int *pair = draft->seams[s].source->pieces;
        if (pair[0] != step->pieces[index] && pair[1] != step->pieces[index]) continue;
        int other = pair[0] == step->pieces[index] ? pair[1] : pair[0];
        for (int i = 0; i < step->piece_count; i++)
            if (step->pieces[i] == other && (i < step->first_count) != (index < step->first_count)) return true;
    }
    return false;
}

typedef struct NameDraft {
    Stack stack;
    KitInput input;
    Draft draft;
} NameDraft;

// The named pieces as a draft of their own that starts at the region's corner; the placing of names is asked with it.
static bool name_draft(const Sketch *sketch, const Rings *rings, NameDraft *out, Error *err)
{
    int count = sketch->step->piece_count;
    Arena *keep = sketch->all->keep;
    *out = (NameDraft){.stack = {.width_mm = box_width_mm(sketch->region), .height_mm = box_height_mm(sketch->region)}};
    out->input.stack = &out->stack;
    out->draft.input = &out->input;
    out->draft.pieces = arena_new(keep, DraftPiece, count);
    if (!out->draft.pieces) return error_memory(err);
    for (int i = 0; i < count; i++) {
        if (!is_named(sketch, i)) continue;
        const DraftPiece *piece = piece_of(sketch, sketch->step->pieces[i]);
        Piece *source = arena_copy(keep, piece->source, 1, sizeof *source);
        Ring *items = source ? arena_copy(keep, rings[i].items, (size_t)rings[i].count, sizeof *items) : NULL;
        if (!items) return error_memory(err);
        for (int r = 0; r < rings[i].count; r++) {
            items[r].points = arena_copy(keep, rings[i].items[r].points, (size_t)items[r].count, sizeof *items[r].points);
            if (!items[r].points) return error_memory(err);
            for (int k = 0; k < items[r].count; k++) {
                items[r].points[k].x -= sketch->region.min.x;
                items[r].points[k].y -= sketch->region.min.y;
            }
        }
        source->rings = (Rings){items, rings[i].count};
        out->draft.pieces[out->draft.piece_count++] = (DraftPiece){.source = source, .layer = piece->layer};
    }
    return true;
}

static int count_beside(const PlanLabel *labels, int count)
{
    int beside = 0;
    for (int i = 0; i < count; i++) beside += labels[i].kind != PLAN_LABEL_INSIDE;
    return beside;
}

typedef struct Named {
    Rings *rings;
    NameDraft names;
    PlanLabel *labels;
    int beside;
} Named;

// Places are asked for on a picture `larger` than it is, so that the least letters are as much smaller.
static bool try_names(Sketch *sketch, Box region, bool from_behind, bool apart, double margin_mm, double larger, Named *out,
                      Error *err)
{
    look(sketch, region, from_behind, margin_mm);
    if (!step_pieces(sketch, apart, &out->rings, err) || !name_draft(sketch, out->rings, &out->names, err) ||
        !plan_labels(&out->names.draft, sketch->scale * larger, MAP_MARGIN_MM * larger, false, sketch->all->keep, sketch->work,
                     &out->labels, err))
        return false;
    for (int i = 0; i < out->names.draft.piece_count; i++) {
        PlanLabel *label = &out->labels[i];
        label->x_mm /= larger, label->y_mm /= larger, label->at_x_mm /= larger, label->at_y_mm /= larger, label->size_mm /= larger;
    }
    out->beside = count_beside(out->labels, out->names.draft.piece_count);
    return true;
}

// First as large as the frame takes it; when names find no place on their pieces, with smaller letters; then as a smaller
// picture with names beside it;
// when these are too many, large again, and only the names that find a place.
static bool place_names(Sketch *sketch, Box region, bool from_behind, bool apart, Named *out, Error *err)
{
    if (!try_names(sketch, region, from_behind, apart, WITHOUT_MARGIN_MM, 1, out, err)) return false;
    if (out->beside > 0 && !try_names(sketch, region, from_behind, apart, WITHOUT_MARGIN_MM, LETTERS_SMALLER, out, err)) return false;
    if (out->beside == 0) return true;
    if (out->beside <= MOST_BESIDE) {
        if (!try_names(sketch, region, from_behind, apart, MAP_MARGIN_MM, 1, out, err)) return false;
        if (out->beside <= MOST_BESIDE) return true;
        if (!try_names(sketch, region, from_behind, apart, WITHOUT_MARGIN_MM, LETTERS_SMALLER, out, err)) return false;
    }
    int kept = 0;
    for (int i = 0; i < out->names.draft.piece_count; i++) {
        if (out->labels[i].kind != PLAN_LABEL_INSIDE) continue;
        out->names.draft.pieces[kept] = out->names.draft.pieces[i];
        out->labels[kept++] = out->labels[i];
    }
    out->names.draft.piece_count = kept;
    return true;
}

static void draw_names(const Sketch *sketch, const Named *named, Ink on)
{
    double w = box_width_mm(sketch->region) * sketch->scale;
    double left = sketch->frame.x + (sketch->frame.w - w) / 2;
    map_names(sketch->canvas, &named->names.draft, named->labels, left, sketch->frame.y, sketch->from_behind ? w : 0,
              ink_is_light(on) ? INK_BLACK : INK_WHITE);
}

// --- scenes ---

static void clip_to_region(const Sketch *sketch)
{
    double w = box_width_mm(sketch->region) * sketch->scale, h = box_height_mm(sketch->region) * sketch->scale;
    cairo_rectangle(sketch->canvas->cr, sketch->frame.x + (sketch->frame.w - w) / 2 - 0.5,
                    sketch->frame.y - 0.5, w + 1, h + 1);
    cairo_clip(sketch->canvas->cr);
}

static void draw_rings_pale(const Sketch *sketch, const Rings *rings, Ink ink)
{
    static const Ink EDGE = {0.66, 0.64, 0.61};
    bool any = false;
    for (int r = 0; r < rings->count; r++) {
        Box box = ring_box(&rings->items[r]);
        if (!box_overlap(box, sketch->region)) continue;
        if (fmax(box_width_mm(box), box_height_mm(box)) * sketch->scale < LEAST_MM) continue;
        const Rings one = {&rings->items[r], 1};
        paths_rings(sketch->canvas, &one, sketch->matrix);
        any = true;
    }
    if (any) paths_paint(sketch->canvas, pale(ink), EDGE, 0.1);
}

// All lower layers, and what earlier steps placed of this one.
static bool draw_so_far(const Sketch *sketch, const GuideSteps *steps, Error *err)
{
    const double nowhere[2] = {0, 0};
    for (int l = 0; l < sketch->layer; l++) {
        const Rings *rings = layer_rings(sketch->all, l, sketch->scale, err);
        if (!rings) return false;
        draw_rings_pale(sketch, rings, paths_ink(sketch->all->draft, l));
    }
    for (const GuideStep *step = steps->items; step < sketch->step; step++) {
        if (step->kind == GUIDE_STEP_JOIN || step->kind == GUIDE_STEP_UNITE || step->kind == GUIDE_STEP_STRIPS) continue;
        for (int i = 0; i < step->piece_count; i++) {
            Rings rings;
            if (!simple_piece(sketch, step->pieces[i], false, nowhere, &rings, err)) return false;
            draw_rings_pale(sketch, &rings, paths_ink(sketch->all->draft, sketch->layer));
        }
    }
    return work_goes_on(sketch->work, err);
}

static void draw_tape(const Sketch *sketch)
{
    const Draft *draft = sketch->all->draft;
    const GuideStep *step = sketch->step;
    cairo_t *cr = sketch->canvas->cr;
    for (int pass = 0; pass < 2; pass++) {
        for (int s = 0; s < draft->seam_count; s++) {
            if (draft->seams[s].layer != sketch->layer) continue;
            int found[2] = {0, 0};
            for (int i = 0; i < step->piece_count; i++)
                for (int k = 0; k < 2; k++)
                    if (step->pieces[i] == draft->seams[s].source->pieces[k]) found[k] = i < step->first_count ? 1 : 2;
            bool here = found[0] && found[1] && draft->seams[s].source->form == SEAM_BUTT && (step->kind != GUIDE_STEP_UNITE || found[0] != found[1]);
            if (here) paths_trace(sketch->canvas, &draft->seams[s].path, sketch->matrix);
        }
        cairo_set_line_width(cr, pass == 0 ? TAPE_MM : EDGE_STRONG_MM);
        canvas_ink(sketch->canvas, pass == 0 ? TAPE : INK_BLACK, 1);
        cairo_stroke(cr);
    }
}

static void draw_strips(const Sketch *sketch)
{
    const Draft *draft = sketch->all->draft;
    for (int i = 0; i < draft->all_strip_count; i++) {
        bool here = false;
        for (int k = 0; k < sketch->step->piece_count; k++)
            here = here || sketch->step->pieces[k] == draft->seams[draft->strips[i].seam].source->pieces[0];
        if (!here) continue;
        paths_rings(sketch->canvas, &draft->strips[i].cut->rings, sketch->matrix);
        paths_paint(sketch->canvas, STRIP, INK_BLACK, EDGE_STRONG_MM);
    }
}

// The step's pieces alone on the table.
static bool draw_on_table(Sketch *sketch, bool from_behind, bool apart, bool taped, bool named, Error *err)
{
    Box region = table_region(sketch);
    Ink paper = from_behind ? BACK : paths_ink(sketch->all->draft, sketch->layer);
    Named on_it = {0};
    if (named) {
        if (!place_names(sketch, region, from_behind, apart, &on_it, err)) return false;
    } else {
        look(sketch, region, from_behind, WITHOUT_MARGIN_MM);
        if (!step_pieces(sketch, apart, &on_it.rings, err)) return false;
    }
    draw_pieces(sketch, on_it.rings, paper);
    if (taped) draw_tape(sketch);
    if (named) draw_names(sketch, &on_it, paper);
    return true;
}

static bool draw_in_place(Sketch *sketch, const GuideSteps *steps, bool after, Error *err)
{
    Named named;
    Ink paper = paths_ink(sketch->all->draft, sketch->layer);
    if (!place_names(sketch, region_of(sketch), false, false, &named, err)) return false;
    cairo_save(sketch->canvas->cr);
    clip_to_region(sketch);
    bool done = draw_so_far(sketch, steps, err);
    if (done && after) draw_pieces(sketch, named.rings, paper);
    else if (done) draw_places(sketch, named.rings);
    cairo_restore(sketch->canvas->cr);
    if (done && after) draw_names(sketch, &named, paper);
    return done;
}

static bool draw_one(Sketch *sketch, const GuideSteps *steps, bool after, const char **caption, Error *err)
{
    switch (sketch->step->kind) {
    case GUIDE_STEP_JOIN:
    case GUIDE_STEP_UNITE:
        *caption = !after ? "before: face up" : sketch->step->taped ? "after: taped, face down"
                          : sketch->step->section == SECTION_OF_BRIDGE && sketch->step->meets ? "after: edge to edge" : "after: glued, face up";
        return draw_on_table(sketch, after && sketch->step->taped, !after, after && sketch->step->taped, true, err);
    case GUIDE_STEP_STRIPS:
        *caption = after ? "after: with strips" : "before: face down";
        if (!draw_on_table(sketch, true, false, true, false, err)) return false;
        if (after) draw_strips(sketch);
        return true;
    case GUIDE_STEP_TURN:
        *caption = after ? "after: face up" : sketch->step->taped ? "before: face down" : "before: face up, the glue still wet";
        return draw_on_table(sketch, !after && sketch->step->taped, false, !after && sketch->step->taped, false, err);
    case GUIDE_STEP_GLUE:
    case GUIDE_STEP_LAY:
        break;
    }
    *caption = after ? "after" : "before";
    return draw_in_place(sketch, steps, after, err);
}

bool sketch_step(Canvas *canvas, Sketches *sketches, int layer, const GuideSteps *steps, int step, Frame before,
                 Frame after, Work *work, Error *err)
{
    for (int k = 0; k < 2; k++) {
        Frame frame = k ? after : before;
        const char *caption;
        Sketch sketch = {.canvas = canvas, .all = sketches, .layer = layer, .step = &steps->items[step], .work = work,
                         .frame = {frame.x, frame.y, frame.w, frame.h - CAPTION_MM}};
        if (!draw_one(&sketch, steps, k == 1, &caption, err)) return false;
        canvas_words(canvas, frame.x, frame.y + box_height_mm(sketch.region) * sketch.scale + 0.7, frame.w, (Letters){7.5, false, INK_GREY, CANVAS_CENTRED},
                     caption);
    }
    return true;
}
