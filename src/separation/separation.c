// separation.c - see separation.h.
// Steps:   flat colours, edge pixels, regions, ground, the maker's wishes, scale, specks, the final order of colours.
#include "separation/separation.h"

#include "base/text.h"
#include "separation/band.h"
#include "separation/demix.h"
#include "separation/faint.h"
#include "separation/join_colours.h"
#include "separation/hairline.h"
#include "separation/halo.h"
#include "separation/maker.h"
#include "separation/match.h"
#include "separation/missed.h"
#include "separation/photo.h"
#include "separation/plateau.h"
#include "separation/shading.h"
#include "separation/thicken.h"
#include "separation/tiny.h"
#include "separation/twins.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SOFT_STEP_SHARE 0.2   // of all steps along rows: more means compression noise; clean art has about half of it
#define SOFT_STEPS_LEAST 64   // fewer say nothing
#define FLAT_SHARE 0.5        // of a noisy picture; less means a photograph
#define FLAT_DENSE_SHARE 0.35 // the same of one with few colours: a small map is mostly edges
#define FLAT_DENSE_COLOURS 12 // plain areas of photographs have more
#define FLAT_CLEAN_SHARE 0.15 // of a clean one, which may consist of thin lines
#define SHADES_MANY 16        // core colours next to another one; flat art has none or a pair
#define SHADES_SHARE 0.02     // of the picture, of their cores: a soft button does not make a photograph of a drawing
#define FEW_COLOURS 8         // a picture without flat areas, with no more colours than this, is meant pixel by pixel
#define HARD_EDGED_SHARE 0.05 // fewer blends than this, against boundary length: no antialiasing
#define PEEK_SHARE 0.3 // of the smallest part's size, 2.4 mm of 8: what is narrower cannot be cut and glued
#define SCRAP_SHARE 0.05 // of the figure: what is longer was drawn
#define PHOTO_PART_SHARE 0.05 // of a photograph's longer side: smaller parts are texture
#define LEAST_THICK_PX 2.0    // every part is as wide already

SeparationOptions separation_defaults(void)
{
    return (SeparationOptions){
        .figure_height_mm = 812.8, .smallest_part_mm = 8.0, .smallest_hole_mm = 4.0, .same_de00 = 3.0};
}

static size_t picture_px(const Picture *p)
{
    return (size_t)p->width_px * (size_t)p->height_px;
}

// ---- labels ----

static bool label_as_photo(Maker *m, Error *err)
{
    m->is_photo = m->out->is_photo = true;
    m->out->is_noisy = true;
    m->edges = (LabelStats){0};
    return photo_quantise(m->picture, m->work, m->out->label, &m->palette, err);
}

static bool label_few_or_photo(Maker *m, Error *err)
{
    bool few;
    if (!palette_of_all_pixels(m->picture, FEW_COLOURS, m->work, &m->palette, &few, err)) return false;
    memset(m->out->label, LABEL_UNDECIDED, picture_px(m->picture));
    return few || label_as_photo(m, err);
}

static bool find_calm_colours(Maker *m, int64_t *pure_px, Error *err)
{
    m->out->is_noisy = true;
    return palette_from_calm_areas(m->picture, m->work, m->out->label, &m->palette, pure_px, err) &&
           faint_colours(m->picture, m->work, &m->palette, m->out->label, err) &&
           bands_find(m->picture, &m->palette, m->work, m->out->label, err);
}

static bool is_flat_enough(const Maker *m, int64_t pure_px)
{
    double noisy_share = m->palette.count <= FLAT_DENSE_COLOURS ? FLAT_DENSE_SHARE : FLAT_SHARE;
    double share = m->out->is_noisy ? noisy_share : FLAT_CLEAN_SHARE;
    return (double)pure_px >= share * (double)picture_px(m->picture);
}

static bool find_thin_areas(Maker *m, Error *err)
{
    int cores = m->palette.count;
    if (!plateaus_find(m->picture, m->work, &m->palette, m->out->label, err)) return false;
    m->plateau_colours = m->palette.count - cores;
    return true;
}

