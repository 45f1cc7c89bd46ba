// small_pictures.c - see small_pictures.h.
#include "small_pictures.h"

#include "support/png_file.h"

#include <stdbool.h>

#define CLEAR 0x00000000u
#define WHITE 0xffffffffu
#define NAVY 0x1d2f5affu
#define RED 0xc81e28ffu
#define CREAM 0xfff3cdffu
#define GREEN 0x28a041ffu
#define AMBER 0xffbe00ffu

static bool in_disc(int x, int y, int cx, int cy, int r)
{
    return (x - cx) * (x - cx) + (y - cy) * (y - cy) < r * r;
}

static uint32_t balloon(int x, int y)
{
    if (in_disc(x, y, 62, 44, 5)) return AMBER;
    if (in_disc(x, y, 50, 44, 30)) return x / 14 % 2 ? RED : CREAM;
    if (in_disc(x, y, 50, 44, 40)) return RED;
    if (x >= 36 && x < 64 && y >= 104 && y < 126) return NAVY;
    if ((x - 40 < 3 && x >= 40 && y >= 70 && y < 104) || (x >= 57 && x < 60 && y >= 70 && y < 104)) return NAVY;
    return CLEAR;
}

static uint32_t house(int x, int y)
{
    bool is_roof = y >= 12 && y < 44 && x - 70 < (y - 12) * 2 && 70 - x < (y - 12) * 2;
    if (x >= 60 && x < 82 && y >= 54 && y < 76) return WHITE; // enclosed: paper or a hole
    if ((x == 30 && y == 60) || (x == 31 && y == 60)) return AMBER;
    if (in_disc(x, y, 100, 70, 3)) return GREEN;
    if (is_roof) return RED;
    if (x >= 16 && x < 124 && y >= 44 && y < 92) return x >= 40 && x < 52 && y >= 66 ? NAVY : CREAM;
    if (x >= 6 && x < 134 && y >= 92 && y < 98) return GREEN;
    return WHITE;
}

static uint32_t stripes(int x, int y)
{
    if (x < 3 || y < 3 || x >= 77 || y >= 77) return CLEAR;
    if (x < 8 || y < 8 || x >= 72 || y >= 72) return NAVY;
    if (in_disc(x, y, 40, 40, 9)) return GREEN;
    if (in_disc(x, y, 40, 40, 17)) return CREAM;
    return (x + y) / 12 % 2 ? AMBER : RED;
}

static const struct {
    int width_px, height_px;
    PngPixel pixel;
} PICTURES[SMALL_PICTURE_COUNT] = {{100, 130, balloon}, {140, 104, house}, {80, 80, stripes}};

SmallPicture small_picture(int which, Arena *keep)
{
    int width = PICTURES[which].width_px, height = PICTURES[which].height_px;
    size_t size = PNG_FILE_BYTES(width, height);
    uint8_t *bytes = arena_new(keep, uint8_t, size);
    if (!bytes) return (SmallPicture){0};
    png_file_write(width, height, PICTURES[which].pixel, bytes);
    return (SmallPicture){width, height, bytes, size};
}
