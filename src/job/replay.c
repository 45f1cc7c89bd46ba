// replay.c - sizes, colours, names and papers; see replay.h. Seams: replay_seams.c.
#include "job/replay.h"

#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define NEAR_DE00 3.0 // colours nearer than this are one, as in separation

FigureFrame figure_frame(const Separation *separation, const Outlines *outlines)
{
    const double *box = separation->wish_box_px;
    double scale = outlines->mm_per_px;
    return (FigureFrame){outlines->offset_mm + (box[0] - outlines->origin_px[0]) * scale,
                         outlines->offset_mm + (box[1] - outlines->origin_px[1]) * scale, (box[3] - box[1]) * scale};
}

int replay_find_colour(const SeparationColour *colours, int count, Srgb8 wanted)
{
    Lab lab = lab_from_srgb8(wanted);
    int best = -1;
    double best_de00 = NEAR_DE00;
    for (int i = 0; i < count; i++) {
        double de00 = lab_difference_2000(lab, lab_from_srgb8(colours[i].colour));
        if (de00 >= best_de00) continue;
        best = i;
        best_de00 = de00;
    }
    return best;
}

// The same; else what a colour of the picture became when papers were in hand.
static int find_colour(const Replay *replay, Srgb8 wanted)
{
    int found = replay_find_colour(replay->colours, replay->colour_count, wanted);
    double least = NEAR_DE00;
    bool is_paper = found >= 0;
    for (int i = 0; i < replay->match_count && !is_paper; i++) {
        double de00 = lab_difference_2000(lab_from_srgb8(wanted), lab_from_srgb8(replay->matches[i].from));
        if (de00 < least) least = de00, found = replay->matches[i].colour;
    }
    return found;
}

// ---- findings ----

static const char *colour_word(const Replay *replay, Srgb8 colour, char hex[8])
{
    int index = find_colour(replay, colour);
    if (index >= 0) return replay->colours[index].name;
    colour_hex(colour, hex);
    return hex;
}

static FigurePoint place_of(const Edit *edit)
{
    return edit->point_count > 0 ? edit->points[0] : edit->at;
}

// A finding's place lies on the piece, also when the edit pointed beside it.
static double within(double mm, double largest_mm)
{
    return fmin(fmax(mm, 0.0), largest_mm);
}

bool replay_tell(Replay *replay, const Edit *edit, const char *kind, const char *reason, Arena *keep, Error *err)
{
    char colour[8], other[8];
    Text text = text_make(keep);
    const FigureFrame *frame = &replay->frame;
    FigurePoint at = place_of(edit);
    edit_say(edit, colour_word(replay, edit->colour, colour), colour_word(replay, edit->other, other), &text);
    text_printf(&text, ": %s", reason);
    if (!text_is_whole(&text, err)) return false;
    double x_mm = within(frame->left_mm + at.x * frame->height_mm, 2.0 * frame->left_mm + replay->figure_width_mm);
    double y_mm = within(frame->top_mm + at.y * frame->height_mm, replay->settings->height_mm);
    return findings_add(&replay->findings, keep, kind, text.bytes, x_mm, y_mm) || error_memory(err);
}

static bool no_colour(Replay *replay, const Edit *edit, Arena *keep, Error *err)
{
    return replay_tell(replay, edit, "edit-without-target", "the picture has no such colour", keep, err);
}

// ---- before the colours ----

static int count_kind(const EditList *edits, EditKind kind)
{
    int count = 0;
    for (size_t i = 0; i < edits->count; i++) count += edits->items[i].kind == kind;
    return count;
}