static bool find_flat_colours(Maker *m, Error *err)
{
    FlatStats stats;
    if (!palette_from_cores(m->picture, m->options->same_de00, m->work, m->out->label, &m->palette, &stats, err)) return false;
    bool is_noisy = stats.too_many || (stats.soft_step_count >= SOFT_STEPS_LEAST &&
                                       (double)stats.soft_step_count > SOFT_STEP_SHARE * (double)stats.step_count);
    bool is_shaded = stats.shade_count >= SHADES_MANY && (double)stats.shade_px > SHADES_SHARE * (double)picture_px(m->picture);
    if (is_noisy && !find_calm_colours(m, &stats.pure_px, err)) return false;
    if (is_shaded && !is_noisy) return label_few_or_photo(m, err); // a clean gradient is flat in steps
    if (!is_flat_enough(m, stats.pure_px)) return label_few_or_photo(m, err);
    return m->out->is_noisy || find_thin_areas(m, err);
}

static bool label_all(Maker *m, Error *err)
{
    return label_edges(m->picture, m->out->is_noisy, &m->palette, m->work, m->out->label, &m->edges, err);
}

// Compression with full colour resolution makes few soft steps, but leaves edges that no blend explains.
static bool label_again_as_noisy(Maker *m, Error *err)
{
    int64_t pure_px;
    m->plateau_colours = 0;
    if (!find_calm_colours(m, &pure_px, err)) return false;
    return is_flat_enough(m, pure_px) ? label_all(m, err) : label_as_photo(m, err);
}

static bool make_labels(Maker *m, Error *err)
{
    if (!find_flat_colours(m, err)) return false;
    if (m->is_photo) return true;
    if (!label_all(m, err)) return false;
    if (m->edges.is_rough && !m->out->is_noisy && !label_again_as_noisy(m, err)) return false;
    if (m->is_photo) return true;
    if (m->edges.is_shaded) return label_as_photo(m, err); // a flat ground round a photograph is no flat picture
    if (m->edges.is_hard && !hairlines_join(m->picture, &m->palette, m->work, m->out->label, err)) return false;
    if (!m->out->is_noisy) return true;
    return missed_areas(m->picture, m->work, &m->palette, m->out->label, err) &&
           demix_colours(m->picture, m->out->label, m->work, &m->palette, err) &&
           twins_join(m->out->label, picture_px(m->picture), m->options->same_de00, m->work, &m->palette, &m->edges.thin_colours, err) &&
           fringes_find(m->picture, &m->palette, m->keep, m->work, m->out->label, &m->fringes, err);
}

// ---- figure and scale ----

// The box of all that is cut; false when there is nothing.
static bool figure_box(const Runs *runs, double box[4], bool *any_ground)
{
    bool any = false;
    *any_ground = false;
    for (int32_t i = 0; i < runs->part_count; i++) {
        const Part *p = &runs->parts[i];
        *any_ground |= p->label == LABEL_CLEAR;
        if (p->label == LABEL_CLEAR) continue;
        box[0] = any ? fmin(box[0], p->x0) : p->x0;
        box[1] = any ? fmin(box[1], p->y0) : p->y0;
        box[2] = any ? fmax(box[2], p->x1) : p->x1;
        box[3] = any ? fmax(box[3], p->y1) : p->y1;
        any = true;
    }
    return any;
}

static bool measure_figure(Maker *m, Error *err)
{
    double *box = m->out->wish_box_px;
    bool any_ground, any = figure_box(&m->runs, box, &any_ground);
    char hex[8];
    if (!any && m->ground.is_transparent)
        return error_set(err, ERROR_JOB,
                         "there is nothing to cut: the picture is transparent everywhere; use one with a "
                         "figure in it");
    if (!any || (!any_ground && m->runs.part_count == 1)) {
        colour_hex(m->palette.colours[0].colour, hex);
        return error_set(err, ERROR_JOB,
                         "there is nothing to cut: the whole picture has one colour (%s); use one whose figure "
                         "stands on transparency or on a ground of another colour",
                         hex);
    }
    m->notes = (WishNotes){.findings = &m->out->findings,
                           .keep = m->keep,
                           .middle_px = {(box[0] + box[2]) / 2.0, (box[1] + box[3]) / 2.0}};
    return true;
}

static bool apply_wishes(Maker *m, Error *err)
{
    WishTable table = {.label = m->out->label,
                       .runs = m->runs,
                       .palette = &m->palette,
                       .ground_paint = m->ground.paint};
    memcpy(table.box_px, m->out->wish_box_px, sizeof table.box_px);
    if (!wish_apply(&m->options->wishes, &m->notes, m->work, &table, err)) return false;
    m->runs = table.runs;
    m->ground.paint = table.ground_paint;
    for (int l = 0; l < 256; l++) m->is_wished_away[l] |= table.is_gone[l];
    return true;
}

