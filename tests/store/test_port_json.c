/* The interchange as JSON Lines: every kind out and in again, and every way to be wrong. */
#include "support/store_kit.h"

#define ID "\"id\":\"017f22e2-79b0-7cc3-98c4-dc0c0c07398f\","
#define AT "\"at\":\"2026-03-01T08:00:00Z\","

/* One line of each kind, with all of its fields: contract, "Interchange". */
static const char every_kind[] =
    "{\"id\":\"00000000-0000-4000-8000-000000000001\",\"at\":\"2026-03-01T08:00:00+05:45\","
    "\"kind\":\"vessel\","
    "\"vessel\":\"A1\",\"capacity\":12,\"heel\":0.2,\"tare_kg\":3.1,\"rated_kpa\":413.685,\"duty\":"
    "\"reserve\","
    "\"class\":\"potable\",\"level\":7.125,\"sanitised_at\":\"2026-02-01T08:00:00Z\",\"sanitise_"
    "days\":90}\n"
    "{\"id\":\"00000000-0000-4000-8000-000000000002\",\"at\":\"2026-03-01T08:00:00.001-09:30\","
    "\"kind\":\"fill\","
    "\"vessel\":\"A1\",\"litres\":8.125,\"level\":12,\"source\":\"Holm "
    "tap\",\"class\":\"questionable\",\"cost\":1.5,"
    "\"note\":\"\\u0022quoted\\u0022, \\\\ and \xf0\x9d\x84\x9e\"}\n"
    "{\"id\":\"00000000-0000-4000-8000-000000000003\",\"at\":\"2026-03-02T08:00:00Z\",\"kind\":"
    "\"draw\","
    "\"line\":\"galley\",\"litres\":3.5,\"purpose\":\"cook\"}\n"
    "{\"id\":\"00000000-0000-4000-8000-000000000004\",\"at\":\"2026-03-02T08:01:00Z\",\"kind\":"
    "\"sound\","
    "\"vessel\":\"A1\",\"level\":0}\n"
    "{\"id\":\"00000000-0000-4000-8000-000000000005\",\"at\":\"2026-03-02T08:02:00Z\",\"kind\":"
    "\"decant\","
    "\"from\":\"B1\",\"to\":\"A3\",\"litres\":5,\"treated\":true}\n"
    "{\"id\":\"00000000-0000-4000-8000-000000000006\",\"at\":\"2026-03-02T08:03:00Z\",\"kind\":"
    "\"dump\","
    "\"vessel\":\"B1\",\"litres\":0.001}\n"
    "{\"id\":\"00000000-0000-4000-8000-000000000007\",\"at\":\"2026-03-02T08:04:00Z\",\"kind\":"
    "\"sanitise\","
    "\"vessel\":\"B1\"}\n"
    "{\"id\":\"00000000-0000-4000-8000-000000000008\",\"at\":\"2026-03-02T08:05:00Z\",\"kind\":"
    "\"treat\","
    "\"vessel\":\"B1\",\"method\":\"chlorine\",\"dose_mg_l\":2.5,\"residual_mg_l\":1,\"minutes\":"
    "60,\"temp_c\":-3.5,"
    "\"ph\":7.5,\"ntu\":0.3,\"altitude_m\":420,\"uv_mj_cm2\":40.5,\"asserted\":true}\n"
    "{\"id\":\"00000000-0000-4000-8000-000000000009\",\"at\":\"2026-03-02T08:06:00Z\",\"kind\":"
    "\"couple\","
    "\"line\":\"galley\",\"order\":[\"A1\",\"A 2\",\"\xc3\xa9;x\"]}\n"
    "{\"id\":\"00000000-0000-4000-8000-00000000000a\",\"at\":\"2026-03-02T08:07:00Z\",\"kind\":"
    "\"couple\","
    "\"line\":\"galley\",\"order\":[]}\n"
    "{\"id\":\"00000000-0000-4000-8000-00000000000b\",\"at\":\"2026-03-02T08:08:00Z\",\"kind\":"
    "\"pressurise\","
    "\"line\":\"galley\",\"kpa\":275.79,\"ambient_kpa\":101.325,\"asserted\":true}\n"
    "{\"id\":\"00000000-0000-4000-8000-00000000000c\",\"at\":\"2026-03-02T08:09:00Z\",\"kind\":"
    "\"swap\","
    "\"stage\":\"sediment\",\"cost\":6.5}\n"
    "{\"id\":\"00000000-0000-4000-8000-00000000000d\",\"at\":\"2026-03-02T08:10:00Z\",\"kind\":"
    "\"spares\","
    "\"stage\":\"sediment\",\"count\":2}\n"
    "{\"id\":\"00000000-0000-4000-8000-00000000000e\",\"at\":\"2026-03-02T08:11:00Z\",\"kind\":"
    "\"flowtest\","
    "\"line\":\"galley\",\"litres\":1,\"seconds\":14,\"counted\":true}\n"
    "{\"id\":\"00000000-0000-4000-8000-00000000000f\",\"at\":\"2026-03-02T08:12:00Z\",\"kind\":"
    "\"retire\","
    "\"vessel\":\"A1\"}\n"
    "{\"id\":\"00000000-0000-4000-8000-000000000010\",\"at\":\"2026-03-02T08:13:00Z\",\"kind\":"
    "\"stage\","
    "\"stage\":\"lamp\",\"type\":\"uv\",\"line\":\"galley\",\"position\":3,\"life_litres\":4000,"
    "\"life_days\":365,"
    "\"life_hours\":9000,\"lamp\":\"with-flow\",\"rated_lpm\":7.5,\"purifying\":true,\"fitted_at\":"
    "\"2026-02-01T08:00:00Z\",\"litres_through\":12.5,\"cost\":9.9}\n"
    "{\"id\":\"00000000-0000-4000-8000-000000000011\",\"at\":\"2026-03-02T08:14:00Z\",\"kind\":"
    "\"unstage\","
    "\"stage\":\"lamp\"}\n"
    "{\"id\":\"00000000-0000-4000-8000-000000000012\",\"at\":\"2026-03-02T08:15:00Z\",\"kind\":"
    "\"source\","
    "\"source\":\"Holm tap\",\"type\":\"mains\",\"class\":\"potable\"}\n"
    "{\"id\":\"00000000-0000-4000-8000-000000000013\",\"at\":\"2026-03-02T08:16:00Z\",\"kind\":"
    "\"crew\","
    "\"persons\":2}\n"
    "{\"id\":\"00000000-0000-4000-8000-000000000014\",\"at\":\"2026-03-02T08:17:00Z\",\"kind\":"
    "\"stop\","
    "\"stop\":\"Vesk quay\",\"eta\":\"2026-12-01T11:00:00.250Z\",\"litres\":40,\"shop\":true}\n"
    "{\"id\":\"00000000-0000-4000-8000-000000000015\",\"at\":\"2026-03-02T08:18:00Z\",\"kind\":"
    "\"unstop\","
    "\"stop\":\"Vesk quay\"}\n"
    "{\"id\":\"00000000-0000-4000-8000-000000000016\",\"at\":\"2026-03-02T08:19:00Z\",\"kind\":"
    "\"note\","
    "\"note\":\"=1+1\"}\n"
    "{\"id\":\"00000000-0000-4000-8000-000000000017\",\"at\":\"2026-03-02T08:20:00Z\",\"kind\":"
    "\"void\","
    "\"entry\":\"00000000-0000-4000-8000-000000000016\"}\n"
    "{\"id\":\"00000000-0000-4000-8000-000000000018\",\"at\":\"2026-03-02T08:21:00Z\",\"kind\":"
    "\"settle\","
    "\"entry\":\"00000000-0000-4000-8000-000000000002\"}\n"
    "{\"id\":\"00000000-0000-4000-8000-000000000019\",\"at\":\"2026-03-02T08:22:00Z\",\"kind\":"
    "\"putoff\","
    "\"stage\":\"sediment\",\"until\":\"2026-03-09T11:00:00.250Z\"}\n"
    "{\"id\":\"00000000-0000-4000-8000-00000000001a\",\"at\":\"2026-03-02T08:23:00Z\",\"kind\":"
    "\"putoff\","
    "\"vessel\":\"A1\",\"what\":\"water\"}\n";
