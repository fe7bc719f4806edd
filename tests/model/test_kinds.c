/* The table of kinds: consistent in itself, and what the interchange format promises. */
#include "model/kinds.h"

#include "model/tell.h"
#include "support/logbook.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static size_t field_size(const Field *f)
{
    switch (f->type) {
    case FIELD_LABEL:
        return sizeof(Label);
    case FIELD_LABELS:
        return sizeof(CoupleEvent) - offsetof(CoupleEvent, count);
    case FIELD_ENTRY:
        return sizeof(Uuid);
    default:
        return sizeof(int64_t);
    }
}

/* What a form shows of a thing that is there is what was said of it, all of it. */
static void test_what_is_present_is_what_was_said(void **state)
{
    (void)state;
    static const char *const said[] = {
        ("vessel A1 --capacity 12 --heel 0.2 --tare 3.1 --rated 410kPa --duty line "
         "--interval 90"),
        "couple galley A1",
        ("stage lamp --type uv --line galley --position 2 --life-litres 4000 --life-days 365 "
         "--life-hours 9000 --lamp with-flow --rated-lpm 3 --purifying"),
        "spares lamp 2", "source \"Holm tap\" --type mains --class potable", "crew 2",
        "stop \"Holm tap\" --eta 2026-06-28T12:00:00Z --litres 20", "leadtime 21",
        /* 0 is a number as any other, and what was left out stays out */
        "vessel B1 --capacity 12 --heel 0 --tare 0 --rated 0kPa --duty store",
        "stage bare --type sediment --line galley --position 1",
        "stage dear --type sediment --line galley --position 1 --cost 0", "spares bare 0",
        "source Fen --type well", "crew 0", "stop Fen --eta 2026-06-28T12:00:00Z --litres 0"};
    Logbook *book = book_open();
    Str first = {0}, shown = {0};
    for (size_t i = 0; i < sizeof said / sizeof *said; i++) {
        Event e, present = {0};
        Fault fault;
        assert_true(book_read(book, book_state(book), said[i], &e, &fault));
        book_say(book, said[i]);
        event_clear(&present, (KindId)e.kind);
        present.at = e.at;
        present.zone = e.zone;
        assert_true(kind_of((KindId)e.kind)->present(book_state(book), &e, &present));
        str_clear(&first);
        str_clear(&shown);
        event_tell(&e, UNITS_METRIC, false, &first);
        event_tell(&present, UNITS_METRIC, false, &shown);
        assert_string_equal(shown.s, first.s);
    }
    str_finish(&first);
    str_finish(&shown);
    book_close(book);
}

/* Of what is not there nothing is shown: the form is one that names it. */
static void test_nothing_is_present_of_what_was_never_said(void **state)
{
    (void)state;
    static const char *const words[] = {"vessel A1 --capacity 12",
                                        "couple galley A1",
                                        "couple deck",
                                        "crew 2",
                                        "stage lamp --type uv --line galley",
                                        "source \"Holm tap\" --type mains",
                                        "stop \"Holm tap\" --eta 2026-06-28T12:00:00Z"};
    Logbook *other = book_open(), *book = book_open();
    book_say(other, "vessel A1 --capacity 12"); /* so that they can be read */
    for (int line = 0; line < 2; line++) {
        for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
            Event e, present = {0};
            Fault fault;
            assert_true(book_read(other, book_state(other), words[i], &e, &fault));
            event_clear(&present, (KindId)e.kind);
            if (kind_of((KindId)e.kind)->present(book_state(book), &e, &present))
                fail_msg("%s", words[i]);
        }
        book_say(book, "vessel B1 --capacity 12"); /* other things are there */
        book_say(book, "couple shower B1");
        book_say(book, "couple deck B1");
        book_say(book, "couple deck"); /* a line without vessels */
    }
    /* a stage that is there, and whose spares nobody counted */
    Event e, present = {0};
    Fault fault;
    book_say(book, "stage lamp --type uv --line shower");
    assert_true(book_read(book, book_state(book), "spares lamp 1", &e, &fault));
    event_clear(&present, KIND_SPARES);
    assert_false(kind_of(KIND_SPARES)->present(book_state(book), &e, &present));
    book_close(book);
    book_close(other);
}

