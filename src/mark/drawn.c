// drawn.c - pen strokes less what covers the layer, cut to pieces; see drawn.h.
#include "mark/drawn.h"

#define SHORTEST_MM 0.5 // a detail may be as small as that; less is a dot of the pen

typedef struct Table { // what strokes are clipped with
    Cover cover;       // all higher layers
    Cover *faces;      // of the pieces, shrunk; those that no stroke comes near stay empty
    int face_count;
} Table;

static Box strokes_box(const Stack *stack, int layer)
{
    Box box = box_empty();
    for (int i = 0; i < stack->pen_stroke_count; i++)
        for (int k = 0; stack->pen_strokes[i].layer == layer && k < stack->pen_strokes[i].point_count; k++)
            box_add(&box, stack->pen_strokes[i].points[k]);
    return box;
}

static bool table_make(const Stack *stack, const LayerPieces *pieces, int layer, Arena *own, Work *work, Table *out,
                       Error *err)
{
    Box box = strokes_box(stack, layer);
    *out = (Table){.face_count = pieces->piece_count};
    out->faces = arena_new(own, Cover, pieces->piece_count);
    if (!out->faces) return error_memory(err);
    const Rings *cover = &stack->layers[layer].cover;
    if (cover->count > 0 && !cover_make(cover, own, &out->cover, err)) return false;
    for (int i = 0; i < pieces->piece_count; i++) {
        if (!work_goes_on(work, err)) return false;
        if (!box_overlap(rings_box(&pieces->pieces[i].rings), box)) continue;
        if (!clip_face(&pieces->pieces[i], own, work, &out->faces[i], err)) return false;
    }
    return true;
}

// The parts of each edge that nothing covers.
static bool seen_spans(const Ring *ring, const Table *table, Arena *arena, SpanList *out)
{
    for (int i = 0; i < ring->count; i++) {
        SpanList covered, whole = {arena_new(arena, Span, 1), 1};
        if (!whole.items) return false;
        whole.items[0] = (Span){0.0, 1.0};
        Point a = ring->points[i], b = ring->points[i + 1 == ring->count ? 0 : i + 1];
        if (!spans_in(&table->cover, a, b, arena, &covered) || !spans_without(whole, covered, arena, &out[i]))
            return false;
    }
    return true;
}

static bool draw(const PenStroke *stroke, const Table *table, Arena *keep, Work *work, Strokes *out, Error *err)
{
    Arena *scratch = &work->scratch;
    ArenaMark mark = arena_mark(scratch);
    Ring ring = {stroke->points, stroke->point_count};
    SpanList *seen = arena_new(scratch, SpanList, ring.count);
    if (!seen || !seen_spans(&ring, table, scratch, seen)) return error_memory(err);
    Box box = ring_box(&ring);
    for (int i = 0; i < table->face_count; i++) {
        if (table->faces[i].edge_count == 0 || !box_overlap(box, table->faces[i].box)) continue;
        if (!work_goes_on(work, err)) return false;
        if (!clip_to_face(&ring, seen, &table->faces[i], i, SHORTEST_MM, keep, scratch, out)) return error_memory(err);
    }
    arena_rewind(scratch, mark);
    return true;
}

bool drawn_find(const Stack *stack, const LayerPieces *pieces, int layer, Arena *keep, Work *work, Strokes *out,
                Error *err)
{
    *out = (Strokes){0};
    if (stack->pen_stroke_count == 0 || pieces->piece_count == 0) return true;
    Arena own = arena_make(work->scratch.budget_bytes); // work's is rewound by what is called here
    Table table;
    bool done = table_make(stack, pieces, layer, &own, work, &table, err);
    for (int i = 0; done && i < stack->pen_stroke_count; i++)
        done = stack->pen_strokes[i].layer != layer ||
               (work_goes_on(work, err) && draw(&stack->pen_strokes[i], &table, keep, work, out, err));
    arena_free(&own);
    return done;
}
