// small_kit.c - see small_kit.h.
#include "support/small_kit.h"

#include <stdio.h>
#include <string.h>

static Point mm(double x, double y)
{
    return point_from_mm(x, y);
}

static Curve cubic(double x0, double y0, double x1, double y1, double x2, double y2, double x3, double y3)
{
    return (Curve){mm(x0, y0), mm(x1, y1), mm(x2, y2), mm(x3, y3), false};
}

static bool add_chain(Chains *chains, const Curve *curves, int count, bool closed, Arena *keep)
{
    Chain chain;
    Error err = {0};
    int index;
    return chain_make(curves, count, closed, keep, &chain, &err) && chains_add(chains, &chain, keep, &index, &err);
}

// 0: left, top and right side of the base above the seam; 1: the rest of it below; 2: the seam; 3: the ring's outside (clockwise on
// screen); 4: its hole.
static bool add_chains(Chains *chains, Arena *keep)
{
    const Curve upper[] = {curve_line(mm(0, 150), mm(0, 0)), curve_line(mm(0, 0), mm(200, 0)),
                           cubic(200, 0, 185, 50, 185, 100, 200, 150)};
    const Curve lower[] = {curve_line(mm(200, 150), mm(200, 300)), curve_line(mm(200, 300), mm(0, 300)),
                           curve_line(mm(0, 300), mm(0, 150))};
    const Curve seam[] = {curve_line(mm(0, 150), mm(200, 150))};
    const double k = 33.137; // of a quarter circle of 60 mm
    const Curve ring[] = {cubic(100, 90, 100 + k, 90, 160, 150 - k, 160, 150), cubic(160, 150, 160, 150 + k, 100 + k, 210, 100, 210),
                          cubic(100, 210, 100 - k, 210, 40, 150 + k, 40, 150), cubic(40, 150, 40, 150 - k, 100 - k, 90, 100, 90)};
    const Curve hole[] = {curve_line(mm(90, 140), mm(90, 160)), curve_line(mm(90, 160), mm(110, 160)),
                          curve_line(mm(110, 160), mm(110, 140)), curve_line(mm(110, 140), mm(90, 140))};
    return add_chain(chains, upper, 3, false, keep) && add_chain(chains, lower, 3, false, keep) &&
           add_chain(chains, seam, 1, false, keep) && add_chain(chains, ring, 4, true, keep) &&
           add_chain(chains, hole, 4, true, keep);
}

static Link whole(const Chains *chains, int chain)
{
    return (Link){chain, 0, chains->items[chain].point_count - 1};
}

static bool make_area(const Chains *chains, Link a, Link b, Arena *keep, Area *area, Rings *rings)
{
    Error err = {0};
    const Link links[2] = {a, b};
    return area_from_links(chains, links, 2, keep, area, &err) && area_rings(chains, area, keep, rings, &err);
}

static bool make_layers(SmallKit *kit, Arena *keep)
{
    Stack *stack = &kit->stack;
    const Chains *chains = &stack->chains;
    stack->layers = kit->layers;
    stack->layer_count = 2;
    stack->colours = kit->colours;
    stack->colour_count = 2;
    stack->width_mm = 200;
    stack->height_mm = 300;
    kit->colours[0] = (SeparationColour){{255, 255, 255}, "white", 1000, 1};
    kit->colours[1] = (SeparationColour){{0x1d, 0x2f, 0x5a}, "navy", 500, 1};
    kit->layers[0].colour = 0;
    kit->layers[1].colour = 1;
    if (!make_area(chains, whole(chains, 0), whole(chains, 1), keep, &kit->layers[0].area, &kit->layers[0].rings) ||
        !make_area(chains, whole(chains, 3), whole(chains, 4), keep, &kit->layers[1].area, &kit->layers[1].rings))
        return false;
    kit->layers[0].cover = kit->layers[1].rings;
    return findings_add(&stack->findings, keep, "thin-part", "a part of 3 mm is hard to cut", 100, 150.5);
}

static bool make_pieces(SmallKit *kit, Arena *keep)
{
    const Chains *chains = &kit->stack.chains;
    Link seam = whole(chains, 2);
    const Link sides[2][2] = {{whole(chains, 0), link_reversed(seam)}, {seam, whole(chains, 1)}};
    for (int i = 0; i < 2; i++) {
        snprintf(kit->a[i].id, sizeof kit->a[i].id, "A%d", i + 1);
        if (!make_area(chains, sides[i][0], sides[i][1], keep, &kit->a[i].face, &kit->a[i].rings)) return false;
        kit->a[i].fit = (Fit){1, 0};
        kit->a[i].area_mm2 = rings_area_mm2(&kit->a[i].rings);
    }
    snprintf(kit->b[0].id, sizeof kit->b[0].id, "B1");
    kit->b[0].face = kit->layers[1].area;
    kit->b[0].rings = kit->layers[1].rings;
    kit->b[0].fit = (Fit){1, 0};
    kit->seam_link = seam;
    kit->seam = (Seam){.id = "A-s1", .pieces = {0, 1}, .links = &kit->seam_link, .link_count = 1, .length_mm = 200,
                       .visible_mm = 110.3};
    kit->pieces[0] = (LayerPieces){.layer = 0, .chains = *chains, .pieces = kit->a, .piece_count = 2, .seams = &kit->seam,
                                   .seam_count = 1};
    kit->pieces[1] = (LayerPieces){.layer = 1, .chains = *chains, .pieces = kit->b, .piece_count = 1};
    return true;
}

