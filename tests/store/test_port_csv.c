/* CSV against RFC 4180 (October 2005), and what is more than it: formula guard, our own columns. */
#include "store/port_csv.h"
#include "support/store_kit.h"

/* Cells of all records with '|' between and '/' after each record. */
static char *cells(const char *text, Str *out, Fault *fault)
{
    FILE *in = fmemopen((void *)(uintptr_t)text, strlen(text), "r");
    Lines lines;
    CsvRecord record = {0};
    bool end = false;
    lines_init(&lines, in);
    str_clear(out);
    str_adds(out, "");
    while (csv_next(&lines, &record, &end, fault) && !end) {
        for (int i = 0; i < record.count; i++) {
            if (i > 0)
                str_addc(out, '|');
            str_add(out, csv_cell(&record, i));
        }
        str_addc(out, '/');
    }
    str_finish(&record.bytes);
    lines_finish(&lines);
    fclose(in);
    return out->s;
}

static void the_examples_of_rfc_4180_section_2_are_read(void **state)
{
    (void)state;
    static const struct {
        const char *text, *want;
    } cases[] = {
        /* rule 1 */ {"aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", "aaa|bbb|ccc/zzz|yyy|xxx/"},
        /* rule 2 */ {"aaa,bbb,ccc\r\nzzz,yyy,xxx", "aaa|bbb|ccc/zzz|yyy|xxx/"},
        /* rule 3 */
        {"field_name,field_name,field_name\r\naaa,bbb,ccc\r\n",
         "field_name|field_name|field_name/aaa|bbb|ccc/"},
        /* rule 4: spaces belong to the field */ {"aaa, bbb ,ccc\r\n", "aaa| bbb |ccc/"},
        /* rule 5 */ {"\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", "aaa|bbb|ccc/zzz|yyy|xxx/"},
        /* rule 6 */ {"\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx", "aaa|b\r\nbb|ccc/zzz|yyy|xxx/"},
        /* rule 7 */ {"\"aaa\",\"b\"\"bb\",\"ccc\"", "aaa|b\"bb|ccc/"},
        /* more: LF alone, empty cells, quotes only, a comma inside */
        {"a,b\nc,d\n", "a|b/c|d/"},
        {",,\r\n\"\",\"\"\"\"\r\n", "||/|\"/"},
        {"\"a,b\",c\r\n", "a,b|c/"},
        {"\"a\n\nb\"\r\nc\r\n", "a\n\nb/c/"},
        {"\"last\"\r\n", "last/"},
        {"\"two\nlines\"\r\n", "two\nlines/"},
    };
    Str out = {0};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Fault fault = {0};
        assert_string_equal(cells(cases[i].text, &out, &fault), cases[i].want);
        assert_int_equal(fault.kind, FAULT_NONE);
    }
    str_finish(&out);
}

static void quotes_out_of_place_are_refused(void **state)
{
    (void)state;
    static const char *const bad[] = {"a\"b,c\r\n", "\"a\"b,c\r\n", "\"a\r\nb", "\"a\" ,b\r\n"};
    Str out = {0};
    for (size_t i = 0; i < 4; i++) {
        Fault fault = {0};
        cells(bad[i], &out, &fault);
        assert_int_equal(fault.kind, FAULT_REFUSED);
        assert_says(fault, "quote");
    }
    str_finish(&out);
}

/* A cell that a spreadsheet would run goes out with an apostrophe and comes back without; a text
 * that begins with apostrophes of its own comes back with exactly those. */
