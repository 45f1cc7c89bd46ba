// tiny_picture.h - a PNG file of 48 x 48 pixels made in code, that asks something of every room: four colours, a hole,
// specks that are too small to cut, and a colour that is larger than a small paper.
#ifndef PM_TESTS_TINY_PICTURE_H
#define PM_TESTS_TINY_PICTURE_H

#include "png_file.h"

#define TINY_PICTURE_SIDE_PX 48
#define TINY_PICTURE_BYTES PNG_FILE_BYTES(TINY_PICTURE_SIDE_PX, TINY_PICTURE_SIDE_PX)

void tiny_picture_png(uint8_t bytes[TINY_PICTURE_BYTES]);

#endif
