/* The reader of JSON: RFC 8259, and where it is stricter or more exact than SQLite's functions. */
#include "store/json.h"
#include "store/json_plain.h"
#include "support/logbook.h"
#include "support/store_kit.h"

#define MAX 8

/* A reader on a database of its own, and what it read last. */
typedef struct {
    Db db;
    JsonReader reader;
    JsonMember members[MAX], items[MAX];
    int count, item_count;
    char *text; /* what was read last: the members borrow it */
    Fault fault;
} Bench;

static int bench_begin(void **state)
{
    static Bench bench;
    memset(&bench, 0, sizeof bench);
    assert_true(db_open(&bench.db, "", DB_SCRATCH, 50, &bench.fault));
    json_init(&bench.reader, &bench.db);
    *state = &bench;
    return 0;
}

static int bench_end(void **state)
{
    Bench *b = *state;
    json_finish(&b->reader);
    db_close(&b->db);
    free(b->text);
    return 0;
}

static bool reads_slice(Bench *b, Text text)
{
    /* a copy of just these bytes: whoever reads on is caught by ASan */
    free(b->text);
    b->text = malloc(text.n + (text.n == 0));
    memcpy(b->text, text.s, text.n);
    b->fault = (Fault){0};
    return json_object(&b->reader, text_slice(b->text, text.n), b->members, MAX, &b->count,
                       &b->fault);
}

static bool reads(Bench *b, const char *line)
{
    return reads_slice(b, text_of(line));
}

static bool lists(Bench *b, Text text)
{
    b->fault = (Fault){0};
    return json_list(&b->reader, text, b->items, MAX, &b->item_count, &b->fault);
}

static void refused(Bench *b, const char *line, const char *says)
{
    if (reads(b, line))
        fail_msg("taken: %s", line);
    assert_int_equal(b->fault.kind, FAULT_REFUSED);
    assert_says(b->fault, says);
}

/* RFC 8259 (Dec 2017), section 13, the first example: objects within objects, an array, false. */
static void the_example_object_of_rfc_8259_is_read(void **state)
{
    Bench *b = *state;
    assert_true(reads(b,
                      "{\"Image\":{\"Width\":800,\"Height\":600,\"Title\":\"View from 15th Floor\","
                      "\"Thumbnail\":{\"Url\":\"http://www.example.com/image/481989943\","
                      "\"Height\":125,\"Width\":100},\"Animated\":false,"
                      "\"IDs\":[116,943,234,38793]}}"));
    assert_int_equal(b->count, 1);
    assert_true(text_is(b->members[0].key, "Image"));
    assert_int_equal(b->members[0].type, JSON_OBJECT);
    char image[512] = "";
    memcpy(image, b->members[0].text.s, b->members[0].text.n);
    assert_true(reads(b, image));
    assert_int_equal(b->count, 6);
    assert_true(text_is(b->members[2].text, "View from 15th Floor"));
    assert_int_equal(b->members[4].type, JSON_FALSE);
    assert_int_equal(b->members[5].type, JSON_ARRAY);
    assert_true(lists(b, b->members[5].text));
    assert_int_equal(b->item_count, 4);
    assert_true(text_is(b->items[0].text, "116"));
    assert_true(text_is(b->items[3].text, "38793"));
    assert_true(text_is(b->members[0].key, "Width")); /* the list took nothing from the object */
    assert_true(text_is(b->members[5].key, "IDs"));
}

static void each_type_is_told_from_the_others(void **state)
{
    static const struct {
        const char *json;
        JsonType type;
        const char *text;
    } cases[] = {{"null", JSON_NULL, "null"},     {"true", JSON_TRUE, "true"},
                 {"false", JSON_FALSE, "false"},  {"7", JSON_NUMBER, "7"},
                 {"-7.50", JSON_NUMBER, "-7.50"}, {"\"7\"", JSON_STRING, "7"},
                 {"\"\"", JSON_STRING, ""},       {"\"null\"", JSON_STRING, "null"},
                 {"[]", JSON_ARRAY, "[]"},        {"[1,\"\\n\"]", JSON_ARRAY, "[1,\"\\n\"]"},
                 {"{}", JSON_OBJECT, "{}"}};
    Bench *b = *state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char line[64];
        snprintf(line, sizeof line, " { \"a b\" : %s , \"c\":1}\r\n", cases[i].json);
        assert_true(reads(b, line));
        assert_int_equal(b->count, 2);
        assert_int_equal(b->members[0].type, cases[i].type);
        assert_true(text_is(b->members[0].key, "a b"));
        assert_true(text_is(b->members[0].text, cases[i].text));
        assert_true(text_is(b->members[1].text, "1"));
        snprintf(line, sizeof line, "\t[%s, 2.5]", cases[i].json);
        assert_true(lists(b, text_of(line)));
        assert_int_equal(b->item_count, 2);
        assert_int_equal(b->items[0].type, cases[i].type);
        assert_int_equal(b->items[0].key.n, 0);
        assert_true(text_is(b->items[0].text, cases[i].text));
        assert_true(text_is(b->items[1].text, "2.5"));
    }
}

