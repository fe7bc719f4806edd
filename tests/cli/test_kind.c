/* The commands of the kinds: words, options, times, the echo, --dry-run, --json, taking back. */
#include "support/run.h"
#include "support/zone.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

#include <cmocka.h>

/* A small set-up in the past: two vessels on a line, a reserve, a wash vessel, a stage. */
static const char *const set_up[] = {
    "vessel A1 --capacity 12 --heel 0.2 --tare 3.1 --class potable --level 4 --at \"2024-05-01 "
    "08:00\"",
    "vessel A2 --capacity 12 --heel 0.2 --class potable --level 12 --at \"2024-05-01 08:01\"",
    "vessel R1 --capacity 12 --duty reserve --class potable --level full --at \"2024-05-01 08:02\"",
    "vessel W1 --capacity 20 --duty wash --class non-potable --level 9 --at \"2024-05-01 08:03\"",
    "couple galley A1 A2 --at \"2024-05-01 08:04\"",
    "crew 2 --at \"2024-05-01 08:05\"",
    "source \"Holm tap\" --type mains --class potable --at \"2024-05-01 08:06\"",
    "stage sediment --type sediment --line galley --position 1 --life-litres 4000 --life-days 180 "
    "--at \"2024-05-01 08:07\"",
    "spares sediment 1 --at \"2024-05-01 08:08\"",
};

static void begin(Run *r)
{
    run_begin_with(r, CENTRAL_EUROPE, set_up, sizeof set_up / sizeof set_up[0]);
}

static void every_kind_of_the_contract_is_logged_from_its_words(void **unused)
{
    (void)unused;
    static const struct {
        const char *words, *said;
    } cases[] = {
        {"fill A1 8 --at \"2024-05-02 09:00\"", "A1 4.0 L -> 12.0 L"},
        {"draw galley 3.5 --for cook --at \"2024-05-02 10:00\"", "A1 12.0 L -> 8.5 L"},
        {"fill A1 =11.5 --from \"Holm tap\" --at \"2024-05-02 11:00\"", "A1 8.5 L -> 11.5 L"},
        {"fill A1 full --from \"Holm tap\" --at \"2024-05-02 12:00\"", "A1 11.5 L -> 12.0 L"},
        {"draw W1 4 --at \"2024-05-02 12:30\"", "W1 9.0 L -> 5.0 L"},
        {"sound A2 5.5 --at \"2024-05-02 13:00\"", "booked as use that nobody logged: 6.5 L"},
        {"sound A2 40% --at \"2024-05-02 14:00\"", "A2 5.5 L -> 4.8 L"},
        {"sound A1 9.1kg --at \"2024-05-02 15:00\"", "A1 12.0 L -> 6.0 L"},
        {"vessel B1 --capacity 10 --duty store --class questionable --level 8 "
         "--at \"2024-05-02 15:30\"",
         "B1 is aboard: 8.0 L of 10.0 L, questionable"},
        {"decant B1 R1 5 --treated --dry-run --at \"2024-05-02 15:40\"", NULL},
        {"dump R1 --at \"2024-05-02 15:50\"", "R1 12.0 L -> 0.00 L"},
        {"decant B1 R1 5 --treated --at \"2024-05-02 16:00\"", "R1 0.00 L -> 5.0 L"},
        {"treat B1 chlorine --residual 1.0 --minutes 60 --temp 10 --ph 7.5 "
         "--at \"2024-05-02 17:00\"",
         "B1 questionable, raw -> potable, on your word, raw"},
        {"dump B1 --at \"2024-05-02 18:00\"", "B1 3.0 L -> 0.00 L"},
        {"sanitise B1 --at \"2024-05-02 18:30\"", "B1 sanitised"},
        {"couple galley A1 A2 R1 --at \"2024-05-02 19:00\"", "A1 A2 -> A1 A2 R1"},
        {"pressurise galley --psi 40 --at \"2024-05-02 19:30\"",
         "galley works at 2.8 bar (40 psi)"},
        {"swap sediment --at \"2024-05-02 20:00\"", "sediment spares aboard: 1 -> 0"},
        {"spares sediment 2 --at \"2024-05-02 20:30\"", "sediment spares aboard: 0 -> 2"},
        {"flowtest galley 1 --seconds 14 --at \"2024-05-02 21:00\"", "Written: "},
        {"retire B1 --at \"2024-05-02 21:10\"", "B1 is no longer aboard"},
        {"stop \"Holm tap\" --eta \"2036-12-01 12:00\" --at \"2024-05-02 21:20\"",
         "stop Holm tap planned for"},
        {"unstop \"Holm tap\" --at \"2024-05-02 21:30\"", "stop Holm tap is no longer planned"},
        {"unstage sediment --at \"2024-05-02 21:40\"", "sediment is no longer fitted"},
        {"note \"pump hose replaced\" --at \"2024-05-02 21:50\"", "pump hose replaced"},
        {"crew 3 --at \"2024-05-02 21:55\"", "crew 2 -> 3"},
    };
    Run r;
    begin(&r);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        if (cases[i].said == NULL) { /* past the brim: refused, dry or not */
            run_refused(&r, 1, cases[i].words, "R1");
            continue;
        }
        run_expect(&r, 0, cases[i].words);
        run_said(&r, "Written: Thu 2 May 2024 ");
        run_said(&r, "+02:00");
        run_said(&r, cases[i].said);
        run_said(&r, "'ullage void last' takes it back.");
    }
    run_expect(&r, 0, "verify");
    run_end(&r);
}

