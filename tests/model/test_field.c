/* Fields from text and back: what the command line, the forms and the importer accept, and what
 * they refuse with which sentence. */
#include "model/field.h"

#include "model/fold.h"
#include "support/logbook.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

static Logbook *aboard(void)
{
    Logbook *book = book_open();
    book_say(book, "vessel A1 --capacity 12 --heel 0.2 --tare 3.1 --level 6");
    book_say(book, "vessel A2 --capacity 12 --tare 3.1 --level 8");
    book_say(book, "vessel A3 --capacity 12");
    book_say(book, "vessel B1 --capacity 20 --level 10");
    book_say(book, "vessel W1 --capacity 10 --duty wash --level 8");
    book_say(book, "couple galley A1 A2 A3");
    book_say(book, "stage sediment --type sediment --line galley");
    book_say(book, "source \"Holm tap\" --type mains --class potable");
    return book;
}

/* ---- accepted ---- */

typedef struct {
    const char *words, *field, *value; /* value NULL: not given */
} Spelling;

static void assert_spellings(const Spelling *spellings, size_t count)
{
    Logbook *book = aboard();
    const State *before = book_state(book);
    for (size_t i = 0; i < count; i++) {
        const Spelling *s = &spellings[i];
        Event e;
        Fault fault = {FAULT_NONE, ""};
        Str is = {0};
        if (!book_read(book, before, s->words, &e, &fault))
            fail_msg("\"%s\" was refused: %s", s->words, fault.text);
        const int field = kind_field(kind_of((KindId)e.kind), text_of(s->field));
        assert_true(field >= 0);
        const bool given = event_get(&e, field, &is);
        if (given != (s->value != NULL) || (given && strcmp(is.s, s->value) != 0))
            fail_msg("\"%s\": %s is \"%s\"", s->words, s->field, given ? is.s : "(not given)");
        str_finish(&is);
    }
    book_close(book);
}
#define ASSERT_SPELLINGS(array) assert_spellings((array), sizeof(array) / sizeof(array)[0])

static void test_every_command_of_the_contract_is_read_as_it_stands(void **state)
{
    (void)state;
    static const Spelling contract[] = {
        {"fill A1 8", "litres", "8"},
        {"fill A1 8", "level", NULL},
        {"fill A1 full --from \"Holm tap\"", "level", "12"},
        {"fill A1 full --from \"Holm tap\"", "litres", NULL},
        {"fill A1 full --from \"Holm tap\"", "source", "Holm tap"},
        {"fill A1 =11.5", "level", "11.5"},
        {"draw galley 3.5 --for cook", "line", "galley"},
        {"draw galley 3.5 --for cook", "vessel", NULL},
        {"draw galley 3.5 --for cook", "litres", "3.5"},
        {"draw galley 3.5 --for cook", "purpose", "cook"},
        {"draw W1 4", "vessel", "W1"},
        {"sound A2 5.5", "level", "5.5"},
        {"sound A2 40%", "level", "4.8"},
        {"sound A2 9.1kg", "level", "6"},
        {"decant B1 A3 5 --treated", "from", "B1"},
        {"decant B1 A3 5 --treated", "to", "A3"},
        {"decant B1 A3 5 --treated", "litres", "5"},
        {"decant B1 A3 5 --treated", "treated", "true"},
        {"dump B1", "vessel", "B1"},
        {"dump B1", "litres", NULL},
        {"sanitise B1", "vessel", "B1"},
        {"treat B1 chlorine --residual 1.0 --minutes 60 --temp 10 --ph 7.5", "method", "chlorine"},
        {"treat B1 chlorine --residual 1.0 --minutes 60 --temp 10 --ph 7.5", "residual_mg_l", "1"},
        {"treat B1 chlorine --residual 1.0 --minutes 60 --temp 10 --ph 7.5", "minutes", "60"},
        {"treat B1 chlorine --residual 1.0 --minutes 60 --temp 10 --ph 7.5", "temp_c", "10"},
        {"treat B1 chlorine --residual 1.0 --minutes 60 --temp 10 --ph 7.5", "ph", "7.5"},
        {"couple galley A1 A2 A3", "line", "galley"},
        {"couple galley A1 A2 A3", "order", "A1;A2;A3"},
        {"pressurise galley 40psi", "kpa", "275.79"},
        {"swap sediment", "stage", "sediment"},
        {"spares sediment 2", "count", "2"},
        {"flowtest galley 1 --seconds 14", "seconds", "14"},
        {"vessel A1 --capacity 12 --heel 0.2 --tare 3.1 --duty line", "capacity", "12"},
        {"vessel A1 --capacity 12 --heel 0.2 --tare 3.1 --duty line", "heel", "0.2"},
        {"vessel A1 --capacity 12 --heel 0.2 --tare 3.1 --duty line", "tare_kg", "3.1"},
        {"vessel A1 --capacity 12 --heel 0.2 --tare 3.1 --duty line", "duty", "line"},
        {"retire A1", "vessel", "A1"},
        {"stage sediment --type sediment --line galley --position 1 --life-litres 4000 "
         "--life-days 180",
         "life_litres", "4000"},
        {"stage sediment --type sediment --line galley --position 1 --life-litres 4000 "
         "--life-days 180",
         "life_days", "180"},
        {"unstage sediment", "stage", "sediment"},
        {"source \"Holm tap\" --type mains --class potable", "class", "potable"},
        {"crew 2", "persons", "2"},
        {"stop \"Holm tap\" --eta \"2026-12-01 12:00\"", "eta", "2026-12-01T12:00:00Z"},
        {"void 01890a5d-ac96-774b-bcce-b302099a8057", "entry",
         "01890a5d-ac96-774b-bcce-b302099a8057"},
    };
    ASSERT_SPELLINGS(contract);
}

