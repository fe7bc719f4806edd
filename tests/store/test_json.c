/* The reader of JSON against RFC 8259 and against SQLite's json_valid. */
#include "store/json.h"
#include "support/store_kit.h"

#include <sqlite3.h>

static bool reads(const char *line, JsonPair *pairs, int *count, Fault *fault)
{
    return json_object(text_of(line), pairs, 8, count, fault);
}

/* RFC 8259 (Dec 2017), section 13, the first example: objects within objects, an array, false. */
static void the_example_object_of_rfc_8259_is_read(void **state)
{
    (void)state;
    const char *line =
        "{\"Image\":{\"Width\":800,\"Height\":600,\"Title\":\"View from 15th Floor\","
        "\"Thumbnail\":{\"Url\":\"http://www.example.com/image/481989943\","
        "\"Height\":125,\"Width\":100},\"Animated\":false,"
        "\"IDs\":[116,943,234,38793]}}";
    JsonPair pairs[8];
    int count;
    Fault fault = {0};
    assert_true(reads(line, pairs, &count, &fault));
    assert_int_equal(count, 1);
    assert_true(text_is(pairs[0].key.raw, "Image"));
    assert_int_equal(pairs[0].value.type, JSON_OBJECT);
    JsonPair inner[8];
    assert_true(json_object(pairs[0].value.raw, inner, 8, &count, &fault));
    assert_int_equal(count, 6);
    JsonValue item;
    int64_t ids[4], n = 0;
    for (size_t at = 0; json_next(&inner[5].value, &at, &item); n++) {
        assert_true(json_thousandths(item.raw, &ids[n], &fault));
    }
    assert_int_equal(n, 4);
    assert_int_equal(ids[0], 116000);
    assert_int_equal(ids[3], 38793000);
}

/* RFC 8259, section 7: the G clef (U+1D11E) is "\uD834\uDD1E"; UTF-8 F0 9D 84 9E (RFC 3629). */
static void the_g_clef_of_rfc_8259_is_one_character(void **state)
{
    (void)state;
    JsonPair pairs[8];
    int count;
    Fault fault = {0};
    char room[64];
    assert_true(reads("{\"a\":\"\\uD834\\uDD1E\\n\\u00e9\\/\"}", pairs, &count, &fault));
    Text text = json_string(&pairs[0].value, room);
    assert_true(text_is(text, "\xf0\x9d\x84\x9e\n\xc3\xa9/"));
}

static void what_is_no_json_is_refused_with_its_column(void **state)
{
    (void)state;
    static const char *const bad[] = {"",
                                      "{",
                                      "[1]",
                                      "{\"a\":}",
                                      "{\"a\":1,}",
                                      "{a:1}",
                                      "{'a':1}",
                                      "{\"a\":01}",
                                      "{\"a\":1.}",
                                      "{\"a\":.5}",
                                      "{\"a\":+1}",
                                      "{\"a\":NaN}",
                                      "{\"a\":Infinity}",
                                      "{\"a\":1e}",
                                      "{\"a\":tru}",
                                      "{\"a\":\"\\x\"}",
                                      "{\"a\":\"\\ud834\"}",
                                      "{\"a\":\"\\udd1e\"}",
                                      "{\"a\":\"\\u0000\"}",
                                      "{\"a\":\"\t\"}",
                                      "{\"a\":1} x",
                                      "{\"a\":1}{\"b\":2}",
                                      "{\"a\":[1,]}",
                                      "{\"a\":[1",
                                      "{\"a\" 1}",
                                      "{\"a\":1 \"b\":2}",
                                      "{\"a\":1,\"a\":1}",
                                      "{\"\\u0061\":1}"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        JsonPair pairs[8];
        int count;
        Fault fault = {0};
        if (reads(bad[i], pairs, &count, &fault)) {
            fail_msg("taken: %s", bad[i]);
        }
        assert_int_equal(fault.kind, FAULT_REFUSED);
        assert_says(fault, "column ");
    }
}