/* A lake's water, filled in before the vessel was sanitised: what it did is over, and it says so.
 */
static void a_back_dated_entry_without_effect_says_why(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "vessel B1 --capacity 10 --at \"2024-05-01 09:00\"");
    run_expect(&r, 0, "sanitise B1 --at \"2024-05-03 09:00\"");
    run_expect(&r, 0, "fill B1 5 --from tarn --at \"2024-05-02 09:00\"");
    run_not_said(&r, "changes nothing"); /* not sanitised then: it held 5 L */
    run_expect(&r, 0, "void last");
    run_expect(&r, 0, "dump B1 --at \"2024-05-03 08:00\"");
    run_expect(&r, 0, "fill B1 5 --from tarn --at \"2024-05-02 09:00\"");
    run_said(&r, "changes nothing in B1 today: it was sanitised Fri 3 May 2024 09:00, after it");
    run_expect(&r, 0, "fill B1 5 --from \"Holm tap\" --at \"2024-05-03 10:00\"");
    run_not_said(&r, "changes nothing");
    run_expect(&r, 0, "sound B1 4 --at \"2024-05-04 10:00\"");
    run_expect(&r, 0, "draw B1 0.5 --at \"2024-05-04 09:00\"");
    run_said(&r, "changes nothing in B1 today: it was sounded Sat 4 May 2024 10:00, after it");
    run_end(&r);
}

/* What is typed is what is meant: with units of psi and gallons, in the locale of the machine. */
static void what_is_typed_is_what_is_meant(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "pressurise galley 40 --units us --dry-run");
    run_said(&r, "pressurise galley 40 psi");
    run_expect(&r, 0, "pressurise galley 40 --dry-run");
    run_said(&r, "pressurise galley 0.4 bar");
    run_expect(&r, 0, "vessel A1 --tare 7 --rated 60 --units imperial --json --dry-run");
    run_said(&r, "\"tare_kg\":3.175");     /* 7 x 0.45359237 */
    run_said(&r, "\"rated_kpa\":413.685"); /* 60 x 6.894757 */
    run_expect(&r, 0, "fill A1 100% --dry-run --at \"2024-05-02 09:00\"");
    run_said(&r, "A1 4.0 L -> 12.0 L");
    run_not_said(&r, "nobody logged");
    run_expect(&r, 0, "vessel B1 --capacity 10 --at \"2024-05-03 09:00\"");
    run_refused(&r, 1, "fill B1 1 --at \"2024-05-02 09:00\"", "At that time: There is no vessel");
    run_refused(&r, 1, "draw galley 17 --at \"2024-05-02 09:00\"", "At that time: galley can give");
    run_refused(&r, 1, "draw galley 17", "galley can give only");
    run_not_said(&r, "At that time");
    run_end(&r);
}

