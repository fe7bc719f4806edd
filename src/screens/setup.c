#include "screens/setup.h"

#include "model/kinds.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- the questions ---- */

static const char *const UNITS_WORDS[] = {"metric", "us", "imperial", NULL};
static const char *const CLEAN_WORDS[] = {"not known", "potable", "sanitised", NULL};
static const char *const TYPE_WORDS[] = {"mains", "vendor", "well", "spring", "stream",
                                         "lake",  "rain",   "hose", "other",  NULL};
static const char *const CLASS_WORDS[] = {"not known", "potable", "questionable", "non-potable",
                                          NULL};

typedef struct {
    SetupStep step;
    const char *caption, *help;
    const char *const *choices;
} Question;

static const Question QUESTIONS[] = {
    [ASK_UNITS] = {SETUP_VESSELS, "Units",
                   "metric, us or imperial. Amounts without a unit are read so.", UNITS_WORDS},
    [ASK_LINE] = {SETUP_VESSELS, "Name of the line to the tap",
                  "The vessels that are coupled in a row, and their tap, have one name.", NULL},
    [ASK_COUNT] = {SETUP_VESSELS, "Vessels on the line",
                   "How many are coupled one behind the other; 0 for none.", NULL},
    [ASK_RESERVE] = {SETUP_VESSELS, "Held back as reserve",
                     "How many full ones stand apart, to be broached last.", NULL},
    [ASK_WASH] = {SETUP_VESSELS, "Kept apart for washing",
                  "How many take whatever water is found. They are logged as non-potable.", NULL},
    [ASK_ORDER] =
        {SETUP_VESSELS, "Their order, air side first",
         "Their labels from where the air enters to the tap. Type others as you call them.", NULL},
    [ASK_APART] = {SETUP_VESSELS, "Labels of those apart", "The reserve first, then for washing.",
                   NULL},
    [ASK_SIZE] = {SETUP_VESSELS, "What a vessel holds",
                  "Full to the brim. One amount for all, or one for each: line, reserve, washing.",
                  NULL},
    [ASK_HEEL] = {SETUP_VESSELS, "Heel",
                  "What the dip tube cannot reach in each. It is not counted as water left.", NULL},
    [ASK_LEVEL] = {SETUP_VESSELS, "In them now",
                   "empty, full, an amount or 40%: one for all, or one for each with commas.",
                   NULL},
    [ASK_CLEAN] =
        {SETUP_VESSELS, "Fit to drink from",
         "potable only where you know that nothing but drinking water was in them since they "
         "were sanitised; sanitised: today, and they are empty. Not for those for washing.",
         CLEAN_WORDS},
    [ASK_STAGES] = {SETUP_STAGES, "Stages, as the water passes",
                    "sediment, carbon, lamp, membrane or your own words in their order; none.",
                    NULL},
    [ASK_LIFE] =
        {SETUP_STAGES, "lasts",
         "As its label says: 4000 L, 180 days, 9000 h, each or none. Add 2 spares if aboard.",
         NULL},
    [ASK_CREW] = {SETUP_CREW, "Persons aboard", "How many drink and wash from now on.", NULL},
    [ASK_SOURCE] = {SETUP_SOURCE, "First source of water",
                    "A name for where you fill up. Leave it empty to name it with the first fill.",
                    NULL},
    [ASK_SOURCE_TYPE] = {SETUP_SOURCE, "What it is",
                         "mains, vendor, well, spring, stream, lake, rain, hose or other.",
                         TYPE_WORDS},
    [ASK_SOURCE_CLASS] = {SETUP_SOURCE, "Its water",
                          "potable only where it is declared fit to drink. not known counts as "
                          "questionable.",
                          CLASS_WORDS},
};

static const Question *question(Ask ask)
{
    return &QUESTIONS[ask > ASK_LIFE && ask < ASK_CREW ? ASK_LIFE : ask];
}

SetupStep setup_step_of(Ask ask)
{
    return question(ask)->step;
}

const char *setup_step_name(SetupStep step)
{
    static const char *const NAMES[] = {"vessels", "treatment", "crew", "source"};
    return NAMES[step];
}

