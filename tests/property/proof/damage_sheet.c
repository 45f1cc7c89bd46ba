// damage_sheet.c - damages of the sheets' drawings, and those that are written to kit.json and drawing alike.
#include "damage.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef struct OnSheet {
    json_t *piece, *sheet;
    ReadDrawing drawing;
    ReadPath outline;
    double to_sheet[6];
} OnSheet;

static OnSheet any_piece(EditKit *kit, Rng *rng)
{
    OnSheet on = {.piece = any_item(kit, rng, "pieces")};
    on.sheet = sheet_of(kit, on.piece);
    on.drawing = edit_drawing(kit, on.sheet);
    on.outline = edit_path(kit, on.piece, "outline");
    edit_to_sheet(on.piece, on.to_sheet);
    return on;
}

// The drawn part of the outline's part; its curves can be changed in place.
static ReadPart *drawn_part(OnSheet *on, int part)
{
    int found = edit_find_part(&on->drawing.paths[READ_CUT], &on->outline, part, on->to_sheet);
    return found < 0 ? NULL : &on->drawing.paths[READ_CUT].parts[found];
}

static bool outline_shifted(EditKit *kit, Rng *rng, Expected *expected)
{
    OnSheet on = any_piece(kit, rng);
    for (int i = 0; i < on.outline.part_count; i++) {
        ReadPart *part = drawn_part(&on, i);
        if (!part) return false;
        edit_shift(&on.drawing.paths[READ_CUT], part->first, part->count, 0.12, -0.16);
    }
    edit_set_drawing(kit, on.sheet, &on.drawing, NULL);
    expect(expected, "cut-differs", edit_text(on.piece, "id"));
    return true;
}

static bool outline_shrunk(EditKit *kit, Rng *rng, Expected *expected)
{
    OnSheet on = any_piece(kit, rng);
    ReadPart *part = drawn_part(&on, 0);
    if (!part) return false;
    ReadCurve *curves = &on.drawing.paths[READ_CUT].curves[part->first];
    Spot o = curves[0].p[0];
    double widest = 0.0;
    for (int i = 0; i < part->count; i++) widest = fmax(widest, measure_gap(curves[i].p[3], o));
    if (widest < 10.0) return false;
    for (int i = 0; i < part->count; i++)
        for (int k = 0; k < 4; k++)
            curves[i].p[k] = (Spot){o.x + 0.995 * (curves[i].p[k].x - o.x), o.y + 0.995 * (curves[i].p[k].y - o.y)};
    edit_set_drawing(kit, on.sheet, &on.drawing, NULL);
    expect(expected, "cut-differs", edit_text(on.piece, "id"));
    return true;
}

static bool outline_point_moved(EditKit *kit, Rng *rng, Expected *expected)
{
    OnSheet on = any_piece(kit, rng);
    ReadPart *part = drawn_part(&on, (int)rng_below(rng, (uint32_t)on.outline.part_count));
    if (!part || part->count < 3) return false;
    ReadCurve *curves = &on.drawing.paths[READ_CUT].curves[part->first];
    int i = 1 + (int)rng_below(rng, (uint32_t)part->count - 2);
    ReadCurve *a = &curves[i - 1], *b = &curves[i];
    double dx = b->p[3].x - a->p[0].x, dy = b->p[3].y - a->p[0].y, n = hypot(dx, dy);
    if (n < 1.0) return false;
    Spot moved = {b->p[0].x - dy / n * 0.05, b->p[0].y + dx / n * 0.05};
    a->p[3] = b->p[0] = moved;
    if (a->is_line) a->p[2] = moved;
    if (b->is_line) b->p[1] = moved;
    edit_set_drawing(kit, on.sheet, &on.drawing, NULL);
    expect(expected, "cut-differs", edit_text(on.piece, "id"));
    return true;
}

static bool hole_not_drawn(EditKit *kit, Rng *rng, Expected *expected)
{
    OnSheet on = any_piece(kit, rng);
    for (int i = 0; i < 10 && on.outline.part_count < 2; i++) on = any_piece(kit, rng); // few have holes
    if (on.outline.part_count < 2) return false;
    ReadPart *part = drawn_part(&on, 0);
    if (!part) return false;
    edit_drop_part(&on.drawing.paths[READ_CUT], (int)(part - on.drawing.paths[READ_CUT].parts));
    edit_set_drawing(kit, on.sheet, &on.drawing, NULL);
    expect(expected, "cut-differs", edit_text(on.piece, "id"));
    return true;
}