static void test_every_kind_stands_at_its_number_with_a_name_of_its_own(void **state)
{
    (void)state;
    int n = 0;
    for (int id = 1; id < KIND_END; id++) {
        const Kind *kind = kind_of((KindId)id);
        n++;
        assert_int_equal(kind->id, id);
        assert_ptr_equal(kind_named(text_of(kind->name)), kind); /* so no other has the name */
        assert_non_null(kind->gist);
        assert_non_null(kind->example);
        assert_non_null(kind->apply);
        assert_true(event_payload_size((KindId)id) <= sizeof(((Event *)0)->u));
    }
    assert_int_equal(n, KIND_END - 1);
    assert_null(kind_of(KIND_NONE));
    assert_null(kind_of(KIND_END));
    assert_null(kind_of((KindId)-1));
    assert_null(kind_named(text_of("fills")));
}

static void test_a_misspelt_kind_gives_the_nearest(void **state)
{
    (void)state;
    assert_string_equal(kind_nearest(text_of("fil"))->name, "fill");
    assert_string_equal(kind_nearest(text_of("decnat"))->name, "decant");
    assert_string_equal(kind_nearest(text_of("pressurize"))->name, "pressurise");
    assert_string_equal(kind_nearest(text_of("sanitize"))->name, "sanitise");
    assert_null(kind_nearest(text_of("bucket")));
    assert_string_equal(kind_of(KIND_COUPLE)->fields[COUPLE_ORDER].name, "order");
}

static void test_every_field_has_a_bit_a_name_and_an_option_of_its_own(void **state)
{
    (void)state;
    for (int id = 1; id < KIND_END; id++) {
        const Kind *kind = kind_of((KindId)id);
        assert_in_range(kind->field_count, 0, 31);
        for (int i = 0; i < kind->field_count; i++) {
            const Field *f = &kind->fields[i];
            if (f->name == NULL || f->option == NULL || f->help == NULL)
                fail_msg("%s: field %d is not filled in", kind->name, i);
            assert_int_equal(kind_field(kind, text_of(f->name)), i);
            for (int k = 0; k < i; k++)
                assert_string_not_equal(kind->fields[k].option, f->option);
        }
        assert_int_equal(kind_field(kind, text_of("colour")), -1);
    }
}

static void test_fields_lie_inside_the_payload_and_apart(void **state)
{
    (void)state;
    for (int id = 1; id < KIND_END; id++) {
        const Kind *kind = kind_of((KindId)id);
        const size_t begin = offsetof(Event, u), end = begin + event_payload_size(kind->id);
        for (int i = 0; i < kind->field_count; i++) {
            const Field *f = &kind->fields[i];
            if (f->offset < begin || f->offset + field_size(f) > end)
                fail_msg("%s: %s lies outside the payload", kind->name, f->name);
            if (f->type != FIELD_LABEL && f->type != FIELD_LABELS && f->type != FIELD_ENTRY)
                assert_int_equal(f->offset % sizeof(int64_t), 0);
            for (int j = 0; j < i; j++) {
                const Field *g = &kind->fields[j];
                if (f->offset < g->offset + field_size(g) && g->offset < f->offset + field_size(f))
                    fail_msg("%s: %s and %s overlap", kind->name, f->name, g->name);
            }
        }
    }
}

static void test_no_column_carries_two_fields_and_each_fits_what_it_carries(void **state)
{
    (void)state;
    for (int id = 1; id < KIND_END; id++) {
        const Kind *kind = kind_of((KindId)id);
        unsigned used = 0;
        for (int i = 0; i < kind->field_count; i++) {
            const Field *f = &kind->fields[i];
            if (f->column != COLUMN_MORE && (used >> f->column & 1u) != 0)
                fail_msg("%s: %s shares its column", kind->name, f->name);
            used |= 1u << f->column;
            const bool words = f->column == COLUMN_NAME || f->column == COLUMN_OTHER;
            if (words)
                assert_int_equal(f->type, FIELD_LABEL);
            else if (f->column != COLUMN_MORE)
                assert_true(f->type != FIELD_LABEL && f->type != FIELD_LABELS &&
                            f->type != FIELD_ENTRY);
        }
    }
}

static void test_positions_count_up_from_one_without_a_gap(void **state)
{
    (void)state;
    for (int id = 1; id < KIND_END; id++) {
        const Kind *kind = kind_of((KindId)id);
        int most = 0;
        unsigned seen = 0;
        for (int i = 0; i < kind->field_count; i++) {
            const int position = kind->fields[i].position;
            assert_in_range(position, 0, 8);
            seen |= 1u << position;
            most = position > most ? position : most;
        }
        for (int p = 1; p <= most; p++)
            if ((seen >> p & 1u) == 0)
                fail_msg("%s: no field at position %d", kind->name, p);
    }
}

