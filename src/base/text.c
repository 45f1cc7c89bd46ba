// text.c - growing strings, exact decimal numbers, safe file names; see text.h.
#include "base/text.h"

#include <assert.h>
#include <locale.h>
#include <math.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FIRST_CAPACITY 64
#define SAFE_NAME_MAX_BYTES 60 // leaves room for a kit's own endings within the 255 bytes of common file systems

__extension__ typedef unsigned __int128 Wide; // 53 bits of a double times 10^9 need 83

// --- growing ---------------------------------------------------------------------------------------------------

Text text_make(Arena *arena)
{
    Text text = {.arena = arena, .bytes = arena_new(arena, char, FIRST_CAPACITY), .capacity = FIRST_CAPACITY};
    if (text.bytes) return text;
    return (Text){.arena = arena, .bytes = (char *)"", .failed = true}; // never written to: it has no capacity
}

// Makes room for more_bytes and the closing 0.
static bool text_reserve(Text *text, size_t more_bytes)
{
    if (text->failed) return false;
    if (more_bytes < text->capacity - text->size_bytes) return true;
    size_t wanted = text->size_bytes + more_bytes + 1;
    size_t capacity = text->capacity;
    while (capacity && capacity < wanted) capacity = capacity > SIZE_MAX / 2 ? 0 : capacity * 2;
    char *wider = wanted > more_bytes && capacity ? arena_new(text->arena, char, capacity) : NULL;
    if (!wider) {
        text->failed = true;
        return false;
    }
    memcpy(wider, text->bytes, text->size_bytes);
    text->bytes = wider;
    text->capacity = capacity;
    return true;
}

void text_add_bytes(Text *text, const void *bytes, size_t size_bytes)
{
    if (!size_bytes || !text_reserve(text, size_bytes)) return;
    memcpy(text->bytes + text->size_bytes, bytes, size_bytes);
    text->size_bytes += size_bytes;
    text->bytes[text->size_bytes] = 0;
}

void text_add(Text *text, const char *string)
{
    text_add_bytes(text, string, strlen(string));
}

void text_printf(Text *text, const char *format, ...)
{
    va_list args, again;
    va_start(args, format);
    va_copy(again, args);
    int size = vsnprintf(NULL, 0, format, args);
    va_end(args);
    if (size < 0) {
        text->failed = true;
    } else if (text_reserve(text, (size_t)size)) {
        vsnprintf(text->bytes + text->size_bytes, (size_t)size + 1, format, again);
        text->size_bytes += (size_t)size;
    }
    va_end(again);
}

void text_number(Text *text, double value, int decimals)
{
    char buffer[NUMBER_MAX];
    text_add(text, number_format(buffer, value, decimals));
}

bool text_is_whole(const Text *text, Error *err)
{
    return text->failed ? error_memory(err) : true;
}

// --- numbers ---------------------------------------------------------------------------------------------------

static uint64_t power_of_ten(int exponent)
{
    uint64_t power = 1;
    while (exponent-- > 0) power *= 10;
    return power;
}

// fraction * scale rounded to the nearest whole number, exact halves up; 0 <= fraction < 1.
static uint64_t scaled_fraction(double fraction, uint64_t scale)
{
    int exponent;
    uint64_t mantissa = (uint64_t)ldexp(frexp(fraction, &exponent), 53);
    int shift = 53 - exponent; // fraction = mantissa / 2^shift
    if (shift > 120) return 0; // less than 2^83 / 2^120: far below a half
    Wide product = (Wide)mantissa * scale;
    return (uint64_t)(product >> shift) + (uint64_t)((product >> (shift - 1)) & 1);
}

