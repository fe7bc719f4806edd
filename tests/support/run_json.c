#include "support/run_json.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <sqlite3.h>

char *json_at(const Run *run, const char *path)
{
    static const char sql[] = "SELECT json_valid(?1), ifnull(json_type(?1, ?2), 'absent'),"
                              " json_extract(?1, ?2)";
    sqlite3 *db = NULL;
    sqlite3_stmt *s = NULL;
    assert_int_equal(sqlite3_open(":memory:", &db), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(db, sql, -1, &s, NULL), SQLITE_OK);
    sqlite3_bind_text(s, 1, run->out, -1, SQLITE_STATIC);
    sqlite3_bind_text(s, 2, path, -1, SQLITE_STATIC);
    assert_int_equal(sqlite3_step(s), SQLITE_ROW);
    assert_int_equal(sqlite3_column_int(s, 0), 1);
    const char *type = (const char *)sqlite3_column_text(s, 1);
    const char *value = (const char *)sqlite3_column_text(s, 2);
    char *copy = strdup(strcmp(type, "null") == 0 || strcmp(type, "absent") == 0 ? type : value);
    sqlite3_finalize(s);
    sqlite3_close(db);
    return copy;
}

void json_is(const Run *run, const char *path, const char *expected)
{
    char *value = json_at(run, path);
    if (strcmp(value, expected) != 0)
        fail_msg("%s is %s, not %s", path, value, expected);
    free(value);
}
