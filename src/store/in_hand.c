// in_hand.c - see in_hand.h.
#include "store/in_hand.h"

#include <stdio.h>
#include <string.h>

static bool is_listed(const NamedColour *papers, int count, Srgb8 colour)
{
    for (int i = 0; i < count; i++)
        if (memcmp(&papers[i].colour, &colour, sizeof colour) == 0) return true;
    return false;
}

static bool is_named(const NamedColour *papers, int count, const char *name)
{
    for (int i = 0; i < count; i++)
        if (strcmp(papers[i].name, name) == 0) return true;
    return false;
}

// A start of the word that fits: whole letters of UTF-8, no blank at its end.
static void copy_start(const char *word, size_t most, char *out)
{
    size_t size = strlen(word);
    if (size > most) {
        size = most;
        while (size > 0 && ((unsigned char)word[size] & 0xC0) == 0x80) size--;
    }
    while (size > 0 && word[size - 1] == ' ') size--;
    memcpy(out, word, size);
    out[size] = 0;
}

static void give_name(const ShelfItem *item, const NamedColour *papers, int count, NamedColour *out)
{
    char word[EDIT_LONGEST_NAME + 1];
    const char *from = item->name + strspn(item->name, " ");
    copy_start(from[0] ? from : colour_name(item->colour), EDIT_LONGEST_NAME, word);
    memcpy(out->name, word, sizeof word);
    for (int nth = 1; is_named(papers, count, out->name); nth++) {
        char ending[4] = {' ', (char)('a' + nth % 26), 0, 0};
        if (nth >= 26) ending[1] = (char)('a' + nth / 26 - 1), ending[2] = (char)('a' + nth % 26);
        copy_start(word, EDIT_LONGEST_NAME - strlen(ending), out->name);
        memcpy(out->name + strlen(out->name), ending, strlen(ending) + 1);
    }
}

// Why none is in hand.
static bool refuse(int papers, int coloured, Error *err)
{
    if (papers == 0)
        return error_set(err, ERROR_JOB, "the shelf has no paper: put some there with papermason shelf add paper letter --name navy --colour #1d2f5a");
    if (coloured == 0)
        return error_set(err, ERROR_JOB, "no paper on the shelf has a colour: put it there again with one, such as --colour #1d2f5a");
    return error_set(err, ERROR_JOB, "no sheet is left of any paper on the shelf that has a colour; see papermason shelf list");
}

bool shelf_in_hand(const ShelfList *shelf, NamedColour out[EDIT_MOST_PAPERS], int *count, Error *err)
{
    int papers = 0, coloured = 0;
    *count = 0;
    for (int i = 0; i < shelf->count; i++) {
        const ShelfItem *item = &shelf->items[i];
        if (item->kind == SHELF_CUTTER) continue;
        papers++;
        coloured += item->has_colour;
        if (!item->has_colour || item->count == 0 || is_listed(out, *count, item->colour)) continue;
        if (*count == EDIT_MOST_PAPERS)
            return error_set(err, ERROR_JOB, "the shelf has more than %d colours of paper; name those in hand one by one", EDIT_MOST_PAPERS);
        out[*count].colour = item->colour;
        give_name(item, out, *count, &out[*count]);
        (*count)++;
    }
    return *count > 0 || refuse(papers, coloured, err);
}
