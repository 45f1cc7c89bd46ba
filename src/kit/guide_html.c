// guide_html.c - see guide_html.h.
#include "kit/guide_html.h"

#include "base/length.h"
#include "kit/guide_html_part.h"
#include "kit/guide_laps.h"
#include "kit/guide_part.h"
#include "kit/markup.h"

#include <assert.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

typedef struct Page {
    const Draft *draft;
    Text text;                          // the whole file
    Text picture, steps, sheets;
    char key[24];                       // of what the ticks belong to
} Page;

static const EmbeddedFile *part_of_ours(const char *name)
{
    const EmbeddedFile *file = guide_html_files;
    while (file->name && strcmp(file->name, name) != 0) file++;
    assert(file->name);
    return file;
}

static uint64_t hash_of(uint64_t hash, const Text *text)
{
    for (size_t i = 0; i < text->size_bytes; i++) hash = (hash ^ (unsigned char)text->bytes[i]) * UINT64_C(1099511628211);
    return hash;
}

static bool make_parts(Page *page, Arena *keep, Work *work, Error *err)
{
    GuideChecks checks;
    page->text = text_make(keep), page->picture = text_make(keep), page->steps = text_make(keep), page->sheets = text_make(keep);
    if (!guide_checks(page->draft, work, &checks, err)) return false;
    html_picture(&page->picture, page->draft, &checks);
    html_sheets(&page->sheets, page->draft);
    if (!html_steps(&page->steps, page->draft, &checks, keep, work, err)) return false;
    if (!text_is_whole(&page->picture, err) || !text_is_whole(&page->sheets, err) || !text_is_whole(&page->steps, err)) return false;
    uint64_t hash = hash_of(hash_of(UINT64_C(14695981039346656037), &page->picture), &page->steps);
    snprintf(page->key, sizeof page->key, "%016" PRIx64, hash);
    return true;
}

// ---- slots ----

static void add_name(Page *page)
{
    markup_add(&page->text, page->draft->input->name);
}

static void add_key(Page *page)
{
    text_add(&page->text, page->key);
}

static void add_policy(Page *page)
{
    text_printf(&page->text, "default-src 'none'; style-src 'sha256-%s'; script-src 'sha256-%s'; base-uri 'none'; form-action 'none'",
                part_of_ours("guide.css")->sha256, part_of_ours("guide.js")->sha256);
}

static void add_ours(Page *page, const char *name)
{
    const EmbeddedFile *file = part_of_ours(name);
    text_add_bytes(&page->text, file->bytes, file->size_bytes);
}

static void add_style(Page *page)
{
    add_ours(page, "guide.css");
}

static void add_script(Page *page)
{
    add_ours(page, "guide.js");
}

static void add_about(Page *page)
{
    char tall[32], wide[32];
    const Draft *draft = page->draft;
    length_format_inches(draft->input->stack->height_mm, tall);
    length_format_inches(draft->input->stack->width_mm, wide);
    text_printf(&page->text, "%s tall, %s wide: ", tall, wide);
    guide_count(&page->text, draft->totals.pieces, "piece");
    text_add(&page->text, " on ");
    guide_count(&page->text, draft->totals.sheets, "sheet");
    text_add(&page->text, ".");
}

static void add_picture(Page *page)
{
    text_add_bytes(&page->text, page->picture.bytes, page->picture.size_bytes);
}

static void add_steps(Page *page)
{
    text_add_bytes(&page->text, page->steps.bytes, page->steps.size_bytes);
}

static void add_sheets(Page *page)
{
    text_add_bytes(&page->text, page->sheets.bytes, page->sheets.size_bytes);
}

static void add_list(Text *text, const char *heading, const char *const *items)
{
    text_printf(text, "<h3>%s</h3>\n<ol class=\"how\">\n", heading);
    for (int i = 0; items[i]; i++) {
        text_add(text, "<li>");
        markup_add(text, items[i]);
        text_add(text, "</li>\n");
    }
    text_add(text, "</ol>\n");
}

static void add_joining(Page *page)
{
    bool laps = guide_form_count(page->draft, GUIDE_ALL_LAYERS, SEAM_LAP) > 0, butts = guide_form_count(page->draft, GUIDE_ALL_LAYERS, SEAM_BUTT) > 0;
    if (laps) add_list(&page->text, "How pieces are glued to one another", GUIDE_SAY_LAPPING);
    if (butts) add_list(&page->text, laps ? "How pieces without laps are joined" : "How pieces are joined", GUIDE_SAY_TAPING);
    text_add(&page->text, "<h3>How pieces are glued</h3>\n<p>");
    markup_add(&page->text, GUIDE_SAY_GLUING);
    text_add(&page->text, "</p>\n<p class=\"care\"><strong>Care:</strong> ");
    markup_add(&page->text, GUIDE_SAY_CARE);
    text_add(&page->text, "</p>\n");
}

static void add_hanging(Page *page)
{
    markup_add(&page->text, GUIDE_SAY_HANGING);
}

static void add_blade(Page *page)
{
    markup_add(&page->text, GUIDE_SAY_BLADE);
}

typedef struct Slot { const char *word; void (*add)(Page *page); } Slot;

static const Slot SLOTS[] = {
    {"name", add_name}, {"key", add_key}, {"policy", add_policy}, {"style", add_style}, {"script", add_script}, {"about", add_about},
    {"picture", add_picture}, {"steps", add_steps}, {"sheets", add_sheets}, {"joining", add_joining}, {"hanging", add_hanging}, {"blade", add_blade},
};

static void fill_slot(Page *page, const char *word, size_t size)
{
    for (size_t i = 0; i < sizeof SLOTS / sizeof SLOTS[0]; i++) {
        if (strlen(SLOTS[i].word) != size || memcmp(SLOTS[i].word, word, size) != 0) continue;
        SLOTS[i].add(page);
        return;
    }
    assert(!"a slot of the frame that nobody fills");
}

static void fill_frame(Page *page)
{
    const char *at = part_of_ours("frame.html")->bytes;
    for (const char *open = strstr(at, "[["); open; open = strstr(at, "[[")) {
        const char *close = strstr(open, "]]");
        assert(close);
        text_add_bytes(&page->text, at, (size_t)(open - at));
        fill_slot(page, open + 2, (size_t)(close - open) - 2);
        at = close + 2;
    }
    text_add(&page->text, at);
}

bool guide_html(const Draft *draft, Arena *keep, Work *work, FileBytes *out, Error *err)
{
    Page page = {.draft = draft};
    *out = (FileBytes){.name = "guide.html"};
    if (!make_parts(&page, keep, work, err)) return false;
    fill_frame(&page);
    if (!text_is_whole(&page.text, err)) return false;
    out->bytes = page.text.bytes;
    out->size_bytes = page.text.size_bytes;
    return true;
}
