/* cmd_reckon.c - the reckoners: one topic each, made from the table in topics/reckoner.h. */
#include "cli/command.h"

#include "base/json_out.h"
#include "cli/help.h"

#include "base/memory.h"
#include "cli/print.h"
#include "topics/reckoner.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { RECKON_WIDTH = 79, RECKON_LABEL = 20 };

/* ---- options and help ---- */

static const char *value_word(Quantity quantity)
{
    switch (quantity) {
    case QUANTITY_VOLUME:
    case QUANTITY_DOSE:
    case QUANTITY_AIR:
        return "AMOUNT";
    case QUANTITY_MASS:
        return "MASS";
    case QUANTITY_TEMPERATURE:
        return "TEMP";
    case QUANTITY_PRESSURE:
        return "PRESSURE";
    case QUANTITY_LENGTH:
    case QUANTITY_BORE:
        return "LENGTH";
    case QUANTITY_FLOW:
    case QUANTITY_AIRFLOW:
    case QUANTITY_SPEED:
        return "FLOW";
    case QUANTITY_MINUTES:
    case QUANTITY_SECONDS:
    case QUANTITY_HOURS:
        return "SPAN";
    case QUANTITY_CHOICE:
    case QUANTITY_WORDS:
        return "WORD";
    case QUANTITY_NUMBER:
        break;
    }
    return "N";
}

/* The help of a field: what it is, the words or the unit, what is usual. */
static void field_words(const ReckonField *f, Units units, Str *out)
{
    char usual[QUANTITY_TEXT];
    const char *unit = quantity_unit(f->quantity, f->unit, units);
    str_adds(out, f->help);
    for (int i = 0; f->quantity == QUANTITY_CHOICE && f->choices[i] != NULL; i++)
        str_addf(out, "%s%s", i == 0 ? ": " : ", ", f->choices[i]);
    reckon_text(f, f->usual, units, 5e-3, usual);
    if (isnan(f->usual))
        str_addf(out, " (%s; may be left out)", *unit != '\0' ? unit : "a number");
    else
        str_addf(out, " (usual: %s)", usual);
}

/* The topic is the first word; a word may stand behind options, so all are looked through. */
static const Topic *topic_among(int argc, char **argv)
{
    for (int i = 0; i < argc; i++) {
        if (argv[i][0] == '-')
            continue;
        const Topic *topic = topic_named(text_of(argv[i]));
        if (topic != NULL)
            return topic;
    }
    return NULL;
}

static OptionList topic_options(const Topic *topic, Units units)
{
    enum { HELP_SIZE = 240 };
    const int count = 2 + (topic != NULL ? topic->field_count : 0);
    Option *o = memory_get((size_t)count * (sizeof *o + HELP_SIZE));
    char *help = (char *)(o + count);
    o[0] =
        (Option){"vessel",     0, TAKES_VALUE, "VESSEL", "the vessel that values are proposed from",
                 OPTION_VESSEL};
    o[1] = (Option){"line",     0, TAKES_VALUE, "LINE", "the line that values are proposed from",
                    OPTION_LINE};
    for (int i = 0; i + 2 < count; i++, help += HELP_SIZE) {
        Str words = {0};
        field_words(&topic->fields[i], units, &words);
        (void)snprintf(help, HELP_SIZE, "%s", words.s);
        str_finish(&words);
        o[i + 2] = (Option){
            topic->fields[i].option, 0, TAKES_VALUE, value_word(topic->fields[i].quantity), help,
            OPTION_FIELD + i};
    }
    return (OptionList){o, count};
}

static OptionList reckon_options(const Command *command, int argc, char **argv)
{
    (void)command;
    return topic_options(topic_among(argc, argv), UNITS_METRIC);
}

