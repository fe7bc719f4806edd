/* run_json.h - what the program printed, read as JSON by SQLite. */
#ifndef ULLAGE_TESTS_SUPPORT_RUN_JSON_H
#define ULLAGE_TESTS_SUPPORT_RUN_JSON_H

#include "support/run.h"

/* The value at a JSON path in the last output, as text; "null", "absent". What is no JSON ends the
 * test. The caller frees it. */
char *json_at(const Run *run, const char *path);
void json_is(const Run *run, const char *path, const char *expected);

#endif
