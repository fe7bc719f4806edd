#include "store/json.h"

#include "base/memory.h"
#include "store/json_plain.h"

#include <string.h>

void json_init(JsonReader *reader, Db *db)
{
    *reader = (JsonReader){.db = db};
}

void json_finish(JsonReader *reader)
{
    str_finish(&reader->object);
    str_finish(&reader->list);
}

/* json_valid with one argument is strict RFC 8259 in every version of SQLite, while json_each takes
 * JSON5 as well since 3.42; what is not valid gives no rows here. A number that json_each hands
 * over as a double is fetched again as it is written; a path can't name a field of an empty name or
 * of one with a quote in it (they are refused below). */
static const char members_sql[] =
    "SELECT key, type,"
    " CASE WHEN type='real' OR (type='integer' AND typeof(value)='real')"
    "  THEN CASE WHEN key<>'' AND instr(key,'\"')=0 THEN ?1 -> fullkey END"
    "  ELSE value END"
    " FROM json_each(CASE WHEN json_valid(?1) THEN ?1 END)";
static const char type_sql[] = "SELECT CASE WHEN json_valid(?1) THEN json_type(?1) END";
/* SQLite 3.42 and later; it looks for JSON5, so 0 where only the strict reading is at fault. */
static const char position_sql[] = "SELECT json_error_position(?1)";
enum { POSITION_VERSION = 3042000 };

static bool type_of(Text word, JsonType *type)
{
    static const struct {
        const char *word;
        JsonType type;
    } types[] = {{"text", JSON_STRING},   {"real", JSON_NUMBER}, {"integer", JSON_NUMBER},
                 {"true", JSON_TRUE},     {"false", JSON_FALSE}, {"array", JSON_ARRAY},
                 {"object", JSON_OBJECT}, {"null", JSON_NULL}};
    for (size_t i = 0; i < sizeof types / sizeof *types; i++) {
        if (text_is(word, types[i].word)) {
            *type = types[i].type;
            return true;
        }
    }
    return false;
}

/* U+0000, plain or as an escape. Some versions of SQLite end a text there without a word, so this
 * is looked for before they see it. */
static bool has_zero(Text text)
{
    const char *end = text.s + text.n, *s = text.s;
    if (memchr(s, '\0', text.n) != NULL)
        return true;
    while ((s = memchr(s, '\\', (size_t)(end - s))) != NULL && end - s >= 6) {
        if (memcmp(s + 1, "u0000", 5) == 0)
            return true;
        s += 2; /* a backslash that is escaped itself begins nothing */
    }
    return false;
}

/* Runs a statement that gives one row about `text`; the caller reads the row and resets it. */
static bool ask(JsonReader *reader, const char *sql, Text text, sqlite3_stmt **stmt, Fault *fault)
{
    *stmt = db_kept(reader->db, sql, fault);
    if (*stmt == NULL)
        return false;
    db_bind_text(*stmt, 1, text);
    DbStep step = db_step(reader->db, *stmt, fault);
    return step == DB_ROW ||
           (step == DB_END && fault_set(fault, FAULT_LOG, "%s gave no row.", sql));
}

/* Says what is wrong with a text that has not the rows of what was wanted. Always false. */
static bool refuse(JsonReader *reader, Text text, bool object, Fault *fault)
{
    Text trimmed = text_trim(text);
    const char *brackets = object ? "{}" : "[]", *what = object ? "object" : "list";
    if (trimmed.n == 0 || trimmed.s[0] != brackets[0])
        return fault_set(fault, FAULT_REFUSED, "%s begins with '%c'.",
                         object ? "an entry" : "a list", brackets[0]);
    if (trimmed.n == 1 || trimmed.s[trimmed.n - 1] != brackets[1])
        return fault_set(fault, FAULT_REFUSED,
                         "it does not end with '%c'. Was it cut off, or is there something behind "
                         "the %s?",
                         brackets[1], object ? "entry" : "list");
    int64_t position = 0;
    if (sqlite3_libversion_number() >= POSITION_VERSION) {
        sqlite3_stmt *stmt;
        if (!ask(reader, position_sql, text, &stmt, fault))
            return false;
        position = sqlite3_column_int64(stmt, 0);
        sqlite3_reset(stmt);
    }
    if (position > 0)
        return fault_set(fault, FAULT_REFUSED,
                         "it is no JSON %s (RFC 8259), or too deep a nest of brackets: see "
                         "character %lld.",
                         what, (long long)position);
    return fault_set(fault, FAULT_REFUSED,
                     "it is no JSON %s (RFC 8259), or too deep a nest of brackets.", what);
}

