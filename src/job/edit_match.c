// edit_match.c - papers in hand as a maker types them: "navy #1d2f5a, cream #f4ead2"; see edit.h.
#include "job/edit.h"

#include <string.h>

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static bool fits_name(const char *word, size_t size, char out[32], Error *err)
{
    if (size >= 32) return edit_check_name("", err); // too long is wrong in the same words
    memcpy(out, word, size);
    out[size] = 0;
    return edit_check_name(out, err);
}

// "navy #1d2f5a", blanks round it: the value is the last word; a paper without a name has its colour's.
static bool parse_one(const char *from, const char *to, NamedColour *out, Error *err)
{
    while (from < to && is_blank(*from)) from++;
    while (to > from && is_blank(to[-1])) to--;
    char value[8] = "";
    if (to - from >= 7) memcpy(value, to - 7, 7);
    const char *name_end = to - from >= 7 ? to - 7 : from;
    bool is_apart = name_end == from || is_blank(name_end[-1]);
    if (!is_apart || !edit_parse_colour(value, &out->colour))
        return error_set(err, ERROR_USAGE, "a paper in hand is a name and its colour, such as navy #1d2f5a, not '%.*s'",
                         to - from > 40 ? 40 : (int)(to - from), from);
    while (name_end > from && is_blank(name_end[-1])) name_end--;
    const char *name = name_end > from ? from : colour_name(out->colour);
    return fits_name(name, name_end > from ? (size_t)(name_end - from) : strlen(name), out->name, err);
}

bool edit_check_papers(const NamedColour *papers, int count, Error *err)
{
    char hex[8];
    for (int i = 0; i < count; i++)
        for (int k = 0; k < i; k++) {
            if (strcmp(papers[i].name, papers[k].name) == 0)
                return error_set(err, ERROR_USAGE, "two papers in hand have the name %s; give each its own", papers[i].name);
            if (memcmp(&papers[i].colour, &papers[k].colour, sizeof papers[i].colour) != 0) continue;
            colour_hex(papers[i].colour, hex);
            return error_set(err, ERROR_USAGE, "%s and %s have the same colour %s; name it once", papers[k].name, papers[i].name, hex);
        }
    return true;
}

bool edit_parse_papers(const char *words, NamedColour out[EDIT_MOST_PAPERS], int *count, Error *err)
{
    *count = 0;
    for (const char *from = words; from;) {
        const char *comma = strchr(from, ','), *to = comma ? comma : from + strlen(from);
        if (*count == EDIT_MOST_PAPERS)
            return error_set(err, ERROR_USAGE, "more than %d papers in hand were named; name fewer", EDIT_MOST_PAPERS);
        if (!parse_one(from, to, &out[*count], err)) return false;
        (*count)++;
        from = comma ? comma + 1 : NULL;
    }
    return edit_check_papers(out, *count, err);
}
