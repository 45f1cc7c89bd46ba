// hand_out.c - see hand_out.h.
#include "hand_out.h"
#include "disk.h"

#include <string.h>

static bool join(const FileSet *written, const FileBytes *proof, Arena *keep, FileSet *out, Error *err)
{
    *out = (FileSet){arena_new(keep, FileBytes, written->count + 1), 0};
    if (!out->items) return error_memory(err);
    for (int i = 0; i < written->count; i++) out->items[out->count++] = written->items[i];
    out->items[out->count++] = *proof;
    files_sort(out);
    return true;
}

// The proof is made from what is on the disk now, not from what we meant to write.
bool hand_out(KitFolder *folder, const FileSet *files, int threads, const JobWatch *watch, Arena *keep, FileSet *out, Error *err)
{
    FileSet written;
    Proof proof;
    Work work = {.cancel = watch->cancel};
    if (!kit_folder_write(folder, files, &work, err)) return false;
    if (!disk_read_kit(folder->temporary, keep, &written, err)) return false;
    if (!job_prove(&written, threads, watch, keep, &proof, err)) return false;
    if (!proof_hands_out(&proof, err)) return false;
    FileBytes text = {"proof.txt", proof.text, strlen(proof.text)};
    FileSet last = {&text, 1};
    return kit_folder_write(folder, &last, &work, err) && kit_folder_finish(folder, &work, err) && (!out || join(&written, &text, keep, out, err));
}
