// kit_edit.c - see kit_edit.h.
#include "kit_edit.h"

#include "support/sample_kit.h"

#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// Tests stop at once when their own tools fail.
static void *must(void *pointer)
{
    if (!pointer) {
        fprintf(stderr, "kit_edit: out of memory, or a kit that cannot be taken apart\n");
        abort();
    }
    return pointer;
}

void edit_open(const FileSet *files, Arena *arena, EditKit *out)
{
    *out = (EditKit){.arena = arena, .files = {.count = files->count}};
    out->files.items = must(arena_new(arena, FileBytes, files->count + 4));
    memcpy(out->files.items, files->items, (size_t)files->count * sizeof *files->items);
    const FileBytes *json = must((void *)file_find(files, "kit.json"));
    out->root = must(json_loadb(json->bytes, json->size_bytes, 0, NULL));
}

void edit_put(EditKit *kit, const char *name, const char *bytes, size_t size_bytes)
{
    FileBytes *file = (FileBytes *)file_find(&kit->files, name);
    if (!file) file = &kit->files.items[kit->files.count++];
    *file =
        (FileBytes){must(arena_text(kit->arena, name)), must(arena_copy(kit->arena, bytes, size_bytes, 1)), size_bytes};
    files_sort(&kit->files);
}

void edit_remove(EditKit *kit, const char *name)
{
    for (int i = 0; i < kit->files.count; i++)
        if (strcmp(kit->files.items[i].name, name) == 0) {
            memmove(&kit->files.items[i], &kit->files.items[i + 1],
                    (size_t)(kit->files.count - i - 1) * sizeof(FileBytes));
            kit->files.count--;
            return;
        }
}

void edit_close(EditKit *kit)
{
    if (!kit->root) return;
    char *text = must(json_dumps(kit->root, JSON_INDENT(1) | JSON_PRESERVE_ORDER | JSON_REAL_PRECISION(15)));
    edit_put(kit, "kit.json", text, strlen(text));
    free(text);
    json_decref(kit->root);
    kit->root = NULL;
}

json_t *edit_list(const EditKit *kit, const char *key, int *count)
{
    json_t *list = must(json_object_get(kit->root, key));
    *count = (int)json_array_size(list);
    return list;
}

json_t *edit_item(const EditKit *kit, const char *key, int index)
{
    int count;
    return must(json_array_get(edit_list(kit, key, &count), (size_t)index));
}

const char *edit_text(const json_t *object, const char *key)
{
    return must((void *)json_string_value(json_object_get(object, key)));
}

double edit_number(const json_t *object, const char *key)
{
    return json_number_value(json_object_get(object, key));
}

ReadPath edit_parse(Arena *arena, const char *data)
{
    ReadPath path;
    const char *problem = NULL;
    Error err;
    if (!read_path(data, strlen(data), READ_ENDS_ANY, arena, &path, &problem, &err) || problem) must(NULL);
    return path;
}

ReadPath edit_path(const EditKit *kit, const json_t *object, const char *key)
{
    return edit_parse(kit->arena, edit_text(object, key));
}

void edit_set_path(json_t *object, const char *key, const ReadPath *path, Arena *arena)
{
    Text text = text_make(arena);
    edit_add_path(&text, path, NULL);
    json_object_set_new(object, key, json_string(text.bytes));
}

void edit_shift(ReadPath *path, int first, int count, double dx, double dy)
{
    for (int i = first; i < first + count; i++)
        for (int k = 0; k < 4; k++) {
            path->curves[i].p[k].x += dx;
            path->curves[i].p[k].y += dy;
        }
}

