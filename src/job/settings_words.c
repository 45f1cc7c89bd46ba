// settings_words.c - one table of settings; see settings_words.h.
#include "job/settings_words.h"

#include "base/length.h"
#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef struct Word {
    Settings *settings;
    const char *called, *value;
    Error *err;
} Word;

static bool set_height(const Word *w)
{
    return length_parse(w->value, w->called, &w->settings->height_mm, w->err);
}

static bool set_border(const Word *w)
{
    return length_parse(w->value, w->called, &w->settings->border_mm, w->err);
}

static bool set_inset(const Word *w)
{
    return length_parse(w->value, w->called, &w->settings->inset_mm, w->err);
}

static bool set_thicken(const Word *w)
{
    if (strcmp(w->value, "0") != 0) return length_parse(w->value, w->called, &w->settings->thicken_mm, w->err);
    w->settings->thicken_mm = 0.0;
    return true;
}

static bool set_paper(const Word *w)
{
    return settings_add_paper(w->settings, w->value, w->err);
}

static bool set_cutter(const Word *w)
{
    Cutter cutter;
    if (!cutter_parse(w->value, &cutter, w->err)) return false;
    w->settings->cutter = cutter;
    w->settings->has_cutter = true;
    return true;
}

static bool set_seams(const Word *w)
{
    return settings_add_seams(w->settings, w->value, w->err);
}

static bool set_strips(const Word *w)
{
    if (strips_way_find(w->value, &w->settings->strips)) return true;
    return error_set(w->err, ERROR_USAGE, "%s knows cut, hand and none, not '%.40s'", w->called, w->value);
}

static bool set_hidden_from(const Word *w)
{
    bool scrap = strcmp(w->value, "scrap") == 0;
    if (!scrap && strcmp(w->value, "own") != 0)
        return error_set(w->err, ERROR_USAGE, "%s knows scrap and own, not '%.40s'", w->called, w->value);
    w->settings->hidden_from_scrap = scrap;
    return true;
}

static bool set_raised(const Word *w)
{
    return settings_set_raised(w->settings, w->value, w->err);
}

static bool set_stack(const Word *w)
{
    if (strcmp(w->value, "inlay") == 0) w->settings->way = STACK_INLAY;
    else if (strcmp(w->value, "underlap") == 0) w->settings->way = STACK_UNDERLAP;
    else return error_set(w->err, ERROR_USAGE, "%s knows inlay and underlap, not '%.40s'", w->called, w->value);
    return true;
}

static bool set_fewer(const Word *w)
{
    if (fewer_find(w->value, &w->settings->fewer)) return true;
    return error_set(w->err, ERROR_USAGE, "%s knows pieces, seams and neither, not '%.40s'", w->called, w->value);
}

static bool set_marks(const Word *w)
{
    static const struct { const char *words; MarkLine lines[2]; int count; } WAYS[] = {
        {"score", {MARK_SCORE, MARK_SCORE}, 1}, {"pen", {MARK_PEN, MARK_PEN}, 1},
        {"score,pen", {MARK_SCORE, MARK_PEN}, 2}, {"pen,score", {MARK_PEN, MARK_SCORE}, 2},
    };
    for (size_t i = 0; i < sizeof WAYS / sizeof WAYS[0]; i++) {
        if (strcmp(w->value, WAYS[i].words) != 0) continue;
        w->settings->marks[0] = WAYS[i].lines[0];
        w->settings->marks[1] = WAYS[i].lines[1];
        w->settings->mark_count = WAYS[i].count;
        return true;
    }
    return error_set(w->err, ERROR_USAGE, "%s knows score, pen, and both as score,pen or pen,score, not '%.40s'", w->called, w->value);
}

static bool set_for(const Word *w)
{
    if (kit_for_find(w->value, &w->settings->kit.sheets_for)) return true;
    return error_set(w->err, ERROR_USAGE, "%s knows sheet, piece, layer and line, not '%.40s'", w->called, w->value);
}

static bool set_page(const Word *w)
{
    if (strcmp(w->value, "letter") == 0) w->settings->kit.page = KIT_PAGE_LETTER;
    else if (strcmp(w->value, "a4") == 0) w->settings->kit.page = KIT_PAGE_A4;
    else return error_set(w->err, ERROR_USAGE, "%s knows letter and a4, not '%.40s'", w->called, w->value);
    return true;
}

static bool set_colours(const Word *w)
{
    double count = 0.0;
    if (!number_parse(w->value, &count) || count < 0.0 || count > SEPARATION_MAX_COLOURS || count != floor(count))
        return error_set(w->err, ERROR_USAGE, "%s takes a whole number from 1 to %d (or 0: all of them), not '%.40s'", w->called, SEPARATION_MAX_COLOURS, w->value);
    w->settings->most_colours = (int)count;
    return true;
}

