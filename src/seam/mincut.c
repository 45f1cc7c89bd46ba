// mincut.c - see mincut.h.
#include "seam/mincut.h"

#include <string.h>

#define LOOK_EVERY 4096 // steps between two looks at the wish to stop: far below 10 ms

typedef struct Flow {
    int node_count, from, to;
    int *first;       // arcs of node i: order[first[i]] .. order[first[i + 1] - 1]
    int *order;       // arc 2 k runs from a to b of link k, 2 k + 1 back
    int *end;         // by arc: the node it runs to
    int32_t *left;    // by arc: what can still flow
    int *level, *at;  // by node: steps from `from`; the next arc to try
    int *queue, *path;
    Work *work;
    unsigned steps;
} Flow;

static bool make_room(Flow *f, int link_count, Error *err)
{
    Arena *scratch = &f->work->scratch;
    f->first = arena_new(scratch, int, f->node_count + 2);
    f->order = arena_new(scratch, int, 2 * (size_t)link_count);
    f->end = arena_new(scratch, int, 2 * (size_t)link_count);
    f->left = arena_new(scratch, int32_t, 2 * (size_t)link_count);
    f->level = arena_new(scratch, int, f->node_count);
    f->at = arena_new(scratch, int, f->node_count);
    f->queue = arena_new(scratch, int, f->node_count);
    f->path = arena_new(scratch, int, f->node_count);
    return f->first && f->order && f->end && f->left && f->level && f->at && f->queue && f->path ? true
                                                                                                 : error_memory(err);
}

static void take_links(Flow *f, const CutLink *links, int link_count)
{
    for (int k = 0; k < link_count; k++) {
        f->first[links[k].a + 2]++;
        f->first[links[k].b + 2]++;
        f->end[2 * k] = links[k].b;
        f->end[2 * k + 1] = links[k].a;
        f->left[2 * k] = f->left[2 * k + 1] = links[k].a == links[k].b ? 0 : links[k].capacity;
    }
    for (int i = 0; i < f->node_count; i++) f->first[i + 2] += f->first[i + 1];
    for (int k = 0; k < link_count; k++) {
        f->order[f->first[links[k].a + 1]++] = 2 * k;
        f->order[f->first[links[k].b + 1]++] = 2 * k + 1;
    }
}

static bool goes_on(Flow *f, Error *err)
{
    return ++f->steps % LOOK_EVERY != 0 || work_goes_on(f->work, err);
}

// How many steps each node is away along arcs that can take more; *reached: `to` is among them.
static bool find_levels(Flow *f, bool *reached, Error *err)
{
    int head = 0, tail = 0;
    for (int i = 0; i < f->node_count; i++) f->level[i] = -1;
    f->level[f->from] = 0;
    f->queue[tail++] = f->from;
    while (head < tail) {
        int node = f->queue[head++];
        if (!goes_on(f, err)) return false;
        for (int i = f->first[node]; i < f->first[node + 1]; i++) {
            int end = f->end[f->order[i]];
            if (f->left[f->order[i]] == 0 || f->level[end] >= 0) continue;
            f->level[end] = f->level[node] + 1;
            f->queue[tail++] = end;
        }
    }
    *reached = f->level[f->to] >= 0;
    return true;
}

// The next arc of a node that leads one level on; -1 when none does.
static int arc_onward(Flow *f, int node)
{
    for (; f->at[node] < f->first[node + 1]; f->at[node]++) {
        int arc = f->order[f->at[node]];
        if (f->left[arc] > 0 && f->level[f->end[arc]] == f->level[node] + 1) return arc;
    }
    return -1;
}

// Sends what a found path can take; the new length of the path: up to the first arc that is full now.
static int send(Flow *f, int length, int64_t *value)
{
    int32_t most = INT32_MAX;
    int full = 0;
    for (int i = 0; i < length; i++)
        if (f->left[f->path[i]] < most) most = f->left[f->path[i]];
    for (int i = length - 1; i >= 0; i--) {
        f->left[f->path[i]] -= most;
        f->left[f->path[i] ^ 1] += most;
        if (f->left[f->path[i]] == 0) full = i;
    }
    *value += most;
    return full;
}

static bool fill_levels(Flow *f, int64_t most, int64_t *value, Error *err)
{
    int length = 0;
    memcpy(f->at, f->first, (size_t)f->node_count * sizeof *f->at);
    for (int node = f->from;;) {
        if (!goes_on(f, err)) return false;
        int arc = arc_onward(f, node);
        if (arc >= 0) {
            f->path[length++] = arc;
            node = f->end[arc];
        } else if (length > 0) {
            length--;
            node = f->end[f->path[length] ^ 1];
            f->at[node]++;
        } else {
            return true;
        }
        if (node != f->to) continue;
        length = send(f, length, value);
        if (*value > most) return true;
        node = f->end[f->path[length] ^ 1];
    }
}

bool mincut(const CutLink *links, int link_count, int node_count, int from, int to, int64_t most, Work *work,
            bool *out_near, int64_t *out_value, Error *err)
{
    ArenaMark mark = arena_mark(&work->scratch);
    Flow f = {.node_count = node_count, .from = from, .to = to, .work = work};
    bool reached = true;
    *out_value = 0;
    bool fine = make_room(&f, link_count, err);
    if (fine) take_links(&f, links, link_count);
    while (fine && *out_value <= most && (fine = find_levels(&f, &reached, err)) && reached)
        fine = fill_levels(&f, most, out_value, err);
    for (int i = 0; fine && *out_value <= most && i < node_count; i++) out_near[i] = f.level[i] >= 0;
    arena_rewind(&work->scratch, mark);
    return fine;
}
