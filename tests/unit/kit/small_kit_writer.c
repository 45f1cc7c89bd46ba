// small_kit_writer.c - writes the hand-made kit into a folder, so that outside programs can look at it: FOLDER [FORM], the form of
// its sheets' files being sheet, piece, layer or line.
#include "support/small_kit.h"

#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

int main(int argc, char **argv)
{
    if (argc != 2 && argc != 3) return 2;
    Arena keep = arena_make(0);
    Work work = {.scratch = arena_make(0)};
    SmallKit kit;
    FileSet files;
    Error err = {0};
    if (!small_kit_make(&kit, &keep) || (argc == 3 && !kit_for_find(argv[2], &kit.input.options.sheets_for)) ||
        !kit_make(&kit.input, &keep, &work, &files, &err)) {
        fprintf(stderr, "%s\n", err.text);
        return 1;
    }
    char path[4096];
    snprintf(path, sizeof path, "%s/sheets", argv[1]);
    mkdir(path, 0777);
    for (int i = 0; i < files.count; i++) {
        snprintf(path, sizeof path, "%s/%s", argv[1], files.items[i].name);
        FILE *file = fopen(path, "wb");
        if (!file || fwrite(files.items[i].bytes, 1, files.items[i].size_bytes, file) != files.items[i].size_bytes) return 1;
        fclose(file);
    }
    arena_free(&keep);
    arena_free(&work.scratch);
    return 0;
}
