// drawing.h - whether bytes are an SVG drawing, which is none of the pictures that can be read, and what to do then.
#ifndef PM_PICTURE_DRAWING_H
#define PM_PICTURE_DRAWING_H

#include "base/error.h"

#include <stddef.h>

// False, with ERROR_INPUT and the way out, for text whose first mark begins a tag and that has an svg element near its beginning.
MUST_USE bool drawing_check(const void *bytes, size_t size_bytes, Error *err);

#endif
