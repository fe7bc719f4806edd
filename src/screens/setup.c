#include "screens/setup.h"

#include "base/memory.h"
#include "model/field.h"
#include "model/fold.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- what is asked ---- */

typedef enum {
    ASK_EACH,  /* a field of every thing that is named */
    ASK_NAMES, /* the labels of the things */
    ASK_MORE,  /* an entry of another kind about each of them */
    ASK_LINE,  /* the line that is coupled */
    ASK_UNITS
} AskWhat;

typedef struct {
    SetupStep step;
    AskWhat what;
    KindId kind;
    const char *field;          /* its name in the kind's table */
    const char *proposal, *gal; /* gal: with us and imperial units; NULL: the same */
    const char *caption, *help; /* NULL: the field's own */
    const char *prefix, *duty;  /* ASK_NAMES of vessels: what a number stands for */
} Ask;

static const Ask setup_asks[] = {
    {SETUP_VESSELS, ASK_UNITS, .caption = "units", .help = "amounts without a unit are read so"},
    {SETUP_VESSELS, ASK_NAMES, KIND_VESSEL, "vessel", .proposal = "4", .caption = "on the line",
     .help = "how many, or their labels, air side first", .prefix = "A", .duty = "line"},
    {SETUP_VESSELS, ASK_NAMES, KIND_VESSEL, "vessel", .proposal = "1", .caption = "reserve",
     .help = "how many, or labels: full ones apart, broached last", .prefix = "R",
     .duty = "reserve"},
    {SETUP_VESSELS, ASK_NAMES, KIND_VESSEL, "vessel", .proposal = "1", .caption = "wash",
     .help = "how many, or labels: for any water found, non-potable", .prefix = "W",
     .duty = "wash"},
    {SETUP_VESSELS, ASK_EACH, KIND_VESSEL, "capacity", .proposal = "12", .gal = "3"},
    {SETUP_VESSELS, ASK_EACH, KIND_VESSEL, "heel", .proposal = "0.2", .gal = "0.05"},
    {SETUP_VESSELS, ASK_EACH, KIND_VESSEL, "level", .proposal = "empty",
     .help = "what is in them now: empty, full, 8 L, 40%"},
    {SETUP_VESSELS, ASK_EACH, KIND_VESSEL, "class", .proposal = "questionable",
     .help = "potable: only drinking water in them since sanitised"},
    {SETUP_VESSELS, ASK_MORE, KIND_SANITISE, "vessel", .proposal = "no", .caption = "sanitised",
     .help = "yes: today, and they are empty; or when: -10d, 12.10."},
    {SETUP_VESSELS, ASK_EACH, KIND_VESSEL, "tare_kg", .proposal = ""},
    {SETUP_VESSELS, ASK_EACH, KIND_VESSEL, "rated_kpa", .proposal = "",
     .help = "working pressure; 0: takes none; empty: not known"},
    {SETUP_VESSELS, ASK_LINE, KIND_COUPLE, "line", .proposal = "galley",
     .help = "a name for the vessels in a row and their tap"},
    {SETUP_STAGES, ASK_NAMES, KIND_STAGE, "stage", .proposal = "sediment carbon lamp",
     .caption = "stages", .help = "their labels, as the water passes; none"},
    {SETUP_STAGES, ASK_EACH, KIND_STAGE, "type", .proposal = NULL},
    {SETUP_STAGES, ASK_EACH, KIND_STAGE, "life_litres", .proposal = NULL},
    {SETUP_STAGES, ASK_EACH, KIND_STAGE, "life_days", .proposal = NULL},
    {SETUP_STAGES, ASK_EACH, KIND_STAGE, "life_hours", .proposal = NULL},
    {SETUP_STAGES, ASK_EACH, KIND_STAGE, "fitted_at", .proposal = "",
     .help = "since when: -90d, 2026-09-01; empty: new, from now on"},
    {SETUP_STAGES, ASK_EACH, KIND_STAGE, "litres_through", .proposal = "",
     .help = "litres before now (a lamp's hours follow); empty: none"},
    {SETUP_STAGES, ASK_MORE, KIND_SPARES, "count", .proposal = "", .caption = "spares"},
    {SETUP_CREW, ASK_EACH, KIND_CREW, "persons", .proposal = "2"},
    {SETUP_SOURCES, ASK_NAMES, KIND_SOURCE, "source", .proposal = "", .caption = "sources",
     .help = "their names, with commas; empty: named at the first fill"},
    {SETUP_SOURCES, ASK_EACH, KIND_SOURCE, "type", .proposal = "mains"},
    {SETUP_SOURCES, ASK_EACH, KIND_SOURCE, "class", .proposal = "",
     .help = "potable: declared fit to drink; empty: not known"},
    {SETUP_STOPS, ASK_NAMES, KIND_STOP, "stop", .proposal = "", .caption = "stops",
     .help = "where the next refill is planned; empty: nowhere yet"},
    {SETUP_STOPS, ASK_EACH, KIND_STOP, "eta", .proposal = "", .help = "+2d, +5h, 2026-11-27 10:00"},
    {SETUP_STOPS, ASK_EACH, KIND_STOP, "litres", .proposal = ""},
};
enum { ASK_COUNT = sizeof setup_asks / sizeof *setup_asks };

