// place_lines.c - see place_lines.h.
#include "desk/place_lines.h"

#include "base/write_json.h"
#include "store/in_hand.h"

#include <math.h>
#include <string.h>

#define FRACTION_DECIMALS 7     // far below a micrometre on anything that is cut
#define PLACE_FARTHEST_MM 1e6

typedef struct Frame { double left_mm, top_mm, height_mm; } Frame;

static bool find_frame(Desk *desk, Frame *out, Error *err)
{
    Shown *shown = table_take_shown(desk);
    bool known = shown && shown->level != SHOWN_COLOURS && shown->figure_mm[2] > 0.0;
    if (known) *out = (Frame){shown->figure_mm[0], shown->figure_mm[1], shown->figure_mm[2]};
    table_give_back(desk, shown);
    return known || error_set(err, ERROR_JOB, "it is not known yet where things lie; try again in a moment");
}

static bool write_place(const json_t *value, const Frame *frame, JsonWriter *json, Error *err)
{
    double x = json_number_value(json_array_get(value, 0)), y = json_number_value(json_array_get(value, 1));
    bool fine = json_array_size(value) == 2 && json_is_number(json_array_get(value, 0)) && json_is_number(json_array_get(value, 1)) &&
                fabs(x) <= PLACE_FARTHEST_MM && fabs(y) <= PLACE_FARTHEST_MM;
    if (!fine) return error_set(err, ERROR_USAGE, "a place should be [right, down] in millimetres");
    write_json_list_inline(json);
    write_json_number(json, (x - frame->left_mm) / frame->height_mm, FRACTION_DECIMALS);
    write_json_number(json, (y - frame->top_mm) / frame->height_mm, FRACTION_DECIMALS);
    write_json_end(json);
    return true;
}

static bool write_places(const json_t *value, const Frame *frame, JsonWriter *json, Error *err)
{
    if (!json_is_array(value)) return error_set(err, ERROR_USAGE, "places should be a list of [right, down] in millimetres");
    if (json_array_size(value) > EDIT_MOST_POINTS) return error_set(err, ERROR_USAGE, "a line has at most %d points", EDIT_MOST_POINTS);
    write_json_list_inline(json);
    for (size_t i = 0; i < json_array_size(value); i++)
        if (!write_place(json_array_get(value, i), frame, json, err)) return false;
    write_json_end(json);
    return true;
}

// Any value of a line, as it came: depths of its places are two at most.
static bool write_value(const json_t *value, int depth, JsonWriter *json, Error *err)
{
    if (json_is_string(value)) {
        if (strlen(json_string_value(value)) != json_string_length(value))
            return error_set(err, ERROR_USAGE, "a text of a line has a zero byte in it");
        write_json_string(json, json_string_value(value));
    }
    else if (json_is_number(value) && fabs(json_number_value(value)) < 1e9) write_json_number(json, json_number_value(value), 9);
    else if (json_is_boolean(value)) write_json_bool(json, json_is_true(value));
    else if (json_is_null(value)) write_json_null(json);
    else if (json_is_array(value) && depth < 3) {
        write_json_list_inline(json);
        for (size_t i = 0; i < json_array_size(value); i++)
            if (!write_value(json_array_get(value, i), depth + 1, json, err)) return false;
        write_json_end(json);
    } else {
        return error_set(err, ERROR_USAGE, "a line has a value that none can have");
    }
    return true;
}

static bool ends_in_mm(const char *key, char out[24])
{
    static const char *const KEYS[] = {"at", "points", "from"};
    for (size_t i = 0; i < sizeof KEYS / sizeof KEYS[0]; i++) {
        size_t size = strlen(KEYS[i]);
        if (strncmp(key, KEYS[i], size) != 0 || strcmp(key + size, "_mm") != 0) continue;
        memcpy(out, KEYS[i], size + 1);
        return true;
    }
    return false;
}

static bool is_shelf(const json_t *line, const char *key, const json_t *value)
{
    const char *edit = json_string_value(json_object_get(line, "edit")), *word = json_string_value(value);
    return edit && word && strcmp(edit, "match") == 0 && strcmp(key, "colours") == 0 && strcmp(word, "shelf") == 0;
}

// The papers of the shelf are written out, so that the job stays what it is when the shelf changes.
static bool write_shelf_papers(const Desk *desk, JsonWriter *json, Error *err)
{
    NamedColour papers[EDIT_MOST_PAPERS];
    int count;
    char hex[8];
    if (!shelf_in_hand(&desk->shelf_list, papers, &count, err)) return false;
    write_json_list(json);
    for (int i = 0; i < count; i++) {
        write_json_object(json);
        write_json_key_string(json, "colour", (colour_hex(papers[i].colour, hex), hex));
        write_json_key_string(json, "name", papers[i].name);
        write_json_end(json);
    }
    write_json_end(json);
    return true;
}

bool place_lines(Desk *desk, const json_t *line, Arena *arena, const char **out, Error *err)
{
    Text text = text_make(arena);
    JsonWriter json = write_json_make(&text);
    Frame frame = {0};
    const char *key;
    json_t *value;
    write_json_object(&json);
    json_object_foreach((json_t *)line, key, value) {
        char plain[24];
        bool is_mm = ends_in_mm(key, plain);
        if (is_mm && frame.height_mm == 0.0 && !find_frame(desk, &frame, err)) return false;
        write_json_key(&json, is_mm ? plain : key);
        bool done = is_shelf(line, key, value) ? write_shelf_papers(desk, &json, err)
                    : !is_mm                   ? write_value(value, 0, &json, err)
                    : strcmp(plain, "at") == 0 ? write_place(value, &frame, &json, err)
                                               : write_places(value, &frame, &json, err);
        if (!done) return false;
    }
    write_json_end(&json);
    *out = text.bytes;
    return text_is_whole(&text, err);
}
