// tools.c - see tools.h.
#include "job/tools.h"

#include <math.h>
#include <stdio.h>

#define INSET_OVER_HIDE_MM 0.1 // an inset line stays at least this much behind what hides it

static bool has_tool(const Cutter *cutter, MarkLine line)
{
    switch (line) {
    case MARK_SCORE: return cutter->score;
    case MARK_PEN: return cutter->pen;
    case MARK_CUT: return true;
    }
    return false;
}

static bool lacks_tool(const Cutter *cutter, MarkLine line, Error *err)
{
    if (!cutter->score && !cutter->pen)
        return error_set(err, ERROR_JOB,
                         "the cutter (%s) has no %s: its blade is alone, and marks become rows of short cuts when --marks is left out",
                         cutter->name, mark_line_word(line));
    return error_set(err, ERROR_JOB, "the cutter (%s) has no %s; it has %s, so --marks %s would work", cutter->name, mark_line_word(line),
                     cutter->score ? "score" : "pen", cutter->score ? "score" : "pen");
}

bool tools_choose(const Settings *settings, Tools *out, Error *err)
{
    const Cutter *cutter = &settings->cutter;
    *out = (Tools){0};
    if (settings->kit.cut_from_back && settings->mark_count > 0)
        return error_set(err, ERROR_JOB, "what is cut from the back has no lines on its front, so --marks has no use with --cut-from back; leave one of them out");
    for (int i = 0; settings->has_cutter && i < settings->mark_count; i++)
        if (!has_tool(cutter, settings->marks[i])) return lacks_tool(cutter, settings->marks[i], err);
    *out = (Tools){.lines = {MARK_SCORE, MARK_SCORE}, .count = 1};
    if (settings->mark_count > 0) {
        out->count = settings->mark_count;
        for (int i = 0; i < out->count; i++) out->lines[i] = settings->marks[i];
    } else if (settings->has_cutter && !cutter->score) {
        out->lines[0] = cutter->pen ? MARK_PEN : MARK_CUT;
    }
    if (settings->kit.cut_from_back) out->count = 0; // lines would lie on the back
    return true;
}

static bool takes(const Paper *paper, MarkLine line)
{
    switch (line) {
    case MARK_SCORE: return !paper->no_score;
    case MARK_PEN: return !paper->no_pen;
    case MARK_CUT: return !paper->no_score || !paper->no_pen;
    }
    return false;
}

bool tools_line(const Tools *tools, const Paper *paper, MarkLine *out)
{
    *out = tools->lines[0];
    for (int i = 0; i < tools->count; i++) {
        if (!takes(paper, tools->lines[i])) continue;
        *out = tools->lines[i];
        return true;
    }
    return false;
}

MarkOptions tools_mark_options(const Tools *tools, const Settings *settings, const Paper *paper)
{
    MarkLine line;
    bool marked = tools_line(tools, paper, &line);
    MarkOptions options = mark_defaults(line);
    options.no_marks = !marked;
    options.no_pen = paper->no_pen;
    options.pen_missing = settings->has_cutter && !settings->cutter.pen;
    if (settings->inset_mm > 0.0) {
        options.inset_mm = settings->inset_mm;
        options.hide_mm = fmin(options.hide_mm, settings->inset_mm - INSET_OVER_HIDE_MM);
    }
    return options;
}

void tools_say_unmarked(const Tools *tools, const Settings *settings, const Paper *paper, const char *layers, char out[300])
{
    if (settings->kit.cut_from_back) {
        snprintf(out, 300, "the pieces of %s have no marks, since %s is cut from the back: lines would lie on the wrong side; "
                           "the guide's map of its sheets tells them apart", layers, paper->id);
        return;
    }
    bool none = paper->no_score && paper->no_pen;
    MarkLine used = tools->lines[0], other = used == MARK_SCORE ? MARK_PEN : MARK_SCORE;
    bool may = !none && (!settings->has_cutter || has_tool(&settings->cutter, other));
    char remedy[120] = "the guide's map of its sheets tells them apart";
    if (may)
        snprintf(remedy, sizeof remedy, "%s--marks %s,%s would mark them", settings->has_cutter ? "" : "with a second tool ", mark_line_word(used),
                 mark_line_word(other));
    snprintf(out, 300, "the pieces of %s have no marks, since their paper %s takes %s; %s", layers, paper->id,
             none ? "neither score nor pen" : used == MARK_SCORE ? "no score" : "no pen", remedy);
}
