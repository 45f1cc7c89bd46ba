// jpeg_means.h - the means of a JPEG file's blocks, before they become pixels; the only module that sees libjpeg.
// Shape:   picture.h, BlockMeans. Only of files with a lightness and two colour differences, 8 bits deep, whose blocks are 8, 16
//          or 32 pixels wide and high; all others have none.
// Memory:  by malloc, since a decoding child has no arena; jpeg_means_free.
// Errors:  none: a file without means is a picture all the same.
#ifndef PM_PICTURE_JPEG_MEANS_H
#define PM_PICTURE_JPEG_MEANS_H

#include "picture/picture.h"

#include <stddef.h>

// Of hostile bytes too: false, and all empty, where anything is wrong with them.
bool jpeg_means_read(const void *bytes, size_t size_bytes, int width_px, int height_px, BlockMeans means[PICTURE_MEANS]);
void jpeg_means_free(BlockMeans means[PICTURE_MEANS]);

// Do these belong to a picture of this size? For means that a child sent: their steps are sound and their blocks cover it.
bool block_means_fit(const BlockMeans *means, int width_px, int height_px);

static inline size_t block_means_count(const BlockMeans *means)
{
    return (size_t)means->across * (size_t)means->down;
}

#endif