void edit_add_number(Text *text, double value, Rng *rng, bool in_json)
{
    char plain[64], out[96] = "";
    snprintf(plain, sizeof plain, "%.9f", value == 0.0 ? 0.0 : value);
    size_t n = strlen(plain);
    while (plain[n - 1] == '0') plain[--n] = '\0';
    bool whole = plain[n - 1] == '.';
    if (whole) plain[--n] = '\0';
    if (strcmp(plain, "-0") == 0) strcpy(plain, "0");
    int style = rng ? (int)rng_below(rng, 5) : 0;
    char *point = strchr(plain, '.');
    if (style == 1)
        snprintf(out, sizeof out, "%s%s", plain, whole ? ".000" : "00");
    else if (style == 2 && point) { // 12.5 -> 125e-1, without leading zeros for JSON's sake
        char digits[64];
        size_t k = 0, decimals = strlen(point + 1);
        const char *from = plain + (plain[0] == '-');
        for (; *from; from++)
            if (*from != '.' && (k > 0 || *from != '0')) digits[k++] = *from;
        digits[k] = '\0';
        snprintf(out, sizeof out, "%s%s%s%zu", plain[0] == '-' ? "-" : "", digits, rng_below(rng, 2) ? "e-" : "E-0",
                 decimals);
    } else if (style == 3 && !in_json && plain[0] == '0' && point)
        snprintf(out, sizeof out, "%s", plain + 1);
    else if (style == 4 && !in_json && plain[0] != '-')
        snprintf(out, sizeof out, "+%s", plain);
    else
        snprintf(out, sizeof out, "%s", plain);
    text_add(text, out);
}

static void add_blank(Text *text, Rng *rng)
{
    static const char *const blanks[] = {" ", "\n", "  ", "\t", ",", " , "};
    text_add(text, rng ? blanks[rng_below(rng, 6)] : " ");
}

static void add_spot(Text *text, Spot p, Rng *rng)
{
    edit_add_number(text, p.x, rng, false);
    add_blank(text, rng);
    edit_add_number(text, p.y, rng, false);
}

void edit_add_path(Text *text, const ReadPath *path, Rng *rng)
{
    for (int k = 0; k < path->part_count; k++) {
        const ReadPart *part = &path->parts[k];
        const ReadCurve *first = &path->curves[part->first];
        text_add(text, k ? " M" : "M");
        add_spot(text, first->p[0], rng);
        for (int i = 0; i < part->count; i++) {
            const ReadCurve *c = &first[i];
            bool closes = part->closed && i + 1 == part->count && c->is_line && !(rng && rng_below(rng, 2));
            if (closes) break; // Z draws it, or it is written as well
            text_add(text, c->is_line ? " L" : " C");
            for (int p = c->is_line ? 3 : 1; p < 4; p++) {
                if (p > (c->is_line ? 3 : 1)) add_blank(text, rng);
                add_spot(text, c->p[p], rng);
            }
        }
        if (part->closed) text_add(text, rng && rng_below(rng, 2) ? "\nZ" : " Z");
    }
}

bool edit_has_form(const EditKit *kit, const char *form)
{
    const json_t *word = json_object_get(kit->root, "sheets_for");
    return strcmp(word ? json_string_value(word) : "sheet", form) == 0;
}

static ReadDrawing read_file(const EditKit *kit, const char *name)
{
    ReadDrawing drawing;
    Faults faults;
    bool good = false;
    Error err;
    if (!faults_make(kit->arena, &faults, &err) ||
        !read_drawing(must((void *)file_find(&kit->files, name)), kit->arena, &faults, "sheet", &good, &drawing, &err) ||
        !good)
        must(NULL);
    return drawing;
}

// The parts between `low` and `high` in x (of their first point), moved by -low.
static void take_column(ReadPath *path, double low, double high)
{
    int kept = 0;
    for (int i = 0; i < path->part_count; i++) {
        double x = path->curves[path->parts[i].first].p[0].x;
        if (x >= low && x < high) path->parts[kept++] = path->parts[i];
    }
    path->part_count = kept;
    edit_shift(path, 0, path->curve_count, -low, 0);
}

static double offset_of(const json_t *sheet)
{
    return json_number_value(json_array_get(json_object_get(sheet, "offset_mm"), 0));
}

// Of the kits at hand, sheets of one file lie beside one another.
static double page_width(const json_t *sheet)
{
    const json_t *box = json_object_get(sheet, "box_mm");
    return 2 * json_number_value(json_array_get(box, 0)) + json_number_value(json_array_get(box, 2));
}

