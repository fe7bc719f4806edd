/* json_plain.h - the usual line, read without SQLite. Private to src/store.
 *
 * SQLite judges what is JSON and what is not (json.h); but to take a line apart by it costs four
 * times what reading the line does, because each member is a row (measured: 3.8 us a line by
 * json_each, 5.9 with all members in one row). So a line that is plain is read here: one object of
 * at least one member, strings without escapes and control characters, numbers without exponents,
 * true and false, nothing nested. Such a line means the same to both, and tests hold one against
 * the other. */
#ifndef ULLAGE_STORE_JSON_PLAIN_H
#define ULLAGE_STORE_JSON_PLAIN_H

#include "store/json.h"

/* `text` is well-formed UTF-8. False: it is not plain, or no JSON at all, or has a key twice; then
 * nothing in `members` is of use. The members borrow `text`. */
bool json_plain(Text text, JsonMember *members, int max, int *count);

#endif
