// small_pictures.c - see small_pictures.h.
// Source:  PNG: ISO/IEC 15948; stored blocks: RFC 1951 (deflate), RFC 1950 (Adler-32).
#include "small_pictures.h"

#include <stdbool.h>
#include <string.h>

#define STORED_MOST 65535

typedef struct Out {
    uint8_t *bytes;
    size_t count;
} Out;

static void put(Out *out, const void *from, size_t count)
{
    memcpy(out->bytes + out->count, from, count);
    out->count += count;
}

static void put_number(Out *out, uint32_t number)
{
    uint8_t bytes[4] = {(uint8_t)(number >> 24), (uint8_t)(number >> 16), (uint8_t)(number >> 8), (uint8_t)number};
    put(out, bytes, 4);
}

static uint32_t crc(const uint8_t *bytes, size_t count)
{
    uint32_t sum = 0xffffffffu;
    for (size_t i = 0; i < count; i++) {
        sum ^= bytes[i];
        for (int bit = 0; bit < 8; bit++) sum = sum & 1 ? sum >> 1 ^ 0xedb88320u : sum >> 1;
    }
    return ~sum;
}

static uint32_t adler(const uint8_t *bytes, size_t count)
{
    uint32_t a = 1, b = 0;
    for (size_t i = 0; i < count; i++) {
        a = (a + bytes[i]) % 65521;
        b = (b + a) % 65521;
    }
    return b << 16 | a;
}

static void put_chunk(Out *out, const char kind[4], const uint8_t *bytes, size_t count)
{
    put_number(out, (uint32_t)count);
    size_t from = out->count;
    put(out, kind, 4);
    if (count) put(out, bytes, count);
    put_number(out, crc(out->bytes + from, out->count - from));
}

static void put_stored(Out *out, const uint8_t *bytes, size_t count)
{
    put(out, "\x78\x01", 2);
    for (size_t at = 0; at < count;) {
        size_t size = count - at > STORED_MOST ? STORED_MOST : count - at;
        uint8_t head[5] = {at + size == count, (uint8_t)size, (uint8_t)(size >> 8), (uint8_t)~size, (uint8_t)(~size >> 8)};
        put(out, head, sizeof head);
        put(out, bytes + at, size);
        at += size;
    }
    put_number(out, adler(bytes, count));
}

// ---- what is drawn: colours as 0xrrggbbaa ----

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
    uint32_t (*pixel)(int x, int y);
} PICTURES[SMALL_PICTURE_COUNT] = {{100, 130, balloon}, {140, 104, house}, {80, 80, stripes}};

SmallPicture small_picture(int which, Arena *keep)
{
    int width = PICTURES[which].width_px, height = PICTURES[which].height_px;
    size_t plain_size = (size_t)height * (1 + 4 * (size_t)width), packed_size = plain_size + plain_size / 1000 + 64;
    SmallPicture none = {0};
    Out plain = {arena_new(keep, uint8_t, plain_size), 0}, packed = {arena_new(keep, uint8_t, packed_size), 0},
        out = {arena_new(keep, uint8_t, packed_size + 128), 0};
    uint8_t header[13];
    Out head = {header, 0};
    if (!plain.bytes || !packed.bytes || !out.bytes) return none;
    for (int y = 0; y < height; y++) {
        put(&plain, "\0", 1);
        for (int x = 0; x < width; x++) put_number(&plain, PICTURES[which].pixel(x, y));
    }
    put_stored(&packed, plain.bytes, plain.count);
    put_number(&head, (uint32_t)width);
    put_number(&head, (uint32_t)height);
    put(&head, "\x08\x06\0\0\0", 5); // 8 bits, colour with alpha
    put(&out, "\x89PNG\r\n\x1a\n", 8);
    put_chunk(&out, "IHDR", header, head.count);
    put_chunk(&out, "IDAT", packed.bytes, packed.count);
    put_chunk(&out, "IEND", NULL, 0);
    return (SmallPicture){width, height, out.bytes, out.count};
}