static void take_size(Replay *replay, const Edit *edit)
{
    SeparationOptions *separation = &replay->separation;
    switch (edit->kind) {
    case EDIT_BORDER: replay->border_mm = edit->mm; break;
    case EDIT_UNDERLAP: replay->stack.underlap_mm = edit->mm; break;
    case EDIT_STACK: replay->stack.way = edit->way; break;
    case EDIT_FEWER: replay->fewer = edit->fewer; break;
    case EDIT_LINES: replay->stack.lines = edit->lines; break;
    case EDIT_SMALLEST:
        separation->smallest_area_px = 0.0;
        if (edit->mm > 0.0) separation->smallest_part_mm = edit->mm;
        if (edit->hole_mm > 0.0) separation->smallest_hole_mm = edit->hole_mm;
        break;
    case EDIT_GROUND:
    case EDIT_PAPER:
    case EDIT_SAME:
    case EDIT_LEAVE_OUT:
    case EDIT_MATCH:
    case EDIT_NAME:
    case EDIT_SHEET:
    case EDIT_OVER:
    case EDIT_INLAY:
    case EDIT_TINY:
    case EDIT_BASE:
    case EDIT_RAISED:
    case EDIT_SEAM:
    case EDIT_SEAM_MOVED:
    case EDIT_SEAM_FORBIDDEN:
    case EDIT_KEEP_CLEAR:
    case EDIT_SEAM_FORM:
    case EDIT_OFFCUT:
    case EDIT_PLACE:
    case EDIT_FROZEN: break;
    }
}

static bool take_separation(Replay *replay, Arena *keep, Error *err)
{
    const EditList *edits = replay->edits;
    int place_count = count_kind(edits, EDIT_GROUND) + count_kind(edits, EDIT_PAPER);
    PlaceWish *places = arena_new(keep, PlaceWish, place_count);
    SameWish *same = arena_new(keep, SameWish, count_kind(edits, EDIT_SAME));
    Srgb8 *left_out = arena_new(keep, Srgb8, count_kind(edits, EDIT_LEAVE_OUT));
    int *left_out_turns = arena_new(keep, int, count_kind(edits, EDIT_LEAVE_OUT));
    TinyWish *tiny = arena_new(keep, TinyWish, count_kind(edits, EDIT_TINY));
    if (!places || !same || !left_out || !left_out_turns || !tiny) return error_memory(err);
    SeparationWishes *wishes = &replay->separation.wishes;
    *wishes = (SeparationWishes){
        .places = places, .same = same, .left_out = left_out, .left_out_turns = left_out_turns, .tiny = tiny};
    int turn = 0; // counts these edits alone, so that others between them change nothing
    for (size_t i = 0; i < edits->count; i++) {
        const Edit *edit = &edits->items[i];
        FigurePoint at = edit->at;
        switch (edit->kind) {
        case EDIT_GROUND:
        case EDIT_PAPER:
            places[wishes->place_count++] = (PlaceWish){at.x, at.y, edit->kind == EDIT_GROUND, turn++};
            break;
        case EDIT_SAME: same[wishes->same_count++] = (SameWish){edit->colour, edit->other, turn++}; break;
        case EDIT_LEAVE_OUT:
            left_out_turns[wishes->left_out_count] = turn++;
            left_out[wishes->left_out_count++] = edit->colour;
            break;
        case EDIT_MATCH: wishes->papers = edit->papers, wishes->paper_count = edit->paper_count; break; // the last list counts
        case EDIT_TINY: tiny[wishes->tiny_count++] = (TinyWish){at.x, at.y, edit->fate}; break;
        case EDIT_NAME:
        case EDIT_SHEET:
        case EDIT_OVER:
    case EDIT_INLAY:
        case EDIT_SMALLEST:
        case EDIT_BASE:
        case EDIT_RAISED:
        case EDIT_BORDER:
        case EDIT_UNDERLAP:
        case EDIT_STACK:
        case EDIT_FEWER:
        case EDIT_LINES:
        case EDIT_SEAM:
        case EDIT_SEAM_MOVED:
        case EDIT_SEAM_FORBIDDEN:
        case EDIT_KEEP_CLEAR:
        case EDIT_SEAM_FORM:
        case EDIT_OFFCUT:
    case EDIT_PLACE:
    case EDIT_FROZEN: break;
        }
    }
    return true;
}