char *number_format(char buffer[NUMBER_MAX], double value, int decimals)
{
    assert(isfinite(value) && fabs(value) < 1e15 && decimals >= 0 && decimals <= 9);
    double size = fabs(value);
    uint64_t whole = (uint64_t)size;
    uint64_t scale = power_of_ten(decimals);
    uint64_t fraction = scaled_fraction(size - (double)whole, scale);
    if (fraction == scale) {
        whole++;
        fraction = 0;
    }
    const char *sign = value < 0.0 && (whole || fraction) ? "-" : "";
    if (fraction == 0) {
        snprintf(buffer, NUMBER_MAX, "%s%llu", sign, (unsigned long long)whole);
        return buffer;
    }
    for (; fraction % 10 == 0; fraction /= 10) decimals--;
    snprintf(buffer, NUMBER_MAX, "%s%llu.%0*llu", sign, (unsigned long long)whole, decimals,
             (unsigned long long)fraction);
    return buffer;
}

static const char *skip_digits(const char *at)
{
    while (*at >= '0' && *at <= '9') at++;
    return at;
}

// Is the whole string [-] digits [. digits] [e [sign] digits], with a digit before the exponent?
static bool is_decimal(const char *string)
{
    const char *at = string + (*string == '-');
    const char *after_whole = skip_digits(at);
    ptrdiff_t digits = after_whole - at;
    at = after_whole;
    if (*at == '.') {
        const char *after_fraction = skip_digits(at + 1);
        digits += after_fraction - (at + 1);
        at = after_fraction;
    }
    if (digits == 0) return false;
    if (*at == 'e' || *at == 'E') {
        at++;
        if (*at == '-' || *at == '+') at++;
        const char *after_exponent = skip_digits(at);
        if (after_exponent == at) return false;
        at = after_exponent;
    }
    return *at == 0;
}

bool number_parse(const char *string, double *out)
{
    *out = 0.0;
    if (!is_decimal(string)) return false;
    locale_t plain = newlocale(LC_ALL_MASK, "C", (locale_t)0); // strtod alone would follow the program's locale
    if (plain == (locale_t)0) return false;
    double value = strtod_l(string, NULL, plain);
    freelocale(plain);
    if (!isfinite(value)) return false;
    *out = value;
    return true;
}

// --- characters ------------------------------------------------------------------------------------------------

// The smallest code point that needs a sequence of this many bytes: a shorter way to write it is not allowed.
static const uint32_t least_of_size[5] = {0, 0, 0x80, 0x800, 0x10000};

size_t text_character_size(const char *bytes, size_t size_bytes)
{
    if (size_bytes == 0) return 0;
    unsigned char lead = (unsigned char)bytes[0];
    if (lead < 0x80) return 1;
    size_t size = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
    if (lead < 0xC2 || lead > 0xF4 || size > size_bytes) return 0;
    uint32_t code = lead & (0x7Fu >> size);
    for (size_t i = 1; i < size; i++) {
        unsigned char next = (unsigned char)bytes[i];
        if ((next & 0xC0) != 0x80) return 0;
        code = code << 6 | (next & 0x3Fu);
    }
    bool is_surrogate = code >= 0xD800 && code <= 0xDFFF;
    return code >= least_of_size[size] && code <= 0x10FFFF && !is_surrogate ? size : 0;
}

bool text_is_utf8(const char *bytes, size_t size_bytes)
{
    size_t at = 0;
    while (at < size_bytes) {
        size_t size = text_character_size(bytes + at, size_bytes - at);
        if (size == 0) return false;
        at += size;
    }
    return true;
}

static bool is_safe_in_names(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_';
}

void text_safe_name(const char *from, char *out, size_t out_size_bytes)
{
    assert(out_size_bytes > 0);
    size_t room = out_size_bytes - 1 < SAFE_NAME_MAX_BYTES ? out_size_bytes - 1 : SAFE_NAME_MAX_BYTES;
    size_t size = 0;
    bool gap = false; // a '-' counts as a gap, so that "a - b" becomes "a-b", and no name starts or ends with one
    for (; *from; from++) {
        if (!is_safe_in_names(*from)) {
            gap = size > 0;
            continue;
        }
        if (size + gap + 1 > room) break;
        if (gap) out[size++] = '-';
        out[size++] = *from;
        gap = false;
    }
    out[size] = 0;
    if (size == 0) snprintf(out, room + 1, "%s", "picture");
}
