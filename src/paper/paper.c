// paper.c - see paper.h.
#include "paper/paper.h"

#include "base/length.h"
#include "base/text.h"
#include "paper/size.h"
#include "paper/stock.h"
#include "paper/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define LEAST_SIDE_MM 25.4       // under an inch the allowance and the corner marks leave nothing to cut from
#define LEAST_GSM 20.0           // tissue
#define MOST_GSM 3000.0          // thick grey board
#define MOST_PACK 10000.0        // sheets; more is a slip of the finger
#define MOST_PRICE 1e6
#define PRICE_STEPS 1e4          // a hundredth of the smallest coin: what kit.json tells is what is reckoned with
#define GRAMS_PER_POUND 453.59237 // exactly: international yard and pound agreement, 1959
#define BASIS_SHEETS 500.0

// ---- properties ----

// Properties that exclude one another share a kind: each may be said once.
typedef enum Kind { KIND_WEIGHT, KIND_CORE, KIND_FACES, KIND_DIRECTION, KIND_SCORE, KIND_PEN, KIND_BOARD, KIND_PACK } Kind;

static const struct { const char *word; Kind kind; } WORDS[] = {
    {"white-core", KIND_CORE}, {"one-faced", KIND_FACES}, {"grained", KIND_DIRECTION},
    {"textured", KIND_DIRECTION}, {"no-score", KIND_SCORE}, {"no-pen", KIND_PEN},
};

static void take_word(Paper *paper, const char *word)
{
    paper->white_core = paper->white_core || strcmp(word, "white-core") == 0;
    paper->one_faced = paper->one_faced || strcmp(word, "one-faced") == 0;
    paper->no_score = paper->no_score || strcmp(word, "no-score") == 0;
    paper->no_pen = paper->no_pen || strcmp(word, "no-pen") == 0;
    if (strcmp(word, "grained") == 0) paper->direction = PAPER_GRAINED;
    if (strcmp(word, "textured") == 0) paper->direction = PAPER_TEXTURED;
}

// The number before the end of the item, when it ends so.
static bool number_before(const char *item, const char *ending, double *out)
{
    char digits[WORDS_ITEM_MAX];
    size_t size = strlen(item), end = strlen(ending);
    if (size <= end || strcmp(item + size - end, ending) != 0) return false;
    snprintf(digits, sizeof digits, "%.*s", (int)(size - end), item);
    return number_parse(digits, out);
}

double paper_gsm_of_pounds(double pounds, double basis_width_in, double basis_height_in)
{
    double metre_in = 1000.0 / MM_PER_INCH;
    return pounds * GRAMS_PER_POUND / (BASIS_SHEETS * basis_width_in * basis_height_in) * metre_in * metre_in;
}

// "250gsm", "250g", "65lb" (cover), "65lb-cover", "60lb-text".
static bool is_weight(const char *item, double *out_gsm)
{
    double number;
    if (number_before(item, "gsm", out_gsm) || number_before(item, "g", out_gsm)) return true;
    if (number_before(item, "lb", &number) || number_before(item, "lb-cover", &number)) {
        *out_gsm = paper_gsm_of_pounds(number, 20.0, 26.0);
        return true;
    }
    if (!number_before(item, "lb-text", &number)) return false;
    *out_gsm = paper_gsm_of_pounds(number, 25.0, 38.0);
    return true;
}

static bool take_weight(Paper *paper, const char *item, double gsm, Error *err)
{
    if (!(gsm >= LEAST_GSM && gsm <= MOST_GSM))
        return error_set(err, ERROR_USAGE, "no paper weighs %s; %.0fgsm to %.0fgsm (or pounds: 65lb, 60lb-text) work", item, LEAST_GSM,
                         MOST_GSM);
    paper->gsm = gsm;
    return true;
}

