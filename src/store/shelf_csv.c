// shelf_csv.c - see shelf_csv.h.
#include "store/shelf_csv.h"

#include <string.h>

CsvReader csv_make(const char *bytes, size_t size_bytes)
{
    bool has_mark = size_bytes >= 3 && memcmp(bytes, "\xef\xbb\xbf", 3) == 0; // programs for tables like to begin with one
    return (CsvReader){bytes + (has_mark ? 3 : 0), bytes + size_bytes, 0, 1};
}

static bool read_quoted(CsvReader *reader, Text *field, Error *err)
{
    for (reader->at++; reader->at < reader->end; reader->at++) {
        if (*reader->at == '\n') reader->next_line++;
        if (*reader->at == '"') {
            bool doubled = reader->at + 1 < reader->end && reader->at[1] == '"';
            if (!doubled) {
                reader->at++;
                return true;
            }
            reader->at++;
        }
        text_add_bytes(field, reader->at, 1);
    }
    return error_set(err, ERROR_INPUT, "line %d of the CSV: a quoted field has no end", reader->line);
}

static bool read_field(CsvReader *reader, Arena *keep, const char **out, Error *err)
{
    Text field = text_make(keep);
    if (reader->at < reader->end && *reader->at == '"' && !read_quoted(reader, &field, err)) return false;
    const char *from = reader->at;
    while (reader->at < reader->end && *reader->at != ',' && *reader->at != '\n' && *reader->at != '\r') reader->at++;
    text_add_bytes(&field, from, (size_t)(reader->at - from));
    if (!text_is_whole(&field, err)) return false;
    *out = field.bytes ? field.bytes : "";
    if (text_is_utf8(*out, field.size_bytes) && strlen(*out) == field.size_bytes) return true;
    return error_set(err, ERROR_INPUT, "line %d of the CSV is no text in UTF-8", reader->line);
}

static void skip_line_ends(CsvReader *reader)
{
    for (; reader->at < reader->end && (*reader->at == '\n' || *reader->at == '\r'); reader->at++)
        if (*reader->at == '\n') reader->next_line++;
}

bool csv_next(CsvReader *reader, Arena *keep, CsvRecord *out, Error *err)
{
    *out = (CsvRecord){0};
    skip_line_ends(reader);
    if (reader->at == reader->end) return false;
    reader->line = reader->next_line;
    for (bool more = true; more;) {
        if (out->count == CSV_MOST_FIELDS) return error_set(err, ERROR_INPUT, "line %d of the CSV has more than %d fields", reader->line, CSV_MOST_FIELDS);
        if (!read_field(reader, keep, &out->fields[out->count++], err)) return false;
        more = reader->at < reader->end && *reader->at == ',';
        if (more) reader->at++;
    }
    return true;
}

void csv_add_field(Text *text, const char *field, bool is_last)
{
    if (strpbrk(field, ",\"\r\n")) {
        text_add(text, "\"");
        for (const char *at = field; *at; at++) text_add_bytes(text, *at == '"' ? "\"\"" : at, *at == '"' ? 2 : 1);
        text_add(text, "\"");
    } else {
        text_add(text, field);
    }
    text_add(text, is_last ? "\r\n" : ",");
}
