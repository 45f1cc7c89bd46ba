// shelf.h - the maker's own papers (with counts, offcuts too) and cutters, in the user's data folder.
// Shape:   SQLite; a paper is kept in words as they are typed ("letter,250gsm,25 for 8.99"), with its colour.
// Errors:  as job_file.h.
#ifndef PM_STORE_SHELF_H
#define PM_STORE_SHELF_H

#include "base/text.h"
#include "separation/colour.h"

#include <stdint.h>

typedef enum ShelfKind { SHELF_PAPER, SHELF_OFFCUT, SHELF_CUTTER } ShelfKind;

typedef struct ShelfItem {
    int64_t id;
    ShelfKind kind;
    const char *words;      // "letter,250gsm" or "12x24,score": can be parsed
    const char *name;       // the maker's word for its colour, or for the cutter; may be ""
    bool has_colour;
    Srgb8 colour;
    int count;              // sheets there; -1 = not counted
} ShelfItem;

typedef struct ShelfList {
    ShelfItem *items;       // papers, offcuts, cutters; each in the order in which they came
    int count;
} ShelfList;

typedef struct Shelf Shelf;

// $XDG_DATA_HOME/papermason/shelf.sqlite, or ~/.local/share/...; made when it is not there. NULL when neither is set.
const char *shelf_usual_path(Arena *keep);
MUST_USE bool shelf_open(const char *path, Shelf **out, Error *err);
void shelf_close(Shelf *shelf);                         // NULL is fine

MUST_USE bool shelf_read(Shelf *shelf, Arena *keep, ShelfList *out, Error *err);
MUST_USE bool shelf_add(Shelf *shelf, const ShelfItem *item, int64_t *id, Error *err);     // words are parsed first
MUST_USE bool shelf_remove(Shelf *shelf, int64_t id, Error *err);                          // ERROR_JOB when it is not there
MUST_USE bool shelf_set_count(Shelf *shelf, int64_t id, int count, Error *err);

// CSV (RFC 4180), first line: kind,words,name,colour,count
MUST_USE bool shelf_write_csv(const ShelfList *list, Text *text, Error *err);
// All or nothing; *added tells how many. Errors name the line.
MUST_USE bool shelf_read_csv(Shelf *shelf, const char *bytes, size_t size_bytes, int *added, Error *err);

#endif
