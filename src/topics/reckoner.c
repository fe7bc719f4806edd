#include "topics/reckoner_private.h"

#include <stdio.h>
#include <string.h>

static const Topic *const topics[] = {
    &topic_chlorine, &topic_boil,  &topic_filter,   &topic_shock, &topic_uv,
    &topic_heat,     &topic_mix,   &topic_freeze,   &topic_air,   &topic_charge,
    &topic_flow,     &topic_clog,  &topic_mass,     &topic_need,  &topic_meter,
    &topic_residual, &topic_blend, &topic_membrane, &topic_purge, &topic_power,
};
enum { TOPIC_COUNT = sizeof topics / sizeof topics[0] };

const char RECKON_ALWAYS[] = "local rules, a laboratory test and licensed advice come first";

const Topic *const *topics_all(int *count)
{
    *count = TOPIC_COUNT;
    return topics;
}

const Topic *topic_named(Text name)
{
    for (int i = 0; i < TOPIC_COUNT; i++)
        if (text_is_nocase(name, topics[i]->name))
            return topics[i];
    return NULL;
}

const Topic *topic_nearest(Text name)
{
    Nearest near = {.asked = name};
    for (int i = 0; i < TOPIC_COUNT; i++)
        nearest_offer(&near, topics[i]->name);
    return near.name != NULL ? topic_named(text_of(near.name)) : NULL;
}

const char *reckon_mark_name(ReckonMark mark)
{
    static const char *const names[] = {"", "fine", "caution", "refused"};
    return names[mark];
}

/* ---- the site ---- */

static bool better(ReckonAbout about, const Vessel *a, const Vessel *than)
{
    if (than == NULL)
        return true;
    if (about == ABOUT_QUESTIONABLE) {
        const bool doubtful = a->quality == CLASS_QUESTIONABLE && a->volume > 0;
        const bool other = than->quality == CLASS_QUESTIONABLE && than->volume > 0;
        if (doubtful != other)
            return doubtful;
    }
    if (about == ABOUT_WASH && (a->duty == DUTY_WASH) != (than->duty == DUTY_WASH))
        return a->duty == DUTY_WASH;
    if (about == ABOUT_DUE) {
        if ((a->duty == DUTY_WASH) != (than->duty == DUTY_WASH))
            return than->duty == DUTY_WASH;
        if (a->sanitised_at != than->sanitised_at) /* never: MOMENT_NONE_MS, the smallest */
            return a->sanitised_at < than->sanitised_at;
        return label_compare(&a->label, &than->label) < 0;
    }
    if (a->volume != than->volume)
        return a->volume > than->volume;
    return label_compare(&a->label, &than->label) < 0;
}

static int pick_vessel(ReckonAbout about, const State *state)
{
    int best = -1;
    for (int i = 0; i < state->vessel_count; i++)
        if (vessel_aboard(&state->vessels[i]) &&
            better(about, &state->vessels[i], best < 0 ? NULL : &state->vessels[best]))
            best = i;
    return best;
}

static int pick_line(const State *state)
{
    for (int i = 0; i < state->line_count; i++)
        if (!label_empty(&state->lines[i].label) && state->lines[i].count > 0)
            return i;
    return -1;
}

void site_settle(const Topic *topic, ReckonSite *site)
{
    switch (topic->about) {
    case ABOUT_NOTHING:
    case ABOUT_ALL:
        return;
    case ABOUT_LINE:
        if (site->line < 0 && !site->vessel_said)
            site->line = pick_line(site->state);
        return;
    case ABOUT_QUESTIONABLE:
    case ABOUT_WASH:
    case ABOUT_FULLEST:
    case ABOUT_DUE:
        if (site->vessel < 0 && !site->line_said)
            site->vessel = pick_vessel(topic->about, site->state);
        return;
    }
}

