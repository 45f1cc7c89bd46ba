// own_name.c - see own_name.h.
#include "kit/own_name.h"

#include <stddef.h>
#include <string.h>

static bool starts_with(const char *text, const char *with)
{
    return strncmp(text, with, strlen(with)) == 0;
}

// What follows a number such as "10.5"; NULL where there is none.
static const char *after_number(const char *at)
{
    size_t size = strspn(at, "0123456789.");
    return size > 0 ? at + size : NULL;
}

// What follows "-48in" in a name; NULL when it has no such part.
static const char *after_height(const char *name)
{
    for (const char *dash = strchr(name, '-'); dash; dash = strchr(dash + 1, '-')) {
        const char *unit = after_number(dash + 1);
        if (unit && starts_with(unit, "in-")) return unit + 2;
    }
    return NULL;
}

// "-8x10.5in", then the name's end or more of our words.
static bool has_box(const char *name)
{
    for (const char *dash = strchr(name, '-'); dash; dash = strchr(dash + 1, '-')) {
        const char *by = after_number(dash + 1);
        const char *unit = by && *by == 'x' ? after_number(by + 1) : NULL;
        if (unit && (starts_with(unit, "in.") || starts_with(unit, "in-"))) return true;
    }
    return false;
}

// "-print-letter.pdf": the sheets of a paper to be printed.
static bool is_print(const char *name)
{
    size_t size = strlen(name);
    return strstr(name, "-print-") && size > 4 && strcmp(name + size - 4, ".pdf") == 0;
}

bool kit_owns_name(const char *name)
{
    static const char *const fixed[] = {"READ-ME-FIRST.txt", "backing-board.pdf", "guide.html", "guide.pdf",
                                        "key-plan.svg",      "kit.json",   "proof.txt"};
    static const char sheets[] = KIT_SHEETS_FOLDER "/", test[] = "00-test-";
    for (size_t i = 0; i < sizeof fixed / sizeof *fixed; i++)
        if (strcmp(name, fixed[i]) == 0) return true;
    if (!starts_with(name, sheets)) return false;
    const char *sheet = name + strlen(sheets);
    if (strchr(sheet, '/')) return false;
    if (starts_with(sheet, test)) return has_box(sheet);
    const char *rest = after_height(sheet);
    return rest && (has_box(rest) || is_print(rest));
}
