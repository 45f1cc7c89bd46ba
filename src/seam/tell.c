// tell.c - see tell.h.
#include "seam/tell.h"

#include <stdio.h>

#define TELL_FROM_MM 0.5 // less is the width of a seam's end

typedef struct Telling {
    const AttemptInput *input;
    Arena *keep, *scratch;
    LayerPieces *out;
    char place[160]; // of the wish in hand: "of navy from 31 %, 20 % to 48 %, 20 %"
} Telling;

static void layer_name(const Telling *t, char out[40])
{
    const Stack *stack = t->input->stack;
    int colour = stack->layers[t->input->layer].colour;
    char letter[8];
    layer_letter(t->input->layer, letter);
    if (colour >= 0 && colour < stack->colour_count)
        snprintf(out, 40, "%s", stack->colours[colour].name);
    else
        snprintf(out, 40, "layer %s", letter);
}

// Places are told as shares of the figure's height, as edits speak.
static void place_of(const Telling *t, Point p, char out[48])
{
    const Stack *stack = t->input->stack;
    double height = stack->height_mm - 2.0 * stack->border_mm, x = p.x / UM_PER_MM, y = p.y / UM_PER_MM;
    if (height > 0.0)
        snprintf(out, 48, "%.0f %%, %.0f %%", 100.0 * (x - stack->border_mm) / height,
                 100.0 * (y - stack->border_mm) / height);
    else
        snprintf(out, 48, "%.0f, %.0f mm", x, y);
}

static void place_of_line(Telling *t, const SeamLine *line)
{
    char from[48], to[48], name[40];
    layer_name(t, name);
    if (line->count == 0) {
        snprintf(t->place, sizeof t->place, "of %s", name);
        return;
    }
    place_of(t, line->points[0], from);
    place_of(t, line->points[line->count - 1], to);
    snprintf(t->place, sizeof t->place, "of %s from %s to %s", name, from, to);
}

static bool add(Telling *t, const char *kind, const char *text, Point at, Error *err)
{
    if (findings_add(&t->out->findings, t->keep, kind, text, at.x / UM_PER_MM, at.y / UM_PER_MM)) return true;
    return error_memory(err);
}

// Why a stretch was given up; FIXED_FROZEN names its piece.
static const char *reason(FixedFault fault)
{
    switch (fault) {
    case FIXED_KEPT:
        break;
    case FIXED_UNSOUND:
        return "it touches the edge in passing, or crosses itself";
    case FIXED_HAIRLINE:
        return "it would leave a piece that is too narrow to handle";
    case FIXED_FROZEN:
        return "there it would run through a piece that is cut already: ";
    case FIXED_LOCKED:
        return "it would end on a piece that is cut already";
    case FIXED_ONE_SIDED:
        return "it does not divide the part there: one piece would lie on both of its sides";
    case FIXED_UNDIVIDED:
        return "what it leaves cannot be divided for the paper";
    }
    return "";
}

static bool tell_fixed(Telling *t, int index, const bool *touches, Error *err)
{
    const SeamLine *line = &t->input->options->wishes.fixed[index];
    Point at = line->count ? line->points[0] : (Point){0, 0};
    char text[400];
    bool told = false;
    place_of_line(t, line);
    for (int i = 0; i < t->input->loss_count; i++) {
        const FixedLoss *loss = &t->input->losses[i];
        char where[48];
        if (loss->line != index) continue;
        place_of(t, loss->at, where);
        snprintf(text, sizeof text, "the fixed seam %s: left out at %s, as %s%s", t->place, where, reason(loss->fault),
                 loss->fault == FIXED_FROZEN ? t->input->options->wishes.frozen[loss->frozen].id : "");
        if (!add(t, "edit-not-kept", text, loss->at, err)) return false;
        told = true;
    }
    if (told || touches[index]) return true;
    snprintf(text, sizeof text, "the fixed seam %s: it meets no paper of this layer", t->place);
    return add(t, "edit-without-target", text, at, err);
}

