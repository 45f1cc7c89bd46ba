// png_file.c - see png_file.h.
// Source:  PNG: ISO/IEC 15948; stored blocks, one a row here: RFC 1951 (deflate), RFC 1950 (Adler-32).
#include "png_file.h"

#include <assert.h>
#include <string.h>

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

static void add_adler(uint32_t sums[2], const uint8_t *bytes, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        sums[0] = (sums[0] + bytes[i]) % 65521;
        sums[1] = (sums[1] + sums[0]) % 65521;
    }
}

// A chunk's frame: its start before the content is put, its end after.
static size_t start_chunk(Out *out, const char kind[4], size_t count)
{
    put_number(out, (uint32_t)count);
    put(out, kind, 4);
    return out->count - 4;
}

static void end_chunk(Out *out, size_t from)
{
    put_number(out, crc(out->bytes + from, out->count - from));
}

static void put_rows(Out *out, int width_px, int height_px, PngPixel pixel)
{
    uint32_t sums[2] = {1, 0};
    uint16_t size = (uint16_t)(1 + 4 * width_px);
    put(out, "\x78\x01", 2);
    for (int y = 0; y < height_px; y++) {
        uint8_t head[5] = {y + 1 == height_px, (uint8_t)size, (uint8_t)(size >> 8), (uint8_t)~size, (uint8_t)(~size >> 8)};
        put(out, head, sizeof head);
        size_t from = out->count;
        put(out, "\0", 1); // no filter
        for (int x = 0; x < width_px; x++) put_number(out, pixel(x, y));
        add_adler(sums, out->bytes + from, size);
    }
    put_number(out, sums[1] << 16 | sums[0]);
}

void png_file_write(int width_px, int height_px, PngPixel pixel, uint8_t *bytes)
{
    assert(width_px > 0 && width_px <= 16383 && height_px > 0);
    Out out = {bytes, 0};
    put(&out, "\x89PNG\r\n\x1a\n", 8);
    size_t chunk = start_chunk(&out, "IHDR", 13);
    put_number(&out, (uint32_t)width_px);
    put_number(&out, (uint32_t)height_px);
    put(&out, "\x08\x06\0\0\0", 5); // 8 bits, colour with alpha
    end_chunk(&out, chunk);
    chunk = start_chunk(&out, "IDAT", (size_t)height_px * (6 + 4 * (size_t)width_px) + 6);
    put_rows(&out, width_px, height_px, pixel);
    end_chunk(&out, chunk);
    end_chunk(&out, start_chunk(&out, "IEND", 0));
    assert(out.count == PNG_FILE_BYTES(width_px, height_px));
}