static void test_every_unit_of_the_contract_is_understood(void **state)
{
    (void)state;
    static const Spelling units[] = {
        {"fill A1 8l", "litres", "8"},
        {"fill A1 \"8 L\"", "litres", "8"},
        {"fill A1 500ml", "litres", "0.5"},
        {"fill A1 2gal", "litres", "7.571"},    /* 2 x 3.785411784 (NIST HB 44) */
        {"fill A1 2impgal", "litres", "9.092"}, /* 2 x 4.54609 */
        {"fill A1 3qt", "litres", "2.839"},
        {"fill A1 2.5kg", "litres", "2.5"}, /* 1 kg of water counted as 1 L */
        {"fill A1 50%", "level", "6"},      /* of its capacity, after */
        {"fill A1 =50%", "level", "6"},
        {"fill A1 =9.1kg", "level", "6"}, /* on a scale, tare taken off */
        {"fill A1 2,5", "litres", "2.5"},
        {"fill A1 FULL", "level", "12"},
        {"sound A1 empty", "level", "0"},
        {"sound A1 spent", "level", "0.2"}, /* at its heel */
        {"sound A1 full", "level", "12"},
        {"sound A1 =5.5", "level", "5.5"},
        {"sound A1 33.333%", "level", "4"},
        {"dump B1 25%", "litres", "5"},
        {"decant B1 A3 10%", "litres", "2"}, /* of the vessel it comes out of */
        {"vessel C1 --capacity 8 --level full", "level", "8"},
        {"vessel C1 --capacity 8 --level 25%", "level", "2"},
        {"vessel C1 --capacity 8 --heel 0.3 --level spent", "level", "0.3"},
        {"vessel C1 --capacity 8 --tare 2 --level 5kg", "level", "3"},
        {"vessel C1 --capacity 2gal --tare 7lb --rated 60psi", "tare_kg", "3.175"},
        {"pressurise galley 2.76bar", "kpa", "276"},
        {"pressurise galley 276 --ambient 85,5", "ambient_kpa", "85.5"},
        {"treat B1 boil --temp 212F", "temp_c", "100"},
        {"treat B1 boil --temp -3.5", "temp_c", "-3.5"},
        {"flowtest galley 1 --seconds 14,25", "seconds", "14.25"},
    };
    ASSERT_SPELLINGS(units);
}

static void test_names_are_found_whatever_their_case(void **state)
{
    (void)state;
    static const Spelling names[] = {
        {"fill a1 1", "vessel", "A1"},
        {"fill a1 1 --from \"holm TAP\"", "source", "Holm tap"},
        {"draw --line Galley --litres 1", "line", "galley"},
        {"vessel a1 --heel 0.3", "vessel", "A1"}, /* amends A1, makes no second one */
        {"fill A1 1 --from \"Ytre brook\"", "source", "Ytre brook"},
        {"couple galley a3 a1", "order", "A3;A1"},
        {"couple galley a3,a1", "order", "A3;A1"},
        {"couple galley \"a3; a1\"", "order", "A3;A1"},
        {"couple galley", "order", ""},
    };
    ASSERT_SPELLINGS(names);
}

