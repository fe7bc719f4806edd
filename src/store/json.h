/* json.h - reading one flat JSON object (RFC 8259), strictly and exactly. Private to src/store.
 *
 * Why not SQLite's JSON functions: json_each hands numbers over as doubles, and the log's numbers
 * are exact; it lets duplicate keys pass; and what it accepts differs between versions of SQLite
 * (JSON5 since 3.42). tests/store/test_json.c holds the two against each other.
 *
 * Nothing is copied: values borrow the line.
 */
#ifndef ULLAGE_STORE_JSON_H
#define ULLAGE_STORE_JSON_H

#include "base/fault.h"
#include "base/text.h"

#include <stdbool.h>
#include <stdint.h>

typedef enum {
    JSON_NULL,
    JSON_TRUE,
    JSON_FALSE,
    JSON_NUMBER,
    JSON_STRING,
    JSON_ARRAY,
    JSON_OBJECT
} JsonType;

typedef struct {
    JsonType type;
    bool escaped; /* a string with a backslash in it */
    Text raw;     /* a string without its quotes; an array or object with its brackets */
} JsonValue;

typedef struct {
    JsonValue key, value;
} JsonPair;

enum { JSON_DEPTH_MAX = 32 };

/* Reads `line` (well-formed UTF-8) as one object of at most `max` members with white space around
 * it. Refused (FAULT_REFUSED, with the column, counted in bytes from 1): anything else, a key
 * twice, a string with half a surrogate pair or with U+0000 in it, depth above JSON_DEPTH_MAX. */
bool json_object(Text line, JsonPair *pairs, int max, int *count, Fault *fault);

/* The text of a string with its escapes resolved; `room` of at least raw.n bytes takes them where
 * there are any (else the line itself is borrowed). */
Text json_string(const JsonValue *value, char *room);

/* Walks through a well-formed array: start with *at = 0. False at the end. */
bool json_next(const JsonValue *array, size_t *at, JsonValue *item);

/* A JSON number as exact thousandths, exponents included ("1.5e1" is 15000). Refused: more than
 * three decimals, 10^15 and above. */
bool json_thousandths(Text number, int64_t *thousandths, Fault *fault);

const char *json_type_name(JsonType type); /* "a number", "a text", ... */

#endif
