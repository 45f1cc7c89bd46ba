// fuzz_outline.c - any label map with any picture gives a planar map that obeys all its laws.
// Input:   width, height (1..12), colours (1..5), flags (bit 0 hard-edged, bit 1 noisy, bit 2 ground colour), height of the
//          figure, then a label a pixel, then the picture's bytes; what is missing is 0.
#include "../property/outline/outline_laws.c" // one target is one file; the laws live with the property tests

#include <stdio.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size < 6) return 0;
    int width = 1 + data[0] % 12, height = 1 + data[1] % 12, colours = 1 + data[2] % 5, count = width * height;
    uint8_t label[144];
    bool has_colour = false;
    for (int i = 0; i < count; i++) {
        size_t at = 5 + (size_t)i;
        label[i] = (uint8_t)(at < size ? data[at] % (colours + 1) : 0);
        has_colour = has_colour || label[i];
    }
    if (!has_colour) return 0;
    Arena keep = arena_make(0);
    Work work = {.scratch = arena_make(0)};
    Separation separation = outline_flat_separation(label, width, height, colours, &keep);
    separation.hard_edged = data[3] & 1;
    separation.is_noisy = data[3] & 2;
    separation.has_ground_colour = data[3] & 4;
    Picture picture = outline_flat_picture(&separation, &keep);
    for (size_t i = 0; i < 4 * (size_t)count && 5 + (size_t)count + i < size; i++)
        picture.rgba[i] = data[5 + (size_t)count + i];
    OutlineOptions options = outline_defaults();
    options.figure_height_mm = height * (0.02 + data[4] / 16.0);
    options.offset_mm = data[4] % 7;
    Outlines outlines;
    Error err = {0};
    const char *broken = "outlines can be made";
    if (outline_make(&picture, &separation, &options, &keep, &work, &outlines, &err))
        broken = outline_broken_law(&separation, &outlines, data[4], &keep, &work);
    if (broken) {
        fprintf(stderr, "broken: %s %s\n", broken, err.text);
        abort();
    }
    arena_free(&keep);
    arena_free(&work.scratch);
    return 0;
}