static const char tests_of_water[] =
    "{\"id\":\"00000000-0000-4000-8000-00000000001b\",\"at\":\"2026-03-02T08:24:00Z\",\"kind\":"
    "\"test\","
    "\"vessel\":\"A1\",\"chlorine_mg_l\":0.6,\"ph\":7.4,\"ntu\":0.25,\"tds_mg_l\":310,"
    "\"hardness_mg_l\":120.5,\"nitrate_mg_l\":44,\"nitrate_as\":\"no3\",\"temp_c\":-0.5,"
    "\"coliform\":\"absent\",\"ecoli\":\"present\"}\n"
    "{\"id\":\"00000000-0000-4000-8000-00000000001c\",\"at\":\"2026-03-02T08:25:00Z\",\"kind\":"
    "\"test\","
    "\"line\":\"galley\",\"ph\":7}\n"
    "{\"id\":\"00000000-0000-4000-8000-00000000001d\",\"at\":\"2026-03-02T08:26:00Z\",\"kind\":"
    "\"test\","
    "\"source\":\"Holm tap\",\"ph\":7}\n"
    "{\"id\":\"00000000-0000-4000-8000-00000000001e\",\"at\":\"2026-03-02T08:27:00Z\",\"kind\":"
    "\"meter\","
    "\"line\":\"galley\",\"reading\":1234.5,\"new\":true,\"factor\":1.031}\n"
    "{\"id\":\"00000000-0000-4000-8000-00000000001f\",\"at\":\"2026-03-02T08:28:00Z\",\"kind\":"
    "\"leadtime\","
    "\"days\":21}\n";