static void void_last_takes_back_and_the_void_can_be_voided(void **unused)
{
    (void)unused;
    Run r;
    char id[64] = "", words[80];
    begin(&r);
    run_expect(&r, 0, "draw galley 2 --at \"2024-05-02 09:00\"");
    run_expect(&r, 0, "void last");
    run_said(&r, "that entry: Thu 2 May 2024 09:00 +02:00  draw galley 2 L");
    run_said(&r, "A1 2.0 L -> 4.0 L");
    const char *again = strstr(r.out, "'ullage void ");
    assert_non_null(again);
    assert_int_equal(sscanf(again, "'ullage void %60[0-9a-f-]", id), 1);
    snprintf(words, sizeof words, "void %s", id);
    run_expect(&r, 0, words);
    run_said(&r, "A1 4.0 L -> 2.0 L");
    run_end(&r);
}

static int entries_written(Run *r)
{
    int n = 0;
    run_expect(r, 0, "log --voided");
    for (const char *c = r->out; *c != '\0'; c++)
        n += *c == '\n';
    return n;
}

static void an_amended_entry_keeps_what_is_not_given_anew(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "fill A1 full --from \"Holm tap\" --cost 2 --at \"2024-05-02 09:00\"");
    run_expect(&r, 0, "fill --amend last 3"); /* litres in the place of a level */
    run_said(&r, "Amended: Thu 2 May 2024 09:00 +02:00  fill A1 3 L from Holm tap cost 2\n");
    run_said(&r, "in the place of Thu 2 May 2024 09:00 +02:00  fill A1 level 12 L from Holm tap");
    run_said(&r, "A1 12.0 L -> 7.0 L");
    run_expect(&r, 0, "fill --amend last A2 --class questionable"); /* a name alone */
    run_refused(&r, 1, "fill --amend last A2 40", "40 L can't have gone in");
    run_expect(&r, 0, "fill --amend last A1 4 --at \"2024-05-02 08:30\" --note \"half a can\"");
    run_said(&r, "Amended: Thu 2 May 2024 08:30 +02:00  fill A1 4 L from Holm tap class "
                 "questionable cost 2 \"half a can\"\n");
    run_expect(&r, 0, "status --json");
    run_said(
        &r,
        "\"vessel\":\"A1\",\"duty\":\"line\",\"capacity\":12.000,\"heel\":0.200,\"volume\":8.000");
    run_expect(&r, 0, "couple galley A1 --at \"2024-05-02 10:00\"");
    run_expect(&r, 0, "couple --amend last galley A2 A1");
    run_said(&r, "couple galley A2 A1\n");
    run_expect(&r, 0, "couple --amend last --note \"as it stands\"");
    run_said(&r, "couple galley A2 A1 \"as it stands\"\n");
    run_expect(&r, 0, "note pump --at \"2024-05-02 11:00\"");
    run_expect(&r, 0, "note --amend last pump and hose");
    run_said(&r, "Amended: Thu 2 May 2024 11:00 +02:00  note \"pump and hose\"");
    run_expect(&r, 0, "verify");
    run_end(&r);
}

/* The command that is printed puts the fills right, down to the millisecond; nothing does it by
 * itself. */
