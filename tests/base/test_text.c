/* Slices, UTF-8, growing strings, JSON strings. */
#include "base/text.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* A slice of an array, so that zero bytes count. */
#define BYTES(literal) text_slice("" literal, sizeof(literal) - 1)

static void assert_text(Text a, const char *expected)
{
    if (!text_is(a, expected))
        fail_msg("\"%.*s\" is not \"%s\"", (int)a.n, a.s, expected);
}

/* ---- slices ---- */

static void test_texts_are_compared_by_bytes(void **state)
{
    (void)state;
    assert_true(text_equal(text_of("galley"), text_slice("galley tap", 6)));
    assert_false(text_equal(text_of("galley"), text_of("Galley")));
    assert_false(text_equal(text_of("galley"), text_of("galley ")));
    assert_true(text_equal(text_of(NULL), text_of("")));
    assert_true(text_equal((Text){NULL, 0}, text_of("")));
    assert_true(text_is(text_of("A1"), "A1"));
    assert_false(text_is(text_of("A1"), "A"));
    assert_false(text_is(BYTES("A\0"), "A"));
    assert_true(text_is_nocase(text_of("ImpGal"), "impgal"));
    assert_false(text_is_nocase(text_of("ImpGal"), "impga"));
    /* Only ASCII folds: '@' and '`', '[' and '{' are 32 apart, as letters are, and stay different.
     */
    assert_false(text_is_nocase(text_of("@["), "`{"));
    assert_false(text_is_nocase(text_of("\xC3\x85"), "\xC3\xA5"));
    assert_true(text_begins(text_of("FI"), "fill"));
    assert_true(text_begins(text_of(""), "fill"));
    assert_false(text_begins(text_of("fills"), "fill"));
    assert_false(text_begins(text_of("f\xC4\xB1ll"), "fill")); /* a dotless i is another letter */
    assert_true(text_starts(text_of("-2h"), "-"));
    assert_true(text_starts(text_of("-2h"), ""));
    assert_false(text_starts(text_of("-"), "-2"));
    assert_true(text_starts((Text){NULL, 0}, ""));
}

static void test_white_space_is_trimmed_at_both_ends(void **state)
{
    (void)state;
    assert_text(text_trim(text_of(" \t\r\n a b \n\r\t ")), "a b");
    assert_text(text_trim(text_of(" \t ")), "");
    assert_text(text_trim(text_of("")), "");
    assert_int_equal(text_trim((Text){NULL, 0}).n, 0);
    assert_text(text_trim(text_of("\v\fa")), "\v\fa"); /* these four characters only */
}

static void test_parts_are_cut_off_the_front(void **state)
{
    (void)state;
    Text rest = text_of("a,,bc,");
    assert_text(text_cut(&rest, ','), "a");
    assert_text(text_cut(&rest, ','), "");
    assert_text(text_cut(&rest, ','), "bc");
    assert_int_equal(rest.n, 0);
    assert_text(text_cut(&rest, ','), "");
    rest = text_of("whole");
    assert_text(text_cut(&rest, ','), "whole");
    assert_int_equal(rest.n, 0);
    rest = (Text){NULL, 0};
    assert_int_equal(text_cut(&rest, ',').n, 0);
}

/* ---- UTF-8 ---- */

static void test_well_formed_utf8_is_known(void **state)
{
    (void)state;
    /* RFC 3629 (2003) section 7: the four examples. */
    assert_true(
        text_is_utf8(text_of("\x41\xE2\x89\xA2\xCE\x91\x2E"))); /* A <not identical> Alpha . */
    assert_true(text_is_utf8(text_of("\xED\x95\x9C\xEA\xB5\xAD\xEC\x96\xB4")));
    assert_true(text_is_utf8(text_of("\xE6\x97\xA5\xE6\x9C\xAC\xE8\xAA\x9E")));
    assert_true(text_is_utf8(text_of("\xEF\xBB\xBF\xF0\xA3\x8E\xB4")));
    assert_true(text_is_utf8(text_of("")));
    assert_true(text_is_utf8((Text){NULL, 0}));
    assert_true(text_is_utf8(BYTES("a\0b")));

    Text text = text_of("\x41\xE2\x89\xA2\xCE\x91\x2E\xF0\xA3\x8E\xB4");
    size_t at = 0;
    assert_int_equal(text_next(text, &at), 0x0041);
    assert_int_equal(text_next(text, &at), 0x2262);
    assert_int_equal(text_next(text, &at), 0x0391);
    assert_int_equal(text_next(text, &at), 0x002E);
    assert_int_equal(text_next(text, &at), 0x233B4);
    assert_int_equal(at, text.n);
    assert_int_equal(text_next(text, &at), 0);
    assert_int_equal(at, text.n);
}

