// damage_form.c - damages of how sheets are parted into files: groups, offsets, a file a line kind, files to print.
#include "damage.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool form_renamed(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *sheet = any_item(kit, rng, "sheets");
    bool to_sheet = edit_has_form(kit, "piece");
    if (!to_sheet && !edit_has_form(kit, "sheet")) return false;
    json_object_set_new(kit->root, "sheets_for", json_string(to_sheet ? "sheet" : "piece"));
    expect(expected, "groups-wrong", edit_text(sheet, "id"));
    return true;
}

static bool form_unknown(EditKit *kit, Rng *rng, Expected *expected)
{
    (void)rng;
    json_object_set_new(kit->root, "sheets_for", json_string("colour"));
    expect(expected, "bad-file", "sheets_for");
    return true;
}

static int object_of(const ReadDrawing *drawing, const char *group)
{
    for (int i = 0; i < drawing->object_count; i++)
        if (strcmp(drawing->objects[i].group, group) == 0) return i;
    return -1;
}

static bool group_renamed(EditKit *kit, Rng *rng, Expected *expected)
{
    if (!edit_has_form(kit, "piece")) return false;
    json_t *piece = any_item(kit, rng, "pieces"), *sheet = sheet_of(kit, piece);
    ReadDrawing drawing = edit_drawing(kit, sheet);
    int object = object_of(&drawing, edit_text(piece, "id"));
    strcpy(drawing.objects[object].group, "Z9");
    edit_set_drawing(kit, sheet, &drawing, NULL);
    expect(expected, "groups-wrong", edit_text(piece, "id"));
    return true;
}

static bool groups_swapped(EditKit *kit, Rng *rng, Expected *expected)
{
    if (!edit_has_form(kit, "piece")) return false;
    json_t *piece = any_item(kit, rng, "pieces"), *other = piece;
    for (int tries = 0; tries < 50 && (piece == other || sheet_of(kit, piece) != sheet_of(kit, other)); tries++) {
        piece = any_item(kit, rng, "pieces"); // a sheet with one piece has nothing to swap
        other = any_item(kit, rng, "pieces");
    }
    json_t *sheet = sheet_of(kit, piece);
    if (piece == other || sheet != sheet_of(kit, other)) return false;
    ReadDrawing drawing = edit_drawing(kit, sheet);
    ReadObject *a = &drawing.objects[object_of(&drawing, edit_text(piece, "id"))],
               *b = &drawing.objects[object_of(&drawing, edit_text(other, "id"))], held = *a;
    *a = *b;
    *b = held;
    edit_set_drawing(kit, sheet, &drawing, NULL);
    expect(expected, "groups-wrong", edit_text(piece, "id"));
    return true;
}

static bool group_twice(EditKit *kit, Rng *rng, Expected *expected)
{
    if (!edit_has_form(kit, "piece")) return false;
    json_t *piece = any_item(kit, rng, "pieces"), *sheet = sheet_of(kit, piece);
    ReadDrawing drawing = edit_drawing(kit, sheet);
    int object = object_of(&drawing, edit_text(piece, "id"));
    for (int i = 0; i < drawing.object_count; i++)
        if (i != object && drawing.objects[i].line == READ_CUT && strcmp(drawing.objects[i].group, "corners") != 0)
            memcpy(drawing.objects[i].group, drawing.objects[object].group, sizeof drawing.objects[i].group);
    if (object_of(&drawing, "C1") >= 0 || strcmp(edit_text(sheet, "id"), "white-1") != 0) return false;
    edit_set_drawing(kit, sheet, &drawing, NULL);
    expect(expected, "groups-wrong", edit_text(sheet, "id"));
    return true;
}

// The second path of a file that should have one of each kind.
static bool path_parted(EditKit *kit, Rng *rng, Expected *expected)
{
    if (edit_has_form(kit, "piece")) return false;
    json_t *sheet = any_item(kit, rng, "sheets");
    ReadDrawing drawing = edit_drawing(kit, sheet);
    int count = drawing.object_count;
    ReadObject *objects = arena_new(kit->arena, ReadObject, count + 1);
    if (!objects) abort();
    memcpy(objects, drawing.objects, (size_t)count * sizeof *objects);
    objects[count] = objects[drawing.paths[READ_CUT].parts[0].object];
    drawing.objects = objects;
    drawing.object_count++;
    drawing.paths[READ_CUT].parts[drawing.paths[READ_CUT].part_count - 1].object = count;
    if (edit_has_form(kit, "layer")) return false; // its writer joins them again
    edit_set_drawing(kit, sheet, &drawing, NULL);
    expect(expected, "groups-wrong", edit_text(sheet, "id"));
    return true;
}

static json_t *sheet_beside(EditKit *kit)
{
    int count;
    edit_list(kit, "sheets", &count);
    for (int i = 0; i < count; i++) {
        json_t *offset = json_object_get(edit_item(kit, "sheets", i), "offset_mm");
        if (offset && json_number_value(json_array_get(offset, 0)) > 0) return edit_item(kit, "sheets", i);
    }
    return NULL;
}

static bool offset_edited(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *sheet = sheet_beside(kit);
    if (!sheet) return false;
    json_t *list = json_object_get(sheet, "offset_mm");
    size_t which = rng_below(rng, 2);
    json_array_set_new(list, which, json_real(json_number_value(json_array_get(list, which)) + 0.05));
    expect(expected, "corner-mark-wrong", edit_text(sheet, "id"));
    return true;
}

