// guide_findings.c - what a maker should know, each with its place: a picture with numbers, and the sentences.
#include "kit/guide_part.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define MOST_OF_A_KIND 6 // of many like these the rest is in kit.json alone
#define PICTURE_MM 85.0
#define NUMBER_MM 2.6
#define DOT_MM 0.5

typedef struct Place { double x, y; } Place;

typedef struct Shown {
    const Finding **items; // all, in the order of kit.json
    int count;
    int *number;           // what is shown: from 1; 0 = not shown
    int shown;
    Place *at;             // of each shown one: the middle of its number, on the page
} Shown;

static const Findings *list_at(const KitInput *input, int index)
{
    int layers = input->stack->layer_count;
    if (index == 0) return &input->stack->findings;
    if (index > 2 * layers) return NULL;
    return index % 2 ? &input->layer_pieces[(index - 1) / 2].findings : &input->layer_marks[(index - 1) / 2].findings;
}

int guide_finding_count(const Draft *draft)
{
    size_t count = 0;
    for (int l = 0; list_at(draft->input, l); l++) count += list_at(draft->input, l)->count;
    return (int)count;
}

static int before_of_kind(const Shown *shown, int index)
{
    int before = 0;
    for (int i = 0; i < index; i++) before += strcmp(shown->items[i]->kind, shown->items[index]->kind) == 0;
    return before;
}

static bool collect(const Guide *guide, Shown *out, Error *err)
{
    const KitInput *input = guide->draft->input;
    size_t count = (size_t)guide_finding_count(guide->draft);
    *out = (Shown){.items = arena_new(guide->keep, const Finding *, count), .number = arena_new(guide->keep, int, count),
                   .at = arena_new(guide->keep, Place, count)};
    if (!out->items || !out->number || !out->at) return error_memory(err);
    for (int l = 0; list_at(input, l); l++)
        for (size_t i = 0; i < list_at(input, l)->count; i++) out->items[out->count++] = &list_at(input, l)->items[i];
    for (int i = 0; i < out->count; i++)
        if (before_of_kind(out, i) < MOST_OF_A_KIND) out->number[i] = ++out->shown;
    return true;
}

// --- the picture ---

static bool is_free(const Shown *shown, int count, double x, double y)
{
    for (int i = 0; i < count; i++)
        if (fabs(shown->at[i].x - x) < 1.9 * NUMBER_MM && fabs(shown->at[i].y - y) < 1.15 * NUMBER_MM) return false;
    return true;
}

// A number stands near its dot, where no other number is: in rings round it, as far as need be.
static void place_number(Shown *shown, int index, double x, double y)
{
    static const double TO[8][2] = {{0.7071, -0.7071}, {-0.7071, -0.7071}, {0.7071, 0.7071}, {-0.7071, 0.7071}, {1, 0}, {-1, 0}, {0, -1}, {0, 1}};
    for (int ring = 1; ring < 12; ring++)
        for (int k = 0; k < 8; k++) {
            double u = x + ring * NUMBER_MM * 1.2 * TO[k][0], v = y + ring * NUMBER_MM * 1.2 * TO[k][1];
            shown->at[index] = (Place){u, v};
            if (is_free(shown, index, u, v)) return;
        }
}

static void draw_numbers(Canvas *canvas, Shown *shown, const double m[6])
{
    int used = 0;
    for (int i = 0; i < shown->count; i++) {
        if (!shown->number[i]) continue;
        double x = m[0] * shown->items[i]->x_mm + m[4], y = m[3] * shown->items[i]->y_mm + m[5];
        char number[16];
        place_number(shown, used, x, y);
        snprintf(number, sizeof number, "%d", shown->number[i]);
        canvas_line(canvas, x, y, shown->at[used].x, shown->at[used].y, 0.5, INK_WHITE);
        canvas_line(canvas, x, y, shown->at[used].x, shown->at[used].y, 0.2, INK_BLACK);
        canvas_swatch(canvas, x - DOT_MM, y - DOT_MM, 2 * DOT_MM, 2 * DOT_MM, INK_BLACK);
        double half = canvas_words_width(canvas, (Letters){NUMBER_MM / CANVAS_MM_A_PT, true, INK_BLACK, CANVAS_FROM_LEFT}, number) / 2 + 0.4;
        canvas_swatch(canvas, shown->at[used].x - half, shown->at[used].y - NUMBER_MM / 2, 2 * half, NUMBER_MM, INK_WHITE);
        canvas_name(canvas, shown->at[used].x, shown->at[used].y, NUMBER_MM, INK_BLACK, number);
        used++;
    }
}