static void test_two_names_that_differ_in_case_must_be_written_exactly(void **state)
{
    (void)state;
    Logbook *book = book_open();
    book_say(book, "vessel b1 --capacity 5");
    Event e;
    memset(&e, 0, sizeof e);
    event_clear(&e, KIND_VESSEL); /* two people, two logs, one merge */
    e.at = book->now;
    e.has = 3;
    e.u.vessel.vessel = label_of(text_of("B1"));
    e.u.vessel.capacity = 6000;
    book_add(book, &e);
    const Reading reading = {book_state(book), book->now, UNITS_METRIC};
    Event fill;
    event_clear(&fill, KIND_FILL);
    assert_true(event_set(&fill, 0, text_of("B1"), &reading, NULL));
    assert_string_equal(fill.u.fill.vessel.s, "B1");
    assert_true(event_set(&fill, 0, text_of("b1"), &reading, NULL));
    assert_string_equal(fill.u.fill.vessel.s, "b1");
    e.u.vessel.vessel = label_of(text_of("ab1"));
    e.id = (Uuid){{0}};
    book_add(book, &e);
    e.u.vessel.vessel = label_of(text_of("AB1"));
    book_add(book, &e);
    const Reading later = {book_state(book), book->now, UNITS_METRIC};
    Fault fault;
    assert_false(event_set(&fill, 0, text_of("Ab1"), &later, &fault));
    assert_non_null(strstr(fault.text, "There is no vessel 'Ab1'. Did you mean 'ab1'?"));
    assert_string_equal(fill.u.fill.vessel.s, "b1");
    book_close(book);
}

static void test_choices_take_a_unique_beginning_and_flags_their_words(void **state)
{
    (void)state;
    static const Spelling words[] = {
        {"fill A1 1 --class q", "class", "questionable"},
        {"fill A1 1 --class NON", "class", "non-potable"},
        {"draw galley 1 --for di", "purpose", "dishes"},
        {"treat B1 c", "method", "chlorine"},
        {"stage carbon --type carbon-b --line galley --lamp with", "type", "carbon-block"},
        {"stage carbon --type uv --line galley --lamp with", "lamp", "with-flow"},
        {"decant B1 A3 1", "treated", NULL},
    };
    ASSERT_SPELLINGS(words);
    Logbook *book = aboard();
    const Reading reading = {book_state(book), book->now, UNITS_METRIC};
    Event e;
    event_clear(&e, KIND_DECANT);
    static const struct {
        const char *text;
        int64_t value;
    } flags[] = {{"yes", 1}, {"no", 0}, {"TRUE", 1}, {"false", 0}, {"y", 1}, {"n", 0}, {"", 1}};
    for (size_t i = 0; i < sizeof flags / sizeof flags[0]; i++) {
        assert_true(event_set(&e, 3, text_of(flags[i].text), &reading, NULL));
        assert_int_equal(e.u.decant.treated, flags[i].value);
    }
    book_close(book);
}

static void test_times_are_read_as_a_person_types_them(void **state)
{
    (void)state;
    static const Spelling times[] = {
        {"stop Vik --eta 2026-07-01T12:00:00+02:00", "eta", "2026-07-01T10:00:00Z"},
        {"stop Vik --eta \"2026-11-24 18:30\"", "eta", "2026-11-24T18:30:00Z"},
        {"stop Vik --eta 18:30", "eta", "2026-06-01T18:30:00Z"}, /* now is 1 June, 8:00 */
        {"stop Vik --eta 7:30", "eta", "2026-06-02T07:30:00Z"},
        {"stop Vik --eta \"yesterday 18:30\"", "eta", "2026-05-31T18:30:00Z"},
        {"stop Vik --eta -2h", "eta", "2026-06-01T06:00:00Z"},
        {"stop Vik --eta -3d", "eta", "2026-05-29T08:00:00Z"},
        {"stop Vik --eta +2d", "eta", "2026-06-03T08:00:00Z"},
    };
    ASSERT_SPELLINGS(times);
}

