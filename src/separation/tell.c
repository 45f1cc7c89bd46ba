// tell.c - the findings of a separation; see maker.h.
#include "separation/maker.h"

#include "base/text.h"
#include "separation/alike.h"

#include <stdio.h>
#include <stdlib.h>

#define SPECKS_LISTED 200
#define CRUMB_MM 1.0 // nobody misses what is smaller
#define CRUMB_PX 4   // what an edge of the raster leaves; but in a coarse picture a pixel may be an eye, hence the next
#define CRUMB_PX_MM 2.5
#define FEW_CRUMBS 12 // a face has two eyes: more specks of so few pixels are what an edge left, however coarse the picture
#define SHADES_NAMED 3
#define SHADES_LEAST_PART 8   // an eighth of the ramps' pixels
#define SEEN_PX 3             // a speck this wide and high was drawn on purpose

bool maker_tell(Maker *m, const char *kind, const char *text, double x_px, double y_px, Error *err)
{
    return findings_add(&m->out->findings, m->keep, kind, text, x_px, y_px) || error_memory(err);
}

static const char *name_of(const Maker *m, uint8_t label)
{
    if (label == LABEL_CLEAR) return "the ground";
    uint8_t final = m->final_label[label];
    return final ? m->out->colours[final - 1].name : colour_name(m->palette.colours[label - LABEL_FIRST].colour);
}

static int by_area_then_place(const void *a, const void *b)
{
    const Speck *p = a, *q = b;
    if (p->area_px != q->area_px) return p->area_px > q->area_px ? -1 : 1;
    if (p->first_run != q->first_run) return p->first_run < q->first_run ? -1 : 1;
    return p->to < q->to ? -1 : p->to > q->to;
}

static bool report_speck(Maker *m, const Speck *s, Error *err)
{
    // Who judges specks in pixels is told of them in pixels; a finished size may not even be known.
    bool in_px = m->options->smallest_area_px > 0.0;
    const char *unit = in_px ? "px" : "mm";
    double scale = in_px ? 1.0 : m->mm_per_px;
    char text[256], width[NUMBER_MAX], height[NUMBER_MAX];
    number_format(width, s->width_px * scale, 1);
    number_format(height, s->height_px * scale, 1);
    if (s->from == LABEL_CLEAR)
        snprintf(text, sizeof text, "a hole of %s x %s %s was filled with %s", width, height, unit, name_of(m, s->to));
    else if (s->to == LABEL_CLEAR)
        snprintf(text, sizeof text, "a speck of %s, %s x %s %s, was left out: mostly ground is round it",
                 name_of(m, s->from), width, height, unit);
    else
        snprintf(text, sizeof text, "a speck of %s, %s x %s %s, joined %s%s", name_of(m, s->from), width, height,
                 unit, name_of(m, s->to), s->is_drawn ? " and is drawn by pen" : "");
    return maker_tell(m, "speck-joined", text, s->x_px, s->y_px, err);
}

typedef struct Unlisted {
    bool has_many_crumbs; // of so few pixels
    size_t count;
    const Speck *largest; // NULL: none
} Unlisted;

static bool has_many_crumbs(const Specks *specks)
{
    size_t count = 0;
    for (size_t i = 0; i < specks->count; i++) count += specks->items[i].area_px <= CRUMB_PX && !specks->items[i].is_drawn;
    return count > FEW_CRUMBS;
}

static bool is_crumb(const Maker *m, const Speck *s, bool is_one_of_many)
{
    if (s->is_drawn) return false;
    bool is_tiny = s->area_px <= CRUMB_PX;
    if (m->options->smallest_area_px > 0.0 || (is_tiny && is_one_of_many)) return is_tiny;
    double longer_mm = (s->width_px > s->height_px ? s->width_px : s->height_px) * m->mm_per_px;
    return longer_mm < (is_tiny ? CRUMB_PX_MM : CRUMB_MM);
}

