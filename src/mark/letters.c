// letters.c - text as strokes; see mark_text in mark.h.
#include "mark/letters.h"

#include "mark/mark.h"

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

bool mark_text(const char *text, double height_mm, Arena *keep, Path *out, Box *out_box, Error *err)
{
    *out = (Path){.open = true};
    *out_box = box_empty();
    size_t pairs = 0;
    for (const char *c = text; *c; c++)
        if (glyph_of(*c)) pairs += (size_t)glyph_of(*c)->count + 2;
    out->curves = arena_new(keep, Curve, pairs);
    out->first = arena_new(keep, int, pairs + 1);
    if (!out->curves || !out->first) return error_memory(err);
    bool ambiguous = is_ambiguous(text);
    Pen pen = {.path = out, .unit_mm = height_mm / (LETTERS_BASE - LETTERS_TOP), .box = out_box};
    for (const char *c = text; *c; c++)
        if (glyph_of(*c)) draw_glyph(&pen, glyph_of(*c), ambiguous && (*c == '6' || *c == '9'));
    return true;
}