/* Lives that makers print on the usual small cartridges and lamps, shorter ones of them (common
 * practice, no source); the label of the thing goes first. */
static const struct {
    const char *word, *type, *litres, *days, *hours;
} usual_stages[] = {
    {"sediment", "sediment", "4000", "180", "-"}, {"carbon", "carbon-block", "1500", "180", "-"},
    {"lamp", "uv", "-", "365", "9000"},           {"uv", "uv", "-", "365", "9000"},
    {"membrane", "membrane", "-", "730", "-"},    {"", "other", "-", "180", "-"}};
enum { USUAL_COUNT = sizeof usual_stages / sizeof *usual_stages };

static const char *const yes_no[] = {"yes", "no", NULL};
static const char *const units_words[] = {"metric", "us", "imperial", NULL};

static const Ask *ask_of(const FormField *row)
{
    return &setup_asks[row->field];
}

static const Field *ask_field(const Ask *ask)
{
    const Kind *kind = kind_of(ask->kind);
    return ask->what == ASK_UNITS ? NULL : &kind->fields[kind_field(kind, text_of(ask->field))];
}

const char *setup_step_name(SetupStep step)
{
    static const char *const names_words[] = {"vessels", "treatment", "crew", "sources", "stops"};
    return names_words[step];
}

bool setup_done(const State *state, SetupStep step)
{
    switch (step) {
    case SETUP_VESSELS:
        for (int i = 0; i < state->vessel_count; i++)
            if (vessel_aboard(&state->vessels[i]))
                return true;
        return false;
    case SETUP_STAGES:
        return state->stage_count > 0;
    case SETUP_CREW:
        return state->crew >= 0;
    case SETUP_SOURCES:
        return state->source_count > 0;
    case SETUP_STOPS:
        return state->stop_count > 0;
    case SETUP_STEPS:
        break;
    }
    return true;
}

bool setup_asks_units(const Setup *setup)
{
    return ask_of(&setup->rows.fields[setup->rows.active])->what == ASK_UNITS;
}

/* ---- reading the answers ---- */

enum { THINGS_MAX = VESSELS_ABOARD_MAX + 1 };

/* The things that a step names, the copy of the state that the entries are tried on, and the one
 * that is being made. */
typedef struct {
    Setup *setup;
    State *state;
    Moment now;
    int count;
    struct {
        Label label;
        const Ask *names;
    } things[THINGS_MAX];
    bool wrong;
} Reader;

static void reader_wrong(Reader *r, FormField *row, const char *why)
{
    if (!row->wrong)
        field_wrong(row, why);
    r->wrong = true;
}

/* The first word that begins so, ASCII case ignored; -1. */
static int word_begun(Text text, const char *const *words)
{
    for (int i = 0; words[i] != NULL && text.n > 0; i++) {
        char head[16];
        snprintf(head, sizeof head, "%.*s", (int)text.n, words[i]);
        if (text.n <= strlen(words[i]) && text_is_nocase(text, head))
            return i;
    }
    return -1;
}

