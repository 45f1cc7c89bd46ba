// damage_paper.c - damages of what kit.json says of papers and of the cutter.
#include "damage.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static json_t *paper_of(const EditKit *kit, const json_t *sheet)
{
    int count;
    edit_list(kit, "papers", &count);
    for (int i = 0; i < count; i++)
        if (strcmp(edit_text(edit_item(kit, "papers", i), "id"), edit_text(sheet, "paper")) == 0) return edit_item(kit, "papers", i);
    return NULL;
}

bool direction_given(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *piece = any_item(kit, rng, "pieces"), *paper = paper_of(kit, sheet_of(kit, piece));
    double m[6];
    bool grained = rng_below(rng, 2);
    edit_to_sheet(piece, m);
    if (fabs(m[1]) < 0.01 && (grained || m[0] > 0.0)) return false;
    json_object_set_new(paper, "direction", json_string(grained ? "grained" : "textured"));
    expect(expected, "piece-turned", edit_text(piece, "id"));
    return true;
}

bool line_refused(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *piece = any_item(kit, rng, "pieces"), *marks = json_object_get(piece, "marks");
    if (json_array_size(marks) == 0) return false;
    json_object_set_new(paper_of(kit, sheet_of(kit, piece)), "takes", json_array());
    expect(expected, "line-not-taken", edit_text(piece, "id"));
    return true;
}

bool tool_lost(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *piece = any_item(kit, rng, "pieces"), *mark = json_array_get(json_object_get(piece, "marks"), 0);
    json_t *cutter = json_object_get(kit->root, "cutter");
    if (!mark || !json_is_object(cutter) || strcmp(edit_text(mark, "line"), "cut") == 0 || strcmp(edit_text(mark, "kind"), "drawn") == 0)
        return false;
    json_object_set_new(cutter, "tools", json_array());
    expect(expected, "tool-missing", edit_text(piece, "id"));
    return true;
}

bool loss_edited(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *cutter = json_object_get(kit->root, "cutter"), *paper = any_item(kit, rng, "papers");
    if (!json_is_object(cutter)) return false;
    json_t *loss = json_object_get(cutter, "loss_mm");
    size_t edge = rng_below(rng, 4);
    json_array_set_new(loss, edge, json_real(json_number_value(json_array_get(loss, edge)) + 0.5));
    expect(expected, "usable-wrong", edit_text(paper, "id"));
    return true;
}

bool mat_shrunk(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *cutter = json_object_get(kit->root, "cutter"), *paper = any_item(kit, rng, "papers");
    if (!json_is_object(cutter)) return false;
    json_t *mat = json_array();
    json_array_append_new(mat, json_real(150.0));
    json_array_append_new(mat, rng_below(rng, 2) ? json_null() : json_real(900.0));
    json_object_set_new(cutter, "mat_mm", mat);
    expect(expected, "paper-off-mat", edit_text(paper, "id"));
    return true;
}

bool purchase_edited(EditKit *kit, Rng *rng, Expected *expected)
{
    static const char *const KEYS[] = {"spares", "sheets", "boards", "packs", "cost"};
    json_t *paper = any_item(kit, rng, "papers"), *buy = json_object_get(paper, "to_buy");
    const char *key = KEYS[rng_below(rng, 5)];
    if (!buy) return false;
    const json_t *old = json_object_get(buy, key);
    json_object_set_new(buy, key, json_is_null(old) ? json_integer(1) : json_real(json_number_value(old) + 1));
    char where[64];
    snprintf(where, sizeof where, "%.40s.to_buy.%s", edit_text(paper, "id"), key);
    expect(expected, "number-wrong", where);
    return true;
}

bool pack_edited(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *paper = any_item(kit, rng, "papers"), *pack = json_object_get(paper, "pack");
    if (!json_is_object(pack) || !json_is_number(json_object_get(pack, "price"))) return false;
    json_object_set_new(pack, "price", json_real(edit_number(pack, "price") + 0.01));
    char where[64];
    snprintf(where, sizeof where, "%.40s.to_buy.cost", edit_text(paper, "id"));
    expect(expected, "number-wrong", where);
    return true;
}

bool board_edited(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *paper = any_item(kit, rng, "papers"), *board = json_array();
    bool is_small = rng_below(rng, 2);
    if (!json_object_get(paper, "to_buy")) return false;
    for (int i = 0; i < 2; i++) json_array_append_new(board, json_real(is_small ? 100.0 : 9000.0));
    json_object_set_new(paper, "board_mm", board);
    char where[64];
    snprintf(where, sizeof where, "%.40s%s", edit_text(paper, "id"), is_small ? "" : ".price");
    if (!is_small && json_is_null(json_object_get(paper, "price"))) snprintf(where, sizeof where, "%.40s.to_buy.boards", edit_text(paper, "id"));
    expect(expected, is_small ? "board-too-small" : "number-wrong", where);
    return true;
}

// Paper that is bought called an offcut: then nothing of it should be bought.
bool offcut_said(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *paper = any_item(kit, rng, "papers");
    if (!json_object_get(paper, "to_buy") || json_object_get(paper, "offcut")) return false;
    json_object_set_new(paper, "offcut", json_true());
    char where[64];
    snprintf(where, sizeof where, "%.40s.to_buy.sheets", edit_text(paper, "id"));
    expect(expected, "number-wrong", where);
    return true;
}

// Half of what a kit says of its papers is a fault; a kit of an earlier writer says none of it.
bool property_removed(EditKit *kit, Rng *rng, Expected *expected)
{
    static const char *const KEYS[] = {"white_core", "one_faced", "takes", "gsm", "board_mm", "pack", "to_buy", "direction"};
    int count, index = 0;
    edit_list(kit, "papers", &count);
    if (count > 1) index = (int)rng_below(rng, (uint32_t)count);
    json_t *paper = edit_item(kit, "papers", index);
    const char *key = KEYS[rng_below(rng, 8)];
    char where[64];
    if (!json_object_get(paper, key)) return false;
    bool is_cutter = rng_below(rng, 6) == 0;
    if (is_cutter) json_object_del(kit->root, "cutter");
    else json_object_del(paper, key);
    snprintf(where, sizeof where, "papers[%d].%s", index, key);
    expect(expected, "bad-file", is_cutter ? "cutter" : where);
    return true;
}
