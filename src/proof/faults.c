// faults.c - see faults.h.
#include "proof/faults.h"

#include "base/text.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

bool faults_make(Arena *keep, Faults *out, Error *err)
{
    *out = (Faults){.items = arena_new(keep, Fault, PROOF_MAX_FAULTS)};
    return out->items ? true : error_memory(err);
}

// Copies what fits, control characters and broken UTF-8 as '?', so that a hostile name cannot spoil a terminal.
static void copy_plain(char *out, size_t out_size_bytes, const char *from)
{
    size_t n = strlen(from);
    if (n >= out_size_bytes) n = out_size_bytes - 1;
    while (n > 0 && from[n] != '\0' && ((unsigned char)from[n] & 0xC0) == 0x80) n--; // cut at a whole character
    memcpy(out, from, n);
    out[n] = '\0';
    bool whole = text_is_utf8(out, n);
    for (size_t i = 0; i < n; i++) {
        unsigned char c = (unsigned char)out[i];
        if (c < 0x20 || c == 0x7F || (!whole && c >= 0x80)) out[i] = '?';
    }
}

// Adds the fault unless one like it is there already; `out` is where its text goes, NULL when it is not kept.
static void count_in(Faults *faults, const Fault *fault, Fault **out)
{
    *out = NULL;
    for (int i = 0; i < faults->kept_count; i++)
        if (strcmp(faults->items[i].kind, fault->kind) == 0 && strcmp(faults->items[i].where, fault->where) == 0) return;
    faults->count++;
    if (faults->kept_count == PROOF_MAX_FAULTS) return;
    *out = &faults->items[faults->kept_count++];
    **out = *fault;
}

void fault_add(Faults *faults, const char *kind, const char *where, double x_mm, double y_mm, const char *format, ...)
{
    Fault fault = {.x_mm = isfinite(x_mm) ? x_mm : 0.0, .y_mm = isfinite(y_mm) ? y_mm : 0.0}, *kept;
    copy_plain(fault.kind, sizeof fault.kind, kind);
    copy_plain(fault.where, sizeof fault.where, where);
    count_in(faults, &fault, &kept);
    if (!kept) return;
    char text[1024];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    copy_plain(kept->text, sizeof kept->text, text);
}

void faults_join(Faults *faults, const Faults *more)
{
    Fault *kept;
    for (int i = 0; i < more->kept_count; i++) count_in(faults, &more->items[i], &kept);
    faults->count += more->count - more->kept_count;
}