static bool sheets_laid_on_one_another(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *sheet = sheet_beside(kit);
    if (!sheet) return false;
    json_array_set_new(json_object_get(sheet, "offset_mm"), 0, json_real(50.0 * rng_unit(rng)));
    expect(expected, "sheets-overlap", edit_text(sheet, "id"));
    return true;
}

static bool drawn_between_sheets(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *sheet = sheet_beside(kit);
    if (!sheet) return false;
    ReadDrawing drawing = edit_drawing(kit, sheet);
    ReadPath more = edit_parse(kit->arena, "M -6 40 L -4 40 L -4 42 Z");
    edit_append(&drawing.paths[READ_CUT], &more, rng_unit(rng), drawing.paths[READ_CUT].parts[0].object, kit->arena);
    edit_set_drawing(kit, sheet, &drawing, NULL);
    expect(expected, "sheet-extra-path", first_of_file(kit, sheet));
    return true;
}

static const char *second_file(const json_t *sheet, const char **line)
{
    const json_t *files = json_object_get(sheet, "files");
    *line = files && json_object_get(files, "score") ? "score" : "pen";
    return files ? json_string_value(json_object_get(files, *line)) : NULL;
}

static bool line_file_deleted(EditKit *kit, Rng *rng, Expected *expected)
{
    const char *line;
    json_t *sheet = any_item(kit, rng, "sheets");
    if (!second_file(sheet, &line)) return false;
    edit_remove(kit, second_file(sheet, &line));
    expect(expected, "file-missing", edit_text(sheet, "id"));
    return true;
}

static bool line_file_forgotten(EditKit *kit, Rng *rng, Expected *expected)
{
    const char *line;
    json_t *piece = any_item(kit, rng, "pieces"), *sheet = sheet_of(kit, piece);
    if (!second_file(sheet, &line)) return false;
    if (json_array_size(json_object_get(piece, "marks")) == 0) return false;
    if (rng_below(rng, 2)) {
        expect(expected, "file-extra", second_file(sheet, &line));
    } else
        expect(expected, "mark-differs", edit_text(piece, "id"));
    json_object_del(json_object_get(sheet, "files"), line);
    return true;
}

static bool line_file_holds_cuts(EditKit *kit, Rng *rng, Expected *expected)
{
    const char *line;
    json_t *sheet = any_item(kit, rng, "sheets");
    if (!second_file(sheet, &line)) return false;
    const FileBytes *cut = file_find(&kit->files, edit_text(sheet, "file"));
    edit_put(kit, second_file(sheet, &line), cut->bytes, cut->size_bytes);
    expect(expected, "groups-wrong", edit_text(sheet, "id"));
    return true;
}

static bool line_corner_dropped(EditKit *kit, Rng *rng, Expected *expected)
{
    const char *line;
    json_t *sheet = any_item(kit, rng, "sheets");
    if (!second_file(sheet, &line)) return false;
    ReadDrawing drawing = edit_drawing(kit, sheet);
    ReadPath *path = &drawing.paths[strcmp(line, "pen") == 0 ? READ_PEN : READ_SCORE];
    edit_drop_part(path, (int)rng_below(rng, 2)); // corner marks come first
    edit_set_drawing(kit, sheet, &drawing, NULL);
    expect(expected, rng_below(rng, 2) ? "corner-mark-wrong" : "drawn-box-wrong", edit_text(sheet, "id"));
    return true;
}

static json_t *printed_paper(EditKit *kit, Rng *rng)
{
    json_t *paper = any_item(kit, rng, "papers");
    return json_object_get(paper, "print") ? paper : NULL;
}

static bool print_deleted(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *paper = printed_paper(kit, rng);
    if (!paper) return false;
    edit_remove(kit, edit_text(paper, "print"));
    expect(expected, "file-missing", edit_text(paper, "id"));
    return true;
}

static bool print_forgotten(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *paper = printed_paper(kit, rng);
    if (!paper) return false;
    expect(expected, "file-extra", edit_text(paper, "print"));
    json_object_del(paper, "print");
    return true;
}

static bool print_is_no_pdf(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *paper = printed_paper(kit, rng);
    if (!paper) return false;
    edit_put(kit, edit_text(paper, "print"), "<svg/>", 6);
    expect(expected, "bad-file", edit_text(paper, "id"));
    return true;
}

const NamedDamage form_damages[] = {
    {"form renamed", form_renamed},
    {"form unknown", form_unknown},
    {"group renamed", group_renamed},
    {"groups swapped", groups_swapped},
    {"group there twice", group_twice},
    {"path parted in two", path_parted},
    {"offset edited by 0.05 mm", offset_edited},
    {"sheets laid on one another", sheets_laid_on_one_another},
    {"path drawn between sheets", drawn_between_sheets},
    {"file of a line deleted", line_file_deleted},
    {"file of a line forgotten", line_file_forgotten},
    {"file of a line holds cuts", line_file_holds_cuts},
    {"corner mark of a line dropped", line_corner_dropped},
    {"print deleted", print_deleted},
    {"print forgotten", print_forgotten},
    {"print is no PDF", print_is_no_pdf},
};
const int form_damage_count = sizeof form_damages / sizeof *form_damages;
