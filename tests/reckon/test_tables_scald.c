/* The scald table, row by row against scald.csv, which names its publications. */
#include "reckon/tables_scald.h"

#include "support/csv_table.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void every_scald_time_is_the_published_one(void **state)
{
    (void)state;
    CsvTable t = csv_read("scald");
    assert_int_equal(t.rows, SCALD_ROW_COUNT);
    for (size_t i = 0; i < t.rows; i++) {
        assert_true(SCALD_ROWS[i].temp_f == csv_number(&t, i, "temp_f"));
        assert_true(SCALD_ROWS[i].seconds == csv_number(&t, i, "time_s"));
        assert_true(SCALD_ROWS[i].infant ==
                    (strcmp(csv_text(&t, i, "source"), "infants table") == 0));
    }
    csv_free(&t);
}

static void a_row_from_memory_says_so(void **state)
{
    (void)state;
    CsvTable t = csv_read("scald");
    for (size_t i = 0; i < t.rows; i++) {
        bool memory = strcmp(csv_text(&t, i, "label"), "from memory") == 0;
        assert_true((strstr(SCALD_ROWS[i].who, "from memory") != NULL) == memory);
    }
    csv_free(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_scald_time_is_the_published_one),
        cmocka_unit_test(a_row_from_memory_says_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
