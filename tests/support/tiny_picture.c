// tiny_picture.c - see tiny_picture.h.
// Source:  PNG: ISO/IEC 15948; stored blocks: RFC 1951 (deflate), RFC 1950 (Adler-32).
#include "tiny_picture.h"

#include <stdbool.h>
#include <string.h>

#define SIDE TINY_PICTURE_SIDE_PX
#define ROW_BYTES (1 + 4 * SIDE)

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

size_t tiny_picture_png(uint8_t bytes[TINY_PICTURE_MAX_BYTES])
{
    uint8_t rows[SIDE * ROW_BYTES], data[sizeof rows + 11], header[13];
    Out plain = {rows, 0}, packed = {data, 0}, head = {header, 0}, out = {bytes, 0};
    for (int y = 0; y < SIDE; y++) {
        put(&plain, "\0", 1);
        for (int x = 0; x < SIDE; x++) put_number(&plain, pixel(x, y));
    }
    uint16_t count = (uint16_t)plain.count;
    uint8_t start[7] = {0x78, 0x01, 1, (uint8_t)count, (uint8_t)(count >> 8), (uint8_t)~count, (uint8_t)(~count >> 8)};
    put(&packed, start, sizeof start);
    put(&packed, rows, plain.count);
    put_number(&packed, adler(rows, plain.count));

    put_number(&head, SIDE);
    put_number(&head, SIDE);
    put(&head, "\x08\x06\0\0\0", 5); // 8 bits, colour with alpha
    put(&out, "\x89PNG\r\n\x1a\n", 8);
    put_chunk(&out, "IHDR", header, head.count);
    put_chunk(&out, "IDAT", data, packed.count);
    put_chunk(&out, "IEND", NULL, 0);
    return out.count;
}
