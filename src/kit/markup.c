// markup.c - see markup.h.
#include "kit/markup.h"

#include <string.h>

void markup_add(Text *text, const char *words)
{
    while (*words) {
        size_t plain = strcspn(words, "<>&\"");
        text_add_bytes(text, words, plain);
        words += plain;
        switch (*words) {
        case '<': text_add(text, "&lt;"); break;
        case '>': text_add(text, "&gt;"); break;
        case '&': text_add(text, "&amp;"); break;
        case '"': text_add(text, "&quot;"); break;
        default: return;
        }
        words++;
    }
}