static bool outline_drawn_twice(EditKit *kit, Rng *rng, Expected *expected)
{
    OnSheet on = any_piece(kit, rng);
    ReadPath *cut = &on.drawing.paths[READ_CUT];
    ReadPart *part = drawn_part(&on, 0), *parts = arena_new(kit->arena, ReadPart, cut->part_count + 1);
    if (!part || !parts) return false;
    memcpy(parts, cut->parts, (size_t)cut->part_count * sizeof *parts);
    parts[cut->part_count] = *part;
    cut->parts = parts;
    cut->part_count++;
    edit_set_drawing(kit, on.sheet, &on.drawing, NULL);
    expect(expected, "drawn-twice", edit_text(on.piece, "id"));
    return true;
}

static bool sheets_swapped(EditKit *kit, Rng *rng, Expected *expected)
{
    OnSheet on = any_piece(kit, rng);
    json_t *other = any_item(kit, rng, "sheets");
    if (strcmp(edit_text(other, "file"), edit_text(on.sheet, "file")) == 0) return false;
    if (strcmp(edit_text(on.piece, "id"), "A2") == 0) return false; // lies as A1 does, which has a hole more
    FileBytes a = *file_find(&kit->files, edit_text(on.sheet, "file")),
              b = *file_find(&kit->files, edit_text(other, "file"));
    edit_put(kit, a.name, b.bytes, b.size_bytes);
    edit_put(kit, b.name, a.bytes, a.size_bytes);
    expect(expected, "cut-differs", edit_text(on.piece, "id"));
    expect(expected, "mark-differs", edit_text(on.piece, "id")); // the sample's A1 and A2 have the same outline, turned by half
    return true;
}

static bool corner_mark_moved(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *sheet = any_item(kit, rng, "sheets");
    ReadDrawing drawing = edit_drawing(kit, sheet);
    ReadPath *cut = &drawing.paths[READ_CUT];
    const json_t *box = json_object_get(sheet, "box_mm");
    Spot corner = {json_number_value(json_array_get(box, 0)), json_number_value(json_array_get(box, 1))};
    for (int i = 0; i < cut->part_count; i++) {
        const ReadPart *part = &cut->parts[i];
        if (part->count != 3 || measure_gap(cut->curves[part->first].p[0], corner) > 3.1) continue;
        edit_shift(cut, part->first, part->count, 0.05, 0.0);
        edit_set_drawing(kit, sheet, &drawing, NULL);
        expect(expected, "corner-mark-wrong", edit_text(sheet, "id"));
        return true;
    }
    return false;
}

static bool fill_changed(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *sheet = any_item(kit, rng, "sheets");
    ReadDrawing drawing = edit_drawing(kit, sheet);
    const char *fill = rng_below(rng, 2) ? "#ffffff" : "#000001";
    for (int i = 0; i < drawing.object_count; i++)
        if (drawing.objects[i].line == READ_CUT) strcpy(drawing.objects[i].fill, fill);
    edit_set_drawing(kit, sheet, &drawing, NULL);
    expect(expected, "colour-wrong", first_of_file(kit, sheet));
    return true;
}

static bool page_resized(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *sheet = any_item(kit, rng, "sheets");
    ReadDrawing drawing = edit_drawing(kit, sheet);
    if (rng_below(rng, 2))
        drawing.width_mm += 0.1;
    else
        drawing.view[0] += 0.1;
    edit_set_drawing(kit, sheet, &drawing, NULL);
    expect(expected, "page-size-wrong", first_of_file(kit, sheet));
    return true;
}

static bool stroke_not_drawn(EditKit *kit, Rng *rng, Expected *expected)
{
    OnSheet on = any_piece(kit, rng);
    json_t *marks = json_object_get(on.piece, "marks");
    if (json_array_size(marks) == 0) return false;
    json_t *mark = json_array_get(marks, rng_below(rng, (uint32_t)json_array_size(marks)));
    ReadPath path = edit_path(kit, mark, "path");
    for (int line = READ_CUT; line < READ_LINES; line++) {
        if (strcmp(edit_text(mark, "line"), read_line_name((ReadLine)line)) != 0 || !on.drawing.there[line]) continue;
        int part = edit_find_part(&on.drawing.paths[line], &path, 0, on.to_sheet);
        if (part < 0 || on.drawing.paths[line].part_count < 2) return false;
        edit_drop_part(&on.drawing.paths[line], part);
        edit_set_drawing(kit, on.sheet, &on.drawing, NULL);
        expect(expected, "mark-differs", edit_text(on.piece, "id"));
        return true;
    }
    return false;
}