// Hairline slits and leftovers of edges are no details that anybody would miss.
static bool is_seen(const Speck *s)
{
    return s->width_px >= SEEN_PX && s->height_px >= SEEN_PX && s->area_px >= SEEN_PX * SEEN_PX;
}

// Lists the specks, largest first, but for crumbs and what is beyond the list's length.
static bool report_specks(Maker *m, Unlisted *unlisted, Error *err)
{
    Specks *specks = &m->specks;
    size_t listed = 0;
    *unlisted = (Unlisted){.has_many_crumbs = has_many_crumbs(specks)};
    for (size_t i = 0; i < specks->count; i++) m->out->gone_count += is_seen(&specks->items[i]);
    if (specks->count) qsort(specks->items, specks->count, sizeof *specks->items, by_area_then_place);
    for (size_t i = 0; i < specks->count; i++) {
        const Speck *s = &specks->items[i];
        if (listed == SPECKS_LISTED || is_crumb(m, s, unlisted->has_many_crumbs)) {
            if (!unlisted->largest) unlisted->largest = s;
            unlisted->count++;
            continue;
        }
        if (!report_speck(m, s, err)) return false;
        listed++;
    }
    return true;
}

// Comes last: a maker should read of what can be seen first.
static bool report_unlisted(Maker *m, const Unlisted *unlisted, Error *err)
{
    if (unlisted->count == 0) return true;
    char text[128];
    if (unlisted->count == 1)
        snprintf(text, sizeof text, "1 speck too small to list joined its neighbour");
    else
        snprintf(text, sizeof text, "%zu specks too small to list joined their neighbours", unlisted->count);
    return maker_tell(m, "specks-joined", text, unlisted->largest->x_px, unlisted->largest->y_px, err);
}

static bool report_colours(Maker *m, Error *err)
{
    char text[256], hex[8];
    const double *box = m->out->box_px;
    double x = (box[0] + box[2]) / 2.0, y = (box[1] + box[3]) / 2.0;
    if (m->is_photo && !maker_tell(m, "photograph",
                                    "this looks like a photograph or has soft shading: it was reduced to a "
                                    "few flat colours; a flat drawing cuts better",
                                    x, y, err))
        return false;
    for (int i = 0; i < m->palette.count; i++) {
        colour_hex(m->palette.colours[i].colour, hex);
        bool is_thin = i >= m->first_thin && i < m->first_wished, is_gone = !m->final_label[LABEL_FIRST + i];
        if (is_gone && (LABEL_FIRST + i == m->ground.paint || m->is_wished_away[LABEL_FIRST + i])) continue;
        if (!is_gone && !is_thin) continue;
        const char *name = name_of(m, (uint8_t)(LABEL_FIRST + i));
        if (is_gone)
            snprintf(text, sizeof text, "no part of the colour %s (%s) is large enough to cut", name, hex);
        else
            snprintf(text, sizeof text, "the colour %s (%s) lives in thin lines alone, check it", name, hex);
        if (!maker_tell(m, is_gone ? "colour-gone" : "thin-colour", text, x, y, err)) return false;
    }
    return true;
}

static bool report_alike(Maker *m, Error *err)
{
    Alike pairs[ALIKE_MOST];
    int count;
    if (!alike_find(m->out, m->work, pairs, &count, err)) return false;
    for (int i = 0; i < count; i++) {
        const SeparationColour *a = &m->out->colours[pairs[i].a], *b = &m->out->colours[pairs[i].b];
        char text[256], hex[2][8], de00[NUMBER_MAX];
        colour_hex(a->colour, hex[0]), colour_hex(b->colour, hex[1]);
        snprintf(text, sizeof text, "%s (%s) and %s (%s) lie side by side and are hard to tell apart from afar (dE00 %s)", a->name, hex[0], b->name,
                 hex[1], number_format(de00, pairs[i].de00, 1));
        if (!maker_tell(m, "colours-alike", text, pairs[i].x_px, pairs[i].y_px, err)) return false;
    }
    return true;
}