static void draw_places(Guide *guide, Shown *shown)
{
    Canvas *canvas = &guide->canvas;
    double w = guide->draft->input->stack->width_mm, h = guide->draft->input->stack->height_mm,
           scale = fmin((canvas->width_mm - 30) / w, PICTURE_MM / h);
    const double m[6] = {scale, 0, 0, scale, CANVAS_LEFT_MM + (canvas->width_mm - w * scale) / 2, canvas->y_mm + 4};
    map_picture(canvas, guide->draft, m);
    draw_numbers(canvas, shown, m);
    canvas->y_mm += h * scale + 10;
}

// --- the sentences ---

// The topmost piece at the place, if it has a colour that the sentence names; else NULL.
static const char *piece_at(const Draft *draft, const Finding *finding)
{
    Point p = point_from_mm(finding->x_mm, finding->y_mm);
    for (int i = draft->piece_count - 1; i >= 0; i--) {
        const DraftPiece *piece = &draft->pieces[i];
        if (!strstr(finding->text, guide_colour_name(draft, piece->layer)) || !rings_contain(&piece->source->rings, p)) continue;
        return piece->source->id;
    }
    return NULL;
}

static bool write_finding(Guide *guide, const Finding *finding, int number, Error *err)
{
    char front[16];
    Text text = text_make(guide->keep);
    const char *piece = piece_at(guide->draft, finding);
    text_printf(&text, "%s (", finding->text);
    if (piece) text_printf(&text, "on %s, ", piece);
    guide_tape_length(&text, finding->x_mm < 0 ? 0 : finding->x_mm);
    text_add(&text, " from the left, ");
    guide_tape_length(&text, finding->y_mm < 0 ? 0 : finding->y_mm);
    text_add(&text, " from the top)");
    const char *words = guide_words(&text, err);
    snprintf(front, sizeof front, "%d", number);
    if (words) canvas_item(&guide->canvas, front, words);
    return words != NULL;
}

static bool write_rest(Guide *guide, int rest, Error *err)
{
    Text text = text_make(guide->keep);
    text_printf(&text, "and %d more of this kind: kit.json lists all, with their places.", rest);
    const char *words = guide_words(&text, err);
    if (words) canvas_item(&guide->canvas, "...", words);
    return words != NULL;
}

static bool write_all(Guide *guide, const Shown *shown, Error *err)
{
    for (int i = 0; i < shown->count; i++) {
        if (!work_goes_on(guide->work, err)) return false;
        if (shown->number[i] && !write_finding(guide, shown->items[i], shown->number[i], err)) return false;
        if (before_of_kind(shown, i) != MOST_OF_A_KIND - 1) continue;
        int rest = 0;
        for (int k = i + 1; k < shown->count; k++) rest += strcmp(shown->items[k]->kind, shown->items[i]->kind) == 0;
        if (rest > 0 && !write_rest(guide, rest, err)) return false;
    }
    return true;
}

bool guide_findings(Guide *guide, Error *err)
{
    Canvas *canvas = &guide->canvas;
    Shown shown;
    if (!collect(guide, &shown, err)) return false;
    canvas_page(canvas, "Findings", "Findings", 0);
    if (shown.count == 0) {
        canvas_paragraph(canvas, "Nothing that needs your eye: no part is too small or too thin to cut, no speck and no hole was "
                                 "lost on the way.");
        return true;
    }
    canvas_paragraph(canvas, "What a maker should know, with its place on the finished piece, seen from the front.");
    draw_places(guide, &shown);
    return write_all(guide, &shown, err);
}
