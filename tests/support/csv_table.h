/* csv_table.h - the CSV tables of tests/fixtures/tables, for tests only.
 *
 * Lines that begin with '#' are remarks, the first other line names the columns, no field is
 * quoted. A missing file, column or row fails the test that asks. */
#ifndef ULLAGE_TESTS_SUPPORT_CSV_TABLE_H
#define ULLAGE_TESTS_SUPPORT_CSV_TABLE_H

#include <stddef.h>

enum { CSV_COLUMNS = 16, CSV_CELL = 64 };

typedef char CsvRow[CSV_COLUMNS][CSV_CELL];

typedef struct {
    size_t columns, rows;
    CsvRow names;
    CsvRow *cells;
} CsvTable;

/* Reads FIXTURES/tables/NAME.csv. csv_free gives it back. */
CsvTable csv_read(const char *name);
void csv_free(CsvTable *table);
/* The text of a cell; "" where it is blank. */
const char *csv_text(const CsvTable *table, size_t row, const char *column);
/* The number in a cell, NAN where it is blank or no number. */
double csv_number(const CsvTable *table, size_t row, const char *column);

/* Calls `row` with the numbers of each row, in the order of the columns (NAN as above), and the
 * text of its first cell. How many rows there were. */
size_t csv_each(const char *name, void (*row)(const double number[CSV_COLUMNS], const char *first));

#endif
