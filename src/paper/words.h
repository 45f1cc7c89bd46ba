// words.h - comma lists of plain words, as papers and cutters are described: "11x24, 250 gsm, from 22x28".
#ifndef PM_PAPER_WORDS_H
#define PM_PAPER_WORDS_H

#include <stdbool.h>

#define WORDS_ITEM_MAX 64

// The next item of the list at *rest (NULL = the list has ended) in lower case, runs of blanks as one and none at its
// ends, the multiplication sign as x. False when the item is too long or has control characters; *rest moves on all the same.
bool words_next(const char **rest, char out[WORDS_ITEM_MAX]);

void words_join(char *item); // drops all blanks

// The word behind `start` when the item begins with it, else NULL.
const char *words_after(const char *item, const char *start);

// What somebody wrote, fit for one line: at most 40 bytes, control characters and broken bytes as '?'.
const char *words_shown(const char *text, char buffer[48]);

#endif