static bool count_fields(void *context, const Event *e, bool voided)
{
    bool *given = context;
    (void)voided;
    const Kind *kind = kind_of((KindId)e->kind);
    for (int i = 0; i < kind->field_count; i++)
        if (event_has(e, i))
            given[e->kind * 32 + i] = true;
    given[e->kind * 32 + 31] = true;
    return true;
}

/* First that the text above really has every field of every kind but draw's vessel, then that all
 * of it goes out and in again, both ways, to the byte. */
static void every_field_of_every_kind_goes_round_both_ways(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    kit_import(log, every_kind);
    kit_import(log, tests_of_water);
    bool given[KIND_END * 32] = {false};
    LogQuery all = KIT_EVERYTHING;
    Fault fault = {0};
    assert_true(log_each(log, &all, count_fields, given, &fault));
    for (int k = 1; k < KIND_END; k++) {
        const Kind *kind = kind_of((KindId)k);
        assert_true(given[k * 32 + 31]);
        for (int i = 0; i < kind->field_count; i++) {
            bool other = k == KIND_DRAW && text_is(text_of("vessel"), kind->fields[i].name);
            if (!given[k * 32 + i] && !other)
                fail_msg("no %s of %s in this test", kind->fields[i].name, kind->name);
        }
    }
    char *json = kit_export(log, PORT_JSON), *csv = kit_export(log, PORT_CSV);
    Log *from_json = kit_open("", LOG_SCRATCH), *from_csv = kit_open("", LOG_SCRATCH);
    kit_import(from_json, json);
    kit_import(from_csv, csv);
    char *json_again = kit_export(from_json, PORT_JSON),
         *from_csv_json = kit_export(from_csv, PORT_JSON);
    char *csv_again = kit_export(from_csv, PORT_CSV);
    assert_string_equal(json, json_again);
    assert_string_equal(json, from_csv_json);
    assert_string_equal(csv, csv_again);
    assert_non_null(strstr(json, "\"at\":\"2026-03-01T08:00:00+05:45\"")); /* the offset stays */
    assert_non_null(strstr(json, "\"at\":\"2026-03-01T08:00:00.001-09:30\""));
    assert_int_equal(kit_import(log, csv).added, 0);
    kit_sound(from_csv);
    free(json);
    free(csv);
    free(json_again);
    free(csv_again);
    free(from_csv_json);
    log_close(log);
    log_close(from_json);
    log_close(from_csv);
}

static void an_entry_without_an_id_gets_a_new_one_in_the_order_of_the_lines(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    kit_import(log, "{\"kind\":\"note\"," AT "\"note\":\"one\"}\n{\"kind\":\"note\"," AT
                    "\"note\":\"two\"}\n"
                    "{\"kind\":\"note\"," AT "\"note\":\"three\"}");
    char *text = kit_export(log, PORT_JSON);
    char *one = strstr(text, "one"), *two = strstr(text, "two"), *three = strstr(text, "three");
    assert_true(one != NULL && one < two && two < three);
    free(text);
    log_close(log);
}

static void byte_order_mark_blank_lines_and_crlf_are_no_matter(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    LogIntake intake =
        kit_import(log, "\xef\xbb\xbf{" AT "\"kind\":\"crew\",\"persons\":2}\r\n\r\n  \n"
                        "{" AT "\"kind\":\"crew\",\"persons\":3}");
    assert_int_equal(intake.added, 2);
    /* of files that were put together, each with its own */
    intake = kit_import(log, "\xef\xbb\xbf\xef\xbb\xbf{" AT "\"kind\":\"crew\",\"persons\":4}\n"
                             "\xef\xbb\xbf{" AT "\"kind\":\"crew\",\"persons\":5}\n\xef\xbb\xbf");
    assert_int_equal(intake.added, 2);
    log_close(log);
}