bool replay_start(const Settings *settings, const EditList *edits, Arena *keep, Replay *out, Error *err)
{
    *out = (Replay){.edits = edits, .settings = settings, .border_mm = settings->border_mm, .fewer = settings->fewer,
                    .stack = stack_defaults(), .separation = separation_defaults()};
    out->stack.way = settings->way;
    out->separation.smallest_area_px = settings->smallest_area_px;
    out->separation.least_width_mm = settings->height_mm > 0.0 ? settings->thicken_mm : 0.0;
    out->separation.most_colours = settings->most_colours;
    for (size_t i = 0; i < edits->count; i++) take_size(out, &edits->items[i]);
    out->stack.border_mm = out->border_mm;
    if (settings->height_mm > 0.0) out->separation.figure_height_mm = settings->height_mm - 2.0 * out->border_mm;
    return take_separation(out, keep, err);
}

// ---- with the colours ----

static bool is_taken(const SeparationColour *colours, int count, int but, const char *name)
{
    for (int i = 0; i < count; i++)
        if (i != but && strcmp(colours[i].name, name) == 0) return true;
    return false;
}

// A name that another colour has gets a number: "sea-2".
static void rename_colour(SeparationColour *colours, int count, int index, const char *name)
{
    char tried[sizeof colours[index].name];
    snprintf(tried, sizeof tried, "%s", name);
    for (int n = 2; is_taken(colours, count, index, tried); n++) {
        size_t room = sizeof tried - 5, size = strlen(name); // "-999" and the end
        while (size > room || (size > 0 && ((unsigned char)name[size] & 0xc0) == 0x80)) size--; // whole characters
        snprintf(tried, sizeof tried, "%.*s-%d", (int)size, name, n);
    }
    memcpy(colours[index].name, tried, sizeof tried);
}

static bool take_names(Replay *replay, SeparationColour *colours, Arena *keep, Error *err)
{
    for (size_t i = 0; i < replay->edits->count; i++) {
        const Edit *edit = &replay->edits->items[i];
        Error why = {0};
        if (edit->kind != EDIT_NAME) continue;
        int index = find_colour(replay, edit->colour);
        if (!edit->text || !edit_check_name(edit->text, &why)) {
            if (!replay_tell(replay, edit, "edit-not-kept", "this cannot be a colour's name", keep, err)) return false;
        } else if (index < 0) {
            if (!no_colour(replay, edit, keep, err)) return false;
        } else {
            rename_colour(colours, replay->colour_count, index, edit->text);
        }
    }
    return true;
}

// The last word on two colours, edge to edge or one over the other: a flag a pair where it is the former.
static bool find_last_words(const Replay *replay, Arena *keep, bool **out, Error *err)
{
    int count = replay->colour_count;
    bool *inlaid = arena_new(keep, bool, (size_t)count * (size_t)count);
    *out = inlaid;
    if (!inlaid) return error_memory(err);
    for (size_t i = 0; i < replay->edits->count; i++) {
        const Edit *edit = &replay->edits->items[i];
        if (edit->kind != EDIT_OVER && edit->kind != EDIT_INLAY) continue;
        int a = find_colour(replay, edit->colour), b = find_colour(replay, edit->other);
        if (a >= 0 && b >= 0) inlaid[a * count + b] = inlaid[b * count + a] = edit->kind == EDIT_INLAY;
    }
    return true;
}

static bool take_inlay(Replay *replay, const Edit *edit, const bool *inlaid, ColourPair *inlays, Arena *keep, Error *err)
{
    ColourPair pair = {find_colour(replay, edit->colour), find_colour(replay, edit->other)};
    if (pair.a < 0 || pair.b < 0) return no_colour(replay, edit, keep, err);
    if (!inlaid[pair.a * replay->colour_count + pair.b])
        return replay_tell(replay, edit, "edit-not-kept", "a later edit lays one of them over the other", keep, err);
    inlays[replay->stack.inlay_count++] = pair;
    return true;
}

static bool take_inlays(Replay *replay, Arena *keep, Error *err)
{
    bool *inlaid;
    ColourPair *inlays = arena_new(keep, ColourPair, count_kind(replay->edits, EDIT_INLAY));
    if (!inlays) return error_memory(err);
    replay->stack.inlays = inlays;
    if (!find_last_words(replay, keep, &inlaid, err)) return false;
    for (size_t i = 0; i < replay->edits->count; i++)
        if (replay->edits->items[i].kind == EDIT_INLAY && !take_inlay(replay, &replay->edits->items[i], inlaid, inlays, keep, err)) return false;
    return true;
}

