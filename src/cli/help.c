#include "cli/help.h"

#include "cli/print.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { HELP_COLUMN = 28 };

void help_print(Str *out)
{
    (void)print_more(out, false);
    str_finish(out);
}

void help_entry(Str *out, const char *left, const char *help)
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
    help_entry(out, left.s, o->help);
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

void help_command(const Command *c, Session *session)
{
    if (c->help != NULL && c->help(c, session))
        return;
    Str out = {0};
    str_addf(&out, "Usage: ullage %s%s%s [OPTION...]\n", c->name, *c->words != '\0' ? " " : "",
             c->words);
    str_addf(&out, "%s.\n", c->gist);
    if (c->more != NULL)
        help_paragraph(&out, c->more);
    help_options(&out, c->options, c->option_count, c->looks);
    help_print(&out);
}

Units help_units(Session *session)
{
    if (!session->units_asked && session->path.n > 0 && access(session->path.s, F_OK) == 0)
        (void)session_open(session, LOG_READ, NULL);
    return session->units;
}