// Colours of what is cut, each with its area.
static void measure_colours(const Runs *runs, int64_t area_px[SEPARATION_MAX_COLOURS])
{
    for (int i = 0; i < SEPARATION_MAX_COLOURS; i++) area_px[i] = 0;
    for (int32_t i = 0; i < runs->part_count; i++)
        if (runs->parts[i].label >= LABEL_FIRST) area_px[runs->parts[i].label - LABEL_FIRST] += runs->parts[i].area_px;
}

static bool report_merged(Maker *m, const uint8_t into[SEPARATION_MAX_COLOURS], const int64_t *area_px, Error *err)
{
    char text[256], hex[2][8];
    for (int i = 0; i < m->palette.count; i++) {
        if (into[i] == i || area_px[i] == 0) continue;
        Srgb8 from = m->palette.colours[i].colour, to = m->palette.colours[into[i]].colour;
        snprintf(text, sizeof text, "the colour %s (%s) counts as %s (%s), since no more than %d were asked for", colour_name(from),
                 (colour_hex(from, hex[0]), hex[0]), colour_name(to), (colour_hex(to, hex[1]), hex[1]), m->options->most_colours);
        if (!maker_tell(m, "colour-joined", text, m->notes.middle_px[0], m->notes.middle_px[1], err)) return false;
    }
    return true;
}

// The ground is found already and keeps its label, so that a colour like it stays paper.
static bool merge_labels(Maker *m, const uint8_t into[SEPARATION_MAX_COLOURS], Error *err)
{
    uint8_t new_label[256];
    for (int l = 0; l < 256; l++) {
        bool is_merged = l >= LABEL_FIRST && l < LABEL_FIRST + SEPARATION_MAX_COLOURS && into[l - LABEL_FIRST] != l - LABEL_FIRST;
        new_label[l] = is_merged ? (uint8_t)(LABEL_FIRST + into[l - LABEL_FIRST]) : (uint8_t)l;
        m->is_wished_away[l] |= is_merged;
    }
    Runs before = m->runs;
    if (!runs_write_labels(&before, new_label, m->out->label, m->work, err)) return false;
    if (!runs_make(m->out->label, before.width_px, before.height_px, &m->work->scratch, m->work, &m->runs, err)) return false;
    return runs_carry_flags(&before, &m->runs, m->work, err);
}

static bool take_fewer_colours(Maker *m, Error *err)
{
    int64_t area_px[SEPARATION_MAX_COLOURS];
    uint8_t into[SEPARATION_MAX_COLOURS];
    measure_colours(&m->runs, area_px);
    int left = join_colours(&m->palette, area_px, m->options->most_colours, into);
    if (left < m->options->most_colours) {
        char text[128];
        snprintf(text, sizeof text, "the picture has %d flat colour%s; %d were asked for", left, left == 1 ? "" : "s",
                 m->options->most_colours);
        if (!maker_tell(m, "fewer-colours", text, m->notes.middle_px[0], m->notes.middle_px[1], err)) return false;
    }
    return report_merged(m, into, area_px, err) && merge_labels(m, into, err);
}

// ---- papers in hand ----

static const char *paper_name(const Maker *m, int i)
{
    return m->options->wishes.papers[m->paper_of[i]].name;
}

static bool report_far(Maker *m, int i, Error *err)
{
    const NamedColour *paper = &m->options->wishes.papers[m->paper_of[i]];
    char text[256], hex[2][8], de00[NUMBER_MAX];
    double off = lab_difference_2000(m->palette.colours[i].lab, lab_from_srgb8(paper->colour));
    if (off < MATCH_FAR_DE00) return true;
    colour_hex(m->palette.colours[i].colour, hex[0]), colour_hex(paper->colour, hex[1]);
    snprintf(text, sizeof text, "no paper in hand is near %s (%s): %s (%s) is the nearest (dE00 %s)", colour_name(m->palette.colours[i].colour),
             hex[0], paper->name, hex[1], number_format(de00, off, 1));
    return maker_tell(m, "paper-far", text, m->notes.middle_px[0], m->notes.middle_px[1], err);
}