const char *setup_caption(const Setup *setup, Ask ask, char *out)
{
    if (ask >= ASK_LIFE && ask < ASK_CREW)
        snprintf(out, SETUP_TEXT, "%s %s", setup->stage[ask - ASK_LIFE].label.s,
                 QUESTIONS[ASK_LIFE].caption);
    else
        snprintf(out, SETUP_TEXT, "%s", QUESTIONS[ask].caption);
    return out;
}

const char *setup_help(Ask ask)
{
    return question(ask)->help;
}

const char *const *setup_choices(Ask ask)
{
    return question(ask)->choices;
}

const char *setup_value(const Setup *setup, Ask ask)
{
    const Answer *a = &setup->answer[ask];
    return a->text[0] ? a->text : a->proposal;
}

Ask setup_next(const Setup *setup, Ask ask, int step)
{
    for (int i = (int)ask + step; i >= 0 && i < ASK_END; i += step) {
        if (setup->answer[i].applies)
            return (Ask)i;
    }
    return ASK_END;
}

Ask setup_wrong(const Setup *setup, SetupStep step)
{
    for (int i = 0; i < ASK_END; i++) {
        const Answer *a = &setup->answer[i];
        if (setup_step_of((Ask)i) == step && a->applies && a->error[0])
            return (Ask)i;
    }
    return ASK_END;
}

bool setup_done(const State *state, SetupStep step)
{
    switch (step) {
    case SETUP_VESSELS:
        for (int i = 0; i < state->vessel_count; i++) {
            if (vessel_aboard(&state->vessels[i]))
                return true;
        }
        return false;
    case SETUP_STAGES:
        return state->stage_count > 0;
    case SETUP_CREW:
        return state->crew >= 0;
    case SETUP_SOURCE:
        return state->source_count > 0;
    case SETUP_STEPS:
        break;
    }
    return true;
}

/* ---- reading answers ---- */

