// guide_laps.c - see guide_laps.h.
#include "kit/guide_laps.h"

int guide_form_count(const Draft *draft, int layer, SeamForm form)
{
    int count = 0;
    for (int s = 0; s < draft->seam_count; s++)
        count += (layer == GUIDE_ALL_LAYERS || draft->seams[s].layer == layer) && draft->seams[s].source->form == form;
    return count;
}

double guide_form_mm(const Draft *draft, int layer, SeamForm form)
{
    double sum = 0;
    for (int s = 0; s < draft->seam_count; s++)
        if ((layer == GUIDE_ALL_LAYERS || draft->seams[s].layer == layer) && draft->seams[s].source->form == form)
            sum += draft->seams[s].source->length_mm;
    return sum;
}

static bool has(const int *pieces, int count, int piece)
{
    for (int i = 0; i < count; i++)
        if (pieces[i] == piece) return true;
    return false;
}

static void add_form(GuideForms *forms, SeamForm form)
{
    switch (form) {
    case SEAM_BUTT: forms->taped = true; break;
    case SEAM_LAP: forms->lapped = true; break;
    }
}

GuideForms guide_forms(const GuideGroups *groups, const GuidePart *part)
{
    GuideForms forms = {false, false};
    int firsts = part->first >= 0 ? groups->parts[part->first].count : 0; // those of the first part come first
    for (int s = 0; s < groups->seam_count; s++) {
        const int *pair = groups->seams[s].source->pieces;
        if (!has(part->pieces, part->count, pair[0]) || !has(part->pieces, part->count, pair[1])) continue;
        if (firsts && has(part->pieces, firsts, pair[0]) == has(part->pieces, firsts, pair[1])) continue;
        add_form(&forms, groups->seams[s].source->form);
    }
    return forms;
}

GuideForms guide_forms_of_group(const GuideGroups *groups, int group)
{
    GuideForms forms = {false, false};
    for (int s = 0; s < groups->seam_count; s++)
        if (groups->group[groups->seams[s].source->pieces[0]] == group) add_form(&forms, groups->seams[s].source->form);
    return forms;
}

void guide_say_join(Text *text, GuideForms forms, const char *pieces, const char *behind)
{
    text_printf(text, "Lay %s face up", pieces);
    if (forms.lapped)
        text_printf(text, ". %s all over the lap, the neighbour on it, edge to edge; press", forms.taped ? "The laps first: glue" : "Glue");
    if (forms.lapped && forms.taped) text_add(text, ". Then low-tack tape across the other seams; ");
    else if (forms.taped) text_add(text, ", edge to edge; low-tack tape across the front; ");
    if (forms.taped) text_printf(text, "turn %s; %s", pieces[0] == 't' ? "all over in one go" : "the whole over", behind);
}

void guide_say_pair(Text *text, const GuideGroups *groups, int piece, int other, bool *taped)
{
    bool on = false, under = false;
    *taped = false;
    for (int s = 0; s < groups->seam_count; s++) {
        const Seam *seam = groups->seams[s].source;
        if (!has(seam->pieces, 2, piece) || !has(seam->pieces, 2, other)) continue;
        on = on || (seam->form == SEAM_LAP && seam->lap_of == other);
        under = under || (seam->form == SEAM_LAP && seam->lap_of == piece);
        *taped = *taped || seam->form == SEAM_BUTT;
    }
    const char *a = guide_piece_name(groups, piece), *b = guide_piece_name(groups, other);
    if (on && under) text_printf(text, "%s and %s, each on a lap of the other", a, b);
    else if (on) text_printf(text, "%s on the lap of %s", a, b);
    else if (under) text_printf(text, "%s, its lap glued under %s", a, b);
    else text_printf(text, "%s to %s", a, b);
}
