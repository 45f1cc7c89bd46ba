// ground.c - see ground.h.
#include "separation/ground.h"

#include <math.h>

#define CLEAR_LEAST_SHARE 0.001 // of the picture: fewer transparent pixels are an accident of a drawing program
#define PALE_LEAST_L 90.0       // Lab; as pale as this a colour is taken for bare paper
#define PALE_MOST_CHROMA 12.0
#define OUTLINE_SHARE 0.9       // of the outline, for a line colour to be the base
#define FRAME_MOST_SHARE 0.33   // of the picture; more than that goes round a thing, less can be a frame
#define FRAME_FILLED_SHARE 0.95 // of its box that a picture within a frame fills, with round corners too; a disc fills 79 %

static int64_t area_of_label(const Runs *runs, uint8_t label)
{
    int64_t area = 0;
    for (int32_t i = 0; i < runs->part_count; i++)
        if (runs->parts[i].parent == i && runs->parts[i].label == label) area += runs->parts[i].area_px;
    return area;
}

void ground_count_frame(const uint8_t *label, int width, int height, int64_t count[256])
{
    size_t last_row = (size_t)(height - 1) * (size_t)width;
    for (int x = 0; x < width; x++) {
        count[label[x]]++;
        count[label[last_row + (size_t)x]]++;
    }
    for (int y = 0; y < height; y++) {
        count[label[(size_t)y * (size_t)width]]++;
        count[label[(size_t)y * (size_t)width + (size_t)(width - 1)]]++;
    }
}

bool ground_has_half_of_frame(const uint8_t *label, int width, int height, uint8_t of)
{
    int64_t count[256] = {0};
    ground_count_frame(label, width, height, count);
    return count[of] >= width + height;
}

static bool is_pale(const PaletteColour *colour)
{
    return colour->lab.L >= PALE_LEAST_L && hypot(colour->lab.a, colour->lab.b) <= PALE_MOST_CHROMA;
}

// A pale colour is ground with half of the frame, any other with two thirds of it.
static bool is_border(const PaletteColour *colour, int64_t count, int corners, int64_t half)
{
    return is_pale(colour) ? count >= half && corners >= 2 : 3 * count >= 4 * half && corners >= 3;
}

static void judge_border(const uint8_t *label, int width, int height, const Palette *palette, Ground *out)
{
    int64_t count[256] = {0}, half = width + height;
    ground_count_frame(label, width, height, count);
    size_t last_row = (size_t)(height - 1) * (size_t)width, right = (size_t)(width - 1);
    const uint8_t corners[4] = {label[0], label[right], label[last_row], label[last_row + right]};
    int most = LABEL_FIRST;
    for (int l = LABEL_FIRST; l < 256; l++)
        if (count[l] > count[most]) most = l;
    int corners_of_most = 0, corners_of_first = 0;
    for (int i = 0; i < 4; i++) {
        corners_of_most += corners[i] == most;
        corners_of_first += corners[i] == corners[0];
    }
    if (count[most] > 0 && is_border(&palette->colours[most - LABEL_FIRST], count[most], corners_of_most, half))
        out->paint = (uint8_t)most;
    else if (corners_of_first == 4 && corners[0] >= LABEL_FIRST)
        out->paint = corners[0];
    else if (count[most] >= half)
        out->rim = (uint8_t)most;
}

static bool touches_frame(const Runs *runs, const Part *part)
{
    return part->x0 == 0 || part->y0 == 0 || part->x1 == runs->width_px || part->y1 == runs->height_px;
}

// Whether this border goes round a picture as a frame does: a rectangle, near the edge on all sides.
static bool is_frame(const Runs *runs, uint8_t paint)
{
    int x0 = runs->width_px, y0 = runs->height_px, x1 = 0, y1 = 0;
    double px = (double)runs->width_px * runs->height_px, border_px = 0;
    for (int32_t i = 0; i < runs->part_count; i++) {
        const Part *part = &runs->parts[i];
        if (part->parent != i) continue;
        if (part->label == paint && touches_frame(runs, part)) {
            border_px += (double)part->area_px;
            continue;
        }
        x0 = part->x0 < x0 ? part->x0 : x0, y0 = part->y0 < y0 ? part->y0 : y0;
        x1 = part->x1 > x1 ? part->x1 : x1, y1 = part->y1 > y1 ? part->y1 : y1;
    }
    bool goes_round = x0 > 0 && y0 > 0 && x1 < runs->width_px && y1 < runs->height_px && x1 > x0;
    return goes_round && border_px <= FRAME_MOST_SHARE * px && px - border_px >= FRAME_FILLED_SHARE * (double)(x1 - x0) * (double)(y1 - y0);
}

Ground ground_find(const uint8_t *label, const Palette *palette, Runs *runs)
{
    double px = (double)runs->width_px * runs->height_px;
    Ground ground = {.paint = LABEL_UNDECIDED, .rim = LABEL_UNDECIDED};
    ground.is_transparent = (double)area_of_label(runs, LABEL_CLEAR) >= CLEAR_LEAST_SHARE * px;
    if (!ground.is_transparent) judge_border(label, runs->width_px, runs->height_px, palette, &ground);
    if (ground.paint == LABEL_UNDECIDED) return ground;
    if (!is_pale(&palette->colours[ground.paint - LABEL_FIRST]) && is_frame(runs, ground.paint)) {
        ground.rim = ground.paint;
        ground.paint = LABEL_UNDECIDED;
        return ground;
    }
    for (int32_t i = 0; i < runs->part_count; i++)
        if (runs->parts[i].label == ground.paint && touches_frame(runs, &runs->parts[i]))
            runs->parts[i].label = LABEL_CLEAR;
    return ground;
}

static void count_outline(void *taker, uint8_t a, uint8_t b, int32_t cracks)
{
    int64_t *outline = taker;
    if (a == LABEL_CLEAR)
        outline[b] += cracks;
    else if (b == LABEL_CLEAR)
        outline[a] += cracks;
}

bool ground_base_label(Runs *runs, Work *work, uint8_t *out, int64_t *cracks, Error *err)
{
    int64_t outline[256] = {0}, area[256] = {0}, whole = 0;
    *out = LABEL_UNDECIDED;
    if (!runs_walk_cracks(runs, LABEL_CLEAR, count_outline, outline, work, cracks, err)) return false;
    for (int32_t i = 0; i < runs->part_count; i++)
        if (runs->parts[i].parent == i) area[runs->parts[i].label] += runs->parts[i].area_px;
    uint8_t largest = LABEL_FIRST;
    for (int l = LABEL_FIRST; l < 256; l++) {
        whole += outline[l];
        if (area[l] > area[largest]) largest = (uint8_t)l;
    }
    *out = largest;
    for (int l = 255; l >= LABEL_FIRST; l--)
        if (whole > 0 && (double)outline[l] >= OUTLINE_SHARE * (double)whole) *out = (uint8_t)l;
    return true;
}
