// error.c - fills the fixed text buffer; see error.h.
#include "base/error.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

// Cuts a text that did not fit at the last whole UTF-8 character.
static void trim_to_whole_character(char *text, size_t capacity)
{
    size_t size = strlen(text);
    if (size + 1 < capacity) return;
    while (size > 0 && ((unsigned char)text[size - 1] & 0xC0) == 0x80) size--;
    if (size > 0 && ((unsigned char)text[size - 1] & 0x80)) size--;
    text[size] = 0;
}

bool error_set(Error *err, ErrorKind kind, const char *format, ...)
{
    err->kind = kind;
    va_list args;
    va_start(args, format);
    vsnprintf(err->text, sizeof err->text, format, args);
    va_end(args);
    trim_to_whole_character(err->text, sizeof err->text);
    return false;
}

bool error_memory(Error *err)
{
    return error_set(err, ERROR_SYSTEM, "there is not enough memory for this job; a smaller picture would need less");
}

bool error_at(Error *err, const char *place_format, ...)
{
    char place[sizeof err->text];
    va_list args;
    va_start(args, place_format);
    vsnprintf(place, sizeof place, place_format, args);
    va_end(args);
    char whole[2 * sizeof err->text + 4];
    snprintf(whole, sizeof whole, "%s: %s", place, err->text);
    return error_set(err, err->kind, "%s", whole);
}
