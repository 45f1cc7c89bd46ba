// match_name.c - see match_name.h.
#include "mark/match_name.h"

#include <assert.h>

static const char firsts[] = "ABCDEFGHJKLNPRSTXY";
static const char others[] = "ACEFJKLPRTY";
#define FIRST_COUNT ((int)sizeof firsts - 1)
#define NEXT_COUNT ((int)sizeof others - 2) // behind any letter: one fewer, so that it does not come twice in a row

// The letter behind another one: the last one stands in for the other one itself.
static char next_letter(char before, int index)
{
    return others[index] == before ? others[NEXT_COUNT] : others[index];
}

void match_name(int index, char out[MATCH_NAME_MAX])
{
    assert(index >= 0);
    int length = 1, tails = 1; // how many ways a name of this length goes on behind its first letter
    while (index >= FIRST_COUNT * tails && length < MATCH_NAME_MAX - 1) {
        index -= FIRST_COUNT * tails;
        tails *= NEXT_COUNT;
        length++;
    }
    assert(index < FIRST_COUNT * tails);
    out[0] = firsts[index / tails];
    for (int i = 1; i < length; i++) {
        index %= tails;
        tails /= NEXT_COUNT;
        out[i] = next_letter(out[i - 1], index / tails);
    }
    out[length] = '\0';
}
