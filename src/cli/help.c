/* help.c - every help text, from the records and the field tables. */
#include "cli/command.h"
#include "cli/print.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { HELP_COLUMN = 28, HELP_WIDTH = 79 };

static void flush(Str *out)
{
    if (out->n > 0)
        fwrite(out->s, 1, out->n, stdout);
    str_finish(out);
}

/* "      --from NAME           where the water comes from": wrapped under the help's column. */
static void entry(Str *out, const char *left, const char *help)
{
    char indent[HELP_COLUMN + 1];
    memset(indent, ' ', HELP_COLUMN);
    indent[HELP_COLUMN] = '\0';
    Str lines = {0};
    print_wrapped(&lines, indent, text_of(help), HELP_WIDTH);
    const int columns = text_columns(text_of(left));
    str_adds(out, left);
    if (columns + 2 > HELP_COLUMN) {
        str_addc(out, '\n');
        str_add(out, text_slice(lines.s, lines.n));
    } else {
        str_add(out, text_slice(lines.s + columns, lines.n - (size_t)columns));
    }
    str_finish(&lines);
}

static void option_entry(Str *out, const Option *o)
{
    Str left = {0};
    if (o->letter != '\0')
        str_addf(&left, "  -%c, ", o->letter);
    else
        str_adds(&left, "      ");
    str_addf(&left, "--%s", o->name);
    if (o->takes == TAKES_VALUE)
        str_addf(&left, " %s", o->value);
    entry(out, left.s, o->help);
    str_finish(&left);
}

void help_options(Str *out, const Option *own, int own_count, bool with_looks)
{
    int n = 0, drawn = 0;
    const Option *more = options_common(&n), *how = options_looks(&drawn);
    str_adds(out, "\nOptions:\n");
    for (int i = 0; i < own_count; i++)
        option_entry(out, &own[i]);
    for (int i = 0; with_looks && i < drawn; i++)
        option_entry(out, &how[i]);
    for (int i = 0; i < n; i++)
        option_entry(out, &more[i]);
}

void help_paragraph(Str *out, const char *text)
{
    str_addc(out, '\n');
    for (Text rest = text_of(text); rest.n > 0;) {
        const Text line = text_cut(&rest, '\n');
        if (line.n == 0)
            str_addc(out, '\n');
        else if (line.s[0] == ' ') { /* an example: as it stands */
            str_add(out, line);
            str_addc(out, '\n');
        } else
            print_wrapped(out, "", line, HELP_WIDTH);
    }
}

void help_command(const Command *c)
{
    Str out = {0};
    str_addf(&out, "Usage: ullage %s%s%s [OPTION...]\n", c->name, *c->words != '\0' ? " " : "",
             c->words);
    str_addf(&out, "%s.\n", c->gist);
    if (c->more != NULL)
        help_paragraph(&out, c->more);
    help_options(&out, c->options, c->option_count, c->looks);
    flush(&out);
}

/* On one line where it fits, else continued as a shell takes it. */
static void example(Str *out, const Kind *kind)
{
    int used = (int)(strlen("Example: ullage ") + strlen(kind->name));
    str_addf(out, "\nExample: ullage %s", kind->name);
    for (Text rest = text_of(kind->example); rest.n > 0;) {
        const Text word = text_cut(&rest, ' ');
        if (used + 1 + (int)word.n > HELP_WIDTH - 2) {
            str_adds(out, " \\\n           ");
            used = 11;
        }
        str_addc(out, ' ');
        str_add(out, word);
        used += 1 + (int)word.n;
    }
    str_addc(out, '\n');
}

Units help_units(Session *session)
{
    if (!session->units_asked && session->path.n > 0 && access(session->path.s, F_OK) == 0)
        (void)session_open(session, LOG_READ, NULL);
    return session->units;
}