/* The encoding of RFC 3629 section 3, written the other way round. */
static size_t encode(uint32_t c, char out[4])
{
    if (c < 0x80) {
        out[0] = (char)c;
        return 1;
    }
    size_t length = c < 0x800 ? 2 : c < 0x10000 ? 3 : 4;
    for (size_t i = length - 1; i > 0; i--) {
        out[i] = (char)(0x80 | (c & 0x3F));
        c >>= 6;
    }
    out[0] = (char)((0xF00 >> length & 0xFF) | c);
    return length;
}

static void test_every_code_point_comes_back_and_surrogates_do_not(void **state)
{
    (void)state;
    for (uint32_t c = 0; c < 0x110000; c++) {
        char bytes[4];
        size_t n = encode(c, bytes);
        Text text = text_slice(bytes, n);
        bool surrogate = c >= 0xD800 && c <= 0xDFFF;
        size_t at = 0;
        uint32_t read = text_next(text, &at);
        if (text_is_utf8(text) == surrogate || (!surrogate && (read != c || at != n)) ||
            (surrogate && (read != 0xFFFD || at != 1)))
            fail_msg("U+%04X", c);
        if (text_has_control(text) != (c < 0x20 || (c >= 0x7F && c <= 0x9F)))
            fail_msg("control U+%04X", c);
    }
}

static void test_ill_formed_utf8_is_known(void **state)
{
    (void)state;
    static const char *const bad[] = {
        "\x80",             /* a continuation alone */
        "\xBF",             /* the same */
        "\xC0\x80",         /* overlong zero: RFC 3629 section 10 */
        "\xC1\xBF",         /* overlong */
        "\xE0\x9F\xBF",     /* overlong */
        "\xF0\x8F\xBF\xBF", /* overlong */
        "\xED\xA0\x80",     /* surrogate U+D800 */
        "\xED\xBF\xBF",     /* surrogate U+DFFF */
        "\xF4\x90\x80\x80", /* U+110000 */
        "\xF5\x80\x80\x80", /* a byte that never occurs */
        "\xFE",             /* the same */
        "\xFF",             /* the same */
        "\xC3",             /* cut off */
        "\xE2\x82",         /* cut off */
        "\xF0\x9D\x84",     /* cut off */
        "\xC3Q",            /* no continuation */
        "\xE2\x82Q",
        "\xF0\x9D\x84Q",
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        /* At every place of the eight bytes that are looked at in one go. */
        for (size_t lead = 0; lead < 17; lead++) {
            char bytes[32];
            memset(bytes, 'x', sizeof bytes);
            size_t n = strlen(bad[i]);
            memcpy(bytes + lead, bad[i], n);
            assert_false(text_is_utf8(text_slice(bytes, lead + n)));
            assert_false(text_is_utf8(text_slice(bytes, lead + n + 8)));
            size_t at = lead;
            assert_int_equal(text_next(text_slice(bytes, lead + n), &at), 0xFFFD);
            assert_int_equal(at, lead + 1);
        }
    }
}

static void test_control_characters_are_found(void **state)
{
    (void)state;
    assert_false(text_has_control(text_of("Holm tap \xC3\xA5 \xC2\xA0")));
    assert_true(text_has_control(text_of("a\tb")));
    assert_true(text_has_control(text_of("a\x7F")));
    assert_true(text_has_control(text_of("a\xC2\x85")));
    assert_true(text_has_control(BYTES("a\0b")));
    assert_false(text_has_control(text_of("")));
}

/* Unicode 15, ch. 23 "Special areas and format characters": line and paragraph separator, the
 * embeddings, overrides and isolates; ECMA-48: C0 and C1. */
static void test_what_acts_on_a_terminal_or_an_eye_is_known(void **state)
{
    (void)state;
    static const struct {
        uint32_t first, last;
    } acting[] = {{0, 0x1F}, {0x7F, 0x9F}, {0x2028, 0x202E}, {0x2066, 0x2069}};
    size_t span = 0;
    for (uint32_t c = 0; c < 0x110000; c++) {
        while (span < 4 && c > acting[span].last)
            span++;
        const bool acts = span < 4 && c >= acting[span].first;
        if (code_acts(c) != acts)
            fail_msg("U+%04X", c);
    }
}

