// png_file.h - a PNG file of pixels made in code: 8 bits, colour with alpha, not compressed.
#ifndef PM_TESTS_PNG_FILE_H
#define PM_TESTS_PNG_FILE_H

#include <stddef.h>
#include <stdint.h>

typedef uint32_t (*PngPixel)(int x, int y); // 0xrrggbbaa

// Bytes of the file; a row may have at most 16383 pixels.
#define PNG_FILE_BYTES(width_px, height_px) ((size_t)(height_px) * (6 + 4 * (size_t)(width_px)) + 63)

// Fills exactly PNG_FILE_BYTES.
void png_file_write(int width_px, int height_px, PngPixel pixel, uint8_t *bytes);

#endif
