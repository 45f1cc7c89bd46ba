// fewer.c - see fewer.h.
// The weights are the ends of the range that was measured: under 1 pieces become many for next to no seam; over 8 the
// search finds no fewer.
#include "job/fewer.h"

#include <string.h>

#define MM_PER_INCH 25.4

static const char *const WORDS[] = {[FEWER_NEITHER] = "neither", [FEWER_PIECES] = "pieces", [FEWER_SEAMS] = "seams"};

const char *fewer_word(Fewer fewer)
{
    return WORDS[fewer];
}

bool fewer_find(const char *word, Fewer *out)
{
    for (int i = 0; i <= FEWER_SEAMS; i++) {
        if (strcmp(word, WORDS[i]) != 0) continue;
        *out = (Fewer)i;
        return true;
    }
    return false;
}

double fewer_piece_weight(Fewer fewer, double usual)
{
    switch (fewer) {
    case FEWER_NEITHER: break;
    case FEWER_PIECES: return 2.0 * usual;
    case FEWER_SEAMS: return 0.25 * usual;
    }
    return usual;
}

double fewer_visible_mm(const LayerPieces *pieces)
{
    double sum_mm = 0.0;
    for (int i = 0; i < pieces->seam_count; i++) sum_mm += pieces->seams[i].visible_mm;
    return sum_mm;
}

static double cost_in(const LayerPieces *pieces, const SeamOptions *options, double piece_weight)
{
    double length_mm = 0.0, visible_mm = fewer_visible_mm(pieces);
    for (int i = 0; i < pieces->seam_count; i++) length_mm += pieces->seams[i].length_mm;
    return (visible_mm + options->hidden_weight * (length_mm - visible_mm)) / MM_PER_INCH + piece_weight * pieces->piece_count;
}

bool fewer_takes(Fewer fewer, const LayerPieces *asked, const LayerPieces *usual, const SeamOptions *options)
{
    double weight = fewer_piece_weight(fewer, options->piece_weight);
    if (cost_in(asked, options, weight) >= cost_in(usual, options, weight)) return false;
    switch (fewer) {
    case FEWER_NEITHER: return false;
    case FEWER_PIECES: return asked->piece_count <= usual->piece_count;
    case FEWER_SEAMS: return fewer_visible_mm(asked) <= fewer_visible_mm(usual);
    }
    return false;
}