static bool set_smallest(const Word *w)
{
    size_t size = strlen(w->value);
    char digits[32] = "";
    double count = 0.0;
    bool in_pixels = size > 2 && size - 2 < sizeof digits && strcmp(w->value + size - 2, "px") == 0;
    if (in_pixels) memcpy(digits, w->value, size - 2);
    if (!in_pixels || !number_parse(digits, &count) || count < 1.0 || count > 1e9)
        return error_set(w->err, ERROR_USAGE, "%s takes an area in pixels, such as 20px, not '%.40s'", w->called, w->value);
    w->settings->smallest_area_px = count;
    return true;
}

static bool set_formats(const Word *w)
{
    if (kit_formats_find(w->value, &w->settings->kit.formats)) return true;
    return error_set(w->err, ERROR_USAGE, "%s knows svg, pdf, dxf and hpgl, with commas between, not '%.40s'", w->called, w->value);
}

static bool set_knife(const Word *w, double most_mm, double *out)
{
    double mm = 0.0;
    if (strcmp(w->value, "0") != 0 && !length_parse(w->value, w->called, &mm, w->err)) return false;
    *out = mm;
    return mm <= most_mm || error_set(w->err, ERROR_USAGE, "%s takes at most %g mm, not '%.40s'", w->called, most_mm, w->value);
}

static bool set_overcut(const Word *w)
{
    return set_knife(w, KIT_MOST_OVERCUT_MM, &w->settings->kit.overcut_mm);
}

static bool set_blade_offset(const Word *w)
{
    return set_knife(w, KIT_MOST_BLADE_OFFSET_MM, &w->settings->kit.blade_offset_mm);
}

// "36x30in": of the first length without a unit that of the second counts. "0": none.
static bool set_size(const Word *w, const char *example, double out_mm[2])
{
    char first[64];
    const char *cross = strchr(w->value, 'x');
    if (strcmp(w->value, "0") == 0) {
        out_mm[0] = out_mm[1] = 0.0;
        return true;
    }
    if (!cross || (size_t)(cross - w->value) > 30 || strlen(cross + 1) > 30)
        return error_set(w->err, ERROR_USAGE, "%s takes a width and a height, such as %s, not '%.40s'", w->called, example, w->value);
    const char *unit = cross + 1 + strspn(cross + 1, "0123456789.");
    int size = (int)(cross - w->value);
    bool bare = size > 0 && strspn(w->value, "0123456789.") >= (size_t)size;
    snprintf(first, sizeof first, "%.*s%s", size, w->value, bare ? unit : "");
    return length_parse(first, w->called, &out_mm[0], w->err) && length_parse(cross + 1, w->called, &out_mm[1], w->err);
}

static bool set_sections(const Word *w)
{
    return set_size(w, "36x30in", w->settings->sections_mm);
}

static bool set_board(const Word *w)
{
    return set_size(w, "24x36in", w->settings->kit.board_mm);
}

static bool set_cut_from(const Word *w)
{
    bool back = strcmp(w->value, "back") == 0;
    if (!back && strcmp(w->value, "front") != 0) return error_set(w->err, ERROR_USAGE, "%s knows front and back, not '%.40s'", w->called, w->value);
    w->settings->kit.cut_from_back = back;
    return true;
}

static const struct Known { const char *what; bool (*set)(const Word *w); } KNOWN[] = {
    {"height", set_height}, {"border", set_border}, {"inset", set_inset}, {"thicken", set_thicken}, {"paper", set_paper},
    {"cutter", set_cutter}, {"seams", set_seams}, {"strips", set_strips}, {"raised", set_raised}, {"hidden-from", set_hidden_from}, {"stack", set_stack}, {"marks", set_marks}, {"for", set_for}, {"page", set_page},
    {"colours", set_colours}, {"fewer", set_fewer}, {"formats", set_formats}, {"overcut", set_overcut}, {"blade-offset", set_blade_offset}, {"cut-from", set_cut_from}, {"smallest", set_smallest},
    {"sections", set_sections}, {"board", set_board},
};

static const struct Known *find(const char *what)
{
    for (size_t i = 0; i < sizeof KNOWN / sizeof KNOWN[0]; i++)
        if (strcmp(what, KNOWN[i].what) == 0) return &KNOWN[i];
    return NULL;
}

bool settings_know(const char *what)
{
    return find(what) != NULL;
}

bool settings_set(Settings *settings, const char *what, const char *called, const char *value, Error *err)
{
    const struct Known *known = find(what);
    Word word = {settings, called, value, err};
    if (!known) return error_set(err, ERROR_USAGE, "there is no setting '%.40s'", what);
    return known->set(&word);
}
