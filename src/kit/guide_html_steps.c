// guide_html_steps.c - see guide_html_part.h.
#include "kit/guide_html_part.h"
#include "kit/guide_part.h"
#include "kit/markup.h"

#include <math.h>
#include <string.h>

static const char *kind_word(GuideStepKind kind)
{
    switch (kind) {
    case GUIDE_STEP_JOIN: return "join";
    case GUIDE_STEP_UNITE: return "unite";
    case GUIDE_STEP_STRIPS: return "strips";
    case GUIDE_STEP_TURN: return "turn";
    case GUIDE_STEP_GLUE: return "glue";
    case GUIDE_STEP_LAY: return "lay";
    }
    return "";
}

static void add_words(Text *text, const char *open, const char *words, const char *close)
{
    text_add(text, open);
    markup_add(text, words);
    text_add(text, close);
}

static void add_pieces(Text *text, const Draft *draft, const int *pieces, int count, int first)
{
    text_add(text, " data-pieces=\"");
    for (int i = 0; i < count; i++) text_printf(text, "%s%s", i ? " " : "", draft->pieces[first + pieces[i]].source->id);
    text_add(text, "\"");
}

static bool add_checks(Text *text, const GuideChecks *checks, Arena *keep, Error *err)
{
    add_words(text, "<p class=\"words\">", GUIDE_SAY_MEASURE, "</p>\n<ul class=\"checks\">\n");
    for (int i = 0; i < 4; i++) {
        Text words = text_make(keep);
        guide_say_check(&words, &checks->items[i]);
        if (!text_is_whole(&words, err)) return false;
        add_words(text, "<li>", words.bytes, "</li>\n");
    }
    add_words(text, "</ul>\n<p class=\"words\">", GUIDE_SAY_MEASURED, "</p>\n");
    return true;
}

// `checks` = when the base is measured after this step, else NULL.
static bool add_step(Text *text, const Draft *draft, int layer, int index, const GuideStep *step, const GuideChecks *checks, Arena *keep,
                     Error *err)
{
    bool glues = step->kind == GUIDE_STEP_GLUE || step->kind == GUIDE_STEP_LAY || !step->taped;
    text_printf(text, "<li class=\"step\" id=\"%s-%d\" data-kind=\"%s\" data-layer=\"%s\"", draft->layers[layer].id, index + 1,
                kind_word(step->kind), draft->layers[layer].id);
    add_pieces(text, draft, step->pieces, step->piece_count, draft->layers[layer].first_piece);
    text_printf(text, "%s>\n", checks ? " data-measured=\"yes\"" : "");
    text_printf(text, "<h4>%d. ", index + 1);
    add_words(text, "", step->title, "</h4>\n");
    if (step->words[0]) add_words(text, "<p class=\"words\">", step->words, "</p>\n");
    if (step->line_count > 0) {
        text_add(text, "<ul class=\"lines\">\n");
        for (int i = 0; i < step->line_count; i++) add_words(text, "<li>", step->lines[i], "</li>\n");
        text_add(text, "</ul>\n");
    }
    if (checks && !add_checks(text, checks, keep, err)) return false;
    if (glues && step->kind != GUIDE_STEP_TURN) add_words(text, "<p class=\"care\"><strong>Care:</strong> ", GUIDE_SAY_ADHESIVE, "</p>\n");
    text_add(text, "</li>\n");
    return true;
}

static void add_layer_head(Text *text, const Draft *draft, int layer)
{
    text_printf(text, "<section class=\"of-layer\" data-layer=\"%s\">\n<h3>Layer %s: ", draft->layers[layer].id, draft->layers[layer].id);
    markup_add(text, guide_colour_name(draft, layer));
    text_add(text, "</h3>\n<p class=\"note\">");
    guide_count(text, draft->layers[layer].piece_count, "piece");
    text_printf(text, ", %s.", layer == 0 ? "the bottom of the stack" : "on top of what lies already");
    if (layer > 0) add_words(text, " ", guide_say_lines(draft), "");
    text_add(text, "</p>\n<ol>\n");
}

static bool add_layer(Text *text, const Draft *draft, int layer, const GuideSteps *steps, const GuideChecks *checks, double *since_stop,
                      Arena *keep, Error *err)
{
    bool last_layer = layer + 1 == draft->input->stack->layer_count;
    add_layer_head(text, draft, layer);
    for (int i = 0; i < steps->count; i++) {
        const GuideStep *step = &steps->items[i];
        bool measured = layer == 0 && step->joins_whole >= 0 && step->joins_whole == checks->group;
        if (!add_step(text, draft, layer, i, step, measured ? checks : NULL, keep, err)) return false;
        if (guide_is_stop(steps, i, last_layer, since_stop)) add_words(text, "<li class=\"stop\">", GUIDE_SAY_STOP, "</li>\n");
    }
    text_add(text, "</ol>\n</section>\n");
    return true;
}

bool html_steps(Text *text, const Draft *draft, const GuideChecks *checks, Arena *keep, Work *work, Error *err)
{
    GuideBelow *below;
    Text end = text_make(keep);
    double since_stop = 0;
    if (!guide_below(draft, keep, work, &below, err)) return false;
    for (int l = 0; l < draft->input->stack->layer_count; l++) {
        GuideSteps steps;
        if (!work_goes_on(work, err) || !guide_steps(draft, l, below, keep, work, &steps, err) ||
            !add_layer(text, draft, l, &steps, checks, &since_stop, keep, err))
            return false;
    }
    guide_say_end(&end, draft);
    if (!text_is_whole(&end, err)) return false;
    add_words(text, "<p id=\"end\">", end.bytes, "</p>\n");
    return true;
}

void html_sheets(Text *text, const Draft *draft)
{
    text_add(text, "<ul id=\"sheet-list\">\n");
    for (int s = 0; s < draft->sheet_count; s++) {
        const DraftSheet *sheet = &draft->sheets[s];
        add_words(text, "<li class=\"sheet\" data-sheet=\"", sheet->id, "\"");
        add_pieces(text, draft, sheet->pieces, sheet->piece_count, 0);
        add_words(text, "><h3>", sheet->id, "</h3>\n<p class=\"note\">");
        const char *file = strrchr(sheet->file, '/');
        markup_add(text, file ? file + 1 : sheet->file);
        text_add(text, "</p>\n<p class=\"names\">");
        for (int i = 0; i < sheet->piece_count; i++) text_printf(text, "%s%s", i ? " " : "", draft->pieces[sheet->pieces[i]].source->id);
        text_add(text, "</p></li>\n");
    }
    text_add(text, "</ul>\n");
}
