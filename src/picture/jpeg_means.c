// jpeg_means.c - see jpeg_means.h.
#include "picture/jpeg_means.h"

#include <setjmp.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jpeglib.h>

#define MOST_STEP 65535  // a table of 16 bits
#define MOST_BLOCK_PX 32 // 8 pixels, at most 4 times as coarse

typedef struct Reader {
    struct jpeg_decompress_struct file;
    struct jpeg_error_mgr errors;
    jmp_buf give_up;
} Reader;

static void stop(j_common_ptr file)
{
    Reader *r = file->client_data;
    longjmp(r->give_up, 1);
}

// A warning means damage: what comes after it is made up.
static void stop_at_warning(j_common_ptr file, int level)
{
    if (level < 0) stop(file);
}

static bool is_block_side(int px)
{
    return px == DCTSIZE || px == 2 * DCTSIZE || px == MOST_BLOCK_PX;
}

bool block_means_fit(const BlockMeans *m, int width_px, int height_px)
{
    if (m->step < 1 || m->step > MOST_STEP || !is_block_side(m->width_px) || !is_block_side(m->height_px)) return false;
    return m->across == (width_px - 1) / m->width_px + 1 && m->down == (height_px - 1) / m->height_px + 1;
}

static bool read_shape(const Reader *r, int which, BlockMeans *m)
{
    const jpeg_component_info *c = &r->file.comp_info[which];
    if (!c->quant_table || r->file.max_h_samp_factor % c->h_samp_factor || r->file.max_v_samp_factor % c->v_samp_factor) return false;
    m->step = c->quant_table->quantval[0];
    m->width_px = DCTSIZE * r->file.max_h_samp_factor / c->h_samp_factor;
    m->height_px = DCTSIZE * r->file.max_v_samp_factor / c->v_samp_factor;
    m->across = (int)c->width_in_blocks, m->down = (int)c->height_in_blocks;
    return block_means_fit(m, (int)r->file.image_width, (int)r->file.image_height);
}

static bool copy_multiples(Reader *r, jvirt_barray_ptr blocks, BlockMeans *m)
{
    m->multiples = malloc(block_means_count(m) * sizeof *m->multiples);
    if (!m->multiples) return false;
    for (int y = 0; y < m->down; y++) {
        JBLOCKARRAY row = r->file.mem->access_virt_barray((j_common_ptr)&r->file, blocks, (JDIMENSION)y, 1, FALSE);
        for (int x = 0; x < m->across; x++) m->multiples[(size_t)y * (size_t)m->across + (size_t)x] = row[0][x][0];
    }
    return true;
}

static bool read_all(Reader *r, const void *bytes, size_t size_bytes, int width_px, int height_px, BlockMeans means[PICTURE_MEANS])
{
    jpeg_mem_src(&r->file, bytes, (unsigned long)size_bytes);
    if (jpeg_read_header(&r->file, TRUE) != JPEG_HEADER_OK) return false;
    if ((int)r->file.image_width != width_px || (int)r->file.image_height != height_px) return false;
    if (r->file.num_components != PICTURE_MEANS || r->file.jpeg_color_space != JCS_YCbCr || r->file.data_precision != 8) return false;
    jvirt_barray_ptr *blocks = jpeg_read_coefficients(&r->file); // tables belong to a scan: they are known afterwards
    for (int i = 0; blocks && i < PICTURE_MEANS; i++)
        if (!read_shape(r, i, &means[i]) || !copy_multiples(r, blocks[i], &means[i])) return false;
    return blocks != NULL;
}

bool jpeg_means_read(const void *bytes, size_t size_bytes, int width_px, int height_px, BlockMeans means[PICTURE_MEANS])
{
    memset(means, 0, PICTURE_MEANS * sizeof *means);
    Reader *r = calloc(1, sizeof *r);
    if (!r) return false;
    r->file.err = jpeg_std_error(&r->errors);
    r->errors.error_exit = stop;
    r->errors.emit_message = stop_at_warning;
    volatile bool good = false; // set between setjmp and a jump
    if (setjmp(r->give_up) == 0) {
        r->file.client_data = r; // stays through the next line, which may give up as well
        jpeg_create_decompress(&r->file);
        good = read_all(r, bytes, size_bytes, width_px, height_px, means);
    } else {
        good = false;
    }
    jpeg_destroy_decompress(&r->file);
    free(r);
    if (!good) jpeg_means_free(means);
    return good;
}

void jpeg_means_free(BlockMeans means[PICTURE_MEANS])
{
    for (int i = 0; i < PICTURE_MEANS; i++) free(means[i].multiples);
    memset(means, 0, PICTURE_MEANS * sizeof *means);
}
