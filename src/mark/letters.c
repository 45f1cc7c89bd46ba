// letters.c - text as strokes; see letters.h, and mark_text in mark.h.
#include "mark/letters.h"

#include "mark/mark.h"

#include <math.h>
#include <string.h>

#define UNDERLINE_BELOW 5 // font units from the baseline to the line below a 6 or 9

// True when the whole text, turned by half, could be read as another one.
static bool is_ambiguous(const char *text)
{
    return strpbrk(text, "69") && strspn(text, "01689HINOSXZ-") == strlen(text);
}

static const LettersGlyph *glyph_of(char c)
{
    unsigned char code = (unsigned char)c;
    if (code < LETTERS_FIRST || code >= LETTERS_FIRST + LETTERS_COUNT) return NULL;
    return &letters_glyphs[code - LETTERS_FIRST];
}

typedef struct Pen {
    Path *path;
    double unit_mm;
    double x; // start of the letter, font units
    bool is_down;
    Point at;
    Box *box;
} Pen;

static void pen_to(Pen *pen, int x, int y)
{
    Point p = point_from_mm((pen->x + x) * pen->unit_mm, (y - LETTERS_BASE) * pen->unit_mm);
    if (pen->is_down && !point_equal(p, pen->at)) pen->path->curves[pen->path->curve_count++] = curve_line(pen->at, p);
    box_add(pen->box, p);
    pen->is_down = true;
    pen->at = p;
}

static void pen_lift(Pen *pen)
{
    Path *path = pen->path;
    if (path->curve_count > path->first[path->part_count]) path->first[++path->part_count] = path->curve_count;
    pen->is_down = false;
}

static void draw_glyph(Pen *pen, const LettersGlyph *glyph, bool underlined)
{
    pen->x -= glyph->left;
    for (int i = 0; i < glyph->count; i++) {
        const int8_t *pair = &letters_points[2 * (glyph->first + i)];
        if (pair[0] == LETTERS_LIFT)
            pen_lift(pen);
        else
            pen_to(pen, pair[0], pair[1]);
    }
    pen_lift(pen);
    if (underlined) {
        pen_to(pen, glyph->left + 2, LETTERS_BASE + UNDERLINE_BELOW);
        pen_to(pen, glyph->right - 2, LETTERS_BASE + UNDERLINE_BELOW);
        pen_lift(pen);
    }
    pen->x += glyph->right;
}

bool word_make(const char *text, double height_mm, Arena *keep, Word *out, Error *err)
{
    *out = (Word){.path = {.open = true}, .box = box_empty()};
    size_t pairs = 0, letters = strlen(text);
    for (const char *c = text; *c; c++)
        if (glyph_of(*c)) pairs += (size_t)glyph_of(*c)->count + 2;
    Path *path = &out->path;
    path->curves = arena_new(keep, Curve, pairs);
    path->first = arena_new(keep, int, pairs + 1);
    out->first_part = arena_new(keep, int, letters + 1);
    out->boxes = arena_new(keep, Box, letters);
    if (!path->curves || !path->first || !out->first_part || !out->boxes) return error_memory(err);
    bool ambiguous = is_ambiguous(text);
    Pen pen = {.path = path, .unit_mm = height_mm / (LETTERS_BASE - LETTERS_TOP)};
    for (const char *c = text; *c; c++) {
        Box box = box_empty();
        if (!glyph_of(*c)) continue;
        pen.box = &box;
        draw_glyph(&pen, glyph_of(*c), ambiguous && (*c == '6' || *c == '9'));
        out->first_part[out->letter_count + 1] = path->part_count;
        if (path->part_count == out->first_part[out->letter_count]) continue; // a blank
        out->boxes[out->letter_count++] = box;
        box_add(&out->box, box.min);
        box_add(&out->box, box.max);
    }
    return true;
}

bool mark_text(const char *text, double height_mm, Arena *keep, Path *out, Box *out_box, Error *err)
{
    Word word;
    *out = (Path){.open = true};
    *out_box = box_empty();
    if (!word_make(text, height_mm, keep, &word, err)) return false;
    *out = word.path;
    *out_box = word.box;
    return true;
}

// ---- words in their places ----

#define STACK_GAP_SHARE 0.25 // of a letter's height: less and two letters read as one

static double middle_x(Box box)
{
    return ((double)box.min.x + box.max.x) / 2.0;
}

static double middle_y(Box box)
{
    return ((double)box.min.y + box.max.y) / 2.0;
}

static double stack_gap_um(const Word *word)
{
    return word->letter_count > 0 ? STACK_GAP_SHARE * -(double)word->boxes[0].min.y : 0.0; // capitals begin at the height
}

void word_half_size(const Word *word, WordForm form, double *out_x_um, double *out_y_um)
{
    *out_x_um = ((double)word->box.max.x - word->box.min.x) / 2.0;
    *out_y_um = ((double)word->box.max.y - word->box.min.y) / 2.0;
    if (form == WORD_ROW) return;
    double wide = 0.0, high = 0.0;
    for (int i = 0; i < word->letter_count; i++) {
        double width = (double)word->boxes[i].max.x - word->boxes[i].min.x;
        if (width > wide) wide = width;
        high += (double)word->boxes[i].max.y - word->boxes[i].min.y + (i > 0 ? stack_gap_um(word) : 0.0);
    }
    *out_x_um = wide / 2.0;
    *out_y_um = high / 2.0;
}

void word_places(const Word *word, WordForm form, double x_um, double y_um, Way up, LetterPlace *out)
{
    double half_x, half_y, down = 0.0;
    word_half_size(word, form, &half_x, &half_y);
    for (int i = 0; i < word->letter_count; i++) {
        Box box = word->boxes[i];
        double right = form == WORD_ROW ? middle_x(box) - middle_x(word->box) : 0.0;
        double half = ((double)box.max.y - box.min.y) / 2.0;
        double below = form == WORD_ROW ? middle_y(box) - middle_y(word->box) : down + half - half_y;
        down += 2.0 * half + stack_gap_um(word);
        out[i] = (LetterPlace){x_um - up.y * right - up.x * below, y_um + up.x * right - up.y * below, up};
    }
}

static Point in_place(const LetterPlace *place, double right_um, double down_um)
{
    double x = place->x - place->up.y * right_um - place->up.x * down_um;
    double y = place->y + place->up.x * right_um - place->up.y * down_um;
    return (Point){(int32_t)llround(x), (int32_t)llround(y)};
}

void word_curves(const Word *word, const LetterPlace *places, Curve *curves)
{
    const Path *path = &word->path;
    for (int i = 0; i < word->letter_count; i++) {
        double x = middle_x(word->boxes[i]), y = middle_y(word->boxes[i]);
        for (int k = path->first[word->first_part[i]]; k < path->first[word->first_part[i + 1]]; k++) {
            const Curve *c = &path->curves[k];
            curves[k] = curve_line(in_place(&places[i], c->p0.x - x, c->p0.y - y),
                                   in_place(&places[i], c->p3.x - x, c->p3.y - y));
        }
    }
}

void word_corners(const Word *word, int letter, const LetterPlace *place, double margin_mm, Point out[4])
{
    Box box = word->boxes[letter];
    double half_x = ((double)box.max.x - box.min.x) / 2.0 + margin_mm * UM_PER_MM;
    double half_y = ((double)box.max.y - box.min.y) / 2.0 + margin_mm * UM_PER_MM;
    out[0] = in_place(place, -half_x, -half_y);
    out[1] = in_place(place, half_x, -half_y);
    out[2] = in_place(place, half_x, half_y);
    out[3] = in_place(place, -half_x, half_y);
}