static void formula_cells_are_guarded_and_come_back_to_the_byte(void **state)
{
    (void)state;
    static const struct {
        const char *note, *cell;
    } cases[] = {{"=cmd|' /c calc'!A0", ",'=cmd|' /c calc'!A0\r\n"},
                 {"+1", ",'+1\r\n"},
                 {"-1", ",'-1\r\n"},
                 {"@sum", ",'@sum\r\n"},
                 {"'=1", ",''=1\r\n"},
                 {"''=1", ",'''=1\r\n"},
                 {"'quoted'", ",'quoted'\r\n"},
                 {"'", ",'\r\n"},
                 {"a=b", ",a=b\r\n"},
                 {"=\"x\",1", ",\"'=\"\"x\"\",1\"\r\n"},
                 {" = ", ",\" = \"\r\n"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Log *log = kit_open("", LOG_SCRATCH), *back = kit_open("", LOG_SCRATCH);
        Str line = {0};
        str_adds(&line, "{\"at\":\"2026-03-01T08:00:00Z\",\"kind\":\"note\",\"note\":");
        str_add_json(&line, text_of(cases[i].note));
        str_adds(&line, "}");
        kit_import(log, line.s);
        char *csv = kit_export(log, PORT_CSV), *json = kit_export(log, PORT_JSON);
        if (strstr(csv, cases[i].cell) == NULL)
            fail_msg("%s went out as %s", cases[i].note, csv);
        kit_import(back, csv);
        char *again = kit_export(back, PORT_JSON);
        assert_string_equal(json, again);
        free(csv);
        free(json);
        free(again);
        str_finish(&line);
        log_close(log);
        log_close(back);
    }
}

static void a_label_that_looks_like_a_formula_is_guarded_too(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    kit_import(log, "{\"at\":\"2026-03-01T08:00:00Z\",\"kind\":\"couple\",\"line\":\"=x\","
                    "\"order\":[\"@1\",\"[2\"]}");
    kit_import(log, "{\"at\":\"2026-03-01T08:00:01Z\",\"kind\":\"couple\",\"line\":\"b\",\"order\":"
                    "[\"[2\",\"A\"]}");
    char *csv = kit_export(log, PORT_CSV);
    assert_non_null(strstr(csv, ",'=x,"));
    assert_non_null(strstr(csv, ",'@1;[2,"));
    assert_non_null(strstr(csv, ",\"[\"\"[2\"\",\"\"A\"\"]\","));
    assert_int_equal(kit_import(log, csv).same, 2);
    free(csv);
    log_close(log);
}

static void a_header_of_some_columns_in_any_order_will_do(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    LogIntake intake = kit_import(log, "\xef\xbb\xbfkind,litres,\"at\",vessel\n"
                                       "dump,1.5,2026-03-01T08:00:00Z,A1\n"
                                       "\n"
                                       "sanitise,,2026-03-01T08:01:00+01:00,A1\n");
    assert_int_equal(intake.added, 2);
    char *json = kit_export(log, PORT_JSON);
    assert_non_null(strstr(json, "\"kind\":\"dump\",\"vessel\":\"A1\",\"litres\":1.5}"));
    free(json);
    log_close(log);
}

static void what_is_wrong_is_named_by_file_line_and_column(void **state)
{
    (void)state;
    static const struct {
        const char *text, *says;
    } cases[] = {
        {"at,kind,cups\r\n", "line 1, the header names a column 'cups'"},
        {"at,kind,at\r\n", "line 1, the header names the column at twice"},
        {"at,kind,persons\r\n2026-03-01T08:00:00Z,crew\r\n",
         "line 2, 2 cells where the header names 3"},
        {"at,kind,persons\r\n2026-03-01T08:00:00Z,crew,2\r\n2026-03-01T08:00:00Z,crew,two\r\n",
         "line 3, field persons: "},
        {"at,kind,persons,vessel\r\n2026-03-01T08:00:00Z,crew,2,A1\r\n",
         "line 2, field vessel: an entry of kind crew has no such field"},
        {"at,kind,persons\r\n,crew,2\r\n", "line 2, field at: it is missing"},
        {"at,kind,persons\r\n2026-03-01T08:00:00Z,,2\r\n", "line 2, field kind: "},
        {"at,kind,persons\r\n2026-03-01T08:00:00Z,crew,\r\n", "line 2, field persons: "},
        {"at,kind,litres,vessel\r\n2026-03-01T08:00:00Z,dump,1.0001,A1\r\n",
         "line 2, field litres: "},
        {"at,kind,litres,vessel\r\n2026-03-01T08:00:00Z,dump,1e3,A1\r\n", "line 2, field litres: "},
        {"at,kind,litres,vessel\r\n2026-03-01T08:00:00Z,dump,NaN,A1\r\n", "line 2, field litres: "},
        {"at,kind,note\r\n2026-03-01T08:00:00Z,note,\"two\r\nlines\"\r\n",
         "line 2, field note: The note has a control character"},
        {"at,kind,note\r\n2026-03-01T08:00:00Z,note,\"two\r\nlines", "a quote is never closed"},
        {"at,kind,note\r\n2026-03-01T08:00:00Z,note,\xff\r\n", "line 2, the line is not UTF-8"},
        {"at,kind,line,order\r\n2026-03-01T08:00:00Z,couple,g,[A1]\r\n", "line 2, field order: "},
    };
    Log *log = kit_open("", LOG_SCRATCH);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Fault fault;
        kit_refused(log, cases[i].text, strlen(cases[i].text), &fault);
        assert_int_equal(fault.kind, FAULT_REFUSED);
        assert_says(fault, "season.jsonl, ");
        assert_says(fault, cases[i].says);
    }
    log_close(log);
}

static void a_quote_that_is_never_closed_does_not_eat_the_memory(void **state)
{
    (void)state;
    Str text = {0};
    str_adds(&text, "at,kind,note\r\n2026-03-01T08:00:00Z,note,\"");
    for (int i = 0; i < 20000; i++)
        str_adds(&text, "word after word\r\n");
    Log *log = kit_open("", LOG_SCRATCH);
    Fault fault;
    kit_refused(log, text.s, text.n, &fault);
    assert_says(fault, "is a quote not closed?");
    str_finish(&text);
    log_close(log);
}

/* As spreadsheets write it where the comma is the decimal point; a comma in a number is refused. */
static void semicolons_between_columns_are_read(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    Fault fault;
    const LogIntake intake = kit_import(
        log, "at;kind;vessel;capacity;note\r\n2026-03-01T08:00:00Z;vessel;A1;12.5;\"a;b, c\"\r\n");
    assert_int_equal(intake.added, 1);
    const char comma[] = "at;kind;vessel;capacity\r\n2026-03-01T08:00:00Z;vessel;A2;12,5\r\n";
    kit_refused(log, comma, strlen(comma), &fault);
    assert_says(fault, "line 2, field capacity: ");
    log_close(log);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(semicolons_between_columns_are_read),
        cmocka_unit_test(the_examples_of_rfc_4180_section_2_are_read),
        cmocka_unit_test(quotes_out_of_place_are_refused),
        cmocka_unit_test(formula_cells_are_guarded_and_come_back_to_the_byte),
        cmocka_unit_test(a_label_that_looks_like_a_formula_is_guarded_too),
        cmocka_unit_test(a_header_of_some_columns_in_any_order_will_do),
        cmocka_unit_test(what_is_wrong_is_named_by_file_line_and_column),
        cmocka_unit_test(a_quote_that_is_never_closed_does_not_eat_the_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