static void test_ranges_and_choices_agree(void **state)
{
    (void)state;
    for (int id = 1; id < KIND_END; id++)
        for (int i = 0; i < kind_of((KindId)id)->field_count; i++) {
            const Kind *kind = kind_of((KindId)id);
            const Field *f = &kind->fields[i];
            if (f->type == FIELD_LABEL) {
                assert_int_not_equal(f->names, NAMES_NOTHING);
                continue;
            }
            if (f->type == FIELD_LABELS || f->type == FIELD_ENTRY)
                continue;
            if (f->min >= f->max)
                fail_msg("%s: %s has no range", kind->name, f->name);
            assert_true((f->type == FIELD_CHOICE) == (f->choices != NULL));
            if (f->type == FIELD_CHOICE && f->choices != NULL) {
                int64_t n = 0;
                while (f->choices[n] != NULL)
                    n++;
                assert_int_equal(f->min, 0);
                assert_int_equal(f->max, n - 1);
            }
            if (f->type == FIELD_FLAG)
                assert_true(f->min == 0 && f->max == 1);
        }
}

/* What a log may hold, in the stored unit (mL, thousandths, Pa, g, ms): a number that was once
 * written is read by every later program, so no range is ever made narrower, and a wider one is
 * meant. 253402300799999 ms is the end of the year 9999 (RFC 3339 has four digits). */
static void test_the_ranges_of_numbers_stand_in_logs_and_change_by_intent_only(void **state)
{
    (void)state;
    static const struct {
        const char *kind, *field;
        int64_t min, max;
    } ranges[] = {
        {"fill", "litres", 1, 1000000000},
        {"fill", "level", 0, 1000000000},
        {"fill", "cost", 0, 1000000000},
        {"draw", "litres", 1, 1000000000},
        {"sound", "level", 0, 1000000000},
        {"decant", "litres", 1, 1000000000},
        {"dump", "litres", 1, 1000000000},
        {"treat", "dose_mg_l", 0, 1000000},
        {"treat", "residual_mg_l", 0, 1000000},
        {"treat", "minutes", 0, 100000000},
        {"treat", "temp_c", -100000, 200000},
        {"treat", "ph", 0, 14000},
        {"treat", "ntu", 0, 10000000},
        {"treat", "altitude_m", 0, 9000000},
        {"treat", "uv_mj_cm2", 0, 10000000},
        {"pressurise", "kpa", 0, 10000000},
        {"pressurise", "ambient_kpa", 10000, 200000},
        {"spares", "count", 0, 999},
        {"flowtest", "litres", 1, 1000000},
        {"flowtest", "seconds", 1, 86400000},
        {"vessel", "capacity", 1, 1000000},
        {"vessel", "heel", 0, 1000000},
        {"vessel", "tare_kg", 0, 1000000},
        {"vessel", "rated_kpa", 0, 10000000},
        {"vessel", "level", 0, 1000000},
        {"vessel", "sanitised_at", 0, 253402300799999},
        {"vessel", "sanitise_days", 1, 366},
        {"stage", "position", 1, 16},
        {"stage", "life_litres", 0, 1000000000},
        {"stage", "life_days", 0, 36500},
        {"stage", "life_hours", 0, 1000000000},
        {"stage", "rated_lpm", 0, 1000000},
        {"stage", "fitted_at", 0, 253402300799999},
        {"stage", "litres_through", 0, 1000000000},
        {"stage", "cost", 0, 1000000000},
        {"swap", "cost", 0, 1000000000},
        {"crew", "persons", 0, 99},
        {"stop", "eta", 0, 253402300799999},
        {"stop", "litres", 0, 1000000000},
        {"putoff", "until", 0, 253402300799999},
        {"test", "chlorine_mg_l", 0, 1000000},
        {"test", "ph", 0, 14000},
        {"test", "ntu", 0, 10000000},
        {"test", "tds_mg_l", 0, 100000000},
        {"test", "hardness_mg_l", 0, 100000000},
        {"test", "nitrate_mg_l", 0, 100000000},
        {"test", "temp_c", -100000, 200000},
        {"meter", "reading", 0, 100000000000},
        {"meter", "factor", 500, 2000},
        {"leadtime", "days", 1, 365},
    };
    size_t found = 0;
    for (int id = 1; id < KIND_END; id++)
        for (int i = 0; i < kind_of((KindId)id)->field_count; i++) {
            const Kind *kind = kind_of((KindId)id);
            const Field *f = &kind->fields[i];
            if (f->min >= f->max || f->type == FIELD_FLAG || f->type == FIELD_CHOICE)
                continue;
            size_t at = 0;
            while (at < sizeof ranges / sizeof ranges[0] &&
                   (strcmp(ranges[at].kind, kind->name) != 0 ||
                    strcmp(ranges[at].field, f->name) != 0))
                at++;
            if (at == sizeof ranges / sizeof ranges[0])
                fail_msg("%s: the range of %s is not in the list", kind->name, f->name);
            else if (f->min != ranges[at].min || f->max != ranges[at].max)
                fail_msg("%s: %s is now %lld to %lld", kind->name, f->name, (long long)f->min,
                         (long long)f->max);
            found++;
        }
    assert_int_equal(found, sizeof ranges / sizeof ranges[0]);
}