static bool setup_left_out(Text part)
{
    return part.n == 0 || text_is(part, "-") || text_is_nocase(part, "none");
}

static void thing_add(Reader *r, FormField *row, Text name)
{
    Fault fault = {0};
    if (r->count == THINGS_MAX)
        return; /* more than can be aboard: the model says so */
    if (!label_set(&r->things[r->count].label, name, &fault))
        reader_wrong(r, row, fault.text);
    r->things[r->count++].names = ask_of(row);
}

/* The number stands for labels that begin with the prefix. */
static bool names_counted(Reader *r, FormField *row, Text text)
{
    const char *prefix = ask_of(row)->prefix;
    char *end, name[LABEL_SIZE];
    long n = strtol(text.s, &end, 10);
    if (prefix == NULL || end != text.s + text.n || text.s[0] < '0' || text.s[0] > '9')
        return false;
    for (long i = 1; i <= n && i <= THINGS_MAX; i++) {
        snprintf(name, sizeof name, "%s%ld", prefix, i);
        thing_add(r, row, text_of(name));
    }
    if (n > VESSELS_ABOARD_MAX)
        reader_wrong(r, row, "Up to 16 vessels can be aboard.");
    return true;
}

/* Labels, parted by commas where there are any, else by spaces; in a place's name a space is no
 * end. */
static void names_read(Reader *r, FormField *row)
{
    Text rest = text_trim(text_of(field_value(row)));
    const bool places = ask_of(row)->kind == KIND_SOURCE || ask_of(row)->kind == KIND_STOP;
    const char by = strchr(rest.s, ',') != NULL || places ? ',' : ' ';
    if (setup_left_out(rest) || names_counted(r, row, rest))
        return;
    while (rest.n > 0) {
        Text name = text_trim(text_cut(&rest, by));
        if (name.n > 0)
            thing_add(r, row, name);
    }
}

static int parts_of(Text text)
{
    int n = 1;
    for (size_t i = 0; i < text.n; i++)
        n += text.s[i] == ',';
    return n;
}

/* "12,5" for two: an answer for each, or one with the comma of decimals. */
static bool is_twofold(Text text)
{
    const char *comma = memchr(text.s, ',', text.n);
    return comma != NULL && comma > text.s && comma + 1 < text.s + text.n && is_digit(comma[-1]) &&
           is_digit(comma[1]);
}

/* What a row says about thing `i`: its answer for all, or the one of those that are parted. */
static Text part_for(Reader *r, FormField *row, int i)
{
    Text rest = text_trim(text_of(field_value(row))), part = rest;
    const int given = parts_of(rest), wanted = r->count > 0 ? r->count : 1;
    char why[FAULT_TEXT_MAX];
    if (given == 1)
        return rest;
    if (given != wanted) {
        snprintf(why, sizeof why, "One answer for all, or %d with commas; %d given.", wanted,
                 given);
        reader_wrong(r, row, why);
        return (Text){rest.s, 0};
    }
    if (given == 2 && is_twofold(rest)) {
        const Text one = text_cut(&part, ',');
        snprintf(why, sizeof why,
                 "For both, or one each? Write %.*s.%.*s for both, or \"%.*s, %.*s\".", (int)one.n,
                 one.s, (int)part.n, part.s, (int)one.n, one.s, (int)part.n, part.s);
        reader_wrong(r, row, why);
        return (Text){rest.s, 0};
    }
    for (int k = 0; k <= i; k++)
        part = text_trim(text_cut(&rest, ','));
    return part;
}

static void give(Reader *r, FormField *row, Event *e, const char *field, Text text)
{
    Reading reading = {r->state, r->now, r->setup->units};
    Fault fault = {0};
    if (!event_set(e, kind_field(kind_of((KindId)e->kind), text_of(field)), text, &reading, &fault))
        reader_wrong(r, row, fault.text);
}