void reckon_propose(const Topic *topic, const ReckonSite *site, ReckonInput inputs[])
{
    for (int i = 0; i < RECKON_FIELDS_MAX; i++) {
        const bool used = i < topic->field_count;
        inputs[i] = (ReckonInput){.value = used ? topic->fields[i].usual : NAN};
        if (used && isfinite(inputs[i].value))
            (void)snprintf(inputs[i].why, sizeof inputs[i].why, "usual");
    }
    if (topic->propose != NULL)
        topic->propose(site, inputs);
}

/* ---- reading and showing a value ---- */

static bool choice_read(const ReckonField *field, Text text, double *value, Fault *fault)
{
    int found = -1, fits = 0;
    for (int i = 0; field->choices[i] != NULL; i++) {
        const Text word = text_of(field->choices[i]);
        if (text_is_nocase(text, word.s)) {
            *value = i;
            return true;
        }
        char head[QUANTITY_TEXT];
        (void)snprintf(head, sizeof head, "%.*s", (int)text.n, word.s);
        if (text.n > 0 && text.n < word.n && text_is_nocase(text, head)) {
            found = i;
            fits++;
        }
    }
    if (fits == 1) {
        *value = found;
        return true;
    }
    fault_set(fault, FAULT_USAGE, "%s: give one of", text_quote(text).s);
    for (int i = 0; field->choices[i] != NULL; i++)
        fault_suffix(fault, "%s %s", i > 0 ? "," : "", field->choices[i]);
    return fault_suffix(fault, ".");
}

bool reckon_read(const ReckonField *field, Text text, Units units, ReckonInput *input, Fault *fault)
{
    double value = NAN;
    text = text_trim(text);
    if (!(isnan(field->usual) && text_is_nocase(text, "none"))) {
        Fault one = {0};
        const bool good =
            field->quantity == QUANTITY_CHOICE
                ? choice_read(field, text, &value, &one)
                : quantity_parse(field->quantity, field->unit, text, units, &value, &one);
        if (!good) {
            fault_prefix(&one, "%s: ", field->option);
            if (fault != NULL)
                *fault = one;
            return false;
        }
    }
    input->value = value;
    input->typed = true;
    input->known = isfinite(value);
    input->why[0] = '\0';
    return true;
}

char *reckon_text(const ReckonField *field, double value, Units units, double tolerance, char *out)
{
    if (!isfinite(value)) {
        (void)snprintf(out, QUANTITY_TEXT, "none");
        return out;
    }
    if (field->quantity == QUANTITY_CHOICE) {
        int i = 0;
        while (i < (int)value && field->choices[i + 1] != NULL)
            i++;
        (void)snprintf(out, QUANTITY_TEXT, "%s", field->choices[i]);
        return out;
    }
    return quantity_text(field->quantity, field->unit, value, units, tolerance, out);
}

static void wanting_tell(const Topic *topic, Reckoning *out)
{
    Str names = {0};
    for (int i = 0; i < topic->field_count; i++)
        if ((out->wanting & FIELD(i)) != 0)
            str_addf(&names, "%s --%s", names.n > 0 ? "," : "", topic->fields[i].option);
    if (names.n > 0)
        line_words(out, MARK_PLAIN, "not judged", "nobody gave%s: what is usual proves nothing",
                   names.s);
    str_finish(&names);
}

void reckon_compute(const Topic *topic, const ReckonSite *site, const ReckonInput inputs[],
                    Units units, Reckoning *out)
{
    memset(out, 0, sizeof *out);
    out->site = site;
    out->units = units;
    for (int i = 0; i < RECKON_FIELDS_MAX; i++) {
        out->values[i] = i < topic->field_count ? inputs[i].value + 0.0 : NAN; /* -0 is 0 */
        if (i < topic->field_count && inputs[i].known)
            out->known |= FIELD(i);
    }
    topic->compute(out->values, out);
    out->site = NULL;
    wanting_tell(topic, out);
}