static void what_is_wrong_is_named_by_file_line_and_field(void **state)
{
    (void)state;
    static const struct {
        const char *line, *says;
    } cases[] = {
        {"{" AT "\"kind\":\"draw\",\"line\":\"galley\",\"litres\":3.5,\"cups\":2}",
         "field cups: an entry of kind draw has no such field"},
        {"{" AT "\"kind\":\"draw\",\"line\":\"galley\",\"litre\":3.5}",
         "field litre: an entry of kind draw has no such field. Did you mean litres?"},
        {"{" AT "\"kind\":\"drow\",\"line\":\"galley\",\"litres\":3.5}",
         "field kind: 'drow' is no kind of entry. Did you mean draw?"},
        {"{" AT "\"kind\":7}", "field kind: a text in quotes is needed, not a number"},
        {"{" AT "\"line\":\"galley\",\"litres\":3.5}", "field kind: it is missing"},
        {"{\"kind\":\"crew\",\"persons\":2}", "field at: it is missing"},
        {"{" AT "\"kind\":\"draw\",\"line\":\"galley\",\"litres\":\"3.5\"}",
         "field litres: a number is needed, not a text"},
        {"{" AT "\"kind\":\"draw\",\"line\":\"galley\",\"litres\":null}",
         "field litres: a number is needed, not null"},
        {"{" AT "\"kind\":\"draw\",\"line\":\"galley\",\"litres\":true}",
         "field litres: a number is needed, not true"},
        {"{" AT "\"kind\":\"draw\",\"line\":\"galley\",\"litres\":3.5001}",
         "field litres: 3.5001 has more than three decimals"},
        {"{" AT "\"kind\":\"draw\",\"line\":\"galley\",\"litres\":1e300}",
         "field litres: 1e300 is too large"},
        {"{" AT "\"kind\":\"draw\",\"line\":\"galley\",\"litres\":-1}", "field litres: "},
        {"{" AT "\"kind\":\"draw\",\"line\":\"galley\",\"litres\":0}", "field litres: "},
        {"{" AT "\"kind\":\"draw\",\"line\":\"galley\",\"litres\":NaN}", "it is no JSON object"},
        {"{" AT "\"kind\":\"draw\",\"line\":\"galley\"}", "field litres: "},
        {"{" AT "\"kind\":\"draw\",\"litres\":1}", "draw"},
        {"{" AT "\"kind\":\"draw\",\"line\":7,\"litres\":1}",
         "field line: a text in quotes is needed"},
        {"{" AT "\"kind\":\"draw\",\"line\":\"\",\"litres\":1}", "field line: "},
        {"{" AT "\"kind\":\"draw\",\"line\":\" galley\",\"litres\":1}", "field line: "},
        {"{" AT "\"kind\":\"draw\",\"line\":\"galley\",\"litres\":1,\"purpose\":\"tea\"}",
         "field purpose: 'tea' is none of drink, cook, dishes, wash, other"},
        {"{" AT "\"kind\":\"draw\",\"line\":\"galley\",\"litres\":1,\"litres\":2}", "given twice"},
        {"{" AT "\"kind\":\"crew\",\"persons\":2.5}", "field persons: 2.5 is no whole number"},
        {"{" AT "\"kind\":\"couple\",\"line\":\"galley\"}",
         "field order: it is missing; [] says that nothing is coupled"},
        {"{" AT "\"kind\":\"couple\",\"line\":\"galley\",\"order\":\"A1\"}",
         "field order: a list of labels"},
        {"{" AT "\"kind\":\"couple\",\"line\":\"galley\",\"order\":[1]}",
         "field order: a text in quotes is needed, not a number"},
        {"{" AT "\"kind\":\"decant\",\"from\":\"A1\",\"to\":\"A2\",\"litres\":1,\"treated\":1}",
         "field treated: true or false is needed"},
        {"{" AT "\"kind\":\"void\",\"entry\":\"last\"}", "field entry: "},
        {"{\"id\":\"17\"," AT "\"kind\":\"crew\",\"persons\":2}", "field id: "},
        {"{\"id\":\"00000000-0000-0000-0000-000000000000\"," AT "\"kind\":\"crew\",\"persons\":2}",
         "field id: an id of zeros"},
        {"{\"at\":\"2026-02-31T08:00:00Z\",\"kind\":\"crew\",\"persons\":2}", "field at: "},
        {"{\"at\":\"2026-03-01T08:00:00\",\"kind\":\"crew\",\"persons\":2}", "field at: "},
        {"{\"at\":1772352000000,\"kind\":\"crew\",\"persons\":2}",
         "field at: a text in quotes is needed"},
        {"{\"at\":\"2026-11-24T00:02:02Z\",\"kind\":\"crew\",\"persons\":2}",
         "field at: 2026-11-24T00:02:02Z is in the future"},
        {"{" AT "\"kind\":\"note\",\"note\":\"a\\u001bb\"}",
         "field note: The note has a control character"},
        {"{" AT "\"kind\":\"note\",\"note\":\"a\\nb\"}",
         "field note: The note has a control character"},
        {"{" AT "\"kind\":\"note\",\"note\":\"a\tb\"}", "it is no JSON object"},
        {"{" AT "\"kind\":\"note\",\"note\":\"a\xff\"}", "not UTF-8"},
        {"{" AT "\"kind\":\"note\",\"note\":\"\xed\xa0\x80\"}", "not UTF-8"},
        {"{" AT "\"kind\":\"note\"}", "note"},
        {"{" AT "\"kind\":\"crew\",\"persons\":2", "cut off"},
        {"{" AT "\"kind\":\"crew\",\"persons\":2} {", "something behind the entry"},
        {"{" AT "\"kind\":\"crew\",\"persons\":2}{}", "it is no JSON object"},
        {"[1,2]", "an entry begins with '{'"},
        {"just words", "an entry begins with '{'"},
    };
    Log *log = kit_open("", LOG_SCRATCH);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        Str text = {0};
        Fault fault;
        str_adds(&text, KIT_SETUP "\n");
        str_adds(&text, cases[i].line);
        kit_refused(log, text.s, text.n, &fault);
        assert_int_equal(fault.kind, FAULT_REFUSED);
        assert_says(fault, "season.jsonl, line 3, ");
        assert_says(fault, cases[i].says);
        assert_says(fault, ". Nothing was imported."); /* a sentence of its own */
        str_finish(&text);
    }
    char *left = kit_export(log, PORT_JSON);
    assert_string_equal(left, ""); /* the good line before each bad one was not kept either */
    free(left);
    log_close(log);
}

