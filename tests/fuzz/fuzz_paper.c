// fuzz_paper.c - any bytes as the words of a paper (first byte even) or a cutter (odd): a clean refusal, or a thing that keeps
// its promises: sizes that can be cut from, loss that leaves something, counts that add up.
#include "base/text.h"
#include "paper/cutter.h"
#include "paper/stock.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size_bytes);

static void want(bool holds, const char *what)
{
    if (holds) return;
    fprintf(stderr, "broken: %s\n", what);
    abort();
}

static void check_refusal(const Error *err)
{
    want(err->kind == ERROR_USAGE || err->kind == ERROR_JOB, "a refusal is a wrong command or a job that cannot be");
    want(text_is_utf8(err->text, strlen(err->text)), "an error text is UTF-8");
    for (const char *c = err->text; *c; c++) want((unsigned char)*c >= 0x20, "an error text is one line");
}

static void check_space(const Paper *paper)
{
    double box[4];
    paper_usable(paper, box);
    for (int i = 0; i < 4; i++) want(isfinite(box[i]) && box[i] >= 0.0, "the usable area is one");
    want(box[2] > 12.0 && box[3] > 12.0, "half an inch at least can be cut from");
    want(box[0] + box[2] <= paper->width_mm + 1e-6 && box[1] + box[3] <= paper->height_mm + 1e-6, "it lies on the sheet");
}

static void check_paper(const Paper *paper)
{
    char safe[64];
    want(paper->id[0] && strlen(paper->id) < sizeof paper->id, "a paper has a name");
    for (const char *c = paper->id; *c; c++) want(strchr("abcdefghijklmnopqrstuvwxyz0123456789.+-", *c), "fit for a file's name");
    text_safe_name(paper->id, safe, sizeof safe);
    check_space(paper);
    want(paper->gsm == 0.0 || (paper->gsm >= 20.0 && paper->gsm <= 3000.0), "a weight of paper");
    StockTrim trim = stock_trim(paper);
    want((trim.sheets > 0) == (paper->board_mm[0] > 0.0), "a board gives a sheet");
    for (int used = 1; used < 2000; used += 37) {
        StockOrder order = stock_order(paper, used);
        want(order.spares >= 1 && order.sheets == used + order.spares, "spares come on top");
        want(trim.sheets == 0 || (long)order.boards * trim.sheets >= order.sheets, "boards suffice");
        int units = trim.sheets > 0 ? order.boards : order.sheets;
        want(order.packs == 0 || ((long)order.packs * paper->pack_count >= units && (long)(order.packs - 1) * paper->pack_count < units),
             "packs suffice, and none is too many");
        want(order.has_cost == (paper->pack_price > 0.0) && isfinite(order.cost) && order.cost >= 0.0, "what it costs");
    }
}

static void check_on_cutter(const Cutter *cutter)
{
    static const char *const WORDS[] = {"letter", "12x12", "24x12", "a0", "1x1", "30x300"};
    for (size_t i = 0; i < sizeof WORDS / sizeof WORDS[0]; i++) {
        Paper paper;
        Error err = {0};
        want(paper_parse(WORDS[i], &paper, &err), "a common paper is one");
        if (cutter_take_paper(cutter, &paper, &err)) check_space(&paper);
        else check_refusal(&err);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size_bytes)
{
    char string[300];
    if (size_bytes == 0) return 0;
    size_t size = size_bytes - 1 < sizeof string - 1 ? size_bytes - 1 : sizeof string - 1;
    memcpy(string, data + 1, size);
    string[size] = 0;
    Error err = {0};
    if (data[0] % 2 == 0) {
        Paper paper;
        if (paper_parse(string, &paper, &err)) check_paper(&paper);
        else check_refusal(&err);
        return 0;
    }
    Cutter cutter;
    if (cutter_parse(string, &cutter, &err)) check_on_cutter(&cutter);
    else check_refusal(&err);
    return 0;
}