static void an_amended_class_of_a_source_offers_the_command_for_earlier_fills(void **unused)
{
    (void)unused;
    Run r;
    char words[200] = "";
    begin(&r);
    run_expect(&r, 0, "dump A1 --at \"2024-05-02 07:00\"");
    run_expect(&r, 0, "fill A1 full --from \"Holm tap\" --at \"2024-05-02 09:00\"");
    run_expect(&r, 0, "source \"Holm tap\" --class questionable --at \"2024-05-03 09:00\"");
    run_said(&r, "1 fill since Thu 2 May 2024 09:00 (A1) keeps potable");
    run_not_said(&r, "A1 potable, on your word -> ");
    const char *offer = strstr(r.out, "to put them right: ullage ");
    assert_non_null(offer);
    assert_int_equal(sscanf(offer, "to put them right: ullage %199[^\n]", words), 1);
    run_expect(&r, 0, words);
    run_said(&r, "A1 potable, on your word, raw -> questionable, raw\n");
    run_not_said(&r, "to put them right: ");
    run_expect(&r, 0, "source \"Holm tap\" --class non-potable --at \"2024-05-03 10:00\"");
    run_said(&r, "1 fill since Thu 2 May 2024 09:00 (A1) keeps questionable");
    run_end(&r);
}

static void an_entry_is_amended_whole_or_not_at_all(void **unused)
{
    (void)unused;
    Run r;
    char one[64] = "", two[64] = "", words[80];
    begin(&r);
    run_expect(&r, 0, "draw galley 2 --for cook --at \"2024-05-02 09:00\"");
    const int before = entries_written(&r);
    run_refused(&r, 1, "draw --amend last 2", "It says so already: nothing was written.");
    run_refused(&r, 1, "draw --amend last", "It says so already: nothing was written.");
    run_refused(&r, 1, "fill --amend last 2",
                "That entry is of kind draw and not fill: 'ullage draw --amend ");
    run_refused(&r, 1, "draw --amend last 200", "200 L");
    run_refused(&r, 1, "draw --amend 01234567 3", "no entry");
    run_refused(&r, 2, "void --amend last", "There is no option --amend");
    run_expect(&r, 0, "draw --amend last 3 --dry-run");
    run_said(&r, "Would write: Thu 2 May 2024 09:00 +02:00  draw galley 3 L for cook\n");
    run_said(&r, "A1 2.0 L -> 1.0 L");
    assert_int_equal(entries_written(&r), before);
    run_expect(&r, 0, "draw --amend last 3");
    assert_int_equal(entries_written(&r), before + 2);
    run_expect(&r, 0, "draw --amend last W1");
    run_said(&r, "draw W1 3 L for cook\n");
    assert_int_equal(
        sscanf(strstr(r.out, "'ullage void "),
               "'ullage void %60[0-9a-f-]' takes it back, and 'ullage void %60[0-9a-f-]'", one,
               two),
        2);
    snprintf(words, sizeof words, "void %s", one);
    run_expect(&r, 0, words);
    run_said(&r, "W1 6.0 L -> 9.0 L");
    snprintf(words, sizeof words, "draw --amend %s 1", one); /* it is taken back */
    run_refused(&r, 1, words, "taken");
    snprintf(words, sizeof words, "void %s", two);
    run_expect(&r, 0, words);
    run_said(&r, "A1 4.0 L -> 1.0 L");
    run_end(&r);
}

static void a_discrepancy_leaves_the_list_when_it_is_settled(void **unused)
{
    (void)unused;
    Run r;
    char id[64] = "", words[120];
    begin(&r);
    run_expect(&r, 0, "sound A1 9 --at \"2024-05-02 09:00\"");
    run_said(&r, "does not agree with the rest of the log");
    run_expect(&r, 0, "status");
    assert_non_null(strstr(r.out, "do not agree with the rest of the log:\n"));
    const char *entry = strstr(strstr(r.out, "do not agree with the rest of the log:\n"), "entry ");
    assert_int_equal(sscanf(entry, "entry %60[0-9a-f-]", id), 1);
    snprintf(words, sizeof words, "settle %s", id);
    run_expect(&r, 0, words);
    run_expect(&r, 0, "status");
    run_not_said(&r, "do not agree with the rest of the log:\n");
    run_end(&r);
}