static bool path_added(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *sheet = any_item(kit, rng, "sheets");
    ReadDrawing drawing = edit_drawing(kit, sheet);
    ReadPath *cut = &drawing.paths[READ_CUT];
    double x = 40.0 + 60.0 * rng_unit(rng), y = 40.0 + 60.0 * rng_unit(rng);
    Text data = text_make(kit->arena);
    text_printf(&data, "M %d %d L %d %d L %d %d Z", (int)x, (int)y, (int)x + 1, (int)y, (int)x, (int)y + 2);
    ReadPath more = edit_parse(kit->arena, data.bytes);
    edit_append(cut, &more, 0.0, cut->parts[0].object, kit->arena);
    edit_set_drawing(kit, sheet, &drawing, NULL);
    expect(expected, "sheet-extra-path", edit_text(sheet, "id"));
    return true;
}

static void replace(EditKit *kit, const json_t *sheet, const char *what, const char *with)
{
    const FileBytes *file = file_find(&kit->files, edit_text(sheet, "file"));
    const char *at = memmem(file->bytes, file->size_bytes, what, strlen(what));
    Text text = text_make(kit->arena);
    size_t before = (size_t)(at - file->bytes);
    text_add_bytes(&text, file->bytes, before);
    text_add(&text, with);
    text_add_bytes(&text, at + strlen(what), file->size_bytes - before - strlen(what));
    edit_put(kit, file->name, text.bytes, text.size_bytes);
}

static bool path_transformed(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *sheet = any_item(kit, rng, "sheets");
    static const char *const with[] = {"<path transform=\"scale(1.001)\" ", "<path style=\"display:none\" ",
                                       "<path class=\"x\" ", "<path display=\"none\" "};
    replace(kit, sheet, "<path ", with[rng_below(rng, 4)]);
    expect(expected, "sheet-unreadable", first_of_file(kit, sheet));
    return true;
}

static bool sheet_cut_short(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *sheet = any_item(kit, rng, "sheets");
    const FileBytes *file = file_find(&kit->files, edit_text(sheet, "file"));
    edit_put(kit, file->name, file->bytes, rng_below(rng, (uint32_t)file->size_bytes - 8));
    expect(expected, "sheet-unreadable", first_of_file(kit, sheet));
    return true;
}

// Moves a piece in kit.json and on its sheet alike, so that both agree.
static bool move_piece(EditKit *kit, OnSheet *on, double dx, double dy)
{
    for (int i = 0; i < on->outline.part_count; i++) {
        ReadPart *part = drawn_part(on, i);
        if (!part) return false;
        part->closed = false; // so that it is not found again
    }
    for (int i = 0; i < on->drawing.paths[READ_CUT].part_count; i++) {
        ReadPart *part = &on->drawing.paths[READ_CUT].parts[i];
        if (part->closed) continue;
        part->closed = true;
        edit_shift(&on->drawing.paths[READ_CUT], part->first, part->count, dx, dy);
    }
    json_t *list = json_object_get(on->piece, "to_sheet");
    json_array_set_new(list, 4, json_real(round((on->to_sheet[4] + dx) * 1e9) / 1e9));
    json_array_set_new(list, 5, json_real(round((on->to_sheet[5] + dy) * 1e9) / 1e9));
    edit_set_drawing(kit, on->sheet, &on->drawing, NULL);
    return true;
}

static bool gap_violated(EditKit *kit, Rng *rng, Expected *expected)
{
    OnSheet on = any_piece(kit, rng);
    json_t *other = any_item(kit, rng, "pieces");
    if (other == on.piece || strcmp(edit_text(other, "sheet"), edit_text(on.piece, "sheet")) != 0) return false;
    int count;
    bool first = false;
    edit_list(kit, "pieces", &count);
    for (int i = 0; i < count; i++) {
        if (edit_item(kit, "pieces", i) == on.piece) first = true;
        if (edit_item(kit, "pieces", i) == other) break;
    }
    double to_sheet[6];
    edit_to_sheet(other, to_sheet);
    ReadPath path = edit_path(kit, other, "outline");
    Spot a = measure_moved(on.outline.curves[0].p[0], on.to_sheet), b = measure_moved(path.curves[0].p[0], to_sheet);
    if (!move_piece(kit, &on, round((b.x - a.x) * 1000.0) / 1000.0 + 1.0, round((b.y - a.y) * 1000.0) / 1000.0))
        return false;
    char where[64];
    snprintf(where, sizeof where, "%s+%s", edit_text(first ? on.piece : other, "id"),
             edit_text(first ? other : on.piece, "id"));
    expect(expected, "gap-too-small", where);
    return true;
}

