// mincut.c - see mincut.h.
#include "seam/mincut.h"

#include <string.h>

#define LOOK_EVERY 4096 // steps between two looks at the wish to stop: far below 10 ms

typedef struct Arc {
    int end;      // the node it runs to
    int back;     // the arc of the same link that runs back
    int32_t left; // what can still flow
} Arc;

typedef struct Flow {
    int node_count, from, to;
    int *first; // node i has the arcs first[i] .. first[i + 1] - 1
    Arc *arcs;
    int *level, *at; // by node: steps to `to`, -1: none lead there; the next arc to try
    int *queue, *path;
    Work *work;
    unsigned steps;
} Flow;

static bool make_room(Flow *f, int link_count, Error *err)
{
    Arena *scratch = &f->work->scratch;
    f->first = arena_new(scratch, int, f->node_count + 2);
    f->arcs = arena_new(scratch, Arc, 2 * (size_t)link_count);
    f->level = arena_new(scratch, int, f->node_count);
    f->at = arena_new(scratch, int, f->node_count);
    f->queue = arena_new(scratch, int, f->node_count);
    f->path = arena_new(scratch, int, f->node_count);
    return f->first && f->arcs && f->level && f->at && f->queue && f->path ? true : error_memory(err);
}

static void take_links(Flow *f, const CutLink *links, int link_count)
{
    for (int k = 0; k < link_count; k++) {
        f->first[links[k].a + 2]++;
        f->first[links[k].b + 2]++;
    }
    for (int i = 0; i < f->node_count; i++) f->first[i + 2] += f->first[i + 1];
    for (int k = 0; k < link_count; k++) {
        int onward = f->first[links[k].a + 1]++, back = f->first[links[k].b + 1]++;
        int32_t capacity = links[k].a == links[k].b ? 0 : links[k].capacity;
        f->arcs[onward] = (Arc){links[k].b, back, capacity};
        f->arcs[back] = (Arc){links[k].a, onward, capacity};
    }
}

static bool goes_on(Flow *f, Error *err)
{
    return ++f->steps % LOOK_EVERY != 0 || work_goes_on(f->work, err);
}

// How many steps each node is away from `to` along arcs that can take more, as far as `from`; *reached: it is among them.
// Sought from behind, so that a path that goes down level by level runs into a dead end only where arcs have filled up.
static bool find_levels(Flow *f, bool *reached, Error *err)
{
    int head = 0, tail = 0;
    for (int i = 0; i < f->node_count; i++) f->level[i] = -1;
    f->level[f->to] = 0;
    f->queue[tail++] = f->to;
    while (head < tail && f->level[f->from] < 0) {
        int node = f->queue[head++];
        if (!goes_on(f, err)) return false;
        for (int i = f->first[node]; i < f->first[node + 1]; i++) {
            int start = f->arcs[i].end;
            if (f->level[start] >= 0 || f->arcs[f->arcs[i].back].left == 0) continue;
            f->level[start] = f->level[node] + 1;
            f->queue[tail++] = start;
        }
    }
    *reached = f->level[f->from] >= 0;
    return true;
}

// The next arc of a node that leads one level down; -1 when none does.
static int arc_onward(Flow *f, int node)
{
    for (; f->at[node] < f->first[node + 1]; f->at[node]++) {
        const Arc *arc = &f->arcs[f->at[node]];
        if (arc->left > 0 && f->level[arc->end] == f->level[node] - 1) return f->at[node];
    }
    return -1;
}

static int start_of(const Flow *f, int arc)
{
    return f->arcs[f->arcs[arc].back].end;
}

// Sends what a found path can take; the new length of the path: up to the first arc that is full now.
static int send(Flow *f, int length, int64_t *value)
{
    int32_t most = INT32_MAX;
    int full = 0;
    for (int i = 0; i < length; i++)
        if (f->arcs[f->path[i]].left < most) most = f->arcs[f->path[i]].left;
    for (int i = length - 1; i >= 0; i--) {
        Arc *arc = &f->arcs[f->path[i]];
        arc->left -= most;
        f->arcs[arc->back].left += most;
        if (arc->left == 0) full = i;
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
            node = f->arcs[arc].end;
        } else if (length > 0) {
            length--;
            node = start_of(f, f->path[length]);
            f->at[node]++;
        } else {
            return true;
        }
        if (node != f->to) continue;
        length = send(f, length, value);
        if (*value > most) return true;
        node = start_of(f, f->path[length]);
    }
}

// The nodes that `from` still reaches when no more can flow.
static bool tell_near(Flow *f, bool *out_near, Error *err)
{
    int head = 0, tail = 0;
    memset(out_near, 0, (size_t)f->node_count * sizeof *out_near);
    out_near[f->from] = true;
    f->queue[tail++] = f->from;
    while (head < tail) {
        int node = f->queue[head++];
        if (!goes_on(f, err)) return false;
        for (int i = f->first[node]; i < f->first[node + 1]; i++) {
            int end = f->arcs[i].end;
            if (out_near[end] || f->arcs[i].left == 0) continue;
            out_near[end] = true;
            f->queue[tail++] = end;
        }
    }
    return true;
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
    fine = fine && (*out_value > most || tell_near(&f, out_near, err));
    arena_rewind(&work->scratch, mark);
    return fine;
}