static bool take_order(Replay *replay, Arena *keep, Error *err)
{
    OrderWish *orders = arena_new(keep, OrderWish, count_kind(replay->edits, EDIT_OVER));
    if (!orders) return error_memory(err);
    replay->stack.orders = orders;
    for (size_t i = 0; i < replay->edits->count; i++) {
        const Edit *edit = &replay->edits->items[i];
        int colour = find_colour(replay, edit->colour);
        int other = find_colour(replay, edit->other);
        bool is_order = edit->kind == EDIT_OVER, is_base = edit->kind == EDIT_BASE;
        if ((is_order && (colour < 0 || other < 0)) || (is_base && colour < 0)) {
            if (!no_colour(replay, edit, keep, err)) return false;
        } else if (is_order) {
            orders[replay->stack.order_count++] = (OrderWish){colour, other};
        } else if (is_base) {
            replay->stack.base_colour = colour;
        }
    }
    return true;
}

// Layers by their letters, as the settings name them; colours, as edits do.
static bool take_raised(Replay *replay, Arena *keep, Error *err)
{
    const Settings *settings = replay->settings;
    StackRaised *raised = arena_new(keep, StackRaised, settings->raised_count + count_kind(replay->edits, EDIT_RAISED));
    if (!raised) return error_memory(err);
    replay->stack.raised = raised;
    for (int i = 0; i < settings->raised_count; i++) raised[replay->stack.raised_count++] = (StackRaised){-1, settings->raised[i]};
    for (size_t i = 0; i < replay->edits->count; i++) {
        const Edit *edit = &replay->edits->items[i];
        if (edit->kind != EDIT_RAISED) continue;
        int colour = find_colour(replay, edit->colour);
        if (colour >= 0) raised[replay->stack.raised_count++] = (StackRaised){colour, -1};
        else if (!no_colour(replay, edit, keep, err)) return false;
    }
    return true;
}

bool replay_colours(const Separation *separation, const Outlines *outlines, Arena *keep, Replay *replay, Error *err)
{
    SeparationColour *colours = arena_copy(keep, outlines->colours, (size_t)outlines->colour_count, sizeof *colours);
    if (!colours) return error_memory(err);
    replay->colours = colours;
    replay->colour_count = outlines->colour_count;
    replay->matches = separation->matches;
    replay->match_count = separation->match_count;
    replay->frame = figure_frame(separation, outlines);
    replay->figure_width_mm = outlines->width_mm;
    return take_names(replay, colours, keep, err) && take_order(replay, keep, err) && take_inlays(replay, keep, err) && take_raised(replay, keep, err);
}

// ---- papers ----

// Whether "C12" is a name in the layer's letters.
static bool has_letter_of(const char *piece, int layer)
{
    char letter[8];
    layer_letter(layer, letter);
    size_t size = strlen(letter);
    return strncmp(piece, letter, size) == 0 && piece[size] >= '0' && piece[size] <= '9';
}

// Of two layers of a colour a frozen piece tells by its name which one is meant; else it is the one that is seen.
int replay_find_layer(const Replay *replay, const Stack *stack, const Edit *edit)
{
    int colour = find_colour(replay, edit->colour), found = -1;
    for (int layer = 0; colour >= 0 && layer < stack->layer_count; layer++) {
        if (stack->layers[layer].colour != colour) continue;
        found = layer;
        if (edit->kind == EDIT_FROZEN && edit->text && has_letter_of(edit->text, layer)) break;
    }
    return found;
}

static bool take_sheet(const Edit *edit, const Stack *stack, Paper *papers, bool *has_paper, Arena *keep, Replay *replay,
                       Error *err)
{
    Error why = {0};
    Paper paper;
    int colour = replay_find_colour(replay->colours, replay->colour_count, edit->colour);
    if (replay_find_layer(replay, stack, edit) < 0) return no_colour(replay, edit, keep, err);
    const Settings *settings = replay->settings;
    if (!edit->text || !paper_parse(edit->text, &paper, &why) ||
        (settings->has_cutter && !cutter_take_paper(&settings->cutter, &paper, &why)))
        return replay_tell(replay, edit, "edit-not-kept", why.text, keep, err);
    for (int layer = 0; layer < stack->layer_count; layer++) { // the base may lie on top once more
        if (stack->layers[layer].colour != colour) continue;
        papers[layer] = paper;
        has_paper[layer] = true;
    }
    return true;
}

