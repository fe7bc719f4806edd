/* json_out.h - writing JSON (RFC 8259) at the end of a Str: what the program prints, exports and
 * keeps.
 *
 * Each call writes one value, with its key where it has one (NULL: an item of a list, or a document
 * of its own), and a comma before it where the text so far asks for one. A bracket that was opened
 * is closed by its own hand: str_addc(out, '}').
 */
#ifndef ULLAGE_BASE_JSON_OUT_H
#define ULLAGE_BASE_JSON_OUT_H

#include "base/label.h"
#include "base/moment.h"
#include "base/uuid.h"

/* Keys are this program's own words: nothing in them needs an escape. */
void json_open(Str *out, const char *key, char bracket);           /* '{' or '[' */
void json_text(Str *out, const char *key, const char *terminated); /* NULL: null */
/* The same of what needs no escape: a time, a word of one of the program's tables. */
void json_word(Str *out, const char *key, const char *value);
void json_id(Str *out, const char *key, const Uuid *id);
void json_zone(Str *out, const char *key, Moment m, int zone); /* known; see moment_print_zone */
void json_slice(Str *out, const char *key, Text text);
void json_label(Str *out, const char *key, const Label *label); /* empty: null */
void json_moment(Str *out, const char *key, Moment m);     /* RFC 3339 in UTC; MOMENT_NONE: null */
void json_milli(Str *out, const char *key, int64_t value); /* litres of mL: 12.000 */
void json_number(Str *out, const char *key, double value, int decimals); /* not finite: null */
void json_whole(Str *out, const char *key, int64_t value);
void json_flag(Str *out, const char *key, bool value);
void json_null(Str *out, const char *key);
/* What is written already as a value. */
void json_raw(Str *out, const char *key, const char *value);
/* A list of the lines of a text. */
void json_each_line(Str *out, const char *key, Text lines);

#endif