/* Tries an entry, and keeps it. The first that can't be is the one that is told. */
static void entry_keep(Reader *r, Event *e)
{
    Setup *setup = r->setup;
    Fault fault = {0};
    if (r->wrong || setup->refusal[0])
        return;
    e->at = r->now;
    e->zone = moment_local_zone(r->now);
    if (setup->count == SETUP_ENTRIES_MAX || !event_place(r->state, e, r->now, &fault) ||
        !event_check(r->state, e, r->now, &fault)) {
        snprintf(setup->refusal, sizeof setup->refusal, "%s",
                 fault.text[0] ? fault.text : "More than can be written at once.");
        return;
    }
    fold_apply(r->state, e);
    setup->entries[setup->count++] = *e;
}

static bool is_wash(const Reader *r, int i)
{
    return r->count > 0 && r->things[i].names->duty != NULL &&
           !strcmp(r->things[i].names->duty, "wash");
}

/* Stages treat the line that is there, in the order of their names. */
static void stage_place(Reader *r, Event *e, int i)
{
    char position[16];
    const char *line = "galley";
    for (int k = r->state->line_count - 1; k >= 0; k--)
        if (!label_empty(&r->state->lines[k].label))
            line = r->state->lines[k].label.s;
    FormField *names = &r->setup->rows.fields[0];
    snprintf(position, sizeof position, "%d", i + 1);
    give(r, names, e, "line", text_of(line));
    give(r, names, e, "position", text_of(position));
}

/* The entry that names thing `i`, or, where nothing is named, that says what the step asks. */
static void thing_entry(Reader *r, KindId kind, int i)
{
    Fields *rows = &r->setup->rows;
    Event e;
    event_clear(&e, kind);
    for (int k = 0; k < rows->count; k++) {
        FormField *row = &rows->fields[k];
        const Ask *ask = ask_of(row);
        if (ask->what == ASK_NAMES && r->things[i].names == ask) {
            give(r, row, &e, ask->field, text_of(r->things[i].label.s));
            if (ask->duty != NULL)
                give(r, row, &e, "duty", text_of(ask->duty));
        } else if (ask->what == ASK_EACH) {
            Text part = part_for(r, row, i);
            if (is_wash(r, i) && strcmp(ask->field, "class") == 0)
                part = text_of("non-potable");
            if (!setup_left_out(part))
                give(r, row, &e, ask->field, part);
        } else if (ask->kind == KIND_SANITISE && !is_wash(r, i)) {
            const Text part = part_for(r, row, i);
            if (!setup_left_out(part) && word_begun(part, yes_no) < 0) /* a time */
                give(r, row, &e, "sanitised_at", part);
        }
    }
    if (kind == KIND_STAGE)
        stage_place(r, &e, i);
    entry_keep(r, &e);
}

/* The entries of other kinds that a row asks about each thing: it was sanitised, it has spares. */
static void more_entries(Reader *r, FormField *row)
{
    const Ask *ask = ask_of(row);
    const bool flag = ask->kind == KIND_SANITISE;
    for (int i = 0; i < r->count; i++) {
        Event e;
        Text part = part_for(r, row, i);
        const int yes = flag ? word_begun(part, yes_no) : 0;
        if (yes != 0 || setup_left_out(part) || (flag && is_wash(r, i)) || r->wrong)
            continue;
        const Kind *kind = kind_of(ask->kind);
        event_clear(&e, ask->kind);
        give(r, row, &e, kind->fields[0].name, text_of(r->things[i].label.s));
        if (!flag)
            give(r, row, &e, ask->field, part);
        entry_keep(r, &e);
    }
}

static void line_entry(Reader *r, FormField *row)
{
    Event e;
    event_clear(&e, KIND_COUPLE);
    give(r, row, &e, "line", text_of(field_value(row)));
    for (int i = 0; i < r->count && !r->wrong; i++)
        if (strcmp(r->things[i].names->duty, "line") == 0)
            give(r, row, &e, "order", text_of(r->things[i].label.s));
    if (e.u.couple.count > 0)
        entry_keep(r, &e);
}

static void units_read(Reader *r, FormField *row)
{
    const int units = word_begun(text_trim(text_of(field_value(row))), units_words);
    if (units < 0)
        reader_wrong(r, row, "One of: metric, us, imperial.");
    else
        r->setup->units = (Units)units;
}

/* ---- proposals ---- */