static void empty_ones_are_read_and_not_confused(void **state)
{
    Bench *b = *state;
    assert_true(reads(b, " {}"));
    assert_int_equal(b->count, 0);
    assert_true(lists(b, text_of("[ ] ")));
    assert_int_equal(b->item_count, 0);
    refused(b, "[]", "begins with '{'");
    static const char *const none[] = {"",  "{}", "{\"a\":1}", "1",  "null",
                                       "[", "[1", "[1]]",      "[,]"};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        if (lists(b, text_of(none[i])))
            fail_msg("taken: %s", none[i]);
        assert_int_equal(b->fault.kind, FAULT_REFUSED);
    }
}

/* RFC 8259, section 7: the G clef (U+1D11E) is "\uD834\uDD1E"; UTF-8 F0 9D 84 9E (RFC 3629). */
static void the_g_clef_of_rfc_8259_is_one_character(void **state)
{
    Bench *b = *state;
    assert_true(reads(b, "{\"a\":\"\\uD834\\uDD1E\\n\\u00e9\\/\"}"));
    assert_true(text_is(b->members[0].text, "\xf0\x9d\x84\x9e\n\xc3\xa9/"));
    assert_true(reads(b, "{\"a\":\"\\\"\\\\\\/\\b\\f\\n\\r\\t\"}"));
    assert_true(text_is(b->members[0].text, "\"\\/\b\f\n\r\t"));
}

static void what_is_no_json_is_refused(void **state)
{
    static const char *const bad[] = {
        "{\"a\":}",
        "{\"a\":1,}",
        "{a:1}",
        "{'a':1}",
        "{\"a\":'b'}",
        "{\"a\":01}",
        "{\"a\":1.}",
        "{\"a\":.5}",
        "{\"a\":+1}",
        "{\"a\":0x1f}",
        "{\"a\":NaN}",
        "{\"a\":Infinity}",
        "{\"a\":1e}",
        "{\"a\":tru}",
        "{\"a\":TRUE}",
        "{\"a\":\"\\x41\"}",
        "{\"a\":\"\\u12g4\"}",
        "{\"a\":\"\t\"}",
        "{\"a\":\"b\\\nc\"}",
        "{\"a\":1}{\"b\":2}",
        "{\"a\":[1,]}",
        "{\"a\":[1}",
        "{\"a\" 1}",
        "{\"a\":1 \"b\":2}",
        "{\"a\":/* one */1}",
    };
    Bench *b = *state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        refused(b, bad[i], "it is no JSON object (RFC 8259)");
}

static void another_thing_than_an_object_is_refused(void **state)
{
    static const char *const bad[] = {"",  " ",      "[1]",  "[{\"a\":1}]",
                                      "1", "\"{}\"", "null", "words"};
    Bench *b = *state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        refused(b, bad[i], "an entry begins with '{'");
    refused(b, "{\"a\":1} x", "something behind");
}

/* Only SQLite 3.42 and later say where, and only of what is no JSON5 either. */
static void the_place_is_told_where_sqlite_can(void **state)
{
    Bench *b = *state;
    refused(b, "{\"\xc3\xa9\":1,\"b\":?}", "no JSON object");
    bool told = strstr(b->fault.text, "see character 12.") != NULL;
    assert_int_equal(told, sqlite3_libversion_number() >= 3042000);
    refused(b, "{a:1}", "no JSON object");
    assert_null(strstr(b->fault.text, "see character"));
}

static void a_line_that_was_cut_off_is_said_to_be(void **state)
{
    const char *line = "{\"id\":\"\\u00e9\",\"litres\":8.25,\"treated\":true,\"order\":[\"A1\"]}";
    Bench *b = *state;
    for (size_t n = 1; n < strlen(line); n++) {
        assert_false(reads_slice(b, text_slice(line, n)));
        assert_int_equal(b->fault.kind, FAULT_REFUSED);
        assert_says(b->fault, "cut off");
    }
    assert_true(reads(b, line));
}