static void a_dry_run_says_what_would_change_and_writes_nothing(void **unused)
{
    (void)unused;
    Run r;
    char path[256];
    begin(&r);
    run_expect(&r, 0, "draw galley 2 --dry-run --at \"2024-05-02 09:00\"");
    run_said(&r, "Would write: Thu 2 May 2024 09:00 +02:00  draw galley 2 L");
    run_said(&r, "A1 4.0 L -> 2.0 L");
    run_said(&r, "Nothing was written.");
    run_expect(&r, 0, "log --kind draw");
    assert_string_equal(r.out, "");
    /* Nor does it make a log where there is none. */
    run_expect(&r, 0, "crew 2 -n --log new/other.db --json");
    run_said(&r, "{\"written\":false,");
    run_path(&r, "new", path, sizeof path);
    run_refused(&r, 3, "status --log new/other.db", "The folder new/ of the log is not there");
    run_end(&r);
}

/* An empty folder is what is left of a place where a disk is not mounted: a log may begin there,
 * but not in silence. */
static void a_log_that_begins_in_an_empty_folder_is_told(void **unused)
{
    (void)unused;
    Run r;
    char folder[256], words[300];
    begin(&r);
    run_path(&r, "disk", folder, sizeof folder);
    assert_int_equal(mkdir(folder, 0700), 0);
    static const char *const logs[] = {"water", "water", "other"}; /* begun, there, beside it */
    for (size_t i = 0; i < sizeof logs / sizeof *logs; i++) {
        snprintf(words, sizeof words, "crew 2 --log %s/%s.db", folder, logs[i]);
        assert_int_equal(run(&r, words), 0);
        assert_true((strstr(r.err, "/disk/water.db, in an empty folder.") != NULL) == (i == 0));
    }
    run_end(&r);
}

static void the_result_as_json_holds_the_entry_and_the_changes(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0,
               "draw galley 2.5 --for cook --json --at \"2024-05-02 09:00\" --note \"pasta\"");
    run_said(&r, "{\"written\":true,\"entry\":{\"id\":\"");
    run_said(&r, "\"at\":\"2024-05-02T09:00:00+02:00\"");
    run_said(&r, "\"kind\":\"draw\"");
    run_said(&r, "\"line\":\"galley\"");
    run_said(&r, "\"litres\":2.5");
    run_said(&r, "\"purpose\":\"cook\"");
    run_said(&r, "\"note\":\"pasta\"");
    run_said(&r, "\"changes\":[\"A1 4.0 L -> 1.5 L\"");
    run_end(&r);
}

static void pressures_come_in_psi_kpa_and_bar(void **unused)
{
    (void)unused;
    /* 40 psi = 275.790 kPa to the pascal (from the factor in base/units.h). */
    static const struct {
        const char *words, *kpa;
    } cases[] = {
        {"pressurise galley --psi 40", "\"kpa\":275.79"},
        {"pressurise galley --bar 2.76", "\"kpa\":276"},
        {"pressurise galley --kpa 276.5", "\"kpa\":276.5"},
        {"pressurise galley 2.5bar", "\"kpa\":250"},
        {"pressurise galley 276", "\"kpa\":276"},
        {"pressurise galley --psi 40 --ambient-kpa 90", "\"ambient_kpa\":90"},
        {"vessel A1 --rated-psi 130", "\"rated_kpa\":896.318"},
        {"vessel A1 --rated 6bar", "\"rated_kpa\":600"},
    };
    Run r;
    char words[160];
    begin(&r);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        snprintf(words, sizeof words, "%s --json --dry-run --at \"2024-05-02 09:00\"",
                 cases[i].words);
        run_expect(&r, 0, words);
        run_said(&r, cases[i].kpa);
    }
    run_refused(&r, 2, "pressurise galley --psi 40 --bar 2", "given twice");
    run_end(&r);
}

/* The words of the one at the regulator: a can, a refusal, the owner's word, and what the board
 * keeps saying. What comes in from elsewhere has happened, and is not refused. */
