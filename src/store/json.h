/* json.h - reading one flat JSON object or list (RFC 8259), strictly and exactly, by SQLite's JSON
 * functions. Private to src/store.
 *
 * json_valid says whether it is JSON, json_each takes it apart; a line that is plain need not ask
 * them (json_plain.h). On top of them: a key may stand there once only, a text must be well-formed
 * Unicode without U+0000, and a number is handed over as it is written, because the log's numbers
 * are exact and a double is not.
 */
#ifndef ULLAGE_STORE_JSON_H
#define ULLAGE_STORE_JSON_H

#include "base/fault.h"
#include "base/text.h"
#include "store/db.h"

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

/* A field of an object, or an item of a list (its key is empty then). */
typedef struct {
    Text key;
    JsonType type;
    /* a string with its escapes resolved; a number as it is written; true, false, null; an array or
     * object as JSON */
    Text text;
} JsonMember;

/* Its statements are kept by the Db. It must be finished after use, and used no longer than the Db
 * is open. */
typedef struct {
    Db *db;
    Str object, list; /* what the members of the latest json_object and json_list borrow */
} JsonReader;

void json_init(JsonReader *reader, Db *db);
void json_finish(JsonReader *reader);

/* Reads `text` as one object of at most `max` members, with white space around it. The members
 * borrow `text`, and the reader's memory until the next json_object; a json_list in between takes
 * nothing away.
 * Refused (FAULT_REFUSED): anything else (with the place in characters from 1 where SQLite is 3.42
 * or later and can tell), brackets nested deeper than SQLite reads (1000 to 2000, as its version
 * is), ill-formed UTF-8, a key twice, a key that is empty or has a quote in it, a string with half
 * a surrogate pair or with U+0000 in it. FAULT_LOG: SQLite itself failed. */
bool json_object(JsonReader *reader, Text text, JsonMember *members, int max, int *count,
                 Fault *fault);

/* The same for a list. The items borrow until the next json_list. */
bool json_list(JsonReader *reader, Text text, JsonMember *items, int max, int *count, Fault *fault);

/* A JSON number as exact thousandths, exponents included ("1.5e1" is 15000). Refused: more than
 * three decimals, 10^15 and above. */
bool json_thousandths(Text number, int64_t *thousandths, Fault *fault);

const char *json_type_name(JsonType type); /* "a number", "a text", ... */

#endif