static bool stroke(Mark *mark, int piece, MarkKind kind, const double *xy, int count, const char *text, Arena *keep)
{
    *mark = (Mark){piece, kind, MARK_SCORE, {arena_new(keep, Curve, count), 0, arena_new(keep, int, 2), 1, true}, text, 0};
    if (!mark->path.curves || !mark->path.first) return false;
    for (int i = 1; i < count; i++)
        mark->path.curves[mark->path.curve_count++] = curve_line(mm(xy[2 * i - 2], xy[2 * i - 1]), mm(xy[2 * i], xy[2 * i + 1]));
    mark->path.first[1] = mark->path.curve_count;
    return true;
}

// Half a tick from the seam at y = 150, and a letter of two strokes beside it.
static bool half_tick(Mark *mark, int piece, double end_y, double letter_y, Arena *keep)
{
    *mark = (Mark){piece, MARK_MATCH, MARK_SCORE, {arena_new(keep, Curve, 4), 4, arena_new(keep, int, 4), 3, true}, "A", 0};
    if (!mark->path.curves || !mark->path.first) return false;
    mark->path.curves[0] = curve_line(mm(70, end_y < 150 ? 149.9 : 150.1), mm(70, end_y));
    mark->path.curves[1] = curve_line(mm(76, letter_y), mm(79, letter_y - 6));
    mark->path.curves[2] = curve_line(mm(79, letter_y - 6), mm(82, letter_y));
    mark->path.curves[3] = curve_line(mm(77, letter_y - 2), mm(81, letter_y - 2));
    const int first[4] = {0, 1, 3, 4};
    memcpy(mark->path.first, first, sizeof first);
    return true;
}

static bool make_marks(SmallKit *kit, Arena *keep)
{
    const double above[] = {42, 149, 70, 105, 130, 105, 158, 149}, below[] = {42, 151, 70, 195, 130, 195, 158, 151};
    const double letter[] = {95, 130, 100, 115, 105, 130};
    kit->a_letters[0] = "A";
    kit->marks[0] = (LayerMarks){.layer = 0, .marks = kit->a_marks, .mark_count = 5, .unlabelled_count = 1,
                                 .seam_letters = kit->a_letters, .seam_count = 1};
    kit->marks[1] = (LayerMarks){.layer = 1, .unlabelled_count = 1};
    return stroke(&kit->a_marks[0], 0, MARK_PLACEMENT, above, 4, NULL, keep) &&
           stroke(&kit->a_marks[1], 0, MARK_LABEL, letter, 3, "A1", keep) &&
           stroke(&kit->a_marks[2], 1, MARK_PLACEMENT, below, 4, NULL, keep) &&
           half_tick(&kit->a_marks[3], 0, 146, 144, keep) && half_tick(&kit->a_marks[4], 1, 154, 162, keep);
}

static void make_papers(SmallKit *kit)
{
    static const NestPlace A1 = {0, {1, 0, 0, 1, 7.95, 7.85}}, A2 = {1, {1, 0, 0, 1, 7.95, -142.15}};
    static const NestPlace B1 = {0, {0, 1, -1, 0, 220, 10.5}}; // a quarter turn
    kit->places[0][0] = A1;
    kit->places[0][1] = A2;
    kit->places[1][0] = B1;
    kit->paper_pieces[0][1] = 1;
    kit->paper_layers[1][0] = 1;
    const Paper letter = {.id = "letter", .width_mm = 8.5 * 25.4, .height_mm = 11 * 25.4};
    const char *const words[2] = {"white", "navy"};
    for (int i = 0; i < 2; i++) {
        KitPaper *paper = &kit->papers[i];
        snprintf(paper->id, sizeof paper->id, "letter-%s", words[i]);
        snprintf(paper->colour_name, sizeof paper->colour_name, "%s", words[i]);
        paper->paper = letter;
        paper->colour = kit->colours[i].colour;
        paper->gap_mm = 3;
        paper->layers = kit->paper_layers[i];
        paper->pieces = kit->paper_pieces[i];
        paper->piece_count = i == 0 ? 2 : 1;
        paper->nest = (NestResult){kit->places[i], i == 0 ? 2 : 1, 0};
    }
}

bool small_kit_make(SmallKit *kit, Arena *keep)
{
    memset(kit, 0, sizeof *kit);
    if (!add_chains(&kit->stack.chains, keep) || !make_layers(kit, keep) || !make_pieces(kit, keep) || !make_marks(kit, keep))
        return false;
    make_papers(kit);
    kit->input = (KitInput){
        .name = "ring",
        .stack = &kit->stack,
        .layer_pieces = kit->pieces,
        .layer_marks = kit->marks,
        .papers = kit->papers,
        .paper_count = 2,
    };
    return true;
}
