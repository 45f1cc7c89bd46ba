// verdict.c - see verdict.h.
#include "separation/verdict.h"

#define SOFT_EDGE_PX 2.0        // antialiasing makes 0.5 to 0.8, compression up to 1.2; an edge this wide was blurred or enlarged

static bool is_blurred(const Separation *s)
{
    return s->edge_px > SOFT_EDGE_PX;
}

Verdict verdict_of(const Separation *separation)
{
    if (separation->is_photo || separation->has_shading || is_blurred(separation)) return VERDICT_TOO_SOFT;
    return separation->gone_count > 0 ? VERDICT_DETAILS_VANISH : VERDICT_GOOD;
}

static void say_vanished(const Separation *s, double figure_height_mm, Text *text)
{
    bool one = s->gone_count == 1;
    text_printf(text, "works, but %d detail%s vanish%s", s->gone_count, one ? "" : "s", one ? "es" : "");
    char height[NUMBER_MAX];
    if (figure_height_mm > 0.0) text_printf(text, " at a height of %s mm", number_format(height, figure_height_mm, 0));
    text_add(text, one ? ": it is too small to cut" : ": they are too small to cut");
}

void verdict_say(const Separation *separation, double figure_height_mm, Text *text)
{
    char width[NUMBER_MAX];
    switch (verdict_of(separation)) {
    case VERDICT_GOOD: text_add(text, "good: flat colours with clear edges, and every detail can be cut"); break;
    case VERDICT_DETAILS_VANISH: say_vanished(separation, figure_height_mm, text); break;
    case VERDICT_TOO_SOFT:
        if (separation->is_photo)
            text_add(text, "too soft: a photograph or soft shading, reduced to a few colours; take a flat drawing if there is one");
        else if (separation->has_shading)
            text_add(text, "too soft in places: a shadow, a glow or a gradient is cut flat or left out; take a picture without it if there is one");
        else
            text_printf(text, "too soft: its edges are blurred over %s pixels and more; take a sharper picture if there is one",
                        number_format(width, separation->edge_px, 0));
        break;
    }
}