static bool reckon_help(const Command *command, Session *session)
{
    (void)command;
    const Arguments *a = &session->arguments;
    const Topic *topic = a->word_count > 0 ? topic_named(text_of(a->words[0])) : NULL;
    if (topic == NULL)
        return false;
    Str out = {0};
    str_addf(&out, "Usage: ullage reckon %s [OPTION...]\nReckons: %s.\n", topic->name, topic->gist);
    help_paragraph(&out, "What is not given is proposed from the log, where it knows, else as is "
                         "usual. A number without a unit is in the one shown here; \"none\" leaves "
                         "out what may be left out.");
    OptionList options = topic_options(topic, help_units(session));
    help_options(&out, options.options, options.count, false);
    option_list_finish(&options);
    str_addf(&out, "\nExample: ullage reckon %s %s\n", topic->name, topic->example);
    help_paragraph(&out,
                   "Every figure's source and limits are printed with it; ullage(7) tells the "
                   "methods. Local rules, a laboratory test and licensed advice come first.");
    (void)print_out(&out, false, NULL);
    str_finish(&out);
    return true;
}

/* ---- the site ---- */

typedef struct {
    State state;
    Board board;
    ReckonInput inputs[RECKON_FIELDS_MAX];
    Reckoning result;
} Sums; /* too big for a small stack */

static int name_find(const State *state, Names names, Text text)
{
    const Label *name;
    for (int nocase = 0; nocase < 2; nocase++)
        for (int i = 0; (name = state_name(state, names, i)) != NULL; i++)
            if ((nocase ? text_is_nocase(text, name->s) : text_is(text, name->s)) &&
                state_find(state, names, name) == i)
                return i;
    return -1;
}

/* What of the log the figures are about. */
static bool site_given(const Session *session, ReckonSite *site, Fault *fault)
{
    const Given *vessel = arguments_get(&session->arguments, OPTION_VESSEL);
    const Given *line = arguments_get(&session->arguments, OPTION_LINE);
    if (vessel != NULL)
        site->vessel = name_find(site->state, NAMES_VESSEL, text_of(vessel->value));
    if (line != NULL)
        site->line = name_find(site->state, NAMES_LINE, text_of(line->value));
    site->vessel_said = vessel != NULL;
    site->line_said = line != NULL;
    if (site->vessel_said && site->vessel < 0)
        return fault_set(fault, FAULT_REFUSED, "There is no vessel %s.",
                         text_quote(text_of(vessel->value)).s);
    return !site->line_said || site->line >= 0 ||
           fault_set(fault, FAULT_REFUSED, "There is no line %s.",
                     text_quote(text_of(line->value)).s);
}

/* A reckoner is of use before there is a log: then nothing is proposed from it. */
static bool sums_open(Session *session, Sums *sums, Fault *fault)
{
    const LogMode mode =
        !session->log_asked && access(session->path.s, F_OK) != 0 ? LOG_SCRATCH : LOG_READ;
    int64_t entries = 0;
    if (!session_open(session, mode, fault) ||
        !log_state(session->log, &sums->state, &entries, fault))
        return false;
    board_make(&sums->board, &sums->state, entries, session->now, session->units);
    return true;
}

static bool values_read(const Session *session, const Topic *topic, Sums *sums, Fault *fault)
{
    const Arguments *a = &session->arguments;
    for (int i = 0; i < a->given_count; i++) {
        const int field = a->given[i].id - OPTION_FIELD;
        if (field < 0)
            continue;
        if (sums->inputs[field].typed)
            return fault_set(fault, FAULT_USAGE, "--%s is given twice.",
                             topic->fields[field].option);
        if (!reckon_read(&topic->fields[field], text_of(a->given[i].value), session->units,
                         &sums->inputs[field], fault))
            return fault_prefix(fault, "--");
    }
    return true;
}

/* ---- text ---- */

/* "  label               text", wrapped beside the label. */
static void labelled(Str *out, const char *label, const char *text)
{
    char indent[RECKON_LABEL + 4];
    memset(indent, ' ', sizeof indent - 1);
    indent[sizeof indent - 1] = '\0';
    Str lines = {0};
    print_wrapped(&lines, indent, text_of(text), RECKON_WIDTH);
    str_addf(out, "  %-*s ", RECKON_LABEL, label);
    str_add(out, text_slice(lines.s + sizeof indent - 1, lines.n - (sizeof indent - 1)));
    str_finish(&lines);
}

static void notes_tell(Str *out, const char *label, const char *const *notes, int count)
{
    for (int i = 0; i < count; i++)
        labelled(out, i == 0 ? label : "", notes[i]);
}

