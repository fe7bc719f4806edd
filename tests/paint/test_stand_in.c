/* Names in a terminal that has ASCII alone: none looks like another. */
#include "paint/cell.h"

#include "support/board_book.h"
#include "support/look.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include <locale.h>

static void shown(Logbook *book, const char *text, const char *expected)
{
    StandIns names;
    Sheet sheet;
    Str out = {0};
    stand_ins_make(book_state(book), &names);
    sheet_init(&sheet, 1, 60);
    sheet.ascii = true;
    sheet.stand_ins = &names;
    const int end = area_puts(sheet_area(&sheet), 0, 0, INK_TEXT, text);
    sheet.ascii = false;
    assert_true(area_puts(area_unseen(sheet_area(&sheet)), 0, 0, INK_TEXT, text) >= end);
    sheet_dump(&sheet, &out);
    out.s[strcspn(out.s, "\n")] = '\0';
    assert_string_equal(out.s, expected);
    str_finish(&out);
    sheet_finish(&sheet);
}

static void names_without_a_latin_letter_have_a_number(void **unused)
{
    (void)unused;
    Logbook *book = book_open();
    book_say(book, "vessel \"Бак А\" --capacity 12");
    book_say(book, "vessel \"Бак Б\" --capacity 12");
    book_say(book, "vessel A水 --capacity 12");
    book_say(book, "vessel A水水 --capacity 12");
    book_say(book, "source \"Бак Б\" --type well"); /* one name, one stand-in */
    shown(book, "Бак А, Бак Б, A水, A水水.", "~1, ~2, A~3, A~4.");
    shown(book, "fill A水水 8 L", "fill A~4 8 L");
    shown(book, "Ж水", "???"); /* no name */
    book_close(book);
}

static void a_name_is_shown_without_its_accents_where_it_stays_apart(void **unused)
{
    (void)unused;
    Logbook *book = book_open();
    book_say(book, "vessel Käse --capacity 12");
    book_say(book, "vessel Möhre --capacity 12");
    shown(book, "Käse Möhre", "Kase Mohre");
    book_say(book, "vessel Kase --capacity 12");
    shown(book, "Käse Kase Möhre", "Ka~1 Kase Mohre");
    book_close(book);
}

static void a_name_that_is_cut_is_still_told_apart(void **unused)
{
    (void)unused;
    StandIns names;
    Sheet sheet;
    Str out = {0};
    Logbook *book = book_open();
    book_say(book, "vessel Бак-один --capacity 12");
    book_say(book, "vessel Бак-два --capacity 12");
    stand_ins_make(book_state(book), &names);
    sheet_init(&sheet, 2, 20);
    sheet.ascii = true;
    sheet.stand_ins = &names;
    area_cut(sheet_area(&sheet), 0, 0, 5, INK_TEXT, text_of("Бак-один"));
    area_cut(sheet_area(&sheet), 1, 0, 5, INK_TEXT, text_of("Бак-два is empty"));
    sheet_dump(&sheet, &out);
    assert_string_equal(out.s, "~1\n~2 i~\n");
    str_finish(&out);
    sheet_finish(&sheet);
    book_close(book);
}

static void names_of_one_and_two_columns_stay_apart_too(void **unused)
{
    (void)unused;
    Logbook *book = book_open();
    book_say(book, "vessel Б --capacity 12");
    book_say(book, "vessel Ж --capacity 12");
    book_say(book, "vessel 水 --capacity 12");
    shown(book, "Б Ж 水", "1 2 ~3");
    book_close(book);
}

int main(void)
{
    setlocale(LC_CTYPE, "C.UTF-8");
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_without_a_latin_letter_have_a_number),
        cmocka_unit_test(a_name_is_shown_without_its_accents_where_it_stays_apart),
        cmocka_unit_test(a_name_that_is_cut_is_still_told_apart),
        cmocka_unit_test(names_of_one_and_two_columns_stay_apart_too),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