void help_kind(const Kind *kind, Units units)
{
    Str out = {0};
    str_addf(&out, "Usage: ullage %s", kind->name);
    kind_usage(kind, &out);
    str_addf(&out, " [OPTION...]\nLogs: %s.\n", kind->gist);
    bool any = false;
    for (int i = 0; i < kind->field_count; i++) {
        const Field *f = &kind->fields[i];
        if (f->position == 0)
            continue;
        if (!any)
            str_addc(&out, '\n');
        any = true;
        Str left = {0}, words = {0};
        str_adds(&left, "  ");
        for (const char *c = f->option; *c != '\0'; c++)
            str_addc(&left, letter_upper(*c));
        kind_field_help(f, units, &words);
        entry(&out, left.s, words.s);
        str_finish(&left);
        str_finish(&words);
    }
    KindOptions options = kind_options(kind, units);
    int told = 0;
    for (int i = 0; i < options.count; i++)
        if (kind_option_told(kind, options.options[i].id))
            options.options[told++] = options.options[i];
    help_options(&out, options.options, told, false);
    kind_options_finish(&options);
    if (kind->example != NULL)
        example(&out, kind);
    if (kind->caution != NULL) {
        Str caution = {0};
        str_addf(&caution, "Caution: %s", kind->caution);
        help_paragraph(&out, caution.s);
        str_finish(&caution);
    }
    flush(&out);
}

void help_program(void)
{
    Str out = {0};
    str_adds(&out, "Usage: ullage [OPTION...]\n"
                   "       ullage COMMAND [WORD...] [OPTION...]\n");
    print_wrapped(&out, "",
                  text_of("How much water is left aboard, which vessel is safe to drink from, what "
                          "is due: from a log that is only ever added to."),
                  HELP_WIDTH);
    str_adds(&out, "\nWhat is so:\n");
    int count = 0;
    const Command *const *all = commands_all(&count);
    for (int i = 0; i < count; i++) {
        Str left = {0};
        str_addf(&left, "  %s", all[i]->name);
        entry(&out, left.s, all[i]->gist);
        str_finish(&left);
    }
    str_adds(&out, "\nWhat happened (one entry each):\n");
    for (int id = 1; id < KIND_END; id++) {
        const Kind *kind = kind_of((KindId)id);
        Str left = {0};
        str_addf(&left, "  %s", kind->name);
        kind_usage(kind, &left);
        entry(&out, left.s, kind->gist);
        str_finish(&left);
    }
    static const Option version[] = {
        {"version", 'V', TAKES_NOTHING, NULL, "print the version of the program", OPTION_VERSION}};
    help_options(&out, version, 1, true);
    help_paragraph(
        &out, "Amounts: a number with l, ml, gal, impgal, qt, kg, lb or %. Times: RFC 3339, "
              "\"2026-11-24 18:30\", 18:30, \"yesterday 18:30\", -2h, -3d; local time where no "
              "offset is given.\n"
              "\n"
              "Exit status: 0 done; 1 refused, nothing written; 2 wrong usage; 3 the log can't be "
              "opened, is damaged or newer, or the disk is full; 4 'due --check' with something "
              "due.\n"
              "\n"
              "A class or a verdict is a record of what was logged, not a laboratory test. Local "
              "rules and licensed advice come first.");
    flush(&out);
}

static bool run_help(Session *session, Fault *fault)
{
    if (session->arguments.word_count == 0) {
        help_program();
        return true;
    }
    const Text name = text_of(session->arguments.words[0]);
    const Command *command = command_named(name);
    const Kind *kind = kind_named(name);
    if (command != NULL)
        help_command(command);
    else if (kind != NULL)
        help_kind(kind, help_units(session));
    else
        return fault_set(fault, FAULT_USAGE, "There is no command %s.", text_quote(name).s);
    return true;
}

const Command command_help = {.name = "help",
                              .gist = "Help for the program or one of its commands",
                              .words = "[COMMAND]",
                              .words_max = 1,
                              .run = run_help};
