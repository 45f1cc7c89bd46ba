// fuzz_edits.c - any bytes as a list of edits: one clean sentence, or edits that are written, read and written again as
// the same bytes, copied without a difference, and can be said in words.
#include "job/edit.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define BUDGET_BYTES ((size_t)512 << 20)

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size_bytes);

static void want(bool holds, const char *what)
{
    if (holds) return;
    fprintf(stderr, "broken: %s\n", what);
    abort();
}

static Text written(const EditList *edits, Arena *keep)
{
    Text text = text_make(keep);
    Error err = {0};
    edits_write(edits, &text);
    want(text_is_whole(&text, &err), "a list can be written");
    return text;
}

static void check_copy(const EditList *edits, const Text *text, Arena *keep)
{
    EditList copies = {0};
    Error err = {0};
    for (size_t i = 0; i < edits->count; i++)
        want(edits_add(&copies, &edits->items[i], keep, &err), "an edit can be added");
    Text again = written(&copies, keep);
    want(strcmp(again.bytes, text->bytes) == 0, "a copied list is the same");
}

static void check_words(const EditList *edits, Arena *keep)
{
    for (size_t i = 0; i < edits->count; i++) {
        Text text = text_make(keep);
        Error err = {0};
        edit_say(&edits->items[i], "navy", "blue", &text);
        want(text_is_whole(&text, &err) && text.size_bytes > 0, "an edit can be said");
        want(text_is_utf8(text.bytes, text.size_bytes), "what is said is UTF-8");
        for (const char *c = text.bytes; *c; c++) want((unsigned char)*c >= 32 && *c != 127, "what is said is one plain line");
    }
}

static void check_list(const EditList *edits, Arena *keep)
{
    EditList again;
    Error err = {0};
    Text first = written(edits, keep);
    if (!edits_parse(first.bytes, first.size_bytes, keep, &again, &err)) {
        fprintf(stderr, "%s\n%s\n", err.text, first.bytes);
        want(false, "what is written is read");
    }
    want(again.count == edits->count, "no edit is lost");
    Text second = written(&again, keep);
    want(strcmp(first.bytes, second.bytes) == 0, "written again it is the same");
    check_copy(edits, &first, keep);
    check_words(edits, keep);
}

static void check_refusal(const EditList *edits, const Error *err)
{
    want(edits->count == 0 && !edits->items, "a refusal leaves no list");
    want(err->kind == ERROR_INPUT, "a refusal is an error of the input");
    want(err->text[0] && text_is_utf8(err->text, strlen(err->text)), "an error text is UTF-8");
    for (const char *c = err->text; *c; c++) want((unsigned char)*c >= 32, "an error text is one line");
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size_bytes)
{
    Arena keep = arena_make(BUDGET_BYTES);
    EditList edits;
    Error err = {0};
    if (edits_parse((const char *)data, size_bytes, &keep, &edits, &err)) check_list(&edits, &keep);
    else check_refusal(&edits, &err);
    arena_free(&keep);
    return 0;
}
