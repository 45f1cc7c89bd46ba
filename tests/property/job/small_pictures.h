// small_pictures.h - pictures of 60 to 160 px with three to five colours, made in code, as PNG files.
#ifndef PM_TESTS_SMALL_PICTURES_H
#define PM_TESTS_SMALL_PICTURES_H

#include "base/arena.h"

#include <stdint.h>

#define SMALL_PICTURE_COUNT 3

typedef struct SmallPicture {
    int width_px, height_px;
    const uint8_t *bytes;   // of the file
    size_t size_bytes;
} SmallPicture;

// 0: a balloon on transparency; 1: a house on white, with a white window and specks; 2: stripes and discs in a frame.
SmallPicture small_picture(int which, Arena *keep); // bytes are NULL when memory ran out

#endif