static bool report_shared(Maker *m, int i, int first, Error *err)
{
    char text[256], hex[2][8];
    colour_hex(m->palette.colours[i].colour, hex[0]), colour_hex(m->palette.colours[first].colour, hex[1]);
    snprintf(text, sizeof text, "%s (%s) and %s (%s) are both cut from %s: no edge is left between them", colour_name(m->palette.colours[first].colour),
             hex[1], colour_name(m->palette.colours[i].colour), hex[0], paper_name(m, i));
    return maker_tell(m, "paper-shared", text, m->notes.middle_px[0], m->notes.middle_px[1], err);
}

// Colours of one paper become one, the largest one's label. The papers' own colours come in with the result: until then pixels
// are judged by what the picture shows.
static bool match_papers(Maker *m, Error *err)
{
    const SeparationWishes *wishes = &m->options->wishes;
    int64_t area_px[SEPARATION_MAX_COLOURS];
    bool is_shared = false;
    measure_colours(&m->runs, area_px);
    match_colours(&m->palette, area_px, wishes->papers, wishes->paper_count, m->paper_of);
    for (int i = 0; i < m->palette.count; i++) {
        if (m->paper_of[i] < 0) continue;
        int first = -1;
        for (int k = 0; k < m->palette.count; k++)
            if (m->paper_of[k] == m->paper_of[i] && (first < 0 || area_px[k] > area_px[first])) first = k;
        m->matched_into[i] = (uint8_t)first;
        is_shared |= first != i;
        if (!report_far(m, i, err) || (first != i && !report_shared(m, i, first, err))) return false;
    }
    return !is_shared || merge_labels(m, m->matched_into, err);
}

// What shows through as base, and the picture's kind of edges, which no wish changes.
static bool judge_edges_and_apply_wishes(Maker *m, uint8_t *base, Error *err)
{
    int64_t cracks;
    if (!ground_base_label(&m->runs, m->work, base, &cracks, err)) return false;
    m->out->hard_edged = !m->is_photo && !m->out->is_noisy && (double)m->edges.blend_px < HARD_EDGED_SHARE * (double)cracks;
    m->first_wished = m->palette.count;
    m->first_thin = m->palette.count - m->edges.thin_colours - m->plateau_colours;
    m->out->edge_px = cracks > 0 ? (double)m->edges.blend_px / (double)cracks : 0.0;
    m->out->has_shading = m->shading.ramp_count > 0;
    bool has_papers = m->options->wishes.paper_count > 0;
    bool is_changed = has_papers || m->options->most_colours > 0 || wishes_any(&m->options->wishes);
    if (m->options->most_colours > 0 && !take_fewer_colours(m, err)) return false;
    if (wishes_any(&m->options->wishes) && !apply_wishes(m, err)) return false;
    if (has_papers && !match_papers(m, err)) return false;
    if (is_changed && !ground_base_label(&m->runs, m->work, base, &cracks, err)) return false;
    bool any_ground;
    (void)figure_box(&m->runs, m->out->box_px, &any_ground); // wishes always leave something
    m->mm_per_px = m->options->figure_height_mm / (m->out->box_px[3] - m->out->box_px[1]);
    return true;
}

static double figure_px(const Maker *m)
{
    return fmax(m->out->box_px[3] - m->out->box_px[1], m->out->box_px[2] - m->out->box_px[0]);
}

static bool remove_specks(Maker *m, uint8_t base, Error *err)
{
    SpeckLimits limits = {.part_px = m->options->smallest_part_mm / m->mm_per_px,
                          .hole_px = m->options->smallest_hole_mm / m->mm_per_px,
                          .area_px = m->options->smallest_area_px,
                          .base_label = base,
                          .ground_paint = m->ground.paint};
    if (m->is_photo) limits.part_px = limits.hole_px = fmax(limits.part_px, PHOTO_PART_SHARE * figure_px(m));
    TinyTable table = {.wishes = &m->options->wishes,
                       .palette = &m->palette,
                       .limits = &limits,
                       .ground_colour = m->out->ground_colour,
                       .label = m->out->label,
                       .runs = m->runs};
    const PeekLimits peeks = {PEEK_SHARE * limits.part_px, SCRAP_SHARE * figure_px(m)};
    if (!m->is_photo && limits.area_px <= 0.0 && !peeks_find(&peeks, &table.runs, m->work, err)) return false;
    if (m->out->is_noisy && !halos_find(m->picture, &m->palette, m->ground.paint, &table.runs, m->work, err)) return false;
    memcpy(table.wish_box_px, m->out->wish_box_px, sizeof table.wish_box_px);
    memcpy(table.box_px, m->out->box_px, sizeof table.box_px);
    if (!tiny_clean_up(&table, &m->notes, m->work, err)) return false;
    m->runs = table.runs;
    m->specks = table.specks;
    m->out->pen_details = table.drawn.items;
    m->out->pen_detail_count = (int)table.drawn.count;
    return true;
}