static void a_pressure_above_a_rating_takes_the_owners_word(void **unused)
{
    (void)unused;
    static const char *const away[] = {"import", "-", NULL};
    Run r;
    begin(&r);
    run_expect(&r, 0, "vessel C1 --capacity 10 --rated 0");
    run_expect(&r, 0, "vessel C2 --capacity 10 --rated 250");
    run_expect(&r, 0, "status");
    run_said(&r, "line, no air");
    run_expect(&r, 0, "status --json");
    run_said(&r, "\"rated_kpa\":0.000");
    run_said(&r, "\"rated_kpa\":250.000");
    run_said(&r, "\"rated_kpa\":null");
    run_expect(&r, 0, "couple cans C2");
    run_refused(&r, 1, "pressurise cans --kpa 250.001", "C2 is rated for 250 kPa (36.2 psi)");
    run_refused(&r, 1, "pressurise cans --kpa 250.001 --dry-run", "C2 is rated for");
    run_expect(&r, 0, "pressurise cans --kpa 250");
    run_expect(&r, 0, "pressurise cans --kpa 276 --asserted --json");
    run_said(&r, "\"kpa\":276,\"asserted\":true");
    run_said(&r, "warning: C2 is rated for 250 kPa");
    run_expect(&r, 0, "status");
    run_said(&r, "C2 is rated for 250 kPa");
    r.input = "{\"at\":\"2024-05-02T10:00:00Z\",\"kind\":\"pressurise\",\"line\":\"cans\","
              "\"kpa\":400}\n";
    assert_int_equal(run_words(&r, away), 0);
    run_end(&r);
}

static void amounts_without_a_unit_follow_the_units(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "draw galley 1 --units us --json --dry-run");
    run_said(&r, "\"litres\":3.785"); /* US gallon 3.785411784 L, rounded to the mL */
    run_expect(&r, 0, "draw galley 1 --units imperial --json --dry-run");
    run_said(&r, "\"litres\":4.546"); /* imperial gallon 4.54609 L */
    run_expect(&r, 0, "draw galley 500ml --units us --json --dry-run");
    run_said(&r, "\"litres\":0.5");
    run_expect(&r, 0, "units us");
    run_expect(&r, 0, "draw galley 1 --json --dry-run");
    run_said(&r, "\"litres\":3.785");
    run_expect(&r, 0, "draw galley 1 --units metric --json --dry-run");
    run_said(&r, "\"litres\":1}");
    run_end(&r);
}

static void words_may_be_given_as_options_and_names_in_any_case(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "draw --line galley --litres 1 --dry-run");
    run_said(&r, "draw galley 1 L");
    run_expect(&r, 0, "draw --line=galley 1 --dry");
    run_said(&r, "draw galley 1 L");
    run_expect(&r, 0, "fill a1 2 --dry-run");
    run_said(&r, "fill A1 2 L");
    run_expect(&r, 0, "--units metric fill A1 --litres=2 -n");
    run_said(&r, "fill A1 2 L");
    run_expect(&r, 0, "note -n -- --not an option");
    run_said(&r, "--not an option");
    run_expect(&r, 0, "couple galley -n");
    run_said(&r, "A1 A2 -> nothing coupled");
    run_expect(&r, 0, "couple galley -n --json");
    run_said(&r, "\"line\":\"galley\",\"order\":[]");
    run_end(&r);
}

static void the_time_alone_is_the_most_recent_one_and_echoed_in_full(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    /* Half a day ago, today or yesterday: with its date, its year and its offset. A fixed hour
     * would be refused where the test runs in the two hours before it. */
    time_t past = time(NULL) - (time_t)12 * 3600;
    struct tm when;
    assert_non_null(localtime_r(&past, &when));
    char words[64], weekday[8], rest[32], said[64];
    (void)snprintf(words, sizeof words, "draw galley 1 --at %02d:%02d --dry-run", when.tm_hour,
                   when.tm_min);
    (void)strftime(weekday, sizeof weekday, "%a", &when);
    (void)strftime(rest, sizeof rest, "%b %Y %H:%M ", &when);
    (void)snprintf(said, sizeof said, "Would write: %s %d %s", weekday, when.tm_mday, rest);
    run_expect(&r, 0, words);
    run_said(&r, said);
    run_expect(&r, 0, "draw galley 1 --dry-run --at 2024-05-02T09:00:00-05:00");
    run_said(&r, "Thu 2 May 2024 09:00 -05:00"); /* the offset it was entered in */
    run_end(&r);
}

