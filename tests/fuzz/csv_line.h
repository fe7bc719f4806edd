/* csv_line.h - one entry as a record of CSV. */
#ifndef ULLAGE_FUZZ_CSV_LINE_H
#define ULLAGE_FUZZ_CSV_LINE_H

#include "store/port_csv.h"

static inline void csv_line(const Event *e, Str *out)
{
    CsvColumns columns;
    csv_columns(&columns);
    csv_record(&columns, e, out);
}

#endif