static void a_field_twice_is_refused_however_it_is_spelt(void **state)
{
    Bench *b = *state;
    refused(b, "{\"a\":1,\"b\":2,\"a\":1}", "field a: it is given twice");
    refused(b, "{\"a\":1.5,\"a\":2.5}", "field a: it is given twice");
    refused(b, "{\"a\":1,\"\\u0061\":1}", "field a: it is given twice");
    refused(b, "{\"\\u0061b\":[1],\"c\":\"c\",\"ab\":{}}", "field ab: it is given twice");
    assert_true(reads(b, "{\"a\":1,\"A\":1,\"ab\":1,\"b\":{\"a\":1}}"));
    assert_int_equal(b->count, 4);
}

static void a_name_that_no_path_can_hold_is_refused(void **state)
{
    static const char *const bad[] = {"{\"\":1}", "{\"\":1.5}", "{\"a\\\"\":1}", "{\"a\\\"b\":1.5}",
                                      "{\"\\u0022\":1.5}"};
    Bench *b = *state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        refused(b, bad[i], "no field's name is empty or has a quote in it");
}

/* The number that is fetched by a path is that of its own field, whatever the names look like. */
static void strange_names_hide_no_number(void **state)
{
    static const char *const names[] = {"a.b",      "a[0]", "$",  "#",    "[0]",   "a b",
                                        "'",        ".",    "a]", "\\\\", "a\\\\", "\\u0061\\u002e",
                                        "\xc3\xa9", "1",    "$.a"};
    Bench *b = *state;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        char line[96];
        snprintf(line, sizeof line, "{\"x\":{\"a\":9.5},\"%s\":1.2500,\"y\":[7.5]}", names[i]);
        if (!reads(b, line))
            fail_msg("%s: %s", line, b->fault.text);
        assert_int_equal(b->count, 3);
        assert_true(text_is(b->members[1].text, "1.2500"));
    }
}

static void half_a_surrogate_pair_is_refused(void **state)
{
    static const char *const bad[] = {"{\"a\":\"\\ud834\"}", "{\"a\":\"\\udd1e\"}",
                                      "{\"a\":\"\\udd1e\\ud834\"}", "{\"a\":\"\\ud834x\\udd1e\"}",
                                      "{\"\\ud834\":1}"};
    Bench *b = *state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        refused(b, bad[i], "half of a surrogate pair");
    assert_false(lists(b, text_of("[\"A1\",\"\\udbff\"]")));
    assert_says(b->fault, "half of a surrogate pair");
}

static void the_character_zero_is_refused_in_any_spelling(void **state)
{
    Bench *b = *state;
    refused(b, "{\"a\":\"\\u0000\"}", "U+0000");
    refused(b, "{\"a\":\"b\\u0000c\"}", "U+0000");
    refused(b, "{\"a\\u0000\":1}", "U+0000");
    refused(b, "{\"a\":\"\\\\\\u0000\"}", "U+0000");
    static const char plain[] = "{\"a\":1}\0 and more";
    assert_false(reads_slice(b, text_slice(plain, sizeof plain - 1)));
    assert_says(b->fault, "U+0000");
    /* an escaped backslash before u0000 is no such escape */
    assert_true(reads(b, "{\"a\":\"\\\\u0000\",\"b\":\"\\\\\"}"));
    assert_true(text_is(b->members[0].text, "\\u0000"));
    assert_true(text_is(b->members[1].text, "\\"));
}

static void what_is_not_utf8_is_refused(void **state)
{
    Bench *b = *state;
    refused(b, "{\"a\":\"\xff\"}", "not UTF-8");
    refused(b, "{\"a\":\"\xed\xa0\xb4\"}", "not UTF-8");
    refused(b, "{\"\xc3\":1}", "not UTF-8");
}

/* By double, each of these would be another number, or pass for one with three decimals. */
static void numbers_come_as_they_are_written(void **state)
{
    static const char *const numbers[] = {"8.2000000000000001",
                                          "8.250",
                                          "0.1e1",
                                          "1E+3",
                                          "-0.0",
                                          "1e400",
                                          "1e-400",
                                          "9007199254740993.0",
                                          "9223372036854775807",
                                          "-9223372036854775808",
                                          "9223372036854775808",
                                          "123456789012345678901234567890"};
    Bench *b = *state;
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++) {
        char line[96];
        snprintf(line, sizeof line, "{\"litres\":%s}", numbers[i]);
        assert_true(reads(b, line));
        assert_int_equal(b->members[0].type, JSON_NUMBER);
        if (!text_is(b->members[0].text, numbers[i]))
            fail_msg("%s came as %.*s", numbers[i], (int)b->members[0].text.n,
                     b->members[0].text.s);
    }
    assert_true(lists(b, text_of("[0.10,1,[2.50,{\"a\":1e400}]]")));
    assert_true(text_is(b->items[0].text, "0.10"));
    assert_true(text_is(b->items[2].text, "[2.50,{\"a\":1e400}]"));
}