static bool is_of_type(JsonReader *reader, Text text, bool object, bool *is, Fault *fault)
{
    sqlite3_stmt *stmt;
    if (!ask(reader, type_sql, text, &stmt, fault))
        return false;
    *is = text_is(db_text(stmt, 0), object ? "object" : "array");
    sqlite3_reset(stmt);
    return true;
}

/* No rows: fine where the object or list is an empty one. json_valid(), where it has no memory,
 * says that a text is not valid, and nothing more: so it is asked twice more before that is
 * believed. */
static bool empty(JsonReader *reader, Text text, bool object, Fault *fault)
{
    const Text trimmed = text_trim(text);
    bool first = false, again = false;
    if (trimmed.n >= 2 && text_trim(text_slice(trimmed.s + 1, trimmed.n - 2)).n == 0 &&
        trimmed.s[0] == (object ? '{' : '[') && trimmed.s[trimmed.n - 1] == (object ? '}' : ']'))
        return true;
    if (!is_of_type(reader, text, object, &first, fault) ||
        !is_of_type(reader, text, object, &again, fault))
        return false;
    if (first || again)
        memory_exhausted();
    return refuse(reader, text, object, fault);
}

/* What is read, and where its members go. */
typedef struct {
    JsonReader *reader;
    Text text;
    bool object; /* else a list */
    JsonMember *members;
    int max, *count;
    Str *bytes;
} JsonMembers;

static bool key_fits(const JsonMembers *r, Text key, Fault *fault)
{
    const JsonMember *members = r->members;
    const char *bytes = r->bytes->s;
    if (key.n == 0 || memchr(key.s, '"', key.n) != NULL)
        return fault_set(fault, FAULT_REFUSED, "no field's name is empty or has a quote in it.");
    /* the earlier keys are not pointed to yet: they stand in `bytes` one after the other */
    for (int i = 0; i < *r->count; i++) {
        if (text_equal(text_slice(bytes, members[i].key.n), key))
            return fault_set(fault, FAULT_REFUSED, "field %.*s: it is given twice.",
                             (int)(key.n < 40 ? key.n : 40), key.s);
        bytes += members[i].key.n + members[i].text.n;
    }
    return true;
}

/* Keeps the row under `stmt` as the next member. */
static bool row_keep(const JsonMembers *r, sqlite3_stmt *stmt, Fault *fault)
{
    Text key = r->object ? db_text(stmt, 0) : (Text){0}, word = db_text(stmt, 1);
    JsonMember *m = &r->members[*r->count];
    if (r->object && !key_fits(r, key, fault))
        return false;
    if (!type_of(word, &m->type))
        return fault_set(fault, FAULT_LOG, "this version of SQLite knows a type of JSON '%.*s'.",
                         (int)word.n, word.s);
    bool spelt = m->type == JSON_TRUE || m->type == JSON_FALSE || m->type == JSON_NULL;
    Text text = spelt ? word : db_text(stmt, 2);
    if (text.s == NULL)
        return fault_set(fault, FAULT_REFUSED, "field %.*s: its number can't be read.",
                         (int)(key.n < 40 ? key.n : 40), key.s);
    /* SQLite makes three bytes, which are no UTF-8, of an escape that is half a surrogate pair */
    if (!text_is_utf8(key) || !text_is_utf8(text))
        return fault_set(fault, FAULT_REFUSED, "a text has half of a surrogate pair in it.");
    m->key.n = key.n;
    m->text.n = text.n;
    str_add(r->bytes, key);
    str_add(r->bytes, text);
    ++*r->count;
    return true;
}

static bool rows_keep(const JsonMembers *r, sqlite3_stmt *stmt, Fault *fault)
{
    int key_type = r->object ? SQLITE_TEXT : SQLITE_INTEGER;
    DbStep step;
    while ((step = db_step(r->reader->db, stmt, fault)) == DB_ROW) {
        if (sqlite3_column_type(stmt, 0) != key_type)
            return refuse(r->reader, r->text, r->object, fault);
        if (*r->count == r->max)
            return fault_set(fault, FAULT_REFUSED, "too many %s.",
                             r->object ? "fields" : "things in the list");
        if (!row_keep(r, stmt, fault))
            return false;
    }
    return step == DB_END && (*r->count > 0 || empty(r->reader, r->text, r->object, fault));
}

