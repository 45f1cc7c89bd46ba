// drawing.c - see drawing.h.
#include "picture/drawing.h"

#include <string.h>

#define LOOKED_AT_BYTES 1024

// Text from its first mark on: the comment of a photograph may speak of "<svg" too.
static bool looks_like_svg(const void *bytes, size_t size_bytes)
{
    const char *text = bytes;
    size_t looked_at = size_bytes < LOOKED_AT_BYTES ? size_bytes : LOOKED_AT_BYTES, at = 0;
    if (looked_at >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0) at = 3; // byte order mark
    while (at < looked_at && text[at] && strchr(" \t\r\n", text[at])) at++;
    return at < looked_at && text[at] == '<' && memmem(text + at, looked_at - at, "<svg", 4);
}

bool drawing_check(const void *bytes, size_t size_bytes, Error *err)
{
    if (!looks_like_svg(bytes, size_bytes)) return true;
    return error_set(err, ERROR_INPUT, "this is an SVG drawing, which cannot be read yet; open it where it was drawn and export it as a PNG, "
                     "at least 2000 pixels on its longer side");
}