/* One letter must not empty a vessel: nothing is seen here before it is written. */
static void a_level_is_a_whole_word(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_refused(&r, 2, "sound A2 e", "full, spent or empty");
    run_refused(&r, 2, "sound A2 emp", "did you mean empty?");
    run_refused(&r, 1, "fill A1 f", "There is no vessel");
    run_expect(&r, 0, "sound A2 EMPTY --dry-run");
    run_end(&r);
}

static void a_back_dated_entry_is_checked_against_its_own_time(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "fill A1 8 --from \"Holm tap\" --at \"2024-05-10 09:00\"");
    /* On 5 May A1 held 4 L: 14 of the 16 L usable then could be had, not 18. */
    run_refused(&r, 1, "draw galley 18 --at \"2024-05-05 09:00\"", "galley can give only");
    run_expect(&r, 0, "draw galley 3 --at \"2024-05-05 09:00\"");
    run_expect(&r, 0, "log --kind draw");
    assert_non_null(strstr(r.out, "2024-05-05 09:00"));
    run_end(&r);
}

static void a_treatment_that_falls_short_must_be_asserted(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0,
               "vessel B1 --capacity 10 --class questionable --level 5 --at \"2024-05-02 08:00\"");
    /* The WHO asks for at least 0.5 mg/L after 30 minutes at a pH below 8 (model/treatment.h). */
    run_refused(&r, 1,
                "treat B1 chlorine --residual 0.1 --minutes 5 --temp 10 --ph 7.5 "
                "--at \"2024-05-02 09:00\"",
                "0.5");
    run_expect(&r, 0,
               "treat B1 chlorine --residual 0.1 --minutes 5 --temp 10 --ph 7.5 --asserted "
               "--at \"2024-05-02 09:00\"");
    run_said(&r, "B1 questionable, raw -> potable, on your word, raw");
    run_expect(&r, 0, "status");
    run_said(&r, "potable, on your word, raw");
    run_end(&r);
}

static void a_source_that_is_nearly_one_the_log_has_is_pointed_out(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_refused(&r, 1, "fill A1 1 --from \"Holm tapp\" --dry-run", "Did you mean 'Holm tap'?");
    run_expect(&r, 0, "fill A1 1 --from Holm --dry-run");
    run_said(&r, "fill A1 1 L from Holm tap");
    run_expect(&r, 0, "fill A1 1 --from Brook --dry-run");
    run_said(&r, "boil first"); /* of unknown class: questionable, never assumed potable */
    run_expect(&r, 0, "fill A1 1 --from \"holm tap\" --dry-run");
    run_not_said(&r, "is new");
    run_end(&r);
}

/* The class that is typed at the first fill is the usual one of the place, and that is said. */
static void the_class_of_a_first_fill_is_that_of_the_place(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "fill A1 1 --from Brook --class non-potable");
    run_said(&r, "source Brook class non-potable");
    run_said(&r,
             "source Brook is known: non-potable from now on, unless a fill says another class");
    run_expect(&r, 0, "fill R1 1 --from Brook");
    run_said(&r, "-> non-potable");
    run_expect(&r, 0, "fill A2 1 --from Brook --class questionable");
    run_not_said(&r, "source Brook");
    run_end(&r);
}