static void test_amounts_without_a_unit_are_in_the_units_chosen(void **state)
{
    (void)state;
    Logbook *book = aboard();
    Event e;
    event_clear(&e, KIND_FILL);
    Reading reading = {book_state(book), book->now, UNITS_US};
    assert_true(event_set(&e, 0, text_of("A1"), &reading, NULL));
    assert_true(event_set(&e, 1, text_of("2"), &reading, NULL));
    assert_int_equal(e.u.fill.litres, 7571);
    reading.units = UNITS_IMPERIAL;
    assert_true(event_set(&e, 1, text_of("2"), &reading, NULL));
    assert_int_equal(e.u.fill.litres, 9092);
    assert_true(event_set(&e, 1, text_of("2 l"), &reading, NULL));
    assert_int_equal(e.u.fill.litres, 2000);
    event_clear(&e, KIND_TREAT); /* as the reckoner of contact reads it: 50 F are 10 C */
    const int temp = kind_field(kind_of(KIND_TREAT), text_of("temp_c"));
    reading.units = UNITS_US;
    assert_true(event_set(&e, temp, text_of("50"), &reading, NULL));
    assert_int_equal(e.u.treat.temp_c, 10000);
    book_close(book);
}

/* ---- refused ---- */

typedef struct {
    const char *words, *says;
    FaultKind kind;
} Refusal;

static const Refusal refusals[] = {
    /* names */
    {"fill A9 1", "There is no vessel 'A9'. Did you mean 'A1'?", FAULT_REFUSED},
    {"fill locker 1", "There is no vessel 'locker'. Known: A1, A2, A3, B1, W1.", FAULT_REFUSED},
    {"draw --line gallery --litres 1", "There is no line 'gallery'. Did you mean 'galley'?",
     FAULT_REFUSED},
    {"swap carbon", "There is no stage 'carbon'. Known: sediment.", FAULT_REFUSED},
    {"unstop Vik", "There is no stop 'Vik': no stop has been named yet.", FAULT_REFUSED},
    {"couple galley A1 B7", "There is no vessel 'B7'. Did you mean 'B1'?", FAULT_REFUSED},
    {"fill A1 1 --from \"\"", "A name can't be empty", FAULT_REFUSED},
    {"vessel --vessel -A --capacity 5", "begins with '-'", FAULT_REFUSED},
    {"vessel \"a\tb\" --capacity 5", "control character", FAULT_REFUSED},
    {"vessel \"\xc3(\" --capacity 5", "not valid UTF-8", FAULT_REFUSED},
    {"vessel 0123456789012345678901234567890123456789012345678 --capacity 5", "is too long",
     FAULT_REFUSED},
    /* amounts */
    {"fill A1 eight", "is no amount", FAULT_USAGE},
    {"fill A1 8x", "no unit of an amount", FAULT_USAGE},
    {"fill A1 1e1", "exponents are not taken", FAULT_USAGE},
    {"fill A1 NaN", "is no amount", FAULT_USAGE},
    {"fill A1 inf", "is no amount", FAULT_USAGE},
    {"fill A1 -3", "can't be negative", FAULT_REFUSED},
    {"fill A1 1.2345", "more than three decimals", FAULT_REFUSED},
    {"fill A1 0.5ml", "fraction of a ml", FAULT_REFUSED},
    {"fill A1 1000001", "too large", FAULT_REFUSED},
    {"fill A1 101%", "too large", FAULT_REFUSED},
    {"fill A1 1,000ml", "can be read as 1000 or as 1.000", FAULT_USAGE},
    {"draw galley 10%", "'10%' is measured against a vessel, and none is named here. Give litres.",
     FAULT_REFUSED},
    {"stop Vik --eta now --litres 50%", "is measured against a vessel", FAULT_REFUSED},
    {"draw W1 full", "'full' says a level; draw wants litres. Give a number of litres.",
     FAULT_REFUSED},
    {"dump B1 =4", "'=4' says a level; dump wants litres.", FAULT_REFUSED},
    {"sound B1 9.1kg",
     "'9.1kg': the vessel's empty mass is not known. Give it once with 'vessel B1 --tare KG'",
     FAULT_REFUSED},
    {"vessel N1 --capacity 12 --level 9kg",
     "'9kg': the vessel's empty mass is not known. Give it once with 'vessel N1 --tare KG'",
     FAULT_REFUSED},
    {"sound A2 3kg", "'3kg' is less than the empty A2 weighs. Check the scale or its tare.",
     FAULT_REFUSED},
    /* the rest */
    {"pressurise galley 40 --ambient lots", "is not a plain number", FAULT_USAGE},
    {"pressurise galley 40atm", "no unit of pressure", FAULT_USAGE},
    {"treat B1 boil --temp 300", "outside of what water on board can have", FAULT_REFUSED},
    {"vessel A1 --tare 1.0005", "more than three decimals", FAULT_REFUSED},
    {"treat B1 boil --ph 7.1234", "more than three decimals", FAULT_REFUSED},
    {"spares sediment 1.5", "'1.5': count is a whole number.", FAULT_REFUSED},
    {"crew two", "is not a plain number", FAULT_USAGE},
    {"fill A1 1 --class clean", "'clean' is no class. One of: potable, questionable, non-potable.",
     FAULT_USAGE},
    {"draw galley 1 --for d", "'d' is no purpose. One of: drink, cook, dishes, wash, other.",
     FAULT_USAGE},
    {"stage s --type carbon --line galley", "'carbon' is no type. One of: sediment,", FAULT_USAGE},
    {"treat B1 \"\"", "'' is no method", FAULT_USAGE},
    {"stop Vik --eta 2026-02-31", "2026-02-31", FAULT_REFUSED},
    {"stop Vik --eta soon", "soon", FAULT_USAGE},
    {"void last", "last", FAULT_USAGE}, /* the store resolves it before */
    /* what only the whole entry shows */
    {"fill", "fill: say which vessel. For example: ullage fill A1 full", FAULT_USAGE},
    {"sound A1", "sound: level is missing", FAULT_USAGE},
    {"draw --litres 1", "draw: give a line or a vessel, one of the two", FAULT_USAGE},
    {"draw --line galley --vessel W1 --litres 1", "one of the two", FAULT_USAGE},
    {"fill A1 --cost 2", "fill: litres or level is missing", FAULT_USAGE},
    {"fill A1 5 --level 4", "A1 can't hold 4 L after 5 L went in. Check the two amounts.",
     FAULT_REFUSED},
    {"fill A1 0", "fill: litres of 0 L is too little: at least 0.001 L.", FAULT_REFUSED},
    {"treat B1 boil --ph 15", "treat: ph of 15 is too much: at most 14.", FAULT_REFUSED},
    {"crew 100", "crew: persons of 100 is too much: at most 99.", FAULT_REFUSED},
    {"crew -1", "crew: persons of -1 is too little: at least 0.", FAULT_REFUSED},
    {"stage sediment --position 17", "too much: at most 16", FAULT_REFUSED},
    {"treat B1 boil --minutes -5", "too little: at least 0 min", FAULT_REFUSED},
    {"vessel C1 --capacity 1001", "vessel: capacity of 1001 L is too much: at most 1000 L.",
     FAULT_REFUSED},
    {"void", "void: entry is missing", FAULT_USAGE},
    {"note", "note: a note without words says nothing.", FAULT_REFUSED},
};