static void lines_of_more_than_64_kib_are_refused_whatever_their_length(void **state)
{
    (void)state;
    static const size_t lengths[] = {65536 + 100, 200000, 10 << 20};
    Log *log = kit_open("", LOG_SCRATCH);
    for (size_t i = 0; i < 3; i++) {
        size_t n = lengths[i];
        char *text = malloc(n + 200);
        int head = snprintf(text, 200, KIT_SETUP "{" AT "\"kind\":\"note\",\"note\":\"");
        memset(text + head, 'x', n);
        memcpy(text + head + n, "\"}\n", 4);
        Fault fault;
        kit_refused(log, text, (size_t)head + n + 3, &fault);
        assert_says(fault, "season.jsonl, line 2, the line is longer than 65536 bytes");
        free(text);
    }
    log_close(log);
}

static void a_note_may_have_a_thousand_bytes_and_not_one_more(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    for (int n = NOTE_MAX; n <= NOTE_MAX + 1; n++) {
        Str text = {0};
        str_addf(&text, "{" AT "\"kind\":\"note\",\"note\":\"%0*d\"}\n", n, 0);
        Fault fault = {0};
        LogIntake intake;
        assert_int_equal(kit_import_as(log, text.s, text.n, PORT_AUTO, &intake, &fault),
                         n == NOTE_MAX);
        str_finish(&text);
    }
    log_close(log);
}

static void a_zero_byte_is_no_end_of_a_line(void **state)
{
    (void)state;
    static const char text[] = "{" AT "\"kind\":\"crew\",\"persons\":2}\0 and more\n";
    Log *log = kit_open("", LOG_SCRATCH);
    Fault fault;
    kit_refused(log, text, sizeof text - 1, &fault);
    assert_says(fault, "U+0000");
    log_close(log);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_field_of_every_kind_goes_round_both_ways),
        cmocka_unit_test(an_entry_without_an_id_gets_a_new_one_in_the_order_of_the_lines),
        cmocka_unit_test(byte_order_mark_blank_lines_and_crlf_are_no_matter),
        cmocka_unit_test(what_is_wrong_is_named_by_file_line_and_field),
        cmocka_unit_test(lines_of_more_than_64_kib_are_refused_whatever_their_length),
        cmocka_unit_test(a_note_may_have_a_thousand_bytes_and_not_one_more),
        cmocka_unit_test(a_zero_byte_is_no_end_of_a_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
