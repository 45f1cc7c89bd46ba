// pack.c - see pack.h.
#include "desk/pack.h"

#include "store/zip.h"

#include <string.h>

static bool copy_file(const FileBytes *from, Arena *arena, FileBytes *to, Error *err)
{
    *to = (FileBytes){arena_text(arena, from->name), arena_copy(arena, from->bytes, from->size_bytes, 1), from->size_bytes};
    return (to->name && to->bytes) || error_memory(err);
}

static bool gather(Kit *kit, const FileSet *files, Error *err)
{
    FileSet *out = &kit->files;
    *out = (FileSet){arena_new(&kit->arena, FileBytes, files->count + 1), 0};
    if (!out->items) return error_memory(err);
    for (int i = 0; i < files->count; i++)
        if (!copy_file(&files->items[i], &kit->arena, &out->items[out->count++], err)) return false;
    out->items[out->count++] = (FileBytes){"proof.txt", kit->proof, strlen(kit->proof)};
    files_sort(out);
    return true;
}

bool kit_pack(Kit *kit, const FileSet *files, const char *proof, const char *folder, Error *err)
{
    Text name = text_make(&kit->arena);
    text_printf(&name, "%s.zip", folder);
    kit->proof = arena_text(&kit->arena, proof);
    if (!kit->proof) return error_memory(err);
    if (!text_is_whole(&name, err) || !gather(kit, files, err) || !zip_make(&kit->files, folder, &kit->arena, &kit->zip, err)) return false;
    kit->zip.name = name.bytes;
    return true;
}