// Which colours came out along the middle halves of the ramps: their ends lie in what is flat.
static void count_shades(const Maker *m, int64_t px[SEPARATION_MAX_COLOURS + 1])
{
    for (size_t i = 0; i < m->shading.ramp_count; i++) {
        const SoftRamp r = m->shading.ramps[i];
        int dx = r.x1 > r.x0, dy = r.y1 > r.y0, length = r.x1 - r.x0 + r.y1 - r.y0;
        for (int k = length / 4; k <= length - length / 4; k++)
            px[m->out->label[(size_t)(r.y0 + k * dy) * (size_t)m->out->width_px + (size_t)(r.x0 + k * dx)]]++;
    }
}

// "is cut as flat grey and grey b": those with a good share, most first.
static void say_shades(const Maker *m, Text *text)
{
    int64_t px[SEPARATION_MAX_COLOURS + 1] = {0}, all = 0;
    count_shades(m, px);
    for (int i = 0; i <= m->out->colour_count; i++) all += px[i];
    bool is_left_out = 2 * px[0] > all;
    int named = 0;
    for (; named < SHADES_NAMED; named++) {
        int most = 1;
        for (int i = 2; i <= m->out->colour_count; i++)
            if (px[i] > px[most]) most = i;
        if (SHADES_LEAST_PART * px[most] < all) break;
        text_add(text, named ? " and " : " is cut as flat ");
        text_add(text, m->out->colours[most - 1].name);
        px[most] = 0;
    }
    if (!named) text_add(text, is_left_out ? " is left out" : " is cut flat");
}

static bool report_shading(Maker *m, Error *err)
{
    const Shading *s = &m->shading;
    if (!m->out->has_shading) return true;
    bool in_px = m->options->smallest_area_px > 0.0;
    double scale = in_px ? 1.0 : m->mm_per_px;
    char width[NUMBER_MAX], height[NUMBER_MAX], words[256];
    Text text = text_make(&m->work->scratch);
    text_printf(&text, "soft shading, such as a shadow, a glow or a gradient, over %s x %s %s", number_format(width, (s->box_px[2] - s->box_px[0]) * scale, 0),
                number_format(height, (s->box_px[3] - s->box_px[1]) * scale, 0), in_px ? "px" : "mm");
    say_shades(m, &text);
    text_add(&text, ": paper has no shades; take a picture without it if there is one");
    if (!text_is_whole(&text, err)) return false;
    snprintf(words, sizeof words, "%.*s", (int)text.size_bytes, text.bytes);
    return maker_tell(m, "soft-shading", words, s->at_px[0], s->at_px[1], err);
}

// A sky and a ground may both fill half of the frame; the maker knows which it is.
static bool report_rim(Maker *m, Error *err)
{
    uint8_t final = m->ground.rim == LABEL_UNDECIDED ? 0 : m->final_label[m->ground.rim];
    const Separation *s = m->out;
    if (!final || !ground_has_half_of_frame(s->label, s->width_px, s->height_px, final)) return true;
    size_t at = 0;
    while (s->label[at] != final) at++;
    char text[192];
    snprintf(text, sizeof text, "%s fills half of the picture's edge and more and is cut as paper; if it is only what lies behind, make it ground", s->colours[final - 1].name);
    return maker_tell(m, "edge-colour", text, (double)(at % (size_t)s->width_px) + 0.5, (double)(at / (size_t)s->width_px) + 0.5, err);
}

bool maker_tell_all(Maker *m, Error *err)
{
    Unlisted unlisted;
    return report_rim(m, err) && report_shading(m, err) && report_alike(m, err) && report_specks(m, &unlisted, err) && report_colours(m, err) && report_unlisted(m, &unlisted, err);
}
