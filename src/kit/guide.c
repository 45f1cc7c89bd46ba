// guide.c - see guide.h.
#include "kit/guide.h"

#include "kit/guide_part.h"

#include <math.h>

const char *guide_colour_name(const Draft *draft, int layer)
{
    const Stack *stack = draft->input->stack;
    return stack->colours[stack->layers[layer].colour].name;
}

void guide_time(Text *text, double minutes)
{
    if (minutes < 90) {
        long whole = minutes < 10 ? (long)ceil(minutes) : 5 * lround(minutes / 5);
        text_printf(text, "%ld min", whole);
        return;
    }
    long halves = lround(minutes / 30);
    text_printf(text, "%ld%s h", halves / 2, halves % 2 ? " 1/2" : "");
}

void guide_count(Text *text, int count, const char *word)
{
    text_printf(text, "%d %s%s", count, word, count == 1 ? "" : "s");
}

void guide_length_to_buy(Text *text, double mm)
{
    text_number(text, ceil(mm / 304.8), 0);
    text_add(text, " ft (");
    text_number(text, ceil(mm / 100) / 10, 1);
    text_add(text, " m)");
}

const char *guide_words(const Text *text, Error *err)
{
    return text_is_whole(text, err) ? (text->bytes ? text->bytes : "") : NULL;
}

static bool write_parts(Guide *guide, Error *err)
{
    return guide_cover(guide, err) && guide_to_buy(guide, err) && guide_to_read(guide, err) &&
           guide_sheet_map(guide, err) && guide_layers(guide, err) && guide_hanging(guide, err) &&
           guide_findings(guide, err) && guide_envelopes(guide, err);
}

bool guide_pdf(const Draft *draft, Arena *keep, Work *work, FileBytes *out, Error *err)
{
    Text title = text_make(keep);
    text_printf(&title, "%s: how to put it together", draft->input->name);
    *out = (FileBytes){.name = "guide.pdf"};
    if (!text_is_whole(&title, err)) return false;
    Guide guide = {.draft = draft, .keep = keep, .work = work};
    bool done = canvas_create(title.bytes, draft->input->options.page, keep, &guide.canvas, err) && write_parts(&guide, err) &&
                canvas_finish(&guide.canvas, out, err);
    canvas_destroy(&guide.canvas);
    return done;
}