static bool read_members(JsonMembers r, Fault *fault)
{
    if (!text_is_utf8(r.text))
        return fault_set(fault, FAULT_REFUSED, "the line is not UTF-8.");
    if (r.object && json_plain(r.text, r.members, r.max, r.count))
        return true;
    *r.count = 0;
    if (r.text.n > 0 && has_zero(r.text))
        return fault_set(fault, FAULT_REFUSED, "the character U+0000 can't be kept.");
    sqlite3_stmt *stmt = db_kept(r.reader->db, members_sql, fault);
    if (stmt == NULL)
        return false;
    str_clear(r.bytes);
    str_adds(r.bytes, ""); /* so that there is something to point to */
    db_bind_text(stmt, 1, r.text);
    bool good = rows_keep(&r, stmt, fault);
    sqlite3_reset(stmt);
    const char *at = r.bytes->s; /* they stay where they are from here on */
    for (int i = 0; good && i < *r.count; i++) {
        JsonMember *m = &r.members[i];
        m->key.s = at;
        m->text.s = at + m->key.n;
        at = m->text.s + m->text.n;
    }
    return good;
}

bool json_object(JsonReader *reader, Text text, JsonMember *members, int max, int *count,
                 Fault *fault)
{
    return read_members((JsonMembers){reader, text, true, members, max, count, &reader->object},
                        fault);
}

bool json_list(JsonReader *reader, Text text, JsonMember *items, int max, int *count, Fault *fault)
{
    return read_members((JsonMembers){reader, text, false, items, max, count, &reader->list},
                        fault);
}

/* A number as it is written: digits x 10^exponent, `figures` of them. Leading zeros are no figures,
 * and trailing ones go into the exponent, so that 1.5000000000000000000 is exact. */
typedef struct {
    int64_t digits, exponent;
    int figures; /* FIGURES_MANY: more than can be within range and exact */
    bool minus;
} Decimal;
enum { FIGURES_MAX = 18, FIGURES_MANY = 99 };

static bool at_power(Text number, size_t i)
{
    return number.s[i] == 'e' || number.s[i] == 'E';
}

/* Up to the power of ten; returns where that begins. */
static size_t mantissa_read(Text number, Decimal *d)
{
    size_t i = d->minus ? 1 : 0;
    bool point = false;
    int64_t zeros = 0; /* kept back until a figure follows */
    for (; i < number.n && !at_power(number, i) && d->figures != FIGURES_MANY; i++) {
        if (number.s[i] == '.') {
            point = true;
            continue;
        }
        if (point)
            d->exponent--;
        if (number.s[i] == '0') {
            zeros++;
            continue;
        }
        for (; zeros > 0 && d->figures > 0 && d->figures < FIGURES_MAX; zeros--) {
            d->digits *= 10;
            d->figures++;
        }
        zeros = 0;
        if (d->figures >= FIGURES_MAX) {
            d->figures = FIGURES_MANY;
            continue;
        }
        d->digits = d->digits * 10 + (number.s[i] - '0');
        d->figures++;
    }
    d->exponent += zeros;
    while (i < number.n && !at_power(number, i))
        i++;
    return i;
}

static int64_t power_read(Text number, size_t i)
{
    enum { ENOUGH = 1000000 }; /* all above is out of range alike */
    int64_t power = 0;
    const bool minus = i + 1 < number.n && number.s[i + 1] == '-';
    for (; i < number.n; i++)
        if (is_digit(number.s[i]) && power < ENOUGH)
            power = power * 10 + (number.s[i] - '0');
    return minus ? -power : power;
}

static bool number_refuse(Text number, const char *why, Fault *fault)
{
    return fault_set(fault, FAULT_REFUSED, "%.*s %s.", (int)(number.n < 40 ? number.n : 40),
                     number.s, why);
}

bool json_thousandths(Text number, int64_t *thousandths, Fault *fault)
{
    Decimal d = {.minus = number.n > 0 && number.s[0] == '-'};
    d.exponent += power_read(number, mantissa_read(number, &d));
    if (d.figures == 0) {
        *thousandths = 0;
        return true;
    }
    /* too large and too fine look alike here: which it is the point says */
    if (d.figures == FIGURES_MANY ? d.exponent >= 0 : d.exponent + d.figures > 15)
        return number_refuse(number, "is too large", fault);
    if (d.figures == FIGURES_MANY || d.exponent < -3)
        return number_refuse(number, "has more than three decimals", fault);
    for (int64_t e = d.exponent; e > -3; e--)
        d.digits *= 10;
    *thousandths = d.minus ? -d.digits : d.digits;
    return true;
}

const char *json_type_name(JsonType type)
{
    static const char *const names[] = {
        "null", "true", "false", "a number", "a text", "a list ([...])", "an object ({...})"};
    return names[type];
}