typedef struct Remains {
    double length_mm;
    Point at; // on the longest stretch
    double longest_mm;
} Remains;

static void add_remains(Remains *remains, double length_mm, Point a, Point b)
{
    remains->length_mm += length_mm;
    if (length_mm <= remains->longest_mm) return;
    remains->longest_mm = length_mm;
    remains->at = (Point){a.x + (b.x - a.x) / 2, a.y + (b.y - a.y) / 2};
}

// Length of all seams along a line, or seen inside one area.
static bool measure(Telling *t, const SeamLine *line, const Avoid *area, Remains *out, Error *err)
{
    *out = (Remains){0};
    for (int s = 0; s < t->out->seam_count; s++) {
        const Link *link = &t->out->seams[s].links[0];
        for (int i = 0; i + 1 < link_point_count(link); i++) {
            Point a = link_point(&t->out->chains, link, i), b = link_point(&t->out->chains, link, i + 1);
            double length = line ? avoid_along_mm(line, a, b, t->scratch)
                                 : avoid_area_mm(&area->areas[AVOID_CLEAR], t->input->hiding, a, b, t->scratch);
            if (length < 0.0) return error_memory(err);
            add_remains(out, length, a, b);
        }
    }
    return true;
}

static bool tell_forbidden(Telling *t, const SeamLine *line, Error *err)
{
    Remains remains;
    char text[400];
    if (!measure(t, line, NULL, &remains, err)) return false;
    if (remains.length_mm < TELL_FROM_MM) return true;
    place_of_line(t, line);
    snprintf(text, sizeof text, "the line without seam %s: %.0f mm of seam run along it all the same", t->place,
             remains.length_mm);
    return add(t, "edit-not-kept", text, remains.at, err);
}

static bool tell_clear(Telling *t, const Rings *rings, int ring, Error *err)
{
    Remains remains;
    Avoid area;
    char text[400], middle[48], name[40];
    Rings one = {&rings->items[ring], 1};
    if (!avoid_make(&(SeamWishes){.keep_clear = &one}, t->scratch, &area, err)) return false;
    if (!measure(t, NULL, &area, &remains, err)) return false;
    if (remains.length_mm < TELL_FROM_MM) return true;
    Box box = ring_box(&rings->items[ring]);
    place_of(t, (Point){box.min.x + (box.max.x - box.min.x) / 2, box.min.y + (box.max.y - box.min.y) / 2}, middle);
    layer_name(t, name);
    snprintf(text, sizeof text, "the area to keep clear at %s: %.0f mm of seam of %s are seen inside all the same",
             middle, remains.length_mm, name);
    return add(t, "edit-not-kept", text, remains.at, err);
}

// Holes of an area are told with it.
static bool tell_all_clear(Telling *t, const Rings *rings, Error *err)
{
    for (int r = 0; rings && r < rings->count; r++) {
        bool within = false;
        for (int k = 0; k < rings->count && !within; k++)
            within = k != r && rings_contain(&(Rings){&rings->items[k], 1}, rings->items[r].points[0]);
        if (!within && !tell_clear(t, rings, r, err)) return false;
    }
    return true;
}

bool tell_wishes(const AttemptInput *input, const bool *touches, Arena *keep, Work *work, LayerPieces *out, Error *err)
{
    const SeamWishes *wishes = &input->options->wishes;
    Telling t = {.input = input, .keep = keep, .scratch = &work->scratch, .out = out};
    ArenaMark mark = arena_mark(&work->scratch);
    for (int i = wishes->section_count; i < wishes->fixed_count; i++)
        if (!tell_fixed(&t, i, touches, err)) return false;
    for (int i = 0; i < wishes->forbidden_count; i++)
        if (!tell_forbidden(&t, &wishes->forbidden[i], err)) return false;
    if (!tell_all_clear(&t, wishes->keep_clear, err)) return false;
    arena_rewind(&work->scratch, mark);
    return true;
}