static bool check_letters(const Stack *stack, const Settings *settings, Error *err)
{
    char letter[8];
    for (int i = 0; i < settings->paper_count; i++) {
        bool found = !settings->papers[i].layer[0];
        for (int layer = 0; layer < stack->layer_count && !found; layer++) {
            layer_letter(layer, letter);
            found = strcmp(letter, settings->papers[i].layer) == 0;
        }
        layer_letter(stack->layer_count - 1, letter);
        if (!found)
            return error_set(err, ERROR_JOB, "--paper %s=... names a layer that is not there; this picture has the layers A to %s",
                             settings->papers[i].layer, letter);
    }
    return true;
}

#define LETTERS_NAMED 8 // of layers in one finding; more are counted

// "layer A", "layers A and C", "layers A, B and C": this one, and later ones of the same paper, which are then told.
static void name_layers(const Stack *stack, const Paper *papers, int layer, bool *is_told, char out[120])
{
    int count = 0, named = 0;
    char letters[LETTERS_NAMED][8];
    for (int i = layer; i < stack->layer_count; i++) {
        if (is_told[i] || !paper_equal(&papers[i], &papers[layer])) continue;
        is_told[i] = true;
        if (count++ < LETTERS_NAMED) layer_letter(i, letters[named++]);
    }
    size_t used = (size_t)snprintf(out, 120, "layer%s %s", count > 1 ? "s" : "", letters[0]);
    for (int i = 1; i < named; i++)
        used += (size_t)snprintf(out + used, 120 - used, "%s%s", i + 1 == count ? " and " : ", ", letters[i]);
    if (count > named) snprintf(out + used, 120 - used, " and %d more", count - named);
}

static bool tell_unmarked(const Stack *stack, const Paper *papers, Arena *keep, Replay *replay, Error *err)
{
    bool *is_told = arena_new(keep, bool, stack->layer_count);
    if (!is_told) return error_memory(err);
    for (int layer = 0; layer < stack->layer_count; layer++) {
        char layers[120], text[300];
        MarkLine line;
        if (is_told[layer] || tools_line(&replay->tools, &papers[layer], &line)) continue;
        name_layers(stack, papers, layer, is_told, layers);
        tools_say_unmarked(&replay->tools, replay->settings, &papers[layer], layers, text);
        Box box = rings_box(&stack->layers[layer].rings);
        if (!findings_add(&replay->findings, keep, "layer-unmarked", text, (box.min.x / 2.0 + box.max.x / 2.0) / UM_PER_MM,
                          (box.min.y / 2.0 + box.max.y / 2.0) / UM_PER_MM))
            return error_memory(err);
    }
    return true;
}

bool replay_papers(const Stack *stack, Arena *keep, Replay *replay, Paper **out, Error *err)
{
    Paper *papers = arena_new(keep, Paper, stack->layer_count);
    bool *has_paper = arena_new(keep, bool, stack->layer_count);
    *out = papers;
    if (!papers || !has_paper) return error_memory(err);
    if (!check_letters(stack, replay->settings, err)) return false;
    for (size_t i = 0; i < replay->edits->count; i++)
        if (replay->edits->items[i].kind == EDIT_SHEET &&
            !take_sheet(&replay->edits->items[i], stack, papers, has_paper, keep, replay, err))
            return false;
    for (int layer = 0; layer < stack->layer_count; layer++) {
        char letter[8];
        layer_letter(layer, letter);
        const Paper *paper = settings_paper(replay->settings, layer);
        if (has_paper[layer]) continue;
        if (!paper)
            return error_set(err, ERROR_JOB, "no paper is named for layer %s; add for example --paper letter for all layers that have none of their own",
                             letter);
        papers[layer] = *paper;
        if (replay->settings->has_cutter && !cutter_take_paper(&replay->settings->cutter, &papers[layer], err)) return false;
    }
    return tools_choose(replay->settings, &replay->tools, err) && tell_unmarked(stack, papers, keep, replay, err);
}