static const char *file_of_line(const json_t *sheet, ReadLine line)
{
    return json_string_value(json_object_get(json_object_get(sheet, "files"), read_line_name(line)));
}

static ReadDrawing from_lines(const EditKit *kit, const json_t *sheet)
{
    ReadDrawing all = read_file(kit, edit_text(sheet, "file"));
    for (int line = READ_SCORE; line < READ_LINES; line++) {
        const char *name = file_of_line(sheet, (ReadLine)line);
        if (!name) continue;
        ReadDrawing one = read_file(kit, name);
        ReadObject *objects = must(arena_new(kit->arena, ReadObject, all.object_count + one.object_count));
        memcpy(objects, all.objects, (size_t)all.object_count * sizeof *objects);
        memcpy(objects + all.object_count, one.objects, (size_t)one.object_count * sizeof *objects);
        all.there[line] = true;
        all.paths[line] = one.paths[line];
        for (int i = 0; i < one.paths[line].part_count; i++) all.paths[line].parts[i].object += all.object_count;
        all.objects = objects;
        all.object_count += one.object_count;
    }
    return all;
}

ReadDrawing edit_drawing(const EditKit *kit, const json_t *sheet)
{
    if (edit_has_form(kit, "line")) return from_lines(kit, sheet);
    ReadDrawing drawing = read_file(kit, edit_text(sheet, "file"));
    if (!edit_has_form(kit, "layer")) return drawing;
    for (int line = 0; line < READ_LINES; line++)
        take_column(&drawing.paths[line], offset_of(sheet), offset_of(sheet) + page_width(sheet));
    return drawing;
}

// Attributes in any order, with either quote and any blanks.
static void add_attributes(Text *text, const char *(*list)[2], int count, Rng *rng)
{
    for (int i = 0; rng && i < count; i++) {
        int k = (int)rng_below(rng, (uint32_t)count);
        const char *name = list[i][0], *value = list[i][1];
        list[i][0] = list[k][0];
        list[i][1] = list[k][1];
        list[k][0] = name;
        list[k][1] = value;
    }
    for (int i = 0; i < count; i++) {
        const char *quote = rng && rng_below(rng, 2) ? "'" : "\"";
        text_add(text, rng && rng_below(rng, 3) == 0 ? "\n  " : " ");
        text_add(text, list[i][0]);
        text_add(text, rng && rng_below(rng, 4) == 0 ? " = " : "=");
        text_add(text, quote);
        text_add(text, list[i][1]);
        text_add(text, quote);
    }
}

static void add_comment(Text *text, Rng *rng)
{
    if (rng && rng_below(rng, 2)) text_add(text, "<!-- <path d='M 0 0 Z'/> is no path here -->\n");
}

static void add_object(Text *text, EditKit *kit, const ReadDrawing *d, int index, Rng *rng)
{
    const ReadObject *object = &d->objects[index];
    ReadPath own = d->paths[object->line];
    own.parts = must(arena_new(kit->arena, ReadPart, own.part_count));
    own.part_count = 0;
    for (int i = 0; i < d->paths[object->line].part_count; i++)
        if (d->paths[object->line].parts[i].object == index) own.parts[own.part_count++] = d->paths[object->line].parts[i];
    if (own.part_count == 0) return;
    Text data = text_make(kit->arena);
    edit_add_path(&data, &own, rng);
    const char *list[5][2] = {{"fill", object->fill}, {"d", data.bytes}};
    int count = 2;
    if (object->rule[0]) list[count][0] = "fill-rule", list[count++][1] = object->rule;
    if (object->stroke[0]) list[count][0] = "stroke", list[count++][1] = object->stroke;
    if (object->stroke_width[0]) list[count][0] = "stroke-width", list[count++][1] = object->stroke_width;
    if (object->group[0]) text_printf(text, "<g id=\"%s\">\n", object->group);
    text_add(text, "<path");
    add_attributes(text, list, count, rng);
    text_add(text, rng && rng_below(rng, 2) ? "></path>\n" : " />\n");
    if (object->group[0]) text_add(text, "</g>\n");
}

