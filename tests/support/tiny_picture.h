// tiny_picture.h - a PNG file of 48 x 48 pixels made in code, that asks something of every room: four colours, a hole,
// specks that are too small to cut, and a colour that is larger than a small paper.
#ifndef PM_TESTS_TINY_PICTURE_H
#define PM_TESTS_TINY_PICTURE_H

#include <stddef.h>
#include <stdint.h>

#define TINY_PICTURE_SIDE_PX 48
#define TINY_PICTURE_MAX_BYTES 10240 // 48 rows of 193 bytes, not compressed, and the frame around them

// Fills `bytes` and returns how many there are.
size_t tiny_picture_png(uint8_t bytes[TINY_PICTURE_MAX_BYTES]);

#endif