static void wrong(Setup *setup, Ask ask, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
static void wrong(Setup *setup, Ask ask, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    char *error = setup->answer[ask].error;
    if (!error[0]) /* the first one counts */
        vsnprintf(error, sizeof setup->answer[ask].error, format, arguments);
    va_end(arguments);
}

static void propose_text(Setup *setup, Ask ask, const char *text)
{
    snprintf(setup->answer[ask].proposal, SETUP_TEXT, "%s", text);
}

static int read_count(Setup *setup, Ask ask, int most)
{
    const char *text = setup_value(setup, ask);
    char *end;
    long n = strtol(text, &end, 10);
    if (text[0] < '0' || text[0] > '9' || *text_trim(text_of(end)).s != '\0' || n > most) {
        wrong(setup, ask, "A whole number, 0 to %d.", most);
        return 0;
    }
    return (int)n;
}

/* The word, or a unique beginning of it. */
static int read_choice(Setup *setup, Ask ask)
{
    const char *const *words = setup_choices(ask);
    Text text = text_trim(text_of(setup_value(setup, ask)));
    int found = -1, n = 0;
    for (int i = 0; words[i]; i++) {
        Text start = {words[i], text.n <= strlen(words[i]) ? text.n : 0};
        char typed[SETUP_TEXT];
        snprintf(typed, sizeof typed, "%.*s", (int)text.n, text.s);
        if (text_is_nocase(text_of(words[i]), typed))
            return i;
        if (text.n > 0 && start.n > 0 && text_is_nocase(start, typed)) {
            found = i;
            n++;
        }
    }
    if (n != 1) {
        Str all = {0};
        for (int i = 0; words[i]; i++)
            str_addf(&all, "%s%s", i ? ", " : "", words[i]);
        wrong(setup, ask, "One of: %s.", all.s);
        str_finish(&all);
        return 0;
    }
    return found;
}

/* Names, parted by commas where there are any, else by spaces. Returns how many; stops at `size`.
 */
static int read_words(const char *text, Text out[], int size)
{
    char by = strchr(text, ',') ? ',' : ' ';
    Text rest = text_trim(text_of(text));
    int n = 0;
    while (rest.n > 0 && n < size) {
        Text word = text_trim(text_cut(&rest, by));
        if (word.n > 0)
            out[n++] = word;
    }
    return n;
}

static void read_labels(Setup *setup, Ask ask, int first, int count, const State *state)
{
    Text words[VESSELS_ABOARD_MAX + 1];
    Fault fault = {0};
    int n = read_words(setup_value(setup, ask), words, VESSELS_ABOARD_MAX + 1);
    if (n != count) {
        wrong(setup, ask, "%d name%s wanted, %d given. Part them by spaces.", count,
              count == 1 ? " is" : "s are", n);
        n = n < count ? n : count;
    }
    for (int i = 0; i < n; i++) {
        Label *label = &setup->vessel[first + i].label;
        if (!label_set(label, words[i], &fault)) {
            wrong(setup, ask, "%s", fault.text);
            continue;
        }
        if (strpbrk(label->s, ";,"))
            wrong(setup, ask, "A label can't hold a semicolon: %s.", label->s);
        if (label_equal(label, &setup->line) || state_line(state, label) >= 0)
            wrong(setup, ask, "%s is the name of a line. Call the vessel otherwise.", label->s);
        if (state_vessel_ever(state, label) >= 0)
            wrong(setup, ask, "%s is named already. Call this one otherwise.", label->s);
        for (int k = 0; k < first + i; k++) {
            if (label_equal(label, &setup->vessel[k].label))
                wrong(setup, ask, "%s stands there twice.", label->s);
        }
    }
}

/* One amount for all vessels, or one for each. Amounts with spaces inside ("12 L") are parted by
 * commas. */
static bool read_amounts(Setup *setup, Ask ask, Amount out[VESSELS_ABOARD_MAX])
{
    const char *text = setup_value(setup, ask);
    Text words[VESSELS_ABOARD_MAX + 1];
    Fault fault = {0};
    int n = setup->vessel_count;
    Amount all;
    if (!strchr(text, ',') && amount_parse(text_of(text), setup->units, &all, &fault)) {
        for (int i = 0; i < n; i++)
            out[i] = all;
        return true;
    }
    int given = read_words(text, words, VESSELS_ABOARD_MAX + 1);
    for (int i = 0; i < given && i < n; i++) {
        if (!amount_parse(words[i], setup->units, &out[i], &fault)) {
            wrong(setup, ask, "%s", fault.text);
            return false;
        }
    }
    if (given != n) {
        if (given == 1)
            wrong(setup, ask, "%s", fault.text);
        else
            wrong(setup, ask, "One amount for all, or %d parted by commas; %d given.", n, given);
        return false;
    }
    return true;
}

static int64_t level_of(const Amount *amount, int64_t capacity)
{
    switch (amount->kind) {
    case AMOUNT_VOLUME:
        return amount->value;
    case AMOUNT_PERCENT:
        return capacity * amount->value / 100000;
    case AMOUNT_FULL:
        return capacity;
    case AMOUNT_EMPTY:
        return 0;
    case AMOUNT_MASS:
        break;
    }
    return -1;
}

static void read_sizes(Setup *setup)
{
    enum { CAPACITY_MOST = 1000000 }; /* mL; as the kind `vessel` takes */
    Amount amounts[VESSELS_ABOARD_MAX];
    Fault fault = {0};
    if (read_amounts(setup, ASK_SIZE, amounts)) {
        for (int i = 0; i < setup->vessel_count; i++) {
            setup->vessel[i].capacity = amounts[i].value;
            if (amounts[i].kind != AMOUNT_VOLUME || amounts[i].level || amounts[i].value < 1 ||
                amounts[i].value > CAPACITY_MOST)
                wrong(setup, ASK_SIZE, "An amount of water up to 1000 L, as 12 L.");
        }
    }
    Amount heel;
    setup->heel = 0;
    if (!amount_parse(text_of(setup_value(setup, ASK_HEEL)), setup->units, &heel, &fault))
        wrong(setup, ASK_HEEL, "%s", fault.text);
    else if (heel.kind != AMOUNT_VOLUME && heel.kind != AMOUNT_EMPTY)
        wrong(setup, ASK_HEEL, "An amount of water, as 0.2 L.");
    else
        setup->heel = heel.kind == AMOUNT_EMPTY ? 0 : heel.value;
    for (int i = 0; i < setup->vessel_count && !setup->answer[ASK_SIZE].error[0]; i++) {
        if (setup->heel >= setup->vessel[i].capacity)
            wrong(setup, ASK_HEEL, "That leaves nothing of what %s holds.",
                  setup->vessel[i].label.s);
    }
}

static void read_levels(Setup *setup)
{
    Amount amounts[VESSELS_ABOARD_MAX];
    bool empty = true;
    if (read_amounts(setup, ASK_LEVEL, amounts)) {
        for (int i = 0; i < setup->vessel_count; i++) {
            SetupVessel *v = &setup->vessel[i];
            v->level = level_of(&amounts[i], v->capacity);
            if (v->level < 0)
                wrong(setup, ASK_LEVEL, "empty, full, an amount as 8 L, or 40%%.");
            else if (v->level > v->capacity && !setup->answer[ASK_SIZE].error[0])
                wrong(setup, ASK_LEVEL, "That is more than %s holds.", v->label.s);
            empty = empty && (v->duty == DUTY_WASH || v->level <= setup->heel);
        }
    }
    setup->clean = read_choice(setup, ASK_CLEAN);
    if (setup->clean == 2 && !empty)
        wrong(setup, ASK_CLEAN,
              "Vessels are sanitised empty. With drinking water in them since, say potable.");
}

static void read_vessels(Setup *setup, const State *state)
{
    Fault fault = {0};
    setup->units = (Units)read_choice(setup, ASK_UNITS);
    propose_text(setup, ASK_SIZE, setup->units == UNITS_METRIC ? "12 L" : "3 gal");
    propose_text(setup, ASK_HEEL, setup->units == UNITS_METRIC ? "0.2 L" : "0.05 gal");
    if (!label_set(&setup->line, text_trim(text_of(setup_value(setup, ASK_LINE))), &fault))
        wrong(setup, ASK_LINE, "%s", fault.text);
    setup->on_line = read_count(setup, ASK_COUNT, VESSELS_ABOARD_MAX);
    setup->reserve = read_count(setup, ASK_RESERVE, VESSELS_ABOARD_MAX - setup->on_line);
    setup->wash = read_count(setup, ASK_WASH, VESSELS_ABOARD_MAX - setup->on_line - setup->reserve);
    int apart = setup->reserve + setup->wash;
    setup->vessel_count = setup->on_line + apart;
    Str line = {0}, others = {0};
    for (int i = 0; i < setup->vessel_count; i++) {
        SetupVessel *v = &setup->vessel[i];
        *v = (SetupVessel){0};
        v->duty = i < setup->on_line                    ? DUTY_LINE
                  : i < setup->on_line + setup->reserve ? DUTY_RESERVE
                                                        : DUTY_WASH;
        if (v->duty == DUTY_LINE)
            str_addf(&line, "%sA%d", line.n ? " " : "", i + 1);
        else if (v->duty == DUTY_RESERVE)
            str_addf(&others, "%sR%d", others.n ? " " : "", i - setup->on_line + 1);
        else
            str_addf(&others, "%sW%d", others.n ? " " : "",
                     i - setup->on_line - setup->reserve + 1);
    }
    propose_text(setup, ASK_ORDER, line.n ? line.s : "");
    propose_text(setup, ASK_APART, others.n ? others.s : "");
    str_finish(&line);
    str_finish(&others);
    bool any = setup->vessel_count > 0;
    setup->answer[ASK_ORDER].applies = setup->on_line > 0;
    setup->answer[ASK_APART].applies = apart > 0;
    setup->answer[ASK_SIZE].applies = setup->answer[ASK_HEEL].applies =
        setup->answer[ASK_LEVEL].applies = setup->answer[ASK_CLEAN].applies = any;
    if (!any) {
        wrong(setup, ASK_COUNT, "Name one vessel at least, here or among those apart.");
        return;
    }
    if (setup->on_line > 0)
        read_labels(setup, ASK_ORDER, 0, setup->on_line, state);
    if (apart > 0)
        read_labels(setup, ASK_APART, setup->on_line, apart, state);
    read_sizes(setup);
    read_levels(setup);
}

/* Lives that makers print on the usual small cartridges and lamps, shorter ones of them (common
 * practice, no source); the help says to look at the label. */
static StageType stage_type(const char *word, const char **life)
{
    static const struct {
        const char *word;
        StageType type;
        const char *life;
    } KNOWN[] = {{"sediment", STAGE_SEDIMENT, "4000 L, 180 days"},
                 {"carbon", STAGE_CARBON_BLOCK, "1500 L, 180 days"},
                 {"carbon-block", STAGE_CARBON_BLOCK, "1500 L, 180 days"},
                 {"carbon-granular", STAGE_CARBON_GRANULAR, "1500 L, 180 days"},
                 {"lamp", STAGE_UV, "9000 h, 365 days"},
                 {"uv", STAGE_UV, "9000 h, 365 days"},
                 {"membrane", STAGE_MEMBRANE, "730 days"}};
    for (size_t i = 0; i < sizeof KNOWN / sizeof *KNOWN; i++) {
        if (text_is_nocase(text_of(word), KNOWN[i].word)) {
            *life = KNOWN[i].life;
            return KNOWN[i].type;
        }
    }
    *life = "180 days";
    return STAGE_OTHER;
}

static bool unit_is(Text unit, const char *word)
{
    char plural[32];
    snprintf(plural, sizeof plural, "%ss", word);
    return text_is_nocase(unit, word) || text_is_nocase(unit, plural);
}

/* "4000 L, 180 days, 9000 h, 2 spares", in any order; "none". */
static void read_life(Setup *setup, int which)
{
    Ask ask = (Ask)(ASK_LIFE + which);
    SetupStage *stage = &setup->stage[which];
    const char *at = setup_value(setup, ask);
    stage->life_ml = stage->life_days = stage->life_hours = 0;
    stage->spares = -1;
    if (text_is_nocase(text_trim(text_of(at)), "none"))
        return;
    for (;;) {
        at += strspn(at, " ,");
        if (!*at)
            return;
        size_t digits = strspn(at, "0123456789.");
        const char *unit_at = at + digits + strspn(at + digits, " ");
        Text unit = {unit_at, strcspn(unit_at, " ,0123456789")};
        Text number = {at, digits};
        int64_t thousandths;
        Fault fault = {0};
        if (digits == 0 || !thousandths_parse(number, false, &thousandths, &fault)) {
            wrong(setup, ask, "Amounts with their units, as 4000 L, 180 days, 9000 h, 2 spares.");
            return;
        }
        bool whole = thousandths % 1000 == 0;
        if (unit_is(unit, "day") || unit_is(unit, "d")) {
            stage->life_days = thousandths / 1000;
            if (!whole || stage->life_days > 36500)
                wrong(setup, ask, "Whole days, up to 36500.");
        } else if (unit_is(unit, "h") || unit_is(unit, "hour")) {
            stage->life_hours = thousandths;
            if (thousandths > 1000000000)
                wrong(setup, ask, "Lamp hours up to 1000000.");
        } else if (unit_is(unit, "spare")) {
            stage->spares = thousandths / 1000;
            if (!whole || stage->spares > 99)
                wrong(setup, ask, "Whole spares, up to 99.");
        } else {
            Str amount = {0};
            Amount volume;
            str_add(&amount, number);
            str_add(&amount, unit);
            if (unit.n == 0 || !amount_parse(text_of(amount.s), setup->units, &volume, &fault) ||
                volume.kind != AMOUNT_VOLUME)
                wrong(setup, ask, "%s is neither litres, days, hours (h) nor spares.",
                      text_quote(text_of(amount.s)).s);
            else
                stage->life_ml = volume.value;
            str_finish(&amount);
        }
        at = unit.s + unit.n;
    }
}

static void read_stages(Setup *setup, const State *state)
{
    Text words[SETUP_LIVES + 1];
    Fault fault = {0};
    const char *text = setup_value(setup, ASK_STAGES);
    int n = text_is_nocase(text_trim(text_of(text)), "none")
                ? 0
                : read_words(text, words, SETUP_LIVES + 1);
    if (n > SETUP_LIVES) {
        wrong(setup, ASK_STAGES, "Up to %d here; more can be added later.", SETUP_LIVES);
        n = SETUP_LIVES;
    }
    setup->stage_count = 0;
    for (int i = 0; i < n; i++) {
        SetupStage *stage = &setup->stage[setup->stage_count];
        const char *life;
        if (!label_set(&stage->label, words[i], &fault)) {
            wrong(setup, ASK_STAGES, "%s", fault.text);
            continue;
        }
        stage->type = stage_type(stage->label.s, &life);
        for (int k = 0; k < setup->stage_count; k++) {
            if (label_equal(&stage->label, &setup->stage[k].label))
                wrong(setup, ASK_STAGES, "%s stands there twice. Give each a name of its own.",
                      stage->label.s);
        }
        if (state_stage(state, &stage->label) >= 0)
            wrong(setup, ASK_STAGES, "%s is named already.", stage->label.s);
        propose_text(setup, (Ask)(ASK_LIFE + setup->stage_count), life);
        setup->stage_count++;
    }
    for (int i = 0; i < SETUP_LIVES; i++) {
        setup->answer[ASK_LIFE + i].applies = i < setup->stage_count;
        if (i < setup->stage_count)
            read_life(setup, i);
    }
}

static void read_source(Setup *setup)
{
    Fault fault = {0};
    Text name = text_trim(text_of(setup_value(setup, ASK_SOURCE)));
    setup->source = (Label){0};
    if (name.n > 0 && !label_set(&setup->source, name, &fault))
        wrong(setup, ASK_SOURCE, "%s", fault.text);
    bool named = name.n > 0;
    setup->answer[ASK_SOURCE_TYPE].applies = setup->answer[ASK_SOURCE_CLASS].applies = named;
    setup->source_type = read_choice(setup, ASK_SOURCE_TYPE);
    setup->source_class = read_choice(setup, ASK_SOURCE_CLASS) - 1;
}

/* The line that stages go on: the one asked for, or the first that is there. */
static void propose_line(Setup *setup, const State *state)
{
    const char *name = "galley";
    for (int i = state->line_count - 1; i >= 0; i--) {
        if (!label_empty(&state->lines[i].label))
            name = state->lines[i].label.s;
    }
    propose_text(setup, ASK_LINE, name);
}

void setup_read(Setup *setup, const State *state)
{
    for (int i = 0; i < ASK_END; i++) {
        setup->answer[i].error[0] = '\0';
        setup->answer[i].applies = true;
    }
    propose_line(setup, state);
    read_vessels(setup, state);
    read_stages(setup, state);
    setup->crew = read_count(setup, ASK_CREW, 99);
    read_source(setup);
    for (int i = 0; i < ASK_END; i++) {
        Answer *a = &setup->answer[i];
        a->applies = a->applies && !setup_done(state, setup_step_of((Ask)i));
    }
}

void setup_begin(Setup *setup, const State *state, Units units)
{
    memset(setup, 0, sizeof *setup);
    propose_text(setup, ASK_UNITS, units_name(units));
    propose_text(setup, ASK_COUNT, "4");
    propose_text(setup, ASK_RESERVE, "1");
    propose_text(setup, ASK_WASH, "1");
    propose_text(setup, ASK_LEVEL, "empty");
    propose_text(setup, ASK_CLEAN, CLEAN_WORDS[0]);
    propose_text(setup, ASK_STAGES, "sediment carbon lamp");
    propose_text(setup, ASK_CREW, "2");
    propose_text(setup, ASK_SOURCE_TYPE, TYPE_WORDS[0]);
    propose_text(setup, ASK_SOURCE_CLASS, CLASS_WORDS[0]);
    setup_read(setup, state);
}
