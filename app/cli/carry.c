// carry.c - see carry.h.
#include "carry.h"

#include "kit/own_name.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const char sheets[] = KIT_SHEETS_FOLDER "/";

typedef enum Owner { OWNER_KIT, OWNER_KIT_FOLDER, OWNER_MAKER } Owner;

static int open_folder(int parent, const char *name)
{
    return openat(parent, name, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
}

// The entries of a folder that stays open itself.
static DIR *open_entries(int folder)
{
    int own = openat(folder, ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    DIR *entries = own < 0 ? NULL : fdopendir(own);
    if (!entries && own >= 0) close(own);
    return entries;
}

static const char *next_name(DIR *entries)
{
    for (struct dirent *entry; (entry = readdir(entries));)
        if (strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0) return entry->d_name;
    return NULL;
}

static Owner owner_of(int folder, const char *prefix, const char *name, char path[CARRY_NAME_MAX])
{
    struct stat info;
    snprintf(path, CARRY_NAME_MAX, "%s%s", prefix, name);
    if (fstatat(folder, name, &info, AT_SYMLINK_NOFOLLOW) != 0) return OWNER_MAKER;
    if (S_ISDIR(info.st_mode) && strcmp(path, KIT_SHEETS_FOLDER) == 0) return OWNER_KIT_FOLDER;
    return S_ISREG(info.st_mode) && kit_owns_name(path) ? OWNER_KIT : OWNER_MAKER;
}

// What is done with a name of the maker's; false when it has to stay.
typedef bool (*Deed)(int from, int to, const char *name);

static bool is_free_name(int from, int to, const char *name)
{
    (void)from;
    return faccessat(to, name, F_OK, AT_SYMLINK_NOFOLLOW) != 0 && errno == ENOENT;
}

// Where the file system cannot refuse to replace by itself we look first.
static bool move_to_free_name(int from, int to, const char *name)
{
    if (renameat2(from, name, to, name, RENAME_NOREPLACE) == 0) return true;
    if (errno != EINVAL && errno != ENOSYS) return false;
    return is_free_name(from, to, name) && renameat(from, name, to, name) == 0;
}

// `prefix` is what leads to both folders inside the kit: "" or "sheets/".
static bool visit(int from, int to, const char *prefix, Deed deed, char stays[CARRY_NAME_MAX]);

static bool visit_sheets(int from, int to, Deed deed, char stays[CARRY_NAME_MAX])
{
    int inner = open_folder(from, KIT_SHEETS_FOLDER), target = open_folder(to, KIT_SHEETS_FOLDER);
    snprintf(stays, CARRY_NAME_MAX, "%s", KIT_SHEETS_FOLDER);
    bool good = inner >= 0 && target >= 0 && visit(inner, target, sheets, deed, stays);
    if (inner >= 0) close(inner);
    if (target >= 0) close(target);
    return good;
}

static bool visit(int from, int to, const char *prefix, Deed deed, char stays[CARRY_NAME_MAX])
{
    DIR *entries = open_entries(from);
    if (!entries) return false;
    bool good = true;
    char path[CARRY_NAME_MAX], inner[CARRY_NAME_MAX];
    for (const char *name; (name = next_name(entries));) {
        Owner owner = owner_of(from, prefix, name, path);
        bool moves = owner == OWNER_MAKER ? deed(from, to, name) || errno == ENOENT // somebody took it away meanwhile
                                          : owner != OWNER_KIT_FOLDER || visit_sheets(from, to, deed, inner);
        if (moves) continue;
        memcpy(stays, owner == OWNER_MAKER ? path : inner, CARRY_NAME_MAX);
        good = false;
    }
    closedir(entries);
    return good;
}

bool carry_over(int from, int to, char stays[CARRY_NAME_MAX])
{
    snprintf(stays, CARRY_NAME_MAX, "%s", "what is yours");
    return visit(from, to, "", move_to_free_name, stays);
}

bool carry_would_fit(int from, int to, char stays[CARRY_NAME_MAX])
{
    snprintf(stays, CARRY_NAME_MAX, "%s", "what is yours");
    return visit(from, to, "", is_free_name, stays);
}

static void remove_entries(int folder, const char *prefix)
{
    DIR *entries = open_entries(folder);
    char path[CARRY_NAME_MAX];
    for (const char *name; entries && (name = next_name(entries));) {
        Owner owner = owner_of(folder, prefix, name, path);
        if (owner == OWNER_KIT) unlinkat(folder, name, 0);
        if (owner != OWNER_KIT_FOLDER) continue;
        int inner = open_folder(folder, name);
        if (inner < 0) continue;
        remove_entries(inner, sheets);
        close(inner);
        unlinkat(folder, name, AT_REMOVEDIR);
    }
    if (entries) closedir(entries);
}

void carry_remove_kit(int parent, const char *name)
{
    int folder = open_folder(parent, name);
    if (folder < 0) return;
    remove_entries(folder, "");
    close(folder);
    unlinkat(parent, name, AT_REMOVEDIR);
}