static void test_everything_else_is_refused_with_a_sentence_that_helps(void **state)
{
    (void)state;
    Logbook *book = aboard();
    for (size_t i = 0; i < sizeof refusals / sizeof refusals[0]; i++) {
        Fault fault;
        const char *text = book_refusal(book, refusals[i].words, &fault);
        if (strstr(text, refusals[i].says) == NULL || fault.kind != refusals[i].kind)
            fail_msg("\"%s\": kind %d, \"%s\"", refusals[i].words, (int)fault.kind, text);
        const size_t n = strlen(text);
        if (text[n - 1] != '.' && text[n - 1] != '?' && strstr(text, "For example") == NULL)
            fail_msg("\"%s\": \"%s\" is no sentence", refusals[i].words, text);
    }
    book_close(book);
}

static void test_a_refused_text_leaves_the_entry_as_it_was(void **state)
{
    (void)state;
    Logbook *book = aboard();
    const Reading reading = {book_state(book), book->now, UNITS_METRIC};
    static const struct {
        KindId kind;
        int field;
        const char *good, *bad;
    } texts[] = {
        {KIND_FILL, 0, "A1", "A9"},          {KIND_FILL, 1, "3", "3.3333"},
        {KIND_FILL, 4, "potable", "clean"},  {KIND_COUPLE, 1, "A1;A2", "A3;A9"},
        {KIND_CREW, 0, "2", "2.5"},          {KIND_DECANT, 3, "yes", "perhaps"},
        {KIND_STOP, 1, "-3d", "2026-02-31"}, {KIND_PRESSURISE, 1, "276", "276atm"},
    };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        Event e, before;
        Fault fault;
        memset(&e, 0, sizeof e);
        event_clear(&e, texts[i].kind);
        assert_true(event_set(&e, texts[i].field, text_of(texts[i].good), &reading, &fault));
        before = e;
        assert_false(event_set(&e, texts[i].field, text_of(texts[i].bad), &reading, &fault));
        assert_memory_equal(&e, &before, sizeof e);
    }
    book_close(book);
}