static bool piece_off_sheet(EditKit *kit, Rng *rng, Expected *expected)
{
    OnSheet on = any_piece(kit, rng);
    const json_t *box = json_object_get(on.sheet, "box_mm");
    Spot least = {INFINITY, INFINITY};
    for (int i = 0; i < on.outline.curve_count; i++) {
        Spot p = measure_moved(on.outline.curves[i].p[0], on.to_sheet);
        least = (Spot){fmin(least.x, p.x), fmin(least.y, p.y)};
    }
    bool sideways = rng_below(rng, 2);
    double dx = sideways ? json_number_value(json_array_get(box, 0)) - least.x - 0.1 : 0.0;
    double dy = sideways ? 0.0 : json_number_value(json_array_get(box, 1)) - least.y - 0.1;
    if (!move_piece(kit, &on, round(dx * 1000.0) / 1000.0, round(dy * 1000.0) / 1000.0)) return false;
    expect(expected, "piece-off-sheet", edit_text(on.piece, "id"));
    return true;
}

static bool note_moved(EditKit *kit, Rng *rng, Expected *expected)
{
    int count;
    edit_list(kit, "sheets", &count);
    uint32_t from = rng_below(rng, (uint32_t)count);
    json_t *sheet = NULL, *note = NULL;
    for (int i = 0; i < count && !note; i++) { // few sheets have any
        sheet = edit_item(kit, "sheets", (int)((from + (uint32_t)i) % (uint32_t)count));
        note = json_array_get(json_object_get(sheet, "notes"), 0);
    }
    if (!note) return false;
    ReadPath path = edit_path(kit, note, "path");
    edit_shift(&path, 0, path.curve_count, 0.1, 0.1);
    edit_set_path(note, "path", &path, kit->arena);
    expect(expected, "note-differs", edit_text(sheet, "id"));
    return true;
}

static bool sheet_renamed(EditKit *kit, Rng *rng, Expected *expected)
{
    json_t *sheet = any_item(kit, rng, "sheets");
    FileBytes file = *file_find(&kit->files, edit_text(sheet, "file"));
    char name[256];
    int count;
    snprintf(name, sizeof name, "%.200s", file.name);
    char *times = strrchr(name, 'x');
    if (!times) return false;
    strcpy(times, json_object_get(sheet, "files") ? "x9.75in-cut.svg" : "x9.75in.svg");
    expect(expected, "sheet-name-wrong", first_of_file(kit, sheet));
    edit_remove(kit, file.name);
    edit_put(kit, name, file.bytes, file.size_bytes);
    edit_list(kit, "sheets", &count);
    for (int i = 0; i < count; i++)
        if (strcmp(edit_text(edit_item(kit, "sheets", i), "file"), file.name) == 0)
            json_object_set_new(edit_item(kit, "sheets", i), "file", json_string(name));
    if (json_object_get(sheet, "files")) json_object_set_new(json_object_get(sheet, "files"), "cut", json_string(name));
    return true;
}

const NamedDamage sheet_damages[] = {
    {"outline shifted on the sheet", outline_shifted},
    {"outline shrunk on the sheet", outline_shrunk},
    {"point of an outline moved on the sheet", outline_point_moved},
    {"hole not drawn", hole_not_drawn},
    {"outline drawn twice", outline_drawn_twice},
    {"two sheets swapped", sheets_swapped},
    {"corner mark moved", corner_mark_moved},
    {"fill changed", fill_changed},
    {"page resized", page_resized},
    {"stroke of a mark not drawn", stroke_not_drawn},
    {"path added to a sheet", path_added},
    {"path transformed", path_transformed},
    {"sheet cut short", sheet_cut_short},
    {"gap violated", gap_violated},
    {"piece off the sheet", piece_off_sheet},
    {"note moved", note_moved},
    {"sheet renamed", sheet_renamed},
};
const int sheet_damage_count = sizeof sheet_damages / sizeof *sheet_damages;