static void inputs_tell(Str *out, const Topic *topic, const Sums *sums, Units units)
{
    Table t = {0};
    for (int i = 0; i < topic->field_count; i++) {
        const ReckonInput *in = &sums->inputs[i];
        char text[QUANTITY_TEXT];
        table_cell(&t, topic->fields[i].option);
        table_cell(&t, reckon_text(&topic->fields[i], in->value, units, 5e-4, text));
        table_cell(&t, in->typed ? "given" : in->why);
        table_row(&t);
    }
    table_print(&t, "  ", out);
    table_finish(&t);
}

static void result_tell(Str *out, const Topic *topic, const Sums *sums, const ReckonSite *site,
                        Units units)
{
    const Reckoning *r = &sums->result;
    str_addf(out, "%s: %s", topic->name, topic->gist);
    if (site->vessel >= 0)
        str_addf(out, " (%s)", sums->state.vessels[site->vessel].label.s);
    else if (site->line >= 0)
        str_addf(out, " (line %s)", sums->state.lines[site->line].label.s);
    str_adds(out, "\n\nWith\n");
    inputs_tell(out, topic, sums, units);
    str_adds(out, "\nResult\n");
    for (int i = 0; i < r->count; i++) {
        Str text = {0};
        reckon_line_tell(&r->lines[i], units, &text);
        labelled(out, r->lines[i].label, text.s);
        str_finish(&text);
    }
    str_adds(out, "\nWhere it comes from\n");
    notes_tell(out, "sources", r->sources, r->source_count);
    notes_tell(out, "limits", r->limits, r->limit_count);
    notes_tell(out, "cautions", r->cautions, r->caution_count);
    labelled(out, "always", RECKON_ALWAYS);
}

/* ---- JSON ---- */

static void text_list(Str *out, const char *key, const char *const *list, int count)
{
    json_open(out, key, '[');
    for (int i = 0; i < count; i++)
        json_text(out, NULL, list[i]);
    str_addc(out, ']');
}

static void json_inputs(Str *out, const Topic *topic, const Sums *sums)
{
    json_open(out, "inputs", '{');
    for (int i = 0; i < topic->field_count; i++) {
        const ReckonField *f = &topic->fields[i];
        char text[QUANTITY_TEXT];
        json_open(out, f->option, '{');
        if (f->quantity == QUANTITY_CHOICE)
            json_text(out, "value",
                      reckon_text(f, sums->inputs[i].value, UNITS_METRIC, 1e-9, text));
        else
            json_number(out, "value", sums->inputs[i].value, 6);
        json_text(out, "unit", quantity_unit(f->quantity, f->unit, UNITS_METRIC));
        json_text(out, "from", sums->inputs[i].typed ? "given" : sums->inputs[i].why);
        str_addc(out, '}');
    }
    str_addc(out, '}');
}

/* Metric, whatever the units for people are. */
static void result_json(Str *out, const Topic *topic, const Sums *sums, const ReckonSite *site)
{
    const Reckoning *r = &sums->result;
    const char *label = "";
    json_open(out, NULL, '{');
    json_text(out, "topic", topic->name);
    json_text(out, "vessel", site->vessel >= 0 ? sums->state.vessels[site->vessel].label.s : NULL);
    json_text(out, "line", site->line >= 0 ? sums->state.lines[site->line].label.s : NULL);
    json_inputs(out, topic, sums);
    json_open(out, "results", '[');
    for (int i = 0; i < r->count; i++) {
        const ReckonLine *line = &r->lines[i];
        const bool number = line->quantity != QUANTITY_WORDS;
        label = line->label[0] != '\0' ? line->label : label;
        json_open(out, NULL, '{');
        json_text(out, "label", label);
        json_number(out, "value", number ? line->value : NAN, 6);
        json_number(out, "high", number ? line->high : NAN, 6);
        json_text(out, "unit",
                  number ? quantity_unit(line->quantity, line->unit, UNITS_METRIC) : NULL);
        json_text(out, "mark", line->mark == MARK_PLAIN ? NULL : reckon_mark_name(line->mark));
        json_text(out, "text", line->words);
        str_addc(out, '}');
    }
    str_addc(out, ']');
    text_list(out, "sources", r->sources, r->source_count);
    text_list(out, "limits", r->limits, r->limit_count);
    const char *cautions[RECKON_NOTES_MAX + 1];
    memcpy(cautions, r->cautions, sizeof r->cautions);
    cautions[r->caution_count] = RECKON_ALWAYS;
    text_list(out, "cautions", cautions, r->caution_count + 1);
    str_adds(out, "}\n");
}