static void test_the_unit_that_is_shown_is_the_one_that_is_read(void **state)
{
    (void)state;
    const Kind *kind = kind_of(KIND_VESSEL);
    static const struct {
        const char *field, *metric, *us;
    } units[] = {{"capacity", "L", "gal"}, {"tare_kg", "kg", "lb"}, {"rated_kpa", "kPa", "psi"}};
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        const Field *f = &kind->fields[kind_field(kind, text_of(units[i].field))];
        assert_string_equal(field_unit(f, UNITS_METRIC), units[i].metric);
        assert_string_equal(field_unit(f, UNITS_US), units[i].us);
        assert_string_equal(field_unit(f, UNITS_IMPERIAL), units[i].us);
    }
    const Kind *test = kind_of(KIND_TEST);
    const Field *temp = &test->fields[kind_field(test, text_of("temp_c"))];
    assert_string_equal(field_unit(temp, UNITS_US), "F");
    assert_string_equal(field_unit(temp, UNITS_IMPERIAL), "C");
    assert_null(field_unit(&kind->fields[0], UNITS_US));
}

static void test_a_seventeenth_vessel_in_an_order_is_refused(void **state)
{
    (void)state;
    Logbook *book = aboard();
    const Reading reading = {book_state(book), book->now, UNITS_METRIC};
    Event e;
    Fault fault;
    memset(&e, 0, sizeof e);
    event_clear(&e, KIND_COUPLE);
    for (int i = 0; i < VESSELS_ABOARD_MAX; i++) /* the check refuses the doubles, later */
        assert_true(event_set(&e, 1, text_of("A1"), &reading, &fault));
    assert_false(event_set(&e, 1, text_of("A2"), &reading, &fault));
    assert_non_null(strstr(fault.text, "A line holds 16 vessels at most."));
    assert_int_equal(e.u.couple.count, VESSELS_ABOARD_MAX);
    book_close(book);
}

/* ---- shown ---- */

/* Whatever an entry holds, its fields as interchange text read back give the same entry. */
static void test_the_text_of_every_field_reads_back_as_the_same_entry(void **state)
{
    (void)state;
    enum { COUNT = 80 };
    Event *events = calloc(COUNT, sizeof *events);
    State *before = malloc(2 * sizeof *before), *after = before + 1;
    assert_non_null(events);
    assert_non_null(before);
    int fields = 0;
    for (unsigned seed = 0; seed < 150; seed++) {
        Dice dice = {77000 + seed};
        dice_legal(&dice, events, COUNT, after);
        state_init(before);
        for (int n = 0; n < COUNT; n++) {
            const Event *e = &events[n];
            const Kind *kind = kind_of((KindId)e->kind);
            const Reading reading = {before, e->at, UNITS_METRIC};
            Event again;
            memset(&again, 0, sizeof again);
            event_clear(&again, kind->id);
            again.id = e->id;
            again.at = e->at;
            again.zone = e->zone;
            memcpy(again.note, e->note, sizeof again.note);
            for (int i = 0; i < kind->field_count; i++) {
                Str text = {0};
                Fault fault;
                if (event_get(e, i, &text)) {
                    const Text whole = {text.s, text.n};
                    if (!event_set(&again, i, whole, &reading, &fault))
                        fail_msg("seed %u: %s %s \"%s\": %s", seed, kind->name,
                                 kind->fields[i].name, text.s != NULL ? text.s : "", fault.text);
                    fields++;
                }
                str_finish(&text);
            }
            if (!event_equal(e, &again))
                fail_msg("seed %u: a %s reads back as another", seed, kind->name);
            fold_apply(before, e);
        }
    }
    assert_true(fields > 10000);
    free(events);
    free(before);
}

/* ---- what comes in as bytes ---- */

