// kit_edit.h - taking a kit's files apart and putting them together again, changed: for tests that damage kits and
// tests that only write them differently.
#ifndef PM_PROPERTY_KIT_EDIT_H
#define PM_PROPERTY_KIT_EDIT_H

#include "base/files.h"
#include "base/rng.h"
#include "base/text.h"
#include "proof/readback.h"

#include <jansson.h>

typedef struct EditKit {
    Arena *arena;
    FileSet files; // a list of its own; bytes are replaced, never changed
    json_t *root;  // of kit.json
} EditKit;

void edit_open(const FileSet *files, Arena *arena, EditKit *out);
void edit_close(EditKit *kit); // writes root to kit.json and frees it; files are then ready to be proved
void edit_put(EditKit *kit, const char *name, const char *bytes, size_t size_bytes); // replaces or adds
void edit_remove(EditKit *kit, const char *name);

json_t *edit_list(const EditKit *kit, const char *key, int *count);
json_t *edit_item(const EditKit *kit, const char *key, int index);
const char *edit_text(const json_t *object, const char *key);
double edit_number(const json_t *object, const char *key);

ReadPath edit_parse(Arena *arena, const char *data);
ReadPath edit_path(const EditKit *kit, const json_t *object, const char *key);
void edit_set_path(json_t *object, const char *key, const ReadPath *path, Arena *arena);
void edit_shift(ReadPath *path, int first, int count, double dx, double dy);

// How numbers and paths are written: a style is drawn anew for each number when rng is given.
void edit_add_number(Text *text, double value, Rng *rng, bool in_json);
void edit_add_path(Text *text, const ReadPath *path, Rng *rng);

// A sheet's drawing in its own millimetres, from whatever files it lies in, and the same put back in plain form.
ReadDrawing edit_drawing(const EditKit *kit, const json_t *sheet);
void edit_set_drawing(EditKit *kit, const json_t *sheet, const ReadDrawing *drawing, Rng *rng);

// The index of the drawn part that is part `part` of a path moved to the sheet; -1 when there is none.
int edit_find_part(const ReadPath *drawn, const ReadPath *path, int part, const double to_sheet[6]);
void edit_to_sheet(const json_t *piece, double out[6]);
// Adds a path's parts, moved by dx, as parts of that object.
void edit_append(ReadPath *to, const ReadPath *from, double dx, int object, Arena *arena);
bool edit_has_form(const EditKit *kit, const char *form); // its sheets are parted into files so
void edit_drop_part(ReadPath *path, int part);

// kit.json written with other blanks, key order, number formats, path formats and unknown keys.
void edit_rewrite_json(EditKit *kit, Rng *rng);

// Reads the kits to be tested: the sample, first with one file a sheet, then with its sheets parted into files in the other ways, then with a lap seam;
// and each kit folder below the folder in the environment variable PM_KITS.
// Returns how many; names are for messages.
#define EDIT_MAX_KITS 16
#define EDIT_SAMPLES 5
int edit_kits(Arena *arena, FileSet kits[EDIT_MAX_KITS], const char *names[EDIT_MAX_KITS]);

#endif
