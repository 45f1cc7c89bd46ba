// read_drawing.c - an SVG for the cutter; see readback.h.
#include "proof/read_xml.h"
#include "proof/readback.h"

#include "base/text.h"

#include <string.h>

static const char *const element_attributes[] = {
    "id",      "d",     "fill",   "stroke",  "fill-rule", "stroke-width", "stroke-linecap", "stroke-linejoin", "xmlns",
    "version", "width", "height", "viewBox", "xml:space", NULL,
};

const char *read_line_name(ReadLine line)
{
    switch (line) {
    case READ_CUT:
        return "cut";
    case READ_SCORE:
        return "score";
    case READ_PEN:
        return "pen";
    case READ_LINES:
        break;
    }
    return "?";
}

typedef struct Canvas {
    XmlReader xml;
    ReadDrawing *drawing;
    Arena *arena;
    int group;     // the line kind whose group is open, or -1
    bool is_inner; // a group within it is open
    char inner[40];
    int paths_in_group, paths_in_inner;
    ReadPath *paths; // of each object
    size_t object_capacity, path_capacity;
    const char *problem;
} Canvas;

static bool read_mm(const XmlText *text, double *out)
{
    if (!text) return false;
    const char *at = text->at, *end = text->at + text->size_bytes;
    return read_number(&at, end, out) && end - at == 2 && memcmp(at, "mm", 2) == 0 && *out > 0.0 && *out <= READ_MAX_MM;
}

static bool read_view(const XmlText *text, double view[4])
{
    if (!text) return false;
    const char *at = text->at, *end = text->at + text->size_bytes;
    for (int i = 0; i < 4; i++) {
        while (at < end && (*at == ' ' || *at == ',')) at++;
        if (!read_number(&at, end, &view[i])) return false;
    }
    return at == end;
}

static const char *open_svg(Canvas *c)
{
    if (!read_mm(xml_attribute(&c->xml, "width"), &c->drawing->width_mm) ||
        !read_mm(xml_attribute(&c->xml, "height"), &c->drawing->height_mm))
        return "width and height should be in mm";
    if (!read_view(xml_attribute(&c->xml, "viewBox"), c->drawing->view)) return "the viewBox should be four numbers";
    return NULL;
}

static void take_style(const XmlReader *xml, const char *name, char out[24])
{
    const XmlText *value = xml_attribute(xml, name);
    if (!value) return;
    size_t n = value->size_bytes < 23 ? value->size_bytes : 23;
    memcpy(out, value->at, n);
    out[n] = '\0';
}

static const char *open_inner(Canvas *c, const XmlText *id)
{
    if (c->is_inner) return "groups should not be nested deeper";
    if (!id || id->size_bytes == 0 || id->size_bytes >= sizeof c->inner) return "a group within a group should have an id";
    memcpy(c->inner, id->at, id->size_bytes);
    c->inner[id->size_bytes] = '\0';
    c->is_inner = true;
    c->paths_in_inner = 0;
    return NULL;
}

static const char *open_group(Canvas *c)
{
    const XmlText *id = xml_attribute(&c->xml, "id");
    if (xml_attribute(&c->xml, "fill") || xml_attribute(&c->xml, "stroke")) return "a group should have no style of its own";
    if (c->group >= 0) return open_inner(c, id);
    for (int line = 0; id && line < READ_LINES; line++) {
        if (!xml_is(*id, read_line_name((ReadLine)line))) continue;
        if (c->drawing->there[line]) return "a group is there twice";
        c->drawing->there[line] = true;
        c->group = line;
        c->paths_in_group = 0;
        return NULL;
    }
    return "a group's id should be cut, score or pen";
}

static const char *close_group(Canvas *c)
{
    if (c->is_inner ? c->paths_in_inner == 0 : c->paths_in_group == 0) return "a group is empty";
    if (c->is_inner)
        c->is_inner = false;
    else
        c->group = -1;
    return NULL;
}

static bool add_object(Canvas *c, const XmlText *data, Error *err)
{
    ReadDrawing *d = c->drawing;
    size_t count = (size_t)d->object_count;
    d->objects = arena_grow(c->arena, d->objects, count, &c->object_capacity, sizeof *d->objects);
    c->paths = arena_grow(c->arena, c->paths, count, &c->path_capacity, sizeof *c->paths);
    if (!d->objects || !c->paths) return error_memory(err);
    ReadObject *object = &d->objects[count];
    *object = (ReadObject){.line = (ReadLine)c->group};
    if (c->is_inner) memcpy(object->group, c->inner, sizeof c->inner);
    take_style(&c->xml, "fill", object->fill);
    take_style(&c->xml, "stroke", object->stroke);
    take_style(&c->xml, "fill-rule", object->rule);
    take_style(&c->xml, "stroke-width", object->stroke_width);
    d->object_count++;
    c->paths_in_group++;
    c->paths_in_inner++;
    return read_path(data->at, data->size_bytes, READ_ENDS_ANY, c->arena, &c->paths[count], &c->problem, err);
}

