// tiny_picture.c - see tiny_picture.h.
#include "tiny_picture.h"

#include "png_file.h"

#include <stdbool.h>

static bool inside_disc(int x, int y, int radius)
{
    return (x - 24) * (x - 24) + (y - 18) * (y - 18) < radius * radius;
}

static uint32_t pixel(int x, int y)
{
    if (x < 2 || y < 2 || x >= 46 || y >= 46) return 0x00000000; // the ground
    if (x >= 20 && x < 27 && y >= 30 && y < 36) return 0x00000000; // a hole
    if ((x == 8 && y == 8) || (x == 40 && y == 12) || (x == 12 && y == 40)) return 0xfad23cff; // specks
    if (inside_disc(x, y, 6)) return 0xc81e28ff;
    if (inside_disc(x, y, 10)) return 0xf0f0ebff;
    return y > 38 ? 0x3c8c50ff : 0x1e32a0ff;
}

void tiny_picture_png(uint8_t bytes[TINY_PICTURE_BYTES])
{
    png_file_write(TINY_PICTURE_SIDE_PX, TINY_PICTURE_SIDE_PX, pixel, bytes);
}