/* One entry each, all or none; a word up to the amount is a vessel. */
static void several_vessels_are_logged_at_once_or_not_at_all(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_expect(&r, 0, "fill A1 A2 R1 full --from \"Holm tap\" --at \"2024-05-02 09:00\"");
    run_said(&r, "fill A1 level 12 L from Holm tap");
    run_said(&r, "fill R1 level 12 L from Holm tap");
    run_said(&r, "A1 4.0 L -> 12.0 L");
    run_said(&r, "3 times, all");
    run_expect(&r, 0, "log --kind fill --json");
    run_said(&r, "\"vessel\":\"A2\"");
    run_refused(&r, 1, "dump A1 Z9 A2", "There is no vessel 'Z9'");
    run_refused(&r, 2, "dump A1 A2 A1", "is named twice");
    run_refused(&r, 1, "fill W1 A1 30",
                "W1"); /* 30 L fit into neither: not even the first is written */
    run_expect(&r, 0, "log --kind dump");
    run_not_said(&r, "dump");
    run_expect(&r, 0, "dump A1 A2 2 --json --at \"2024-05-02 10:00\"");
    run_said(&r, "\"entries\":[{");
    run_expect(&r, 0, "status");
    run_said(&r, "10.0 L");
    run_expect(&r, 0, "dump A1 A2 --at \"2024-05-02 11:00\"");
    run_expect(&r, 0, "sanitise A1 A2 --at \"2024-05-02 12:00\"");
    run_said(&r, "A2 sanitised");
    run_expect(&r, 0, "sound R1 spent --at \"2024-05-02 13:00\" --dry-run");
    run_said(&r, "R1 12.0 L -> 0.00 L");
    run_end(&r);
}

/* A theme or an alphabet that there is not is refused, not passed over. */
static void looks_are_asked_for_by_option_or_environment(void **unused)
{
    (void)unused;
    Run r;
    begin(&r);
    run_refused(&r, 2, "--theme red", "there is no theme \"red\"");
    static const char *const NIGHTS[] = {"24-6", "21:3-6",  "21-",   "6",    "21-21",
                                         "-1-6", "21-6:60", "21-6x", "+1-5", "21:-6"};
    for (size_t i = 0; i < sizeof NIGHTS / sizeof *NIGHTS; i++) {
        char words[64];
        snprintf(words, sizeof words, "--night %s", NIGHTS[i]);
        run_refused(&r, 2, words, "no hours of a night");
    }
    run_expect(&r, 0, "--night 21:30-6");
    run_expect(&r, 0, "--night 7-06:00");
    run_refused(&r, 2, "outlook --ascii --utf8", "not both");
    run_expect(&r, 0, "--theme night --ascii --mouse");
    run_expect(&r, 0, "outlook --theme light --utf8");
    run_end(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_kind_of_the_contract_is_logged_from_its_words),
        cmocka_unit_test(a_back_dated_entry_without_effect_says_why),
        cmocka_unit_test(what_is_typed_is_what_is_meant),
        cmocka_unit_test(void_last_takes_back_and_the_void_can_be_voided),
        cmocka_unit_test(an_amended_entry_keeps_what_is_not_given_anew),
        cmocka_unit_test(an_amended_class_of_a_source_offers_the_command_for_earlier_fills),
        cmocka_unit_test(an_entry_is_amended_whole_or_not_at_all),
        cmocka_unit_test(a_discrepancy_leaves_the_list_when_it_is_settled),
        cmocka_unit_test(a_dry_run_says_what_would_change_and_writes_nothing),
        cmocka_unit_test(a_log_that_begins_in_an_empty_folder_is_told),
        cmocka_unit_test(the_result_as_json_holds_the_entry_and_the_changes),
        cmocka_unit_test(pressures_come_in_psi_kpa_and_bar),
        cmocka_unit_test(a_pressure_above_a_rating_takes_the_owners_word),
        cmocka_unit_test(amounts_without_a_unit_follow_the_units),
        cmocka_unit_test(words_may_be_given_as_options_and_names_in_any_case),
        cmocka_unit_test(the_time_alone_is_the_most_recent_one_and_echoed_in_full),
        cmocka_unit_test(a_level_is_a_whole_word),
        cmocka_unit_test(a_back_dated_entry_is_checked_against_its_own_time),
        cmocka_unit_test(a_treatment_that_falls_short_must_be_asserted),
        cmocka_unit_test(the_class_of_a_first_fill_is_that_of_the_place),
        cmocka_unit_test(a_source_that_is_nearly_one_the_log_has_is_pointed_out),
        cmocka_unit_test(several_vessels_are_logged_at_once_or_not_at_all),
        cmocka_unit_test(looks_are_asked_for_by_option_or_environment),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