static void a_line_that_was_cut_off_is_said_to_be(void **state)
{
    (void)state;
    const char *line = "{\"id\":\"\\u00e9\",\"litres\":8.25,\"treated\":true,\"order\":[\"A1\"]}";
    for (size_t n = 0; n < strlen(line); n++) {
        JsonPair pairs[8];
        int count;
        Fault fault = {0};
        assert_false(json_object(text_slice(line, n), pairs, 8, &count, &fault));
        assert_says(fault, "cut off");
    }
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
        if (good != (cases[i].want != -1) || (good && value != cases[i].want)) {
            fail_msg("%s gave %lld", cases[i].text, (long long)value);
        }
    }
    Fault fault = {0};
    int64_t value;
    assert_false(json_thousandths(text_of("8.2000000000000001"), &value, &fault));
    assert_says(fault, "three decimals");
    assert_false(json_thousandths(text_of("1e15"), &value, &fault));
    assert_says(fault, "too large");
}

/* Every line of bytes changed at random that this reader takes is JSON to SQLite too. The other way
 * round only what is stricter here differs: keys twice or escaped, U+0000, half surrogates, other
 * than objects. */
static void what_is_taken_is_json_to_sqlite_too(void **state)
{
    (void)state;
    static const char seed_line[] = "{\"at\":\"2026\\n\",\"litres\":-8.25e1,\"t\":true,\"n\":null,"
                                    "\"o\":[\"A\",1,{}],\"p\":{\"q\":[]}}";
    static const char bytes[] = "{}[]\",:\\0123456789.eE+-tfn u\t";
    uint64_t seed = 42;
    sqlite3 *db;
    sqlite3_stmt *stmt;
    assert_int_equal(sqlite3_open(":memory:", &db), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(db, "SELECT json_valid(?1)", -1, &stmt, NULL), SQLITE_OK);
    int taken = 0;
    for (int round = 0; round < 20000; round++) {
        char line[sizeof seed_line];
        memcpy(line, seed_line, sizeof line);
        for (int64_t i = kit_below(&seed, 3); i >= 0; i--) {
            line[kit_below(&seed, sizeof line - 1)] = bytes[kit_below(&seed, sizeof bytes - 1)];
        }
        JsonPair pairs[8];
        int count;
        Fault fault = {0};
        if (!reads(line, pairs, &count, &fault)) {
            continue;
        }
        taken++;
        sqlite3_reset(stmt);
        sqlite3_bind_text(stmt, 1, line, -1, SQLITE_STATIC);
        assert_int_equal(sqlite3_step(stmt), SQLITE_ROW);
        if (sqlite3_column_int(stmt, 0) != 1) {
            fail_msg("only here: %s", line);
        }
    }
    assert_true(taken > 1000);
    sqlite3_finalize(stmt);
    sqlite3_close(db);
}

static void nests_beyond_the_limit_are_refused_and_do_not_eat_the_stack(void **state)
{
    (void)state;
    char line[60000];
    memset(line, '[', sizeof line);
    memcpy(line, "{\"a\":", 5);
    JsonPair pairs[8];
    int count;
    Fault fault = {0};
    assert_false(json_object(text_slice(line, sizeof line), pairs, 8, &count, &fault));
    assert_says(fault, "nest");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_example_object_of_rfc_8259_is_read),
        cmocka_unit_test(the_g_clef_of_rfc_8259_is_one_character),
        cmocka_unit_test(what_is_no_json_is_refused_with_its_column),
        cmocka_unit_test(a_line_that_was_cut_off_is_said_to_be),
        cmocka_unit_test(numbers_are_exact_thousandths),
        cmocka_unit_test(what_is_taken_is_json_to_sqlite_too),
        cmocka_unit_test(nests_beyond_the_limit_are_refused_and_do_not_eat_the_stack),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