static void test_what_is_shown_keeps_lines_and_own_colours_only(void **state)
{
    (void)state;
    static const struct {
        const char *text, *shown, *inked;
    } cases[] = {
        {"plain", "plain", "plain"},
        {"a\nb\r\nc\rd", "a\nb\r\nc?d", "a\nb\r\nc?d"},
        {"\033[1;31mred\033[0m", "?[1;31mred?[0m", "\033[1;31mred\033[0m"},
        {"\033[2J\033[m\033[", "?[2J?[m?[", "?[2J\033[m?["},
        {"\033]0;x\007", "?]0;x?", "?]0;x?"},
        {"\xC2\x9B"
         "2J\x9B\tB\xC3\xA5t",
         "?2J??B\xC3\xA5t", "?2J??B\xC3\xA5t"},
        {"\xE2\x80\xAE\xEF\xBF\xBD\xFF", "?\xEF\xBF\xBD?", "?\xEF\xBF\xBD?"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        Str plain = {0}, inked = {0};
        str_add_shown(&plain, text_of(cases[i].text), false);
        str_add_shown(&inked, text_of(cases[i].text), true);
        assert_string_equal(plain.s, cases[i].shown);
        assert_string_equal(inked.s, cases[i].inked);
        str_finish(&plain);
        str_finish(&inked);
    }
}

static void test_a_quote_is_short_and_keeps_sequences_whole(void **state)
{
    (void)state;
    assert_string_equal(text_quote(text_of("8x")).s, "\"8x\"");
    assert_string_equal(text_quote(text_of("")).s, "\"\"");
    assert_string_equal(text_quote(BYTES("a\0b")).s, "\"a?b\"");
    static const char clef[4] = {'\xF0', '\x9D', '\x84', '\x9E'};
    char words[200];
    memset(words, 'w', sizeof words);
    Quote quote = text_quote(text_slice(words, QUOTE_MAX));
    assert_int_equal(strlen(quote.s), QUOTE_MAX + 2);
    quote = text_quote(text_slice(words, QUOTE_MAX + 1));
    assert_int_equal(strlen(quote.s), QUOTE_MAX + 5);
    assert_string_equal(quote.s + QUOTE_MAX + 1, "...\"");
    /* A four-byte sequence across the cut is left out whole, whatever its phase. */
    for (size_t start = QUOTE_MAX - 3; start < QUOTE_MAX; start++) {
        memset(words, 'w', sizeof words);
        memcpy(words + start, clef, sizeof clef);
        quote = text_quote(text_slice(words, sizeof words));
        assert_int_equal(strlen(quote.s), start + 5);
    }
    /* Continuation bytes only: still an end. */
    memset(words, 0x80, sizeof words);
    assert_int_equal(strlen(text_quote(text_slice(words, sizeof words)).s), QUOTE_MAX + 5);
}

/* ---- a growing string ---- */

static void test_a_string_grows_and_is_always_terminated(void **state)
{
    (void)state;
    Str str = {0};
    str_add(&str, (Text){NULL, 0});
    assert_string_equal(str.s, "");
    str_adds(&str, "A1");
    str_addc(&str, ' ');
    str_add(&str, text_slice("holds much", 5));
    str_addf(&str, " %d mL of %s", 12000, "it");
    assert_string_equal(str.s, "A1 holds 12000 mL of it");
    assert_int_equal(str.n, strlen(str.s));
    str_clear(&str);
    assert_string_equal(str.s, "");
    assert_int_equal(str.n, 0);
    str_finish(&str);
    assert_null(str.s);
    assert_int_equal(str.capacity, 0);
    str_clear(&str);
    assert_string_equal(str.s, "");
    str_finish(&str);
    str_finish(&str);
}

static void test_every_length_comes_out_whole(void **state)
{
    (void)state;
    Str str = {0}, format = {0};
    for (int i = 0; i < 3000; i++) {
        str_addc(&str, (char)('a' + i % 26));
        assert_int_equal(str.s[str.n], 0);
    }
    for (int i = 0; i < 3000; i++)
        assert_int_equal(str.s[i], 'a' + i % 26);
    for (int width = 0; width < 300; width++) {
        str_clear(&format);
        str_adds(&format, "<");
        str_addf(&format, "%*d", width, 7);
        assert_int_equal(format.n, (size_t)1 + (size_t)(width > 1 ? width : 1));
        assert_int_equal(format.s[format.n - 1], '7');
        assert_int_equal(format.s[format.n], 0);
    }
    str_finish(&str);
    str_finish(&format);
}

/* ---- JSON strings ---- */

static void assert_json(Text text, const char *expected)
{
    Str str = {0};
    str_add_json(&str, text);
    assert_string_equal(str.s, expected);
    str_finish(&str);
}

static void test_json_strings_follow_rfc_8259(void **state)
{
    (void)state;
    /* RFC 8259 (2017) section 13, values of its examples. */
    assert_json(text_of("View from 15th Floor"), "\"View from 15th Floor\"");
    assert_json(text_of("http://www.example.com/image/481989943"),
                "\"http://www.example.com/image/481989943\"");
    assert_json(text_of(""), "\"\"");
    assert_json((Text){NULL, 0}, "\"\"");
    assert_json(text_of("SAN FRANCISCO"), "\"SAN FRANCISCO\"");
    assert_json(text_of("Hello world!"), "\"Hello world!\"");
    /* Section 7: the short escapes; the solidus needs none. */
    assert_json(text_of("\"\\/\b\f\n\r\t"), "\"\\\"\\\\/\\b\\f\\n\\r\\t\"");
    /* Section 7: the G clef U+1D11E stands as it is in UTF-8 (F0 9D 84 9E). */
    assert_json(text_of("\xF0\x9D\x84\x9E"), "\"\xF0\x9D\x84\x9E\"");
    assert_json(text_of("B\xC3\xA5t"), "\"B\xC3\xA5t\"");
    /* U+FFFD that was there is not taken for a broken byte. */
    assert_json(text_of("\xEF\xBF\xBD"), "\"\xEF\xBF\xBD\"");
    assert_json(text_of("ends in \\"), "\"ends in \\\\\"");
}

static void test_json_escapes_every_control_character(void **state)
{
    (void)state;
    for (unsigned c = 0; c < 0xA0; c++) {
        char bytes[4], expected[16];
        size_t n = encode(c, bytes);
        const char *shorts = "\b\f\n\r\t\"\\";
        const char *letters = "bfnrt\"\\";
        const char *found = c != 0 && c < 0x80 ? strchr(shorts, (int)c) : NULL;
        if (found != NULL)
            snprintf(expected, sizeof expected, "\"\\%c\"", letters[found - shorts]);
        else if (c < 0x20 || c >= 0x7F)
            snprintf(expected, sizeof expected, "\"\\u%04x\"", c);
        else
            snprintf(expected, sizeof expected, "\"%c\"", (char)c);
        assert_json(text_slice(bytes, n), expected);
    }
    assert_json(BYTES("a\0b"), "\"a\\u0000b\"");
}

static void test_json_output_is_always_utf8(void **state)
{
    (void)state;
    assert_json(text_of("a\xFF"
                        "b"),
                "\"a\xEF\xBF\xBD"
                "b\"");
    assert_json(text_of("\xED\xA0\x80"), "\"\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD\"");
    assert_json(text_of("\xE2\x80\xAE\xE2\x81\xA9"), "\"\\u202e\\u2069\"");
    assert_json(text_of("\xE2\x82"), "\"\xEF\xBF\xBD\xEF\xBF\xBD\"");
    /* Any bytes: well-formed, one line, quotes balanced. */
    uint32_t seed = 12345;
    for (int round = 0; round < 2000; round++) {
        char bytes[40];
        for (size_t i = 0; i < sizeof bytes; i++) {
            seed = seed * 1664525U + 1013904223U;
            bytes[i] = (char)(seed >> 24);
        }
        Str str = {0};
        str_add_json(&str, text_slice(bytes, sizeof bytes));
        Text out = text_slice(str.s, str.n);
        assert_true(text_is_utf8(out));
        assert_false(text_has_control(out));
        size_t quotes = 0;
        for (size_t i = 0; i < str.n; i++)
            if (str.s[i] == '\\')
                i++;
            else
                quotes += str.s[i] == '"';
        assert_int_equal(quotes, 2);
        str_finish(&str);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_texts_are_compared_by_bytes),
        cmocka_unit_test(test_white_space_is_trimmed_at_both_ends),
        cmocka_unit_test(test_parts_are_cut_off_the_front),
        cmocka_unit_test(test_well_formed_utf8_is_known),
        cmocka_unit_test(test_every_code_point_comes_back_and_surrogates_do_not),
        cmocka_unit_test(test_ill_formed_utf8_is_known),
        cmocka_unit_test(test_control_characters_are_found),
        cmocka_unit_test(test_what_acts_on_a_terminal_or_an_eye_is_known),
        cmocka_unit_test(test_what_is_shown_keeps_lines_and_own_colours_only),
        cmocka_unit_test(test_a_quote_is_short_and_keeps_sequences_whole),
        cmocka_unit_test(test_a_string_grows_and_is_always_terminated),
        cmocka_unit_test(test_every_length_comes_out_whole),
        cmocka_unit_test(test_json_strings_follow_rfc_8259),
        cmocka_unit_test(test_json_escapes_every_control_character),
        cmocka_unit_test(test_json_output_is_always_utf8),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