static bool open_path(Canvas *c, Error *err)
{
    const XmlText *data = xml_attribute(&c->xml, "d");
    if (c->group < 0)
        c->problem = "a path lies outside the groups";
    else if (c->drawing->object_count >= READ_MAX_ITEMS)
        c->problem = "there are too many paths";
    else if (!data)
        c->problem = "a path has no data";
    return c->problem ? true : add_object(c, data, err);
}

// The paths of one line kind as one.
static bool join_paths(Canvas *c, ReadLine line, Error *err)
{
    ReadPath *all = &c->drawing->paths[line];
    size_t curves = 0, parts = 0;
    for (int i = 0; i < c->drawing->object_count; i++) {
        if (c->drawing->objects[i].line != line) continue;
        curves += (size_t)c->paths[i].curve_count;
        parts += (size_t)c->paths[i].part_count;
    }
    *all = (ReadPath){.curves = arena_new(c->arena, ReadCurve, curves), .parts = arena_new(c->arena, ReadPart, parts)};
    if (!all->curves || !all->parts) return error_memory(err);
    for (int i = 0; i < c->drawing->object_count; i++) {
        const ReadPath *path = &c->paths[i];
        if (c->drawing->objects[i].line != line) continue;
        memcpy(all->curves + all->curve_count, path->curves, (size_t)path->curve_count * sizeof *path->curves);
        for (int k = 0; k < path->part_count; k++) {
            ReadPart part = path->parts[k];
            part.first += all->curve_count;
            part.object = i;
            all->parts[all->part_count++] = part;
        }
        all->curve_count += path->curve_count;
    }
    return true;
}

// Anything that could move, hide or clip a path (transform, style, class ...) is refused by not being in the list.
static const char *check_attributes(const XmlReader *xml)
{
    for (int i = 0; i < xml->attribute_count; i++) {
        bool known = false;
        for (int k = 0; element_attributes[k] && !known; k++)
            known = xml_is(xml->attributes[i].name, element_attributes[k]);
        if (!known) return "an attribute is none of ours";
    }
    return NULL;
}

static bool open_element(Canvas *c, Error *err)
{
    c->problem = check_attributes(&c->xml);
    if (c->problem) return true;
    if (c->xml.depth == 1) {
        c->problem = xml_is(c->xml.name, "svg") ? open_svg(c) : "the outermost element should be svg";
        return true;
    }
    if (xml_is(c->xml.name, "title")) return true;
    if (xml_is(c->xml.name, "g"))
        c->problem = open_group(c);
    else if (xml_is(c->xml.name, "path"))
        return open_path(c, err);
    else
        c->problem = "only svg, title, g and path are allowed";
    return true;
}

bool read_drawing(const FileBytes *file, Arena *arena, Faults *faults, const char *where, bool *good, ReadDrawing *out,
                  Error *err)
{
    *out = (ReadDrawing){0};
    *good = false;
    Canvas c = {.xml = xml_make(file->bytes, file->size_bytes), .drawing = out, .arena = arena, .group = -1};
    if (file->size_bytes > READ_MAX_FILE_BYTES)
        c.problem = "the file is too large";
    else if (!text_is_utf8(file->bytes, file->size_bytes))
        c.problem = "the file is not UTF-8";
    for (bool in_title = false; !c.problem;) {
        XmlToken token = xml_next(&c.xml);
        if (token == XML_DONE) break;
        if (token == XML_WRONG) c.problem = c.xml.problem;
        if (token == XML_START) {
            if (in_title)
                c.problem = "a title should hold text only";
            else if (!open_element(&c, err))
                return false;
            in_title = xml_is(c.xml.name, "title");
        } else if (token == XML_END) {
            in_title = false;
            if (xml_is(c.xml.name, "g")) c.problem = close_group(&c);
        } else if (token == XML_CHARACTERS && !c.xml.only_blanks && !in_title) {
            c.problem = "there is text outside the title";
        }
    }
    if (!c.problem && out->object_count == 0) c.problem = "nothing is drawn";
    for (int line = 0; line < READ_LINES && !c.problem; line++)
        if (!join_paths(&c, (ReadLine)line, err)) return false;
    if (c.problem) fault_add(faults, "sheet-unreadable", where, 0, 0, "%s: %s", file->name, c.problem);
    *good = !c.problem;
    return true;
}

bool read_is_svg(const FileBytes *file, const char **problem)
{
    XmlReader xml = xml_make(file->bytes, file->size_bytes);
    *problem = NULL;
    if (file->size_bytes > READ_MAX_FILE_BYTES)
        *problem = "the file is too large";
    else if (!text_is_utf8(file->bytes, file->size_bytes))
        *problem = "the file is not UTF-8";
    for (bool first = true; !*problem;) {
        XmlToken token = xml_next(&xml);
        if (token == XML_DONE) return true;
        if (token == XML_WRONG) *problem = xml.problem;
        if (token == XML_START && first && !xml_is(xml.name, "svg")) *problem = "the outermost element should be svg";
        if (token == XML_START) first = false;
    }
    return false;
}
