/* Help: for the program and for every command, from the same tables as the commands themselves; and
 * the manual, which must know all of it. */
#include "cli/commands.h"
#include "cli/kind_words.h"
#include "cli/print.h"
#include "support/run.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static void fits(const Run *r)
{
    for (Text rest = text_of(r->out); rest.n > 0;) {
        const Text line = text_cut(&rest, '\n');
        if (text_columns(line) > 80)
            fail_msg("wider than 80 columns: %.*s", (int)line.n, line.s);
    }
}

static void said_option(const Run *r, const Option *o)
{
    char text[80];
    snprintf(text, sizeof text, "--%s", o->name);
    run_said(r, text);
}

static void the_program_lists_every_command_and_kind(void **unused)
{
    (void)unused;
    Run r;
    char text[80];
    const Command *const *all = COMMANDS.commands;
    run_begin(&r, "UTC0");
    run_expect(&r, 0, "--help");
    fits(&r);
    for (int i = 0; i < COMMANDS.count; i++) {
        snprintf(text, sizeof text, "\n  %s ", all[i]->name);
        if (all[i]->hidden)
            run_not_said(&r, text);
        else
            run_said(&r, text);
    }
    for (int id = 1; id < KIND_END; id++) {
        snprintf(text, sizeof text, "\n  %s ", kind_of((KindId)id)->name);
        run_said(&r, text);
    }
    run_said(&r, "not a laboratory test");
    run_end(&r);
}

static void every_command_has_its_help_with_every_option(void **unused)
{
    (void)unused;
    Run r;
    char words[80];
    int common = 0;
    const Command *const *all = COMMANDS.commands;
    const Option *shared = options_common(&common);
    run_begin(&r, "UTC0");
    for (int i = 0; i < COMMANDS.count; i++) {
        snprintf(words, sizeof words, "%s --help", all[i]->name);
        run_expect(&r, 0, words);
        fits(&r);
        snprintf(words, sizeof words, "Usage: ullage %s", all[i]->name);
        assert_true(strncmp(r.out, words, strlen(words)) == 0);
        for (int o = 0; o < all[i]->option_count; o++)
            said_option(&r, &all[i]->options[o]);
        for (int o = 0; o < common; o++)
            said_option(&r, &shared[o]);
    }
    run_end(&r);
}

static void every_kind_has_its_help_with_every_field(void **unused)
{
    (void)unused;
    Run r;
    char words[80];
    run_begin(&r, "UTC0");
    for (int id = 1; id < KIND_END; id++) {
        const Kind *kind = kind_of((KindId)id);
        snprintf(words, sizeof words, "%s -h", kind->name);
        run_expect(&r, 0, words);
        fits(&r);
        OptionList options = kind_options(kind, UNITS_METRIC);
        for (int o = 0; o < options.count; o++)
            if (kind_option_told(kind, options.options[o].id))
                said_option(&r, &options.options[o]);
        option_list_finish(&options);
        for (int f = 0; f < kind->field_count; f++)
            run_said(&r, kind->fields[f].position > 0 ? "\n  " : "--");
        run_said(&r, "--at TIME");
        run_said(&r, "--dry-run");
        if (kind->caution != NULL)
            run_said(&r, "Caution: ");
    }
    run_end(&r);
}

/* A unit in a help text is the one in which a bare number is read: of --units, else of the log. */
static void help_names_the_units_in_which_bare_numbers_are_read(void **unused)
{
    static const char *const asks[] = {"vessel --help", "help vessel"};
    (void)unused;
    Run r;
    char words[80];
    run_begin(&r, "UTC0");
    run_expect(&r, 0, "units metric"); /* a log begins in a folder that is not empty */
    run_expect(&r, 0, "units us --log us.db");
    for (size_t i = 0; i < 2; i++) {
        run_expect(&r, 0, asks[i]);
        run_said(&r, "mass of the empty vessel (kg)");
        for (int from_log = 0; from_log < 2; from_log++) {
            snprintf(words, sizeof words, "%s %s", asks[i],
                     from_log ? "--log us.db" : "--units imperial");
            run_expect(&r, 0, words);
            fits(&r);
            run_said(&r, "mass of the empty vessel (lb)");
            run_said(&r, "none (psi)");
            run_not_said(&r, "(kPa)");
        }
        snprintf(words, sizeof words, "%s --log us.db --units metric", asks[i]);
        run_expect(&r, 0, words);
        run_said(&r, "none (kPa)");
        snprintf(words, sizeof words, "%s --log none/there.db", asks[i]);
        run_expect(&r, 0, words);
        run_said(&r, "none (kPa)");
    }
    run_expect(&r, 0, "reckon air --help --log us.db");
    run_said(&r, "(usual: 40 psi)");
    run_end(&r);
}