/* The interchange format's table: kind, then its fields; '?' = may be left out. What is needed only
 * when a thing is named first (a capacity, a type, a line, an eta) is asked for by the kind's
 * check. */
static const char *const interchange[][14] = {
    {"fill", "vessel", "litres?", "level?", "source?", "class?", "cost?"},
    {"draw", "line?", "vessel?", "litres", "purpose?"},
    {"sound", "vessel", "level"},
    {"decant", "from", "to", "litres", "treated?"},
    {"dump", "vessel", "litres?"},
    {"sanitise", "vessel"},
    {"treat", "vessel", "method", "dose_mg_l?", "residual_mg_l?", "minutes?", "temp_c?", "ph?",
     "ntu?", "altitude_m?", "uv_mj_cm2?", "asserted?"},
    {"couple", "line", "order?"},
    {"pressurise", "line", "kpa", "ambient_kpa?", "asserted?"},
    {"swap", "stage", "cost?"},
    {"spares", "stage", "count"},
    {"flowtest", "line", "litres", "seconds", "counted?"},
    {"vessel", "vessel", "capacity?", "heel?", "tare_kg?", "rated_kpa?", "duty?", "class?",
     "level?", "sanitised_at?", "sanitise_days?"},
    {"retire", "vessel"},
    {"stage", "stage", "type?", "line?", "position?", "life_litres?", "life_days?", "life_hours?",
     "lamp?", "rated_lpm?", "purifying?", "fitted_at?", "litres_through?", "cost?"},
    {"unstage", "stage"},
    {"source", "source", "type?", "class?"},
    {"crew", "persons"},
    {"stop", "stop", "eta?", "litres?", "shop?"},
    {"unstop", "stop"},
    {"note"},
    {"void", "entry"},
    {"settle", "entry"},
    {"putoff", "vessel?", "stage?", "until?", "what?"},
    {"test", "vessel?", "line?", "source?", "chlorine_mg_l?", "ph?", "ntu?", "tds_mg_l?",
     "hardness_mg_l?", "nitrate_mg_l?", "nitrate_as?", "temp_c?", "coliform?", "ecoli?"},
    {"meter", "line", "reading", "new?", "factor?"},
    {"leadtime", "days"},
};

static void test_every_kind_has_the_fields_of_the_interchange_format(void **state)
{
    (void)state;
    const int kinds = (int)(sizeof interchange / sizeof interchange[0]);
    assert_int_equal(kinds, KIND_END - 1);
    for (int k = 0; k < kinds; k++) {
        const Kind *kind = kind_named(text_of(interchange[k][0]));
        assert_non_null(kind);
        int n = 0;
        for (; n < 13 && interchange[k][n + 1] != NULL; n++) {
            Text name = text_of(interchange[k][n + 1]);
            const bool optional = name.s[name.n - 1] == '?';
            name.n -= optional;
            const int i = kind_field(kind, name);
            if (i < 0)
                fail_msg("%s has no %s", kind->name, interchange[k][n + 1]);
            if (kind->fields[i].required == optional)
                fail_msg("%s: %s", kind->name, interchange[k][n + 1]);
        }
        assert_int_equal(kind->field_count, n);
    }
}

static void test_words_of_choices_are_those_of_the_interchange_format(void **state)
{
    (void)state;
    static const char *const words[][10] = {
        {"vessel", "duty", "line", "reserve", "wash", "store"},
        {"vessel", "class", "potable", "questionable", "non-potable"},
        {"fill", "class", "potable", "questionable", "non-potable"},
        {"draw", "purpose", "drink", "cook", "dishes", "wash", "other"},
        {"treat", "method", "chlorine", "boil", "uv", "filter"},
        {"stage", "type", "sediment", "carbon-granular", "carbon-block", "uv", "membrane", "other"},
        {"stage", "lamp", "always", "with-flow"},
        {"putoff", "what", "swap", "sanitise", "water"},
    };
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        const Kind *kind = kind_named(text_of(words[i][0]));
        const Field *f = &kind->fields[kind_field(kind, text_of(words[i][1]))];
        int n = 0;
        for (; n < 8 && words[i][n + 2] != NULL; n++)
            assert_string_equal(f->choices[n], words[i][n + 2]);
        assert_null(f->choices[n]);
    }
}