static void numbers_are_exact_thousandths(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int64_t want; /* -1: refused */
    } cases[] = {{"0", 0},
                 {"-0", 0},
                 {"0.000", 0},
                 {"8.25", 8250},
                 {"-3.5", -3500},
                 {"0.001", 1},
                 {"8.2000000000000000000000000000", 8200},
                 {"1.5e1", 15000},
                 {"1E+3", 1000000},
                 {"2500e-3", 2500},
                 {"1e-3", 1},
                 {"1200000", 1200000000},
                 {"0.0000000000000000000000e5", 0},
                 {"999999999999.999", INT64_C(999999999999999)},
                 {"8.0001", -1},
                 {"8.2000000000000001", -1},
                 {"1e-4", -1},
                 {"1e15", -1},
                 {"1e400", -1},
                 {"1e99999999999999999999", -1},
                 {"123456789012345678901234567890", -1}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        int64_t value = 77;
        Fault fault = {0};
        bool good = json_thousandths(text_of(cases[i].text), &value, &fault);
        if (good != (cases[i].want != -1) || (good && value != cases[i].want))
            fail_msg("%s gave %lld", cases[i].text, (long long)value);
    }
    Fault fault = {0};
    int64_t value;
    assert_false(json_thousandths(text_of("8.2000000000000001"), &value, &fault));
    assert_says(fault, "three decimals");
    assert_false(json_thousandths(text_of("1e15"), &value, &fault));
    assert_says(fault, "too large");
}

static void more_members_than_there_is_room_for_are_refused(void **state)
{
    Bench *b = *state;
    assert_true(reads(b, "{\"a\":1,\"b\":1,\"c\":1,\"d\":1,\"e\":1,\"f\":1,\"g\":1,\"h\":1}"));
    assert_int_equal(b->count, MAX);
    refused(b, "{\"a\":1,\"b\":1,\"c\":1,\"d\":1,\"e\":1,\"f\":1,\"g\":1,\"h\":1,\"i\":1}",
            "too many fields");
    assert_true(lists(b, text_of("[1,2,3,4,5,6,7,8]")));
    assert_false(lists(b, text_of("[1,2,3,4,5,6,7,8,9]")));
    assert_says(b->fault, "too many");
    assert_true(reads(b, "{\"a\":1}")); /* and the reader is as good as before */
    assert_int_equal(b->count, 1);
}

/* A nest of that many lists as the only field. */
static void nest(char *line, size_t depth)
{
    size_t n = (size_t)sprintf(line, "{\"a\":");
    memset(line + n, '[', depth);
    memset(line + n + depth, ']', depth);
    strcpy(line + n + 2 * depth, "}");
}

static void nests_beyond_the_limit_are_refused_and_do_not_eat_the_stack(void **state)
{
    static char line[65536];
    Bench *b = *state;
    nest(line, 900);
    assert_true(reads(b, line));
    assert_int_equal(b->members[0].type, JSON_ARRAY);
    nest(line, 30000);
    refused(b, line, "too deep a nest");
    memset(line + 5, '[', sizeof line - 6);
    line[sizeof line - 1] = '\0';
    refused(b, line, "cut off");
}

/* Members stand in memory that grows while they are read. */
static void a_long_line_keeps_all_its_members(void **state)
{
    Bench *b = *state;
    Str line = {0};
    for (int i = 0; i < MAX; i++)
        str_addf(&line, "%s\"%c\":\"%0*d\"", i == 0 ? "{" : ",", 'a' + i, 1000 * i + 1, i);
    str_addc(&line, '}');
    assert_true(reads(b, line.s));
    assert_int_equal(b->count, MAX);
    for (int i = 0; i < MAX; i++) {
        assert_int_equal(b->members[i].key.n, 1);
        assert_int_equal(b->members[i].key.s[0], 'a' + i);
        assert_int_equal(b->members[i].text.n, 1000 * i + 1);
        assert_int_equal(b->members[i].text.s[1000 * i], '0' + i);
    }
    str_finish(&line);
}

/* ---- the usual line is read without SQLite, and must mean the same ---- */

static const char *const usual[] = {
    "{\"id\":\"0192f0c8-0000-7000-8000-000000000001\",\"kind\":\"draw\",\"litres\":0.25}",
    "{\"a\":-12.5,\"b\":true,\"c\":false,\"d\":\"Holm tap\",\"e\":120}",
    "{ \"note\" : \"Quay at Str\xc3\xb8m, 2 \xc2\xb0 in it\" ,\t\"n\":0 }\r",
    "{\"order\":[\"A1\",\"A2\"],\"x\":null,\"y\":{\"z\":1}}",
    "{\"e\":1e3,\"f\":-0,\"g\":0.0,\"h\":123456789012345,\"i\":1234567890123456}",
};