static void the_help_of_draw_stands_as_it_was_written(void **unused)
{
    (void)unused;
    Run r;
    run_begin(&r, "UTC0");
    run_expect(&r, 0, "draw --help");
    assert_true(strncmp(r.out,
                        "Usage: ullage draw VESSEL|LINE LITRES [OPTION...]\n"
                        "Logs: water drawn at a tap, or from a vessel by its own label.\n\n"
                        "  VESSEL                    ",
                        134) == 0);
    run_said(&r, "\n      --for WORD            what for: drink, cook, dishes, wash, other\n");
    run_said(&r, "\n  -n, --dry-run             say what would change, write nothing\n");
    run_said(&r, "\nExample: ullage draw galley 3.5 --for cook\n");
    char *by_option = strdup(r.out);
    run_expect(&r, 0, "help draw");
    assert_string_equal(r.out, by_option);
    free(by_option);
    run_end(&r);
}

/* The first line is for programs; what it was built with and the licence are for people. */
static void the_version_says_its_libraries_and_its_licence(void **unused)
{
    (void)unused;
    Run r;
    run_begin(&r, "UTC0");
    run_expect(&r, 0, "--version");
    assert_true(strncmp(r.out, "ullage ", 7) == 0);
    assert_true(strchr(r.out, '\n') - r.out < 20);
    run_said(&r, "With SQLite 3.");
    run_said(&r, "ncurses ");
    run_said(&r, "MIT licence");
    run_end(&r);
}

/* ---- the manual ---- */

static char *manual(const char *name)
{
    char path[4096];
    snprintf(path, sizeof path, MAN "/%s", name);
    FILE *f = fopen(path, "rb");
    assert_non_null(f);
    char *text = calloc(1, 1 << 20);
    assert_non_null(text);
    assert_true(fread(text, 1, (1 << 20) - 1, f) > 0);
    fclose(f);
    return text;
}

/* From the line that names the kind to the next that does: what the manual says of it. */
static char *section(const char *text, const char *kind)
{
    char head[64];
    snprintf(head, sizeof head, "\n.It Cm %s\n", kind);
    const char *begin = strstr(text, head);
    if (begin == NULL)
        fail_msg("ullage.5 does not know the kind %s", kind);
    begin += strlen(head);
    const char *end = strstr(begin, "\n.It Cm ");
    return strndup(begin, end != NULL ? (size_t)(end - begin) : strlen(begin));
}

static void the_manual_of_the_formats_knows_every_kind_and_field(void **unused)
{
    (void)unused;
    char *text = manual("ullage.5"), line[80];
    for (int id = 1; id < KIND_END; id++) {
        const Kind *kind = kind_of((KindId)id);
        char *part = section(text, kind->name);
        for (int f = 0; f < kind->field_count; f++) {
            const Field *field = &kind->fields[f];
            snprintf(line, sizeof line, "\n.It Va %s%s\n", field->name, field->required ? "*" : "");
            if (strstr(part, line) == NULL)
                fail_msg("ullage.5: kind %s lacks the line '.It Va %s%s'", kind->name, field->name,
                         field->required ? "*" : "");
            for (int c = 0; field->type == FIELD_CHOICE && field->choices[c] != NULL; c++)
                if (strstr(part, field->choices[c]) == NULL)
                    fail_msg("ullage.5: %s of %s lacks the word %s", field->name, kind->name,
                             field->choices[c]);
        }
        free(part);
    }
    free(text);
}

static void the_manual_of_the_program_knows_every_command_and_option(void **unused)
{
    (void)unused;
    char *text = manual("ullage.1"), line[80];
    const Command *const *all = COMMANDS.commands;
    for (int i = 0; i < COMMANDS.count; i++) {
        snprintf(line, sizeof line, "\n.It Cm %s", all[i]->name);
        if (strstr(text, line) == NULL)
            fail_msg("ullage.1 does not know the command %s", all[i]->name);
        for (int o = 0; o < all[i]->option_count; o++) {
            snprintf(line, sizeof line, "Fl -%s", all[i]->options[o].name);
            if (strstr(text, line) == NULL)
                fail_msg("ullage.1 does not know the option --%s", all[i]->options[o].name);
        }
    }
    for (int id = 1; id < KIND_END; id++) {
        const Kind *kind = kind_of((KindId)id);
        snprintf(line, sizeof line, "\n.It Cm %s ", kind->name);
        if (strstr(text, line) == NULL)
            fail_msg("ullage.1 does not know the kind %s", kind->name);
        for (int f = 0; f < kind->field_count; f++) {
            if (kind->fields[f].position > 0)
                continue;
            snprintf(line, sizeof line, "Fl -%s", kind->fields[f].option);
            if (strstr(text, line) == NULL)
                fail_msg("ullage.1: %s lacks --%s", kind->name, kind->fields[f].option);
        }
    }
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_program_lists_every_command_and_kind),
        cmocka_unit_test(every_command_has_its_help_with_every_option),
        cmocka_unit_test(every_kind_has_its_help_with_every_field),
        cmocka_unit_test(help_names_the_units_in_which_bare_numbers_are_read),
        cmocka_unit_test(the_help_of_draw_stands_as_it_was_written),
        cmocka_unit_test(the_version_says_its_libraries_and_its_licence),
        cmocka_unit_test(the_manual_of_the_formats_knows_every_kind_and_field),
        cmocka_unit_test(the_manual_of_the_program_knows_every_command_and_option),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