static void add_group(Text *text, EditKit *kit, const ReadDrawing *d, ReadLine line, Rng *rng)
{
    if (d->paths[line].part_count == 0) return;
    text_printf(text, "<g id=\"%s\">\n", read_line_name(line));
    add_comment(text, rng);
    for (int i = 0; i < d->object_count; i++)
        if (d->objects[i].line == line) add_object(text, kit, d, i, rng);
    text_add(text, rng && rng_below(rng, 2) ? "</g>\n" : "</g >\n");
}

static void write_file(EditKit *kit, const char *name, const ReadDrawing *d, const bool *lines, Rng *rng)
{
    Text text = text_make(kit->arena), part[3] = {text_make(kit->arena), text_make(kit->arena), text_make(kit->arena)};
    edit_add_number(&part[0], d->width_mm, rng, false);
    edit_add_number(&part[1], d->height_mm, rng, false);
    text_add(&part[0], "mm");
    text_add(&part[1], "mm");
    for (int i = 0; i < 4; i++) {
        if (i) text_add(&part[2], " ");
        edit_add_number(&part[2], d->view[i], rng, false);
    }
    const char *list[4][2] = {{"xmlns", "http://www.w3.org/2000/svg"},
                              {"width", part[0].bytes},
                              {"height", part[1].bytes},
                              {"viewBox", part[2].bytes}};
    if (rng && rng_below(rng, 2)) text_add(&text, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    add_comment(&text, rng);
    text_add(&text, "<svg");
    add_attributes(&text, list, 4, rng);
    text_add(&text, ">\n");
    if (!rng || rng_below(rng, 2)) text_add(&text, "<title>a sheet &amp; its pieces</title>\n");
    int order[3] = {READ_CUT, READ_SCORE, READ_PEN};
    for (int i = 0; rng && i < 3; i++) {
        int k = (int)rng_below(rng, 3), held = order[i];
        order[i] = order[k];
        order[k] = held;
    }
    for (int i = 0; i < 3; i++)
        if (d->there[order[i]] && lines[order[i]]) add_group(&text, kit, d, (ReadLine)order[i], rng);
    text_add(&text, "</svg>\n");
    add_comment(&text, rng);
    edit_put(kit, name, text.bytes, text.size_bytes);
}

void edit_append(ReadPath *to, const ReadPath *from, double dx, int object, Arena *arena)
{
    ReadPath all = {.curves = must(arena_new(arena, ReadCurve, to->curve_count + from->curve_count)),
                    .parts = must(arena_new(arena, ReadPart, to->part_count + from->part_count)),
                    .curve_count = to->curve_count + from->curve_count,
                    .part_count = to->part_count};
    if (to->curve_count) memcpy(all.curves, to->curves, (size_t)to->curve_count * sizeof *all.curves);
    if (from->curve_count) memcpy(all.curves + to->curve_count, from->curves, (size_t)from->curve_count * sizeof *all.curves);
    if (to->part_count) memcpy(all.parts, to->parts, (size_t)to->part_count * sizeof *all.parts);
    edit_shift(&all, to->curve_count, from->curve_count, dx, 0);
    for (int i = 0; i < from->part_count; i++) {
        all.parts[all.part_count] = from->parts[i];
        all.parts[all.part_count].first += to->curve_count;
        all.parts[all.part_count++].object = object;
    }
    *to = all;
}

// The sheets of the file as they are, but for this one.
static void set_layer(EditKit *kit, const json_t *sheet, const ReadDrawing *d, Rng *rng)
{
    static const bool all_lines[READ_LINES] = {true, true, true};
    const char *name = edit_text(sheet, "file");
    ReadDrawing file = *d;
    int count;
    for (int line = 0; line < READ_LINES; line++) file.paths[line] = (ReadPath){0};
    edit_list(kit, "sheets", &count);
    for (int i = 0; i < count; i++) {
        const json_t *other = edit_item(kit, "sheets", i);
        if (strcmp(edit_text(other, "file"), name) != 0) continue;
        ReadDrawing own = other == sheet ? *d : edit_drawing(kit, other);
        for (int object = 0; object < file.object_count; object++)
            edit_append(&file.paths[file.objects[object].line], &own.paths[file.objects[object].line], offset_of(other), object,
                   kit->arena);
    }
    write_file(kit, name, &file, all_lines, rng);
}

void edit_set_drawing(EditKit *kit, const json_t *sheet, const ReadDrawing *d, Rng *rng)
{
    static const bool all_lines[READ_LINES] = {true, true, true};
    if (edit_has_form(kit, "layer")) {
        set_layer(kit, sheet, d, rng);
        return;
    }
    if (!edit_has_form(kit, "line")) {
        write_file(kit, edit_text(sheet, "file"), d, all_lines, rng);
        return;
    }
    for (int line = 0; line < READ_LINES; line++) {
        bool only[READ_LINES] = {line == READ_CUT, line == READ_SCORE, line == READ_PEN};
        if (file_of_line(sheet, (ReadLine)line)) write_file(kit, file_of_line(sheet, (ReadLine)line), d, only, rng);
    }
}

int edit_find_part(const ReadPath *drawn, const ReadPath *path, int part, const double to_sheet[6])
{
    const ReadPart *from = &path->parts[part];
    for (int k = 0; k < drawn->part_count; k++) {
        const ReadPart *to = &drawn->parts[k];
        if (to->count != from->count || to->closed != from->closed) continue;
        bool same = true;
        for (int i = 0; i < from->count && same; i++) {
            Spot p = measure_moved(path->curves[from->first + i].p[0], to_sheet);
            double nearest = INFINITY;
            for (int j = 0; j < to->count; j++)
                nearest = fmin(nearest, fmin(measure_gap(p, drawn->curves[to->first + j].p[0]),
                                             measure_gap(p, drawn->curves[to->first + j].p[3])));
            same = nearest < 0.005;
        }
        if (same) return k;
    }
    return -1;
}

void edit_to_sheet(const json_t *piece, double out[6])
{
    for (size_t i = 0; i < 6; i++) out[i] = json_number_value(json_array_get(json_object_get(piece, "to_sheet"), i));
}

void edit_drop_part(ReadPath *path, int part)
{
    memmove(&path->parts[part], &path->parts[part + 1], (size_t)(path->part_count - part - 1) * sizeof *path->parts);
    path->part_count--;
}

static void add_gap(Text *text, Rng *rng)
{
    static const char *const gaps[] = {"", " ", "\n", "\t", "\r\n  "};
    text_add(text, gaps[rng_below(rng, 5)]);
}

static void add_quoted(Text *text, const char *string)
{
    json_t *value = json_string(string);
    char *quoted = must(json_dumps(value, JSON_ENCODE_ANY | JSON_ENSURE_ASCII));
    text_add(text, quoted);
    free(quoted);
    json_decref(value);
}

static void write_value(Text *text, const json_t *value, const char *key, Rng *rng);

static void write_object(Text *text, const json_t *object, Rng *rng)
{
    int count = (int)json_object_size(object), n = 0;
    const char **keys = must(malloc(((size_t)count + 1) * sizeof *keys));
    const char *key;
    json_t *value;
    json_object_foreach((json_t *)object, key, value) keys[n++] = key;
    for (int i = 0; i < n; i++) {
        int k = (int)rng_below(rng, (uint32_t)n);
        key = keys[i];
        keys[i] = keys[k];
        keys[k] = key;
    }
    text_add(text, "{");
    for (int i = 0; i < n; i++) {
        if (i) text_add(text, ",");
        add_gap(text, rng);
        if (i == 0 && rng_below(rng, 3) == 0)
            text_add(text, "\"x_of_later\": [null, {\"deep\": [1e3, \"\\u00e9\"]}], ");
        add_quoted(text, keys[i]);
        add_gap(text, rng);
        text_add(text, ":");
        add_gap(text, rng);
        write_value(text, json_object_get(object, keys[i]), keys[i], rng);
    }
    text_add(text, "}");
    free(keys);
}

static void write_value(Text *text, const json_t *value, const char *key, Rng *rng)
{
    bool is_path = strcmp(key, "outline") == 0 || strcmp(key, "path") == 0 || strcmp(key, "face") == 0;
    if (json_is_object(value))
        write_object(text, value, rng);
    else if (json_is_array(value)) {
        text_add(text, "[");
        for (size_t i = 0; i < json_array_size(value); i++) {
            if (i) text_add(text, ",");
            add_gap(text, rng);
            write_value(text, json_array_get(value, i), "", rng);
        }
        text_add(text, "]");
    } else if (json_is_string(value) && is_path) {
        Text data = text_make(text->arena);
        ReadPath path = edit_parse(text->arena, json_string_value(value));
        edit_add_path(&data, &path, rng);
        add_quoted(text, data.bytes);
    } else if (json_is_string(value))
        add_quoted(text, json_string_value(value));
    else if (json_is_number(value) && strcmp(key, "version") != 0)
        edit_add_number(text, json_number_value(value), rng, true);
    else {
        char *plain = must(json_dumps(value, JSON_ENCODE_ANY));
        text_add(text, plain);
        free(plain);
    }
}

void edit_rewrite_json(EditKit *kit, Rng *rng)
{
    Text text = text_make(kit->arena);
    write_value(&text, kit->root, "", rng);
    edit_put(kit, "kit.json", text.bytes, text.size_bytes);
    json_decref(kit->root);
    kit->root = NULL;
}

static void read_folder(Arena *arena, const char *folder, const char *inside, FileSet *out)
{
    char path[1024];
    snprintf(path, sizeof path, "%s/%s", folder, inside);
    DIR *dir = opendir(path);
    if (!dir) return;
    for (struct dirent *entry; (entry = readdir(dir));) {
        char name[512], whole[2048];
        if (entry->d_name[0] == '.' || out->count == 2000) continue;
        snprintf(name, sizeof name, "%s%s%.200s", inside, inside[0] ? "/" : "", entry->d_name);
        snprintf(whole, sizeof whole, "%s/%s", folder, name);
        if (!inside[0] && strcmp(entry->d_name, "sheets") == 0) {
            read_folder(arena, folder, "sheets", out);
            continue;
        }
        FILE *file = fopen(whole, "rb");
        if (!file || fseek(file, 0, SEEK_END) != 0) continue;
        long size = ftell(file);
        rewind(file);
        char *bytes = size >= 0 ? must(arena_new(arena, char, size)) : NULL;
        if (bytes && fread(bytes, 1, (size_t)size, file) == (size_t)size)
            out->items[out->count++] = (FileBytes){must(arena_text(arena, name)), bytes, (size_t)size};
        fclose(file);
    }
    closedir(dir);
}

int edit_kits(Arena *arena, FileSet kits[EDIT_MAX_KITS], const char *names[EDIT_MAX_KITS])
{
    static const char *const forms[EDIT_SAMPLES] = {"sheet", "piece", "layer", "line", "lap"};
    int count = EDIT_SAMPLES;
    for (int i = 0; i < EDIT_SAMPLES; i++) {
        if (!sample_kit_for(forms[i], arena, &kits[i])) must(NULL);
        names[i] = forms[i];
    }
    const char *folder = getenv("PM_KITS");
    struct dirent **entries = NULL;
    int n = folder ? scandir(folder, &entries, NULL, alphasort) : 0;
    for (int i = 0; i < n; i++) {
        char path[1024];
        snprintf(path, sizeof path, "%.500s/%.300s", folder, entries[i]->d_name);
        if (entries[i]->d_name[0] != '.' && count < EDIT_MAX_KITS) {
            FileSet *kit = &kits[count];
            *kit = (FileSet){.items = must(arena_new(arena, FileBytes, 2000))};
            read_folder(arena, path, "", kit);
            files_sort(kit);
            if (file_find(kit, "kit.json")) names[count++] = must(arena_text(arena, entries[i]->d_name));
        }
        free(entries[i]);
    }
    free(entries);
    return count;
}
