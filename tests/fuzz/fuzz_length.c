// fuzz_length.c - any bytes as a length: a clean refusal, or millimetres that can be shown and read again.
#include "base/length.h"
#include "base/text.h"

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

// What a length is written as must read as the same length, but for the digits that were not written.
static void check_round_trip(double mm)
{
    char number[NUMBER_MAX], string[NUMBER_MAX + 4];
    snprintf(string, sizeof string, "%smm", number_format(number, mm, 9));
    double again;
    Error err = {0};
    if (mm < 1e-8) return; // written as 0
    want(length_parse(string, "length", &again, &err), "a written length is read again");
    want(fabs(again - mm) <= 1e-9, "the same length comes back");
    char shown[32];
    length_format_inches(mm, shown);
    want(length_parse(strcmp(shown, "0 in") ? shown : "1in", "length", &again, &err), "a shown length is read again");
    double least_in = strstr(shown, "ft") ? 0.05 : 0.005;
    want(strcmp(shown, "0 in") == 0 || fabs(again - mm) <= least_in * MM_PER_INCH + 1e-6, "to a hundredth of an inch, in feet to a tenth");
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size_bytes)
{
    char string[300];
    size_t size = size_bytes < sizeof string - 1 ? size_bytes : sizeof string - 1;
    memcpy(string, data, size);
    string[size] = 0;
    double mm;
    Error err = {0};
    if (length_parse(string, "--height", &mm, &err)) {
        want(isfinite(mm) && mm > 0.0 && mm <= 100000.0, "a length is finite, above 0 and at most 100 m");
        want(err.kind == ERROR_NONE, "success sets no error");
        if (mm < 99999.0) check_round_trip(mm); // just under the limit the shown length may round to more than it
        return 0;
    }
    want(mm == 0.0 && err.kind == ERROR_USAGE, "a refusal is a usage error and leaves 0");
    want(text_is_utf8(err.text, strlen(err.text)), "an error text is UTF-8");
    for (const char *c = err.text; *c; c++) want((unsigned char)*c >= 0x20, "an error text is one line");
    return 0;
}
