// words.c - see words.h.
#include "paper/words.h"

#include "base/text.h"

#include <string.h>

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

bool words_next(const char **rest, char out[WORDS_ITEM_MAX])
{
    size_t n = 0;
    bool fits = true, blank = false;
    const char *c = *rest;
    for (; *c && *c != ','; c++) {
        if (*c == ' ') {
            blank = n > 0;
            continue;
        }
        char next = lower(*c);
        if ((unsigned char)c[0] == 0xC3 && (unsigned char)c[1] == 0x97) { // U+00D7 in UTF-8
            next = 'x';
            c++;
        }
        fits = fits && n + blank + 1 < WORDS_ITEM_MAX && (unsigned char)*c >= 0x20 && *c != 0x7F;
        if (!fits) continue;
        if (blank) out[n++] = ' ';
        blank = false;
        out[n++] = next;
    }
    out[n] = 0;
    *rest = *c ? c + 1 : NULL;
    return fits;
}

void words_join(char *item)
{
    char *to = item;
    for (const char *from = item; *from; from++)
        if (*from != ' ') *to++ = *from;
    *to = 0;
}

const char *words_after(const char *item, const char *start)
{
    size_t size = strlen(start);
    return strncmp(item, start, size) == 0 ? item + size : NULL;
}

const char *words_shown(const char *text, char buffer[48])
{
    size_t size = strlen(text), used = 0, at = 0;
    while (at < size && used < 40) {
        size_t character = text_character_size(text + at, size - at);
        if (character == 0 || (unsigned char)text[at] < 0x20 || text[at] == 0x7F) {
            buffer[used++] = '?';
            at++;
            continue;
        }
        memcpy(buffer + used, text + at, character);
        used += character;
        at += character;
    }
    buffer[used] = 0;
    return buffer;
}
