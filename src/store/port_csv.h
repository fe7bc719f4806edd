/* port_csv.h - entries as CSV (RFC 4180). Private to src/store. */
#ifndef ULLAGE_STORE_PORT_CSV_H
#define ULLAGE_STORE_PORT_CSV_H

#include "model/kinds.h"
#include "store/json.h"
#include "store/lines.h"

enum { CSV_COLUMNS_MAX = 96 };

/* The columns that are written: id, at, kind, the fields of all kinds in the order in which the
 * kinds first name them, note. */
typedef struct {
    const char *names[CSV_COLUMNS_MAX];
    int count;
    int16_t field[KIND_END][CSV_COLUMNS_MAX]; /* of that kind; -1: it has none of that name */
} CsvColumns;
void csv_columns(CsvColumns *columns);
void port_csv_header(Str *out); /* with CRLF, like a record */
void csv_record(const CsvColumns *columns, const Event *e, Str *out);

/* A record that was read: cells with quotes and doubled quotes taken off. */
typedef struct {
    Str bytes;
    size_t at[CSV_COLUMNS_MAX], n[CSV_COLUMNS_MAX]; /* where each cell lies in them */
    int count;
    size_t from;  /* where the cell that is being read begins */
    int64_t line; /* on which it began */
    char between; /* ',', or ';' as some spreadsheets write it; 0 before the first record */
} CsvRecord;

static inline Text csv_cell(const CsvRecord *r, int i)
{
    return (Text){r->bytes.s + r->at[i], r->n[i]};
}

/* Reads one record, which may span lines. Lines end with LF or CRLF. */
bool csv_next(Lines *lines, CsvRecord *record, bool *end, Fault *fault);

/* What a file's own header line names. */
typedef struct {
    int count;
    char common[CSV_COLUMNS_MAX]; /* 'i' id, 'a' at, 'k' kind, 'n' note, 0: a field */
    Label names[CSV_COLUMNS_MAX];
    int16_t field[KIND_END][CSV_COLUMNS_MAX];
    int kind, at; /* their columns */
} CsvHeader;
/* True where a line looks like a header: has columns named at and kind. */
bool csv_is_header(Text line);
/* What stands between its columns: ';' where the line is a header so, else ','. */
char csv_between(Text line);
bool csv_header(const CsvRecord *record, CsvHeader *header, Fault *fault);
/* Makes *e of a record; `reader` takes lists apart. Sentences begin with "field NAME: " where they
 * can. */
bool csv_entry(const CsvHeader *header, const CsvRecord *record, Moment now, JsonReader *reader,
               Event *e, Fault *fault);

#endif