static const char *usual(const char *label, const char *field)
{
    int i = 0;
    while (i < USUAL_COUNT - 1 &&
           strncmp(label, usual_stages[i].word, strlen(usual_stages[i].word)) != 0)
        i++;
    return strcmp(field, "type") == 0          ? usual_stages[i].type
           : strcmp(field, "life_litres") == 0 ? usual_stages[i].litres
           : strcmp(field, "life_days") == 0   ? usual_stages[i].days
                                               : usual_stages[i].hours;
}

static void row_propose(const Reader *r, FormField *row)
{
    const Ask *ask = ask_of(row);
    const char *text =
        r->setup->units != UNITS_METRIC && ask->gal != NULL ? ask->gal : ask->proposal;
    const Field *f = ask_field(ask);
    if (f != NULL)
        row->unit = field_unit(f, r->setup->units);
    if (text != NULL) {
        snprintf(row->proposal, sizeof row->proposal, "%s", text);
        return;
    }
    if (ask->what == ASK_UNITS)
        return;
    Str all = {0};
    str_adds(&all, "");
    for (int i = 0; i < r->count; i++)
        str_addf(&all, "%s%s", i > 0 ? ", " : "", usual(r->things[i].label.s, ask->field));
    snprintf(row->proposal, sizeof row->proposal, "%s", all.s);
    str_finish(&all);
}

void setup_read(Setup *setup, const State *state, Moment now)
{
    Reader r = {.setup = setup, .state = memory_get(sizeof *r.state), .now = now};
    KindId kind = KIND_NONE;
    *r.state = *state;
    setup->count = 0;
    setup->refusal[0] = '\0';
    for (int i = 0; i < setup->rows.count; i++) {
        FormField *row = &setup->rows.fields[i];
        field_clear(row);
        row_propose(&r, row);
        if (ask_of(row)->what == ASK_UNITS)
            units_read(&r, row);
        else if (ask_of(row)->what == ASK_NAMES)
            names_read(&r, row);
        if (ask_of(row)->what == ASK_NAMES || kind == KIND_NONE)
            kind = ask_of(row)->kind;
    }
    const bool named = ask_of(&setup->rows.fields[setup->rows.count - 1])->kind != KIND_CREW;
    for (int i = 0; i < (named ? r.count : 1); i++)
        thing_entry(&r, kind, i);
    for (int i = 0; i < setup->rows.count && r.count > 0; i++) {
        FormField *row = &setup->rows.fields[i];
        if (ask_of(row)->what == ASK_MORE)
            more_entries(&r, row);
        else if (ask_of(row)->what == ASK_LINE)
            line_entry(&r, row);
    }
    setup->nothing = named && r.count == 0 && setup->step != SETUP_VESSELS;
    if (r.count == 0 && setup->step == SETUP_VESSELS && !r.wrong)
        snprintf(setup->refusal, sizeof setup->refusal, "Name one vessel at least.");
    setup->ready = !r.wrong && !setup->refusal[0];
    free(r.state);
}

void setup_begin(Setup *setup, SetupStep step, const State *state, Units units, Moment now)
{
    memset(setup, 0, sizeof *setup);
    setup->step = step;
    setup->units = units;
    for (int i = 0; i < ASK_COUNT; i++) {
        const Ask *ask = &setup_asks[i];
        if (ask->step != step)
            continue;
        const Field *f = ask_field(ask);
        FormField *row =
            fields_add(&setup->rows, i, ask->caption != NULL ? ask->caption : f->option, NULL,
                       ask->help != NULL ? ask->help : f->help);
        if (ask->what == ASK_UNITS)
            snprintf(row->proposal, sizeof row->proposal, "%s", units_name(units));
    }
    setup_read(setup, state, now);
}

bool setup_key(Setup *setup, Press press)
{
    const Ask *ask = ask_of(&setup->rows.fields[setup->rows.active]);
    const Field *f = ask_field(ask);
    Choices choices = {.count = 0};
    if (ask->what == ASK_UNITS)
        choices_add(&choices, units_words);
    else if (ask->kind == KIND_SANITISE)
        choices_add(&choices, yes_no);
    else if (f->type == FIELD_CHOICE)
        choices_add(&choices, f->choices);
    return fields_key(&setup->rows, press, &choices);
}