static size_t below(Dice *dice, size_t n)
{
    return (size_t)dice_from(dice, 0, (int64_t)n - 1);
}

static size_t damaged(Dice *dice, char *out, size_t size)
{
    static const char bytes[] = "{}[]\",:\\0123456789-+.eEtrufalsn \t\r\nab\x01\x7f\xc3\xb8\xff/";
    const char *from = usual[below(dice, sizeof usual / sizeof *usual)];
    size_t n = (size_t)snprintf(out, size, "%s", from);
    for (size_t i = below(dice, 4); i > 0; i--) {
        const size_t at = below(dice, n + 1);
        const char byte = bytes[below(dice, sizeof bytes - 1)];
        const size_t how = below(dice, 3);
        if (how == 0 && n < size) { /* one more */
            memmove(out + at + 1, out + at, n - at);
            out[at] = byte;
            n++;
        } else if (at < n && how == 1) { /* another */
            out[at] = byte;
        } else if (at < n) { /* one less */
            memmove(out + at, out + at + 1, n - at - 1);
            n--;
        }
    }
    return n;
}

/* A line's end in front is white space to SQLite, and unusual to the other reader: so the same
 * line, with it, is SQLite's to judge. */
static void the_usual_line_means_what_sqlite_says(void **state)
{
    Bench *b = *state;
    Dice dice = {20260911};
    int plain = 0, taken = 0;
    for (int round = 0; round < 20000; round++) {
        char line[256] = "\n";
        char said[2][2048] = {"", ""};
        const size_t n = damaged(&dice, line + 1, sizeof line - 16);
        JsonMember members[MAX];
        int count;
        const Text text = text_slice(line + 1, n);
        plain += text_is_utf8(text) && json_plain(text, members, MAX, &count);
        for (int judged = 0; judged < 2; judged++) {
            const bool good = reads_slice(b, text_slice(line + 1 - judged, n + (size_t)judged));
            size_t used = (size_t)snprintf(said[judged], sizeof said[judged], "%d %s", good,
                                           good ? "" : b->fault.text);
            for (int i = 0; good && i < b->count; i++) {
                const JsonMember *m = &b->members[i];
                used += (size_t)snprintf(said[judged] + used, sizeof said[judged] - used,
                                         " %.*s=%d:%.*s", (int)m->key.n, m->key.s, (int)m->type,
                                         (int)m->text.n, m->text.s);
            }
            taken += good;
        }
        if (strcmp(said[0], said[1]) != 0 && strstr(said[1], "see character") == NULL)
            fail_msg("%.*s\nis read as %s\nto SQLite %s", (int)n, line + 1, said[0], said[1]);
    }
    /* the sample has both kinds in plenty */
    assert_in_range(plain, 3000, 17000);
    assert_in_range(taken, 2 * plain, 36000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_example_object_of_rfc_8259_is_read),
        cmocka_unit_test(each_type_is_told_from_the_others),
        cmocka_unit_test(empty_ones_are_read_and_not_confused),
        cmocka_unit_test(the_g_clef_of_rfc_8259_is_one_character),
        cmocka_unit_test(what_is_no_json_is_refused),
        cmocka_unit_test(another_thing_than_an_object_is_refused),
        cmocka_unit_test(the_place_is_told_where_sqlite_can),
        cmocka_unit_test(a_line_that_was_cut_off_is_said_to_be),
        cmocka_unit_test(a_field_twice_is_refused_however_it_is_spelt),
        cmocka_unit_test(a_name_that_no_path_can_hold_is_refused),
        cmocka_unit_test(strange_names_hide_no_number),
        cmocka_unit_test(half_a_surrogate_pair_is_refused),
        cmocka_unit_test(the_character_zero_is_refused_in_any_spelling),
        cmocka_unit_test(what_is_not_utf8_is_refused),
        cmocka_unit_test(numbers_come_as_they_are_written),
        cmocka_unit_test(numbers_are_exact_thousandths),
        cmocka_unit_test(more_members_than_there_is_room_for_are_refused),
        cmocka_unit_test(nests_beyond_the_limit_are_refused_and_do_not_eat_the_stack),
        cmocka_unit_test(a_long_line_keeps_all_its_members),
        cmocka_unit_test(the_usual_line_means_what_sqlite_says),
    };
    return cmocka_run_group_tests(tests, bench_begin, bench_end);
}