static bool report_thickened(Maker *m, const Thickened *counts, Error *err)
{
    for (int i = 0; i < m->palette.count; i++) {
        const Thickened *c = &counts[i];
        char text[192], width[NUMBER_MAX];
        if (c->parts == 0) continue;
        snprintf(text, sizeof text, "%d thin part%s of %s grew to a width of %s mm", c->parts, c->parts == 1 ? "" : "s",
                 colour_name(m->palette.colours[i].colour), number_format(width, m->options->least_width_mm, 1));
        if (!maker_tell(m, "thickened", text, c->x_px, c->y_px, err)) return false;
    }
    return true;
}

static bool thicken_parts(Maker *m, Error *err)
{
    double least_px = m->options->least_width_mm / m->mm_per_px;
    uint8_t same[256];
    Thickened counts[SEPARATION_MAX_COLOURS] = {{0}};
    if (!(least_px > LEAST_THICK_PX)) return true;
    for (int l = 0; l < 256; l++) same[l] = (uint8_t)l;
    int width = m->runs.width_px, height = m->runs.height_px;
    m->out->repainted = arena_new(m->keep, uint8_t, picture_px(m->picture));
    if (!m->out->repainted) return error_memory(err);
    if (!runs_write_labels(&m->runs, same, m->out->label, m->work, err)) return false;
    if (!thicken(m->out->label, width, height, m->palette.count, least_px, m->out->box_px, m->work, m->out->repainted, counts, err)) return false;
    if (!runs_make(m->out->label, width, height, &m->work->scratch, m->work, &m->runs, err)) return false;
    return report_thickened(m, counts, err);
}

// ---- the result ----

static int by_area_then_colour(const void *a, const void *b)
{
    const SeparationColour *p = a, *q = b;
    if (p->area_px != q->area_px) return p->area_px > q->area_px ? -1 : 1;
    int u = p->colour.r << 16 | p->colour.g << 8 | p->colour.b, v = q->colour.r << 16 | q->colour.g << 8 | q->colour.b;
    return (u > v) - (u < v);
}

// The second colour of a name is its "b", since "hot pink 2" would look like a count of sheets; after z comes aa.
static void name_again(const char *word, int nth, char *out, size_t out_size_bytes)
{
    int letter = nth - 1;
    if (letter < 26)
        snprintf(out, out_size_bytes, "%s %c", word, 'a' + letter);
    else
        snprintf(out, out_size_bytes, "%s %c%c", word, 'a' + letter / 26 - 1, 'a' + letter % 26);
}

static void give_names(SeparationColour *colours, int count)
{
    for (int i = 0; i < count; i++) {
        if (colours[i].name[0]) continue; // a paper's
        const char *word = colour_name(colours[i].colour);
        int nth = 1;
        for (int k = 0; k < i; k++) nth += strcmp(colour_name(colours[k].colour), word) == 0;
        if (nth == 1)
            snprintf(colours[i].name, sizeof colours[i].name, "%s", word);
        else
            name_again(word, nth, colours[i].name, sizeof colours[i].name);
    }
}

static Srgb8 shown_colour(const Maker *m, int i)
{
    return m->paper_of[i] < 0 ? m->palette.colours[i].colour : m->options->wishes.papers[m->paper_of[i]].colour;
}

static bool list_matches(Maker *m, Error *err)
{
    m->out->matches = arena_new(m->keep, ColourMatch, m->palette.count);
    if (!m->out->matches) return error_memory(err);
    for (int i = 0; i < m->palette.count; i++) {
        uint8_t final = m->paper_of[i] < 0 ? 0 : m->final_label[LABEL_FIRST + m->matched_into[i]];
        if (final) m->out->matches[m->out->match_count++] = (ColourMatch){m->palette.colours[i].colour, final - 1};
    }
    return true;
}

