// carry.h - what lies in a kit's folder and is not the kit's own: it outlives the kit.
// Order:   a new kit takes the old one's place first, whole; then what is the maker's moves over, a name at a time; then
//          what is the kit's own in the old folder is removed, and the folder when it is empty. Whenever this is
//          cut short, each of the maker's files lies in one of the two folders, and the next build goes on with it.
// Own:     plain files with a name of the kit's (kit/own_name.h). Anything else, folders too, is the maker's.
#ifndef PM_APP_CARRY_H
#define PM_APP_CARRY_H

#include "base/error.h"

#include <stdbool.h>

#define CARRY_NAME_MAX 512

// Moves the maker's own from one folder to the other. What is there already stays where it was, and so does what the
// disk refuses: then false, with one such name.
bool carry_over(int from, int to, char stays[CARRY_NAME_MAX]);

// Whether all of the maker's own would find its name free in the other folder; else false, with one that does not.
bool carry_would_fit(int from, int to, char stays[CARRY_NAME_MAX]);

// Removes the kit's own from the folder `name`, and then the folder when nothing else is in it.
void carry_remove_kit(int parent, const char *name);

#endif