// "25for8.99", "0.79each", "packof25".
static bool is_pack(const char *item, double *out_count, double *out_price)
{
    char count[WORDS_ITEM_MAX];
    const char *middle = strstr(item, "for"), *after = words_after(item, "packof");
    *out_count = 1.0;
    *out_price = 0.0;
    if (after) return number_parse(after, out_count);
    if (!middle) return number_before(item, "each", out_price);
    snprintf(count, sizeof count, "%.*s", (int)(middle - item), item);
    return number_parse(count, out_count) && number_parse(middle + 3, out_price);
}

static bool take_pack(Paper *paper, const char *item, double count, double price, Error *err)
{
    if (!(count >= 1.0 && count <= MOST_PACK && count == floor(count)))
        return error_set(err, ERROR_USAGE, "a pack of a paper has a whole number of sheets from 1 to %.0f, as in \"25 for 8.99\", not \"%s\"",
                         MOST_PACK, item);
    bool has_price = !words_after(item, "packof");
    price = floor(price * PRICE_STEPS + 0.5) / PRICE_STEPS;
    if (has_price && !(price > 0.0 && price <= MOST_PRICE))
        return error_set(err, ERROR_USAGE, "a paper's price is a number above 0 and at most %.0f, as in \"25 for 8.99\", not \"%s\"",
                         MOST_PRICE, item);
    paper->pack_count = (int)count;
    paper->pack_price = price;
    return true;
}

static bool take_board(Paper *paper, const char *size_item, Error *err)
{
    SheetSize size;
    if (!size_parse(size_item, "board", &size, err)) return false;
    paper->board_mm[0] = size.width_mm;
    paper->board_mm[1] = size.height_mm;
    if (stock_trim(paper).sheets > 0) return true;
    return error_set(err, ERROR_JOB, "no sheet of %s comes out of a board of %s; name a larger board, or a smaller sheet", paper->id,
                     size.name);
}

static bool unknown(const char *item, Error *err)
{
    char shown[48];
    return error_set(err, ERROR_USAGE,
                     "a paper's property \"%s\" is not known; 65lb, 60lb-text, 250gsm, white-core, one-faced, grained, textured, "
                     "no-score, no-pen, \"from 22x28\", \"25 for 8.99\", \"0.79 each\" and \"pack of 25\" work",
                     words_shown(item, shown));
}

static bool take_property(Paper *paper, const char *item, Kind *out_kind, Error *err)
{
    double gsm, count, price;
    const char *board = words_after(item, "from");
    for (size_t i = 0; i < sizeof WORDS / sizeof WORDS[0]; i++) {
        if (strcmp(item, WORDS[i].word) != 0) continue;
        *out_kind = WORDS[i].kind;
        take_word(paper, item);
        return true;
    }
    *out_kind = board ? KIND_BOARD : KIND_WEIGHT;
    if (board) return take_board(paper, board, err);
    if (is_weight(item, &gsm)) return take_weight(paper, item, gsm, err);
    *out_kind = KIND_PACK;
    return is_pack(item, &count, &price) ? take_pack(paper, item, count, price, err) : unknown(item, err);
}

// ---- the whole ----

// One more size of a common ground: what all have that lie with one corner on one spot.
static bool add_size(Paper *paper, const char *item, Error *err)
{
    SheetSize size;
    char shown[48], id[sizeof paper->id + SIZE_NAME_MAX + 1];
    bool more = paper->id[0];
    if (!size_parse(item, "paper", &size, err)) return false;
    int length = snprintf(id, sizeof id, "%s%s%s", paper->id, more ? "+" : "", size.name);
    if (length >= (int)sizeof paper->id)
        return error_set(err, ERROR_USAGE, "these are too many sizes for one common ground, with \"%s\"; two or three work", words_shown(item, shown));
    memcpy(paper->id, id, (size_t)length + 1);
    paper->width_mm = more ? fmin(paper->width_mm, size.width_mm) : size.width_mm;
    paper->height_mm = more ? fmin(paper->height_mm, size.height_mm) : size.height_mm;
    return true;
}