/* Is `param` one of the words of `list`? */
static bool names_param(const char *list, const char *param)
{
    Text rest = text_of(list);
    while (rest.n > 0)
        if (text_is(text_cut(&rest, ' '), param))
            return true;
    return false;
}

/* The field that was refused: of those that go by that name the one with that value, else the
 * first; -1. */
static int field_refused(const Topic *topic, const Reckoning *reckoning)
{
    const Basis *b = &reckoning->refusal;
    int first = -1;
    for (int i = 0; b->field != NULL && i < topic->field_count; i++) {
        const ReckonField *f = &topic->fields[i];
        if (!names_param(f->param, b->field))
            continue;
        const double value = reckoning->values[i] * (f->scale > 0.0 ? f->scale : 1.0);
        if (isfinite(value) ? fabs(value - b->value) <= 1e-9 * fabs(value)
                            : b->reason == RECKON_NOT_A_NUMBER)
            return i;
        if (first < 0)
            first = i;
    }
    return first;
}

void reckon_refusal(const Topic *topic, const Reckoning *reckoning, Units units, int *field,
                    Str *out)
{
    const Basis *b = &reckoning->refusal;
    const int index = field_refused(topic, reckoning);
    const ReckonField *f = index >= 0 ? &topic->fields[index] : NULL;
    char value[QUANTITY_TEXT], low[QUANTITY_TEXT], high[QUANTITY_TEXT];
    if (field != NULL)
        *field = index;
    if (f == NULL || f->quantity == QUANTITY_CHOICE) {
        char words[240];
        str_addf(out, "%s.", basis_explain(b, words, sizeof words));
        return;
    }
    const double scale = f->scale > 0.0 ? f->scale : 1.0;
    reckon_text(f, b->value / scale, units, 1e-3, value);
    reckon_text(f, b->low / scale, units, 1e-4, low);
    reckon_text(f, b->high / scale, units, 1e-4, high);
    switch (b->reason) {
    case RECKON_OK:
        return;
    case RECKON_NOT_A_NUMBER:
        str_addf(out, "%s is not given: say how much, from %s to %s.", f->option, low, high);
        return;
    case RECKON_TOO_LOW:
        str_addf(out, "%s is %s, below %s, where the figures begin.", f->option, value, low);
        return;
    case RECKON_TOO_HIGH:
        str_addf(out, "%s is %s, above %s, where the figures end.", f->option, value, high);
        return;
    case RECKON_NO_ROW:
        str_addf(out, "No published figure covers %s %s.", f->option, value);
        return;
    case RECKON_UNREACHABLE:
        str_addf(out, "%s %s is never reached with the other values as they are.", f->option,
                 value);
        return;
    case RECKON_CONTRADICTION:
        str_addf(out, "%s %s does not go together with the other values.", f->option, value);
        return;
    case RECKON_ABOVE_RATING:
        str_addf(out, "%s is %s, above the lowest rating, %s: never above it.", f->option,
                 reckon_text(f, b->value / scale, units, 1e-6, value),
                 reckon_text(f, b->high / scale, units, 1e-6, high));
        return;
    }
}

void reckon_line_tell(const ReckonLine *line, Units units, Str *out)
{
    static const char *const marks[] = {"", "fine: ", "caution: ", "REFUSED: "};
    char text[QUANTITY_RANGE];
    if (line->label[0] != '\0')
        str_adds(out, marks[line->mark]);
    if (line->quantity == QUANTITY_WORDS) {
        str_adds(out, line->words);
        return;
    }
    if (line->up)
        quantity_show_up(line->quantity, line->unit, line->value, units, text);
    else
        quantity_show_range(line->quantity, line->unit, line->value,
                            isfinite(line->high) ? line->high : line->value, units, text);
    str_adds(out, text);
    if (line->words[0] != '\0')
        str_addf(out, "%s%s", line->words[0] == ',' || line->words[0] == ';' ? "" : ", ",
                 line->words);
}
