// section_parts.c - see section_parts.h.
#include "kit/section_parts.h"

#include <stdio.h>

static int64_t low_of(Box box, int axis)
{
    return axis == 0 ? box.min.x : box.min.y;
}

static int64_t high_of(Box box, int axis)
{
    return axis == 0 ? box.max.x : box.max.y;
}

static bool goes_across(const SectionPlan *plan, Box box)
{
    const int64_t least = (int64_t)(SECTION_OVERHANG_MM * UM_PER_MM);
    for (int axis = 0; axis < 2; axis++)
        for (int i = 0; i < plan->count[axis]; i++) {
            int64_t at = plan->at[axis][i];
            if (at - low_of(box, axis) > least && high_of(box, axis) - at > least) return true;
        }
    return false;
}

static void find_cell(const SectionPlan *plan, Box box, int out[2])
{
    for (int axis = 0; axis < 2; axis++) {
        int64_t twice = low_of(box, axis) + high_of(box, axis);
        out[axis] = 0;
        while (out[axis] < plan->count[axis] && 2 * (int64_t)plan->at[axis][out[axis]] < twice) out[axis]++;
    }
}

static Box cut_box(const DraftPiece *piece)
{
    return rings_box(piece_cut(piece->source));
}

// Cells with pieces get their place in the list, by row, then x.
static bool list_cells(const Draft *draft, SectionParts *parts, Arena *keep, Error *err)
{
    const SectionPlan *plan = draft->input->sections;
    int columns = plan->count[0] + 1, rows = plan->count[1] + 1;
    int *held = arena_new(keep, int, columns * rows), *index = arena_new(keep, int, columns * rows);
    parts->items = arena_new(keep, SectionItem, columns * rows);
    if (!held || !index || !parts->items) return error_memory(err);
    for (int i = 0; i < draft->piece_count; i++) {
        int cell[2];
        if (parts->of_piece[i] == SECTION_OF_BRIDGE) continue;
        find_cell(plan, cut_box(&draft->pieces[i]), cell);
        parts->of_piece[i] = cell[1] * columns + cell[0];
        held[parts->of_piece[i]]++;
    }
    for (int c = 0; c < columns * rows; c++) {
        if (held[c] == 0) continue;
        SectionItem *item = &parts->items[index[c] = parts->count++];
        *item = (SectionItem){.cell = {c % columns, c / columns}, .box = box_empty(), .pieces = arena_new(keep, int, held[c])};
        snprintf(item->id, sizeof item->id, "S%d", parts->count);
        if (!item->pieces) return error_memory(err);
    }
    for (int i = 0; i < draft->piece_count; i++)
        if (parts->of_piece[i] != SECTION_OF_BRIDGE) parts->of_piece[i] = index[parts->of_piece[i]];
    return true;
}

static bool make(const Draft *draft, SectionParts *parts, Arena *keep, Error *err)
{
    parts->of_piece = arena_new(keep, int, draft->piece_count);
    parts->bridges = arena_new(keep, int, draft->piece_count);
    if (!parts->of_piece || !parts->bridges) return error_memory(err);
    for (int i = 0; i < draft->piece_count; i++) {
        if (!goes_across(draft->input->sections, cut_box(&draft->pieces[i]))) continue;
        parts->of_piece[i] = SECTION_OF_BRIDGE;
        parts->bridges[parts->bridge_count++] = i;
    }
    if (!list_cells(draft, parts, keep, err)) return false;
    for (int i = 0; i < draft->piece_count; i++) {
        if (parts->of_piece[i] == SECTION_OF_BRIDGE) continue;
        SectionItem *item = &parts->items[parts->of_piece[i]];
        Box box = cut_box(&draft->pieces[i]);
        box_add(&item->box, box.min);
        box_add(&item->box, box.max);
        item->pieces[item->piece_count++] = i;
    }
    return true;
}

bool section_parts_make(const Draft *draft, Arena *keep, const SectionParts **out, Error *err)
{
    *out = NULL;
    if (!draft->input->sections || draft->input->sections->line_count == 0) return true;
    SectionParts *parts = arena_new(keep, SectionParts, 1);
    if (!parts) return error_memory(err);
    *out = parts;
    return make(draft, parts, keep, err);
}

bool section_parts_meet(const Draft *draft, int bridge, int section)
{
    const SectionPlan *plan = draft->input->sections;
    const int *cell = draft->sections->items[section].cell;
    Box box = cut_box(&draft->pieces[bridge]);
    const int64_t least = (int64_t)(SECTION_OVERHANG_MM * UM_PER_MM);
    for (int axis = 0; axis < 2; axis++) {
        int at = cell[axis];
        if (at > 0 && high_of(box, axis) - plan->at[axis][at - 1] <= least) return false;
        if (at < plan->count[axis] && plan->at[axis][at] - low_of(box, axis) <= least) return false;
    }
    return true;
}
