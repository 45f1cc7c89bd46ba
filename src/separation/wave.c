// wave.c - see wave.h. A binary heap.
#include "separation/wave.h"

static bool comes_first(const WavePixel *a, const WavePixel *b)
{
    if (a->distance2 != b->distance2) return a->distance2 < b->distance2;
    if (a->label != b->label) return a->label < b->label;
    if (a->pixel != b->pixel) return a->pixel < b->pixel;
    return a->source < b->source;
}

bool wave_push(Wave *wave, WavePixel pixel, Work *work, Error *err)
{
    WavePixel *heap = arena_grow(&work->scratch, wave->heap, wave->count, &wave->capacity, sizeof *heap);
    if (!heap) return error_memory(err);
    wave->heap = heap;
    size_t at = wave->count++;
    while (at > 0 && comes_first(&pixel, &heap[(at - 1) / 2])) {
        heap[at] = heap[(at - 1) / 2];
        at = (at - 1) / 2;
    }
    heap[at] = pixel;
    return true;
}

WavePixel wave_pop(Wave *wave)
{
    WavePixel *heap = wave->heap, first = heap[0], last = heap[--wave->count];
    size_t at = 0;
    for (;;) {
        size_t child = 2 * at + 1;
        if (child >= wave->count) break;
        if (child + 1 < wave->count && comes_first(&heap[child + 1], &heap[child])) child++;
        if (!comes_first(&heap[child], &last)) break;
        heap[at] = heap[child];
        at = child;
    }
    heap[at] = last;
    return first;
}

int64_t wave_distance2(int32_t a, int32_t b, int32_t width_px)
{
    int64_t dx = a % width_px - b % width_px, dy = a / width_px - b / width_px;
    return dx * dx + dy * dy;
}