/* A note of its whole length is kept, one byte more is not, nor what a terminal would act on. */
static void test_a_note_is_kept_whole_or_refused(void **state)
{
    (void)state;
    Logbook *book = aboard();
    Event e = book->events[0], before;
    Fault fault = {FAULT_NONE, ""};
    char long_note[NOTE_MAX + 2];
    memset(long_note, 'x', sizeof long_note);
    assert_true(event_set_note(&e, text_slice(long_note, NOTE_MAX), &fault));
    assert_int_equal(strlen(e.note), NOTE_MAX);
    before = e;
    assert_false(event_set_note(&e, text_slice(long_note, NOTE_MAX + 1), &fault));
    assert_non_null(strstr(fault.text, "bytes at most"));
    static const char *const foul[] = {"a\033[2J", "bell\a", "\302\233m", "\377", "\342\200\256"};
    for (size_t i = 0; i < sizeof foul / sizeof foul[0]; i++) {
        fault = (Fault){FAULT_NONE, ""};
        assert_false(event_set_note(&e, text_of(foul[i]), &fault));
        assert_non_null(strstr(fault.text, "The note"));
    }
    assert_memory_equal(&e, &before, sizeof e);
    assert_true(event_set_note(&e, text_of(""), &fault));
    assert_string_equal(e.note, "");
    book_close(book);
}

/* An entry that came in by other roads (a merge, a damaged file): each text that it holds is asked,
 * names, all of an order, and the note. */
static void test_each_text_of_an_entry_must_be_one(void **state)
{
    (void)state;
    Logbook *book = aboard();
    for (size_t i = 0; i < book->count; i++) {
        Fault fault = {FAULT_NONE, ""};
        assert_true(event_texts_fit(&book->events[i], &fault));
    }
    Fault fault = {FAULT_NONE, ""};
    Event fill, couple, stage;
    assert_true(book_read(book, book_state(book), "fill B1 1", &fill, &fault));
    assert_true(book_read(book, book_state(book), "couple galley A1 A2 A3", &couple, &fault));
    assert_true(
        book_read(book, book_state(book), "stage t --type sediment --line galley", &stage, &fault));
    strcpy(fill.u.fill.vessel.s, "B\033");
    assert_false(event_texts_fit(&fill, &fault));
    assert_memory_equal(fault.text, "its vessel", 10);
    strcpy(fill.u.fill.vessel.s, "B1");
    strcpy(fill.u.fill.source.s, "\033"); /* it is not given: nobody reads it */
    assert_true(event_texts_fit(&fill, &fault));
    strcpy(fill.note, "\033");
    assert_false(event_texts_fit(&fill, &fault));
    assert_memory_equal(fault.text, "its note", 8);
    strcpy(couple.u.couple.order[2].s, "A\377");
    assert_false(event_texts_fit(&couple, &fault));
    couple.u.couple.count = 2; /* nor is what stands behind the last one */
    assert_true(event_texts_fit(&couple, &fault));
    strcpy(stage.u.stage.line.s, "\a");
    assert_false(event_texts_fit(&stage, &fault));
    assert_memory_equal(fault.text, "its line", 8);
    book_close(book);
}

int main(void)
{
    setenv("TZ", "UTC", 1);
    tzset();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_command_of_the_contract_is_read_as_it_stands),
        cmocka_unit_test(test_every_unit_of_the_contract_is_understood),
        cmocka_unit_test(test_names_are_found_whatever_their_case),
        cmocka_unit_test(test_two_names_that_differ_in_case_must_be_written_exactly),
        cmocka_unit_test(test_choices_take_a_unique_beginning_and_flags_their_words),
        cmocka_unit_test(test_times_are_read_as_a_person_types_them),
        cmocka_unit_test(test_amounts_without_a_unit_are_in_the_units_chosen),
        cmocka_unit_test(test_everything_else_is_refused_with_a_sentence_that_helps),
        cmocka_unit_test(test_a_refused_text_leaves_the_entry_as_it_was),
        cmocka_unit_test(test_the_unit_that_is_shown_is_the_one_that_is_read),
        cmocka_unit_test(test_a_seventeenth_vessel_in_an_order_is_refused),
        cmocka_unit_test(test_the_text_of_every_field_reads_back_as_the_same_entry),
        cmocka_unit_test(test_a_note_is_kept_whole_or_refused),
        cmocka_unit_test(test_each_text_of_an_entry_must_be_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
