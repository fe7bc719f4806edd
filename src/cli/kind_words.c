#include "cli/kind_words.h"

#include "base/memory.h"
#include "cli/help.h"
#include "model/field.h"

#include <stdio.h>
#include <string.h>

static const char *const way_units[WAYS] = {"", "psi", "kpa", "bar"};

const char *way_unit(int way)
{
    return way_units[way];
}

/* ---- options and usage ---- */

static const char *value_name(const Field *f)
{
    switch (f->type) {
    case FIELD_LABEL:
    case FIELD_LABELS:
        return "NAME";
    case FIELD_VOLUME:
        return "AMOUNT";
    case FIELD_MASS:
        return "MASS";
    case FIELD_PRESSURE:
        return "PRESSURE";
    case FIELD_TEMPERATURE:
        return "TEMP";
    case FIELD_ALTITUDE:
        return "HEIGHT";
    case FIELD_CHOICE:
        return "WORD";
    case FIELD_MOMENT:
        return "TIME";
    case FIELD_ENTRY:
        return "ID";
    case FIELD_DECIMAL:
    case FIELD_COUNT:
    case FIELD_FLAG:
        break;
    }
    return "N";
}

/* Help texts and names that are put together live in one block behind the options. */
enum { BUILT_SIZE = 240 };

static char *built(Option *options, int slots, int i, int part)
{
    return (char *)(options + slots) + ((size_t)i * 2 + (size_t)part) * BUILT_SIZE;
}

static void field_help(const Field *f, Units units, Str *out)
{
    str_adds(out, f->help);
    for (int i = 0; f->type == FIELD_CHOICE && f->choices[i] != NULL; i++)
        str_addf(out, "%s%s", i == 0 ? ": " : ", ", f->choices[i]);
    if (f->unit != NULL)
        str_addf(out, " (%s)", field_unit(f, units));
}

/* "rated" gives "rated-psi"; "kpa" gives "psi": the option of a pressure in one unit. */
static void way_name(const Field *f, int way, char *out)
{
    if (strcmp(f->option, "kpa") == 0)
        snprintf(out, BUILT_SIZE, "%s", way_units[way]);
    else
        snprintf(out, BUILT_SIZE, "%s-%s", f->option, way_units[way]);
}

OptionList kind_options(const Kind *kind, Units units)
{
    const int slots = kind->field_count * WAYS + 4;
    Option *o = memory_get((size_t)slots * sizeof *o + (size_t)slots * 2 * BUILT_SIZE);
    int n = 0;
    for (int f = 0; f < kind->field_count; f++) {
        const Field *field = &kind->fields[f];
        const int id = OPTION_FIELD + f * WAYS;
        char *help = built(o, slots, n, 0);
        Str words = {0};
        field_help(field, units, &words);
        snprintf(help, BUILT_SIZE, "%s", words.s);
        str_finish(&words);
        o[n++] = (Option){field->option,
                          0,
                          field->type == FIELD_FLAG ? TAKES_WHEN_JOINED : TAKES_VALUE,
                          field->type == FIELD_FLAG ? NULL : value_name(field),
                          help,
                          id + WAY_PLAIN};
        for (int way = WAY_PSI; field->type == FIELD_PRESSURE && way < WAYS; way++) {
            char *name = built(o, slots, n, 0), *how = built(o, slots, n, 1);
            way_name(field, way, name);
            if (strcmp(name, field->option) == 0)
                continue;
            snprintf(how, BUILT_SIZE, "the same in %s", way == WAY_KPA ? "kPa" : way_units[way]);
            o[n++] = (Option){name, 0, TAKES_VALUE, "N", how, id + way};
        }
    }
    o[n++] = (Option){"at", 0, TAKES_VALUE, "TIME", "when it happened; left out: now", OPTION_AT};
    o[n++] = (Option){"note", 0, TAKES_VALUE, "TEXT", "a remark kept with the entry", OPTION_NOTE};
    o[n++] =
        (Option){"dry-run",     'n', TAKES_NOTHING, NULL, "say what would change, write nothing",
                 OPTION_DRY_RUN};
    if (kind->id != KIND_VOID && kind->id != KIND_SETTLE)
        o[n++] = (Option){"amend",
                          0,
                          TAKES_VALUE,
                          "ID",
                          "put that entry right: what is not given anew stays, its time too",
                          OPTION_AMEND};
    return (OptionList){o, n};
}

/* What stands for a value: ASCII letters as capitals, whatever the locale. */
static void add_upper(Str *out, const char *name)
{
    for (; *name != '\0'; name++) {
        char c = *name;
        if (c >= 'a' && c <= 'z')
            c = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[c - 'a'];
        str_addc(out, c);
    }
}

int kind_positions(const Kind *kind)
{
    int last = 0;
    for (int f = 0; f < kind->field_count; f++)
        if (kind->fields[f].position > last)
            last = kind->fields[f].position;
    return last;
}

bool kind_position_needed(const Kind *kind, int p)
{
    int sharing = 0;
    for (int f = 0; f < kind->field_count; f++) {
        if (kind->fields[f].position != p)
            continue;
        sharing++;
        if (kind->fields[f].required)
            return true;
    }
    return sharing > 1;
}

void kind_position_words(const Kind *kind, int p, Str *out)
{
    bool first = true;
    for (int f = 0; f < kind->field_count; f++) {
        const Field *field = &kind->fields[f];
        if (field->position != p)
            continue;
        if (!first)
            str_addc(out, '|');
        first = false;
        add_upper(out, field->option);
        if (field->type == FIELD_LABELS)
            str_adds(out, "...");
    }
}

void kind_usage(const Kind *kind, Str *out)
{
    if (kind->field_count == 0)
        str_adds(out, " TEXT...");
    for (int p = 1; p <= kind_positions(kind); p++) {
        const bool needed = kind_position_needed(kind, p);
        str_adds(out, needed ? " " : " [");
        kind_position_words(kind, p, out);
        str_adds(out, kind->several && p == 1 ? "..." : "");
        str_adds(out, needed ? "" : "]");
    }
}

/* ---- help ---- */

bool kind_option_told(const Kind *kind, int id)
{
    return id < OPTION_FIELD || (id - OPTION_FIELD) % WAYS != WAY_PLAIN ||
           kind->fields[(id - OPTION_FIELD) / WAYS].position == 0;
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

void kind_help(const Kind *kind, Units units)
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
        add_upper(&left, f->option);
        field_help(f, units, &words);
        help_entry(&out, left.s, words.s);
        str_finish(&left);
        str_finish(&words);
    }
    OptionList options = kind_options(kind, units);
    int told = 0;
    for (int i = 0; i < options.count; i++)
        if (kind_option_told(kind, options.options[i].id))
            options.options[told++] = options.options[i];
    help_options(&out, options.options, told, false);
    option_list_finish(&options);
    if (kind->example != NULL)
        example(&out, kind);
    if (kind->caution != NULL) {
        Str caution = {0};
        str_addf(&caution, "Caution: %s", kind->caution);
        help_paragraph(&out, caution.s);
        str_finish(&caution);
    }
    help_print(&out);
}
