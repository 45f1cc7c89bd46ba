// read_extras.c - see read_extras.h.
#include "proof/read_extras.h"

#include <stdio.h>

static void read_lines_of(Reader *r, const json_t *from, const char *key, double **out, int *count)
{
    const json_t *list = value_list(r, from, key, READ_MAX_ITEMS, count);
    *out = value_room(r, (size_t)*count, sizeof **out);
    for (int i = 0; i < *count && *out; i++) (*out)[i] = value_number_in(r, json_array_get(list, (size_t)i), key, 0.0, READ_MAX_MM);
    if (!*out) *count = 0;
}

static void read_pieces_of(Reader *r, const json_t *from, const char *key, const char *owner, int **out, int *count)
{
    const json_t *list = value_list(r, from, key, READ_MAX_ITEMS, count);
    *out = value_room(r, (size_t)*count, sizeof **out);
    for (int i = 0; i < *count && *out && !r->failed; i++) {
        const json_t *id = json_array_get(list, (size_t)i);
        if (!json_is_string(id)) value_bad(r, key, "a list of piece ids");
        else (*out)[i] = value_reference(r, &r->pieces, owner, "piece", json_string_value(id));
    }
    if (!*out) *count = 0;
}

// A finished piece that is put together as one has none.
void read_sections(Reader *r, const json_t *root)
{
    ReadSections *sections = &r->kit->sections;
    r->place[0] = '\0';
    r->kit->parts = json_object_get(root, "sections") != NULL;
    const json_t *list, *from = r->kit->parts ? value_object(r, root, "sections") : NULL;
    if (!from) return;
    snprintf(r->place, sizeof r->place, "sections");
    value_numbers(r, from, "asked_mm", 2, 1e-3, READ_MAX_MM, sections->asked);
    read_lines_of(r, from, "upright_mm", &sections->line_mm[0], &sections->line_count[0]);
    read_lines_of(r, from, "level_mm", &sections->line_mm[1], &sections->line_count[1]);
    read_pieces_of(r, from, "bridges", "sections", &sections->bridges, &sections->bridge_count);
    list = value_list(r, from, "parts", READ_MAX_ITEMS, &sections->count);
    sections->items = value_room(r, (size_t)sections->count, sizeof *sections->items);
    if (!sections->items) sections->count = 0;
    for (int i = 0; i < sections->count && !r->failed; i++) {
        const json_t *item = value_item(r, list, i, "sections.parts");
        ReadSection *section = &sections->items[i];
        section->id = "";
        if (!item) continue;
        section->id = value_id(r, item, "id");
        value_numbers(r, item, "box_mm", 4, -READ_MAX_MM, READ_MAX_MM, section->box);
        read_pieces_of(r, item, "pieces", section->id, &section->pieces, &section->piece_count);
    }
}

static void read_joints(Reader *r, const json_t *from, ReadBoard *board)
{
    const json_t *list = value_list(r, from, "joints", READ_MAX_ITEMS, &board->joint_count);
    board->joints = value_room(r, (size_t)board->joint_count, sizeof *board->joints);
    if (!board->joints) board->joint_count = 0;
    for (int i = 0; i < board->joint_count; i++) {
        const json_t *ends = json_array_get(list, (size_t)i);
        if (!json_is_array(ends) || json_array_size(ends) != 4) value_bad(r, "joints", "lists of four numbers");
        for (int k = 0; k < 4 && json_is_array(ends); k++)
            board->joints[i][k] = value_number_in(r, json_array_get(ends, (size_t)k), "joints", -READ_MAX_MM, READ_MAX_MM);
    }
}

void read_board(Reader *r, const json_t *root)
{
    ReadBoard *board = &r->kit->board;
    r->place[0] = '\0';
    r->kit->backed = json_object_get(root, "board") != NULL;
    const json_t *list, *from = r->kit->backed ? value_object(r, root, "board") : NULL;
    if (!from) return;
    snprintf(r->place, sizeof r->place, "board");
    board->file = value_text(r, from, "file");
    value_numbers(r, from, "size_mm", 2, 1e-3, READ_MAX_MM, board->size);
    board->inset_mm = value_number(r, from, "inset_mm", 0.0, READ_MAX_MM);
    board->outline = value_path(r, from, "outline", READ_ENDS_CLOSED);
    board->along_mm = value_number(r, from, "along_seams_mm", 0.0, 1e9);
    read_joints(r, from, board);
    list = value_list(r, from, "panels", READ_MAX_ITEMS, &board->panel_count);
    board->panels = value_room(r, (size_t)board->panel_count, sizeof *board->panels);
    if (!board->panels) board->panel_count = 0;
    for (int i = 0; i < board->panel_count && !r->failed; i++) {
        const json_t *item = value_item(r, list, i, "board.panels");
        if (!item) continue;
        value_id(r, item, "id");
        value_numbers(r, item, "box_mm", 4, -READ_MAX_MM, READ_MAX_MM, board->panels[i]);
    }
}
