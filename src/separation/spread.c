// spread.c - see spread.h.
#include "separation/spread.h"

#include "separation/beside.h"
#include "separation/wave.h"

#include <assert.h>

#define PIXELS_PER_LOOK 4096

typedef struct Spreader {
    const bool *may_spread;
    uint8_t *label, old; // the map; the label of the part
    int32_t width, height;
    Wave wave;
    Work *work;
} Spreader;

static bool offer(Spreader *s, int32_t pixel, int32_t source, uint8_t label, Error *err)
{
    WavePixel next = {wave_distance2(pixel, source, s->width), pixel, source, label};
    return wave_push(&s->wave, next, s->work, err);
}

// What borders this pixel of the part is a source.
static bool start_at(Spreader *s, int32_t pixel, Error *err)
{
    int32_t near[4];
    pixels_beside(pixel, s->width, s->height, near);
    for (int i = 0; i < 4; i++)
        if (near[i] >= 0 && s->may_spread[s->label[near[i]]] && !offer(s, pixel, near[i], s->label[near[i]], err))
            return false;
    return true;
}

static bool start(Spreader *s, const Runs *runs, int32_t part, Error *err)
{
    int64_t seen = 0;
    for (int32_t i = runs->parts[part].first_run; i >= 0; i = runs->runs[i].next) {
        int32_t row = runs_row_of(runs, i) * s->width;
        for (int32_t x = runs->runs[i].x0; x < runs->runs[i].x1; x++) {
            if (seen++ % PIXELS_PER_LOOK == 0 && !work_goes_on(s->work, err)) return false;
            if (!start_at(s, row + x, err)) return false;
        }
    }
    return true;
}

static bool run(Spreader *s, Error *err)
{
    for (size_t looks = 0; s->wave.count > 0; looks++) {
        if (looks % PIXELS_PER_LOOK == 0 && !work_goes_on(s->work, err)) return false;
        WavePixel next = wave_pop(&s->wave);
        if (s->label[next.pixel] != s->old) continue; // another came first
        s->label[next.pixel] = next.label;
        int32_t near[4];
        pixels_beside(next.pixel, s->width, s->height, near);
        for (int i = 0; i < 4; i++)
            if (near[i] >= 0 && s->label[near[i]] == s->old && !offer(s, near[i], next.source, next.label, err))
                return false;
    }
    return true;
}

bool spread_over_part(const Runs *runs, int32_t part, const bool may_spread[256], uint8_t *label, Work *work,
                      Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Spreader s = {.may_spread = may_spread,
                  .label = label,
                  .old = runs->parts[part].label,
                  .width = runs->width_px,
                  .height = runs->height_px,
                  .work = work};
    assert(!may_spread[s.old]); // parts of one label never touch: the wave stays in its own
    bool good = start(&s, runs, part, err) && run(&s, err);
    arena_rewind(&work->scratch, mark);
    return good;
}