/* ---- running ---- */

static bool topics_list(const Session *session, Fault *fault)
{
    int count = 0;
    const Topic *const *all = topics_all(&count);
    Str out = {0};
    if (session->json) {
        json_open(&out, NULL, '[');
        for (int i = 0; i < count; i++) {
            json_open(&out, NULL, '{');
            json_text(&out, "topic", all[i]->name);
            json_text(&out, "gist", all[i]->gist);
            str_addc(&out, '}');
        }
        str_adds(&out, "]\n");
    } else {
        Table t = {0};
        for (int i = 0; i < count; i++) {
            table_cell(&t, all[i]->name);
            table_cell(&t, all[i]->gist);
            table_row(&t);
        }
        table_print(&t, "  ", &out);
        table_finish(&t);
        str_adds(&out, "'ullage reckon TOPIC --help' tells what each takes.\n");
    }
    const bool good = print_out(&out, false, fault);
    str_finish(&out);
    return good;
}

static bool refuse_topic(Text name, Fault *fault)
{
    const Topic *near = topic_nearest(name);
    fault_set(fault, FAULT_USAGE, "There is no reckoner %s.", text_quote(name).s);
    if (near != NULL)
        return fault_suffix(fault, " Did you mean '%s'?", near->name);
    return fault_suffix(fault, " 'ullage reckon' lists them.");
}

/* What a topic forbids besides: not where its figures end, but what must not be done. */
static void refused_lines(const Reckoning *result, Str *out)
{
    for (int i = 0; i < result->count; i++)
        if (result->lines[i].mark == MARK_REFUSED)
            str_addf(out, " %s: %s.", result->lines[i].label, result->lines[i].words);
}

static bool sums_run(Session *session, const Topic *topic, Sums *sums, Fault *fault)
{
    ReckonSite site = {.state = &sums->state, .board = &sums->board, .vessel = -1, .line = -1};
    if (!sums_open(session, sums, fault) || !site_given(session, &site, fault))
        return false;
    site_settle(topic, &site);
    reckon_propose(topic, &site, sums->inputs);
    if (!values_read(session, topic, sums, fault))
        return false;
    reckon_compute(topic, &site, sums->inputs, session->json ? UNITS_METRIC : session->units,
                   &sums->result);
    if (sums->result.refused) {
        Str why = {0};
        reckon_refusal(topic, &sums->result, session->units, NULL, &why);
        refused_lines(&sums->result, &why);
        fault_set(fault, FAULT_REFUSED, "%s", why.s);
        str_finish(&why);
        return false;
    }
    Str out = {0};
    if (session->json)
        result_json(&out, topic, sums, &site);
    else
        result_tell(&out, topic, sums, &site, session->units);
    const bool good = print_out(&out, false, fault);
    str_finish(&out);
    return good;
}

static bool run_reckon(Session *session, Fault *fault)
{
    const Arguments *a = &session->arguments;
    if (a->word_count == 0)
        return topics_list(session, fault);
    const Topic *topic = topic_named(text_of(a->words[0]));
    if (topic == NULL)
        return refuse_topic(text_of(a->words[0]), fault);
    Sums *sums = memory_get(sizeof *sums);
    const bool good = sums_run(session, topic, sums, fault);
    free(sums);
    return good;
}

const Command command_reckon = {
    .name = "reckon",
    .gist = "The reckoners: treatment, heat, air, flow, mass and need, each with its source",
    .words = "[TOPIC]",
    .more = "Without a topic it lists them. 'ullage reckon TOPIC --help' tells what a topic takes; "
            "what is not given is proposed from the log.\n\n"
            "  ullage reckon chlorine --volume 10 --strength 5 --cloudy no --temp 12\n"
            "  ullage reckon flow --pressure 40psi",
    .words_max = 1,
    .run = run_reckon,
    .made = reckon_options,
    .help = reckon_help,
};
