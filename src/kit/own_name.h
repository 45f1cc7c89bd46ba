// own_name.h - which names in a kit's folder are the kit's own; all others are the maker's.
// Who adds a file to the kit makes its name known here: else a newer kit would carry the old file over as the maker's.
#ifndef PM_KIT_OWN_NAME_H
#define PM_KIT_OWN_NAME_H

#include <stdbool.h>

#define KIT_SHEETS_FOLDER "sheets" // the only folder in a kit

// `name` is relative to the kit's folder. True for the fixed names, and in sheets/ for what has the height and the drawn
// box in its name, or is a test sheet with its box, whatever its format.
bool kit_owns_name(const char *name);

#endif