static void test_the_example_of_every_kind_can_be_logged(void **state)
{
    (void)state;
    for (int id = 1; id < KIND_END; id++) {
        const Kind *kind = kind_of((KindId)id);
        /* the command line's own: "last" for an entry, --psi for 40psi */
        if (kind->id == KIND_VOID || kind->id == KIND_SETTLE || kind->id == KIND_PRESSURISE)
            continue;
        Logbook *book = book_open();
        book_say(book, "vessel B1 --capacity 20 --level 10");
        book_say(book, "stop \"Holm tap\" --eta 2026-12-01");
        if (kind->id != KIND_VESSEL) {
            book_say(book, "vessel A1 --capacity 12 --level 6");
            book_say(book, "vessel A2 --capacity 12 --level 6");
            book_say(book, "vessel A3 --capacity 12");
        }
        if (kind->id != KIND_COUPLE && kind->id != KIND_VESSEL)
            book_say(book, "couple galley A1 A2 A3");
        if (kind->id == KIND_SANITISE)
            book_say(book, "dump B1");
        if (kind->id != KIND_STAGE) {
            book_say(book, "stage sediment --type sediment --line galley");
            book_say(book, "stage carbon --type carbon-block --line galley");
        }
        char words[300];
        (void)snprintf(words, sizeof words, "%s %s", kind->name, kind->example);
        book_say(book, words);
        assert_int_equal(book_state(book)->discrepancy_count, 0);
        book_close(book);
    }
}

static void test_what_is_put_under_pressure_carries_its_caution(void **state)
{
    (void)state;
    assert_non_null(strstr(kind_named(text_of("pressurise"))->caution, "rated pressure"));
    assert_non_null(strstr(kind_named(text_of("couple"))->caution, "Vent"));
    assert_non_null(strstr(kind_named(text_of("sanitise"))->caution, "Vent"));
    assert_non_null(strstr(kind_named(text_of("swap"))->caution, "Vent"));
    assert_non_null(strstr(kind_named(text_of("treat"))->caution, "laboratory"));
}

/* domain 5: a refusal at an earlier time says so; of a name that was not known yet, what tells the
 * same of the time before it, where the kind has such words. */
static void test_what_was_not_named_yet_says_how_to_tell_of_that_time(void **state)
{
    (void)state;
    static const struct {
        const char *kind, *fault, *says;
    } cases[] = {
        {"swap", "There is no stage s.",
         "At that time: There is no stage s. Before it was named: 'stage NAME --fitted TIME' says "
         "when the one in it was fitted."},
        {"swap", "No: There is no spare.", "At that time: No: There is no spare."},
        {"draw", "There is no line x.", "At that time: There is no line x."},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Fault fault = {0};
        fault_set(&fault, FAULT_REFUSED, "%s", cases[i].fault);
        assert_false(kind_refused_then(kind_named(text_of(cases[i].kind)), &fault));
        assert_string_equal(fault.text, cases[i].says);
    }
    assert_null(kind_of((KindId)-1));
    assert_null(kind_of(KIND_NONE));
    assert_null(kind_of(KIND_END));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_what_is_present_is_what_was_said),
        cmocka_unit_test(test_nothing_is_present_of_what_was_never_said),
        cmocka_unit_test(test_every_kind_stands_at_its_number_with_a_name_of_its_own),
        cmocka_unit_test(test_a_misspelt_kind_gives_the_nearest),
        cmocka_unit_test(test_every_field_has_a_bit_a_name_and_an_option_of_its_own),
        cmocka_unit_test(test_fields_lie_inside_the_payload_and_apart),
        cmocka_unit_test(test_no_column_carries_two_fields_and_each_fits_what_it_carries),
        cmocka_unit_test(test_positions_count_up_from_one_without_a_gap),
        cmocka_unit_test(test_ranges_and_choices_agree),
        cmocka_unit_test(test_the_ranges_of_numbers_stand_in_logs_and_change_by_intent_only),
        cmocka_unit_test(test_every_kind_has_the_fields_of_the_interchange_format),
        cmocka_unit_test(test_words_of_choices_are_those_of_the_interchange_format),
        cmocka_unit_test(test_the_example_of_every_kind_can_be_logged),
        cmocka_unit_test(test_what_is_put_under_pressure_carries_its_caution),
        cmocka_unit_test(test_what_was_not_named_yet_says_how_to_tell_of_that_time),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
