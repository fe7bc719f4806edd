/* text.h - slices of text, a growing string.
 *
 * A Text borrows its bytes: it is valid as long as the memory it was made from. It need not be
 * terminated. All text is UTF-8.
 */
#ifndef ULLAGE_BASE_TEXT_H
#define ULLAGE_BASE_TEXT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

typedef struct {
    const char *s;
    size_t n;
} Text;

static inline bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* Here, so that the length of a literal costs nothing. NULL gives an empty Text. */
static inline Text text_of(const char *terminated)
{
    return terminated != NULL ? (Text){terminated, strlen(terminated)} : (Text){"", 0};
}
static inline Text text_slice(const char *s, size_t n)
{
    return (Text){s != NULL ? s : "", n};
}
bool text_equal(Text a, Text b);
bool text_is(Text a, const char *terminated);
bool text_is_nocase(Text a, const char *terminated); /* ASCII case folded, no other */
bool text_starts(Text a, const char *prefix);
bool text_begins(Text a, const char *word); /* is `a` a beginning of the word? Likewise */
Text text_trim(Text a); /* without white space (space, tab, CR, LF) at both ends */
/* Takes the part before the separator off the front; without a separator all of it, and the rest is
 * empty. An empty part behind the last separator is not told apart from no part. */
Text text_cut(Text *rest, char separator);

/* True where every byte belongs to a well-formed UTF-8 sequence (RFC 3629: no overlong forms, no
 * surrogates, nothing above U+10FFFF). */
bool text_is_utf8(Text a);
/* True where every byte is a printing character of ASCII or a blank: most text is. */
bool text_is_plain(Text a);
/* Does a terminal, or the eye that reads it, get something else than a character from this code
 * point? C0, DEL and C1 controls (U+0000-001F, U+007F-009F), the line and paragraph separators and
 * the marks that embed, override or isolate a direction of writing (U+2028-202E, U+2066-2069). */
bool code_acts(uint32_t code);
/* True where a C0 or C1 control character or DEL occurs (U+0000-001F, U+007F-009F). */
bool text_has_control(Text a);
/* The longest length up to `limit` that does not end inside a UTF-8 sequence. */
size_t text_length(Text a, size_t limit);
uint32_t code_lower(uint32_t code); /* of ASCII; any other code point as it is */
/* Decodes one code point at *at (in bytes) and moves on; an ill-formed byte gives U+FFFD and moves
 * by one. 0 at the end. */
uint32_t text_next(Text a, size_t *at);

/* A text as error sentences quote it: in double quotes, shortened with "..." beyond QUOTE_MAX bytes
 * (never inside a UTF-8 sequence). Use it in the call: fault_set(f, k, "%s ...", text_quote(t).s).
 */
enum { QUOTE_MAX = 48 };
typedef struct {
    char s[QUOTE_MAX + 8];
} Quote;
Quote text_quote(Text a);

/* A growing string. Zero-initialise; free with str_finish. `s` is always terminated after the first
 * call. Out of memory ends the program (base/memory.h: memory_exhausted). */
typedef struct {
    char *s;
    size_t n, capacity;
} Str;

void str_grow(Str *str, size_t more);
/* Where the next `more` bytes go; there is room for an end behind them. */
static inline char *str_room(Str *str, size_t more)
{
    if (more >= str->capacity - str->n)
        str_grow(str, more);
    return str->s + str->n;
}
/* The text ends here, behind what was written into the room. */
static inline void str_end(Str *str, char *end)
{
    *end = '\0';
    str->n = (size_t)(end - str->s);
}
void str_add(Str *str, Text text); /* not from the Str itself: its memory may move */
static inline void str_adds(Str *str, const char *terminated)
{
    str_add(str, text_of(terminated));
}
void str_addc(Str *str, char c);
void str_addf(Str *str, const char *format, ...) __attribute__((format(printf, 2, 3)));
void str_clear(Str *str); /* length 0, memory kept */
void str_finish(Str *str);
/* Adds text as a JSON string with its quotes (RFC 8259 section 7). Code points that act are
 * escaped; a byte that is not UTF-8 becomes U+FFFD, so that the output is always valid. */
void str_add_json(Str *str, Text text);
/* Adds text as a terminal may have it: '?' for each code point that acts and each byte that is not
 * UTF-8. A line's end (LF, CRLF) stays; with `inks` also the sequences that set colours (ECMA-48
 * SGR: ESC [ digits and ';' m). */
void str_add_shown(Str *str, Text text, bool inks);

#endif