// "letter", or "letter+a4"; a sign in front of the first number ("+8x10") is none of ours.
static bool take_size(Paper *paper, const char *item, Error *err)
{
    char part[WORDS_ITEM_MAX], shown[48];
    for (const char *at = item; at;) {
        const char *plus = *at ? strchr(at + 1, '+') : NULL;
        snprintf(part, sizeof part, "%.*s", (int)(plus ? (size_t)(plus - at) : strlen(at)), at);
        if (!add_size(paper, part, err)) return false;
        at = plus ? plus + 1 : NULL;
    }
    if (paper->width_mm >= LEAST_SIDE_MM && paper->height_mm >= LEAST_SIDE_MM) return true;
    return error_set(err, ERROR_JOB, "paper \"%s\" is too small: half an inch of it is lost at the edges; from 1x1in on it works",
                     words_shown(item, shown));
}

static bool parse_item(const char **rest, bool is_size, unsigned *said, Paper *paper, Error *err)
{
    char item[WORDS_ITEM_MAX], shown[48];
    const char *as_written = *rest;
    if (!words_next(rest, item))
        return is_size ? size_unknown(as_written, "paper", err) : unknown(as_written, err);
    words_join(item);
    if (is_size) return take_size(paper, item, err);
    Kind kind;
    if (!take_property(paper, item, &kind, err)) return false;
    if (*said & 1u << kind)
        return error_set(err, ERROR_USAGE, "paper %s was told \"%s\" beside something else of that kind; say one of them", paper->id,
                         words_shown(item, shown));
    *said |= 1u << kind;
    return true;
}

bool paper_parse(const char *word, Paper *out, Error *err)
{
    *out = (Paper){0};
    Paper paper = {0};
    unsigned said = 0;
    const char *rest = word;
    for (bool is_size = true; rest; is_size = false)
        if (!parse_item(&rest, is_size, &said, &paper, err)) return false;
    *out = paper;
    return true;
}

bool paper_is_common(const Paper *paper)
{
    return strchr(paper->id, '+') != NULL;
}

bool paper_equal(const Paper *a, const Paper *b)
{
    bool equal = strcmp(a->id, b->id) == 0 && a->width_mm == b->width_mm && a->height_mm == b->height_mm &&
                 a->direction == b->direction && a->white_core == b->white_core && a->one_faced == b->one_faced &&
                 a->no_score == b->no_score && a->no_pen == b->no_pen && a->gsm == b->gsm &&
                 a->board_mm[0] == b->board_mm[0] && a->board_mm[1] == b->board_mm[1] && a->pack_price == b->pack_price &&
                 a->pack_count == b->pack_count && a->has_loss == b->has_loss && a->is_offcut == b->is_offcut;
    for (int i = 0; i < 4 && equal; i++) equal = a->loss_mm[i] == b->loss_mm[i];
    return equal;
}

// ---- spaces ----

void paper_loss(const Paper *paper, double out_mm[4])
{
    for (int i = 0; i < 4; i++) out_mm[i] = paper->has_loss ? paper->loss_mm[i] : PAPER_ALLOWANCE_MM / 2;
}

void paper_usable(const Paper *paper, double out_box_mm[4])
{
    double loss[4];
    paper_loss(paper, loss);
    out_box_mm[0] = loss[0];
    out_box_mm[1] = loss[1];
    out_box_mm[2] = paper->width_mm - (loss[0] + loss[2]);
    out_box_mm[3] = paper->height_mm - (loss[1] + loss[3]);
}

Space paper_nest_space(const Paper *paper)
{
    double box_mm[4];
    paper_usable(paper, box_mm);
    return (Space){box_mm[2], box_mm[3], PAPER_CORNER_MARK_MM, paper->direction != PAPER_PLAIN};
}

Space paper_fit_space(const Paper *paper)
{
    Space space = paper_nest_space(paper);
    space.width_mm -= PAPER_FIT_SPARE_MM;
    space.height_mm -= PAPER_FIT_SPARE_MM;
    return space;
}
