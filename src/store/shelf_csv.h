// shelf_csv.h - records of a CSV text (RFC 4180): fields by commas, quoted where they hold commas, quotes or line ends.
#ifndef PM_STORE_SHELF_CSV_H
#define PM_STORE_SHELF_CSV_H

#include "base/text.h"

#define CSV_MOST_FIELDS 8

typedef struct CsvReader {
    const char *at, *end;
    int line;               // of the record read last, from 1
    int next_line;
} CsvReader;

typedef struct CsvRecord {
    const char *fields[CSV_MOST_FIELDS];
    int count;
} CsvRecord;

CsvReader csv_make(const char *bytes, size_t size_bytes);
// False at the end; err is set when that is not the reason. Empty lines are passed over.
MUST_USE bool csv_next(CsvReader *reader, Arena *keep, CsvRecord *out, Error *err);

void csv_add_field(Text *text, const char *field, bool is_last);

#endif