static bool order_colours(Maker *m, Error *err)
{
    SeparationColour all[SEPARATION_MAX_COLOURS] = {0};
    for (int i = 0; i < m->palette.count; i++) {
        all[i].colour = shown_colour(m, i);
        if (m->paper_of[i] >= 0) memcpy(all[i].name, paper_name(m, i), sizeof all[i].name);
    }
    for (int32_t i = 0; i < m->runs.part_count; i++) {
        const Part *p = &m->runs.parts[i];
        if (p->parent != i || p->label < LABEL_FIRST) continue;
        all[p->label - LABEL_FIRST].area_px += p->area_px;
        all[p->label - LABEL_FIRST].region_count++;
    }
    SeparationColour *colours = arena_copy(m->keep, all, (size_t)m->palette.count, sizeof *all);
    if (!colours) return error_memory(err);
    qsort(colours, (size_t)m->palette.count, sizeof *colours, by_area_then_colour);
    int count = 0;
    while (count < m->palette.count && colours[count].area_px > 0) count++;
    give_names(colours, count);
    for (int i = 0; i < m->palette.count; i++)
        for (int k = 0; k < count; k++)
            if (all[i].area_px > 0 && memcmp(&colours[k].colour, &all[i].colour, sizeof all[i].colour) == 0)
                m->final_label[LABEL_FIRST + i] = (uint8_t)(k + 1);
    m->out->colours = colours;
    m->out->colour_count = count;
    if (count > 0) return true;
    return error_set(err, ERROR_JOB,
                     "there is nothing to cut: every part of the figure is smaller than the smallest detail "
                     "that can be handled; make it taller, or allow smaller details");
}

// ---- the whole ----

static bool make(Maker *m, Error *err)
{
    const Picture *p = m->picture;
    m->out->width_px = p->width_px;
    m->out->height_px = p->height_px;
    m->out->label = arena_new(m->keep, uint8_t, picture_px(p));
    if (!m->out->label) return error_memory(err);
    if (!make_labels(m, err)) return false;
    if (!m->is_photo && !shading_find(p, m->out->is_noisy, m->work, &m->shading, err)) return false;
    if (!runs_make(m->out->label, p->width_px, p->height_px, &m->work->scratch, m->work, &m->runs, err)) return false;
    fringes_mark(&m->fringes, &m->runs);
    m->ground = ground_find(m->out->label, &m->palette, &m->runs);
    m->out->has_ground_colour = m->ground.paint != LABEL_UNDECIDED;
    if (m->out->has_ground_colour) m->out->ground_colour = m->palette.colours[m->ground.paint - LABEL_FIRST].colour;
    uint8_t base;
    if (!measure_figure(m, err) || !judge_edges_and_apply_wishes(m, &base, err)) return false;
    if (!remove_specks(m, base, err)) return false;
    if (m->options->least_width_mm > 0.0 && !thicken_parts(m, err)) return false;
    if (!order_colours(m, err)) return false;
    if (!runs_write_labels(&m->runs, m->final_label, m->out->label, m->work, err)) return false;
    if (m->options->wishes.paper_count > 0 && !list_matches(m, err)) return false;
    return maker_tell_all(m, err);
}

bool separation_make(const Picture *picture, const SeparationOptions *options, Arena *keep, Work *work, Separation *out,
                     Error *err)
{
    *out = (Separation){0};
    if (picture->width_px <= 0 || picture->height_px <= 0)
        return error_set(err, ERROR_INPUT, "the picture has no pixels; choose another");
    if (picture_px(picture) >= INT32_MAX)
        return error_set(err, ERROR_INPUT, "the picture has more than 2147 million pixels; make it smaller");
    if (options->most_colours < 0 || options->most_colours > SEPARATION_MAX_COLOURS)
        return error_set(err, ERROR_USAGE, "%d colours were asked for; ask for 1 to %d", options->most_colours, SEPARATION_MAX_COLOURS);
    if (!(options->figure_height_mm > 0.0) || !isfinite(options->figure_height_mm))
        return error_set(err, ERROR_USAGE, "the figure's height should be more than 0 mm");
    ArenaMark mark = arena_mark(&work->scratch);
    Maker *m = arena_new(&work->scratch, Maker, 1);
    if (!m) return error_memory(err);
    m->picture = picture, m->options = options, m->keep = keep, m->work = work, m->out = out;
    for (int i = 0; i < SEPARATION_MAX_COLOURS; i++) m->paper_of[i] = -1, m->matched_into[i] = (uint8_t)i;
    bool good = make(m, err);
    arena_rewind(&work->scratch, mark);
    if (!good) *out = (Separation){0};
    return good;
}
