/* tables_scald.h - published times in which hot water burns skin. */
#ifndef ULLAGE_RECKON_TABLES_SCALD_H
#define ULLAGE_RECKON_TABLES_SCALD_H

#include <stdbool.h>
#include <stddef.h>

/* One published time to a burn. `seconds` is the shorter end where a range is printed. */
typedef struct {
    double temp_f;
    double seconds;
    bool infant;
    const char *who;
} ScaldRow;
extern const ScaldRow SCALD_ROWS[];
extern const size_t SCALD_ROW_COUNT;

#endif
