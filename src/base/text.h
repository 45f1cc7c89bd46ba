// text.h - strings that grow in an arena, and the one number formatter.
// Nothing here depends on the locale: a decimal sign is always '.', and no number is written with an exponent.
// Errors:  a Text remembers that memory ran out (`failed`); the caller checks once, at the end, with text_is_whole.
#ifndef PM_BASE_TEXT_H
#define PM_BASE_TEXT_H

#include "base/arena.h"
#include "base/error.h"

typedef struct Text {
    Arena *arena;
    char *bytes;        // always ends with a 0 that size_bytes does not count
    size_t size_bytes, capacity;
    bool failed;
} Text;

Text text_make(Arena *arena);
void text_add(Text *text, const char *string);
void text_add_bytes(Text *text, const void *bytes, size_t size_bytes);
void text_printf(Text *text, const char *format, ...) PRINTF_LIKE(2, 3); // never with %f %g %e: use text_number
void text_number(Text *text, double value, int decimals);
MUST_USE bool text_is_whole(const Text *text, Error *err);

#define NUMBER_MAX 48
// Writes value with at most `decimals` (0..9) digits after the point, trailing zeros dropped, halves away from zero
// (judged on the exact binary value: 0.125 is a half, 1.005 lies just below one), no negative zero. Asserts that
// value is finite and |value| < 1e15. Returns buffer.
char *number_format(char buffer[NUMBER_MAX], double value, int decimals);

// Reads a whole string as a decimal number ("12", "-3.5", ".5", "1e3"), '.' as the sign; false for anything
// else, and for what no finite double can hold.
bool number_parse(const char *string, double *out);

// The bytes of the one well-formed UTF-8 character that starts here (1..4), or 0 when none does.
size_t text_character_size(const char *bytes, size_t size_bytes);
bool text_is_utf8(const char *bytes, size_t size_bytes);

// A name that is safe in file names on any system: ASCII letters, digits, '_'; runs of all else become one '-', none at
// either end; at most 60 bytes; "picture" when nothing is left.
void text_safe_name(const char *from, char *out, size_t out_size_bytes);

#endif
