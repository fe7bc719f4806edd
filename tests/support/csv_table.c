#include "support/csv_table.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>

#include <cmocka.h>

static size_t row_split(char *line, CsvRow row)
{
    size_t column = 0;
    line[strcspn(line, "\r\n")] = '\0';
    char *rest = line;
    while (rest != NULL && column < CSV_COLUMNS) {
        char *comma = strchr(rest, ',');
        if (comma != NULL)
            *comma = '\0';
        const int n = snprintf(row[column], CSV_CELL, "%s", rest);
        assert_true(n >= 0 && n < CSV_CELL);
        column++;
        rest = comma == NULL ? NULL : comma + 1;
    }
    return column;
}

CsvTable csv_read(const char *name)
{
    char path[1024];
    (void)snprintf(path, sizeof(path), "%s/tables/%s.csv", FIXTURES, name);
    FILE *file = fopen(path, "r");
    if (file == NULL)
        fail_msg("no fixture at %s", path);
    CsvTable table = {.columns = 0};
    size_t room = 0;
    char line[1024];
    while (fgets(line, sizeof(line), file) != NULL) {
        if (line[0] == '#' || line[0] == '\n')
            continue;
        if (table.columns == 0) {
            table.columns = row_split(line, table.names);
            continue;
        }
        if (table.rows == room) {
            room = room == 0 ? 64 : room * 2;
            table.cells = realloc(table.cells, room * sizeof(CsvRow));
            assert_non_null(table.cells);
        }
        memset(table.cells[table.rows], 0, sizeof(CsvRow));
        (void)row_split(line, table.cells[table.rows]);
        table.rows++;
    }
    (void)fclose(file);
    assert_true(table.rows > 0);
    return table;
}

void csv_free(CsvTable *table)
{
    free(table->cells);
    table->cells = NULL;
    table->rows = 0;
}

const char *csv_text(const CsvTable *table, size_t row, const char *column)
{
    assert_true(row < table->rows);
    for (size_t i = 0; i < table->columns; i++)
        if (strcmp(table->names[i], column) == 0)
            return table->cells[row][i];
    fail_msg("no column %s", column);
    return "";
}

static double number_of(const char *text)
{
    char *end = NULL;
    const double value = strtod(text, &end);
    return end == text || *end != '\0' ? NAN : value;
}

double csv_number(const CsvTable *table, size_t row, const char *column)
{
    return number_of(csv_text(table, row, column));
}

size_t csv_each(const char *name, void (*row)(const double number[CSV_COLUMNS], const char *first))
{
    CsvTable table = csv_read(name);
    for (size_t i = 0; i < table.rows; i++) {
        double number[CSV_COLUMNS];
        for (size_t n = 0; n < CSV_COLUMNS; n++)
            number[n] = number_of(table.cells[i][n]);
        row(number, table.cells[i][0]);
    }
    const size_t rows = table.rows;
    csv_free(&table);
    return rows;
}
