/* What the topics share: the site, proposals, the lines of a result. */
#include "topics/reckoner_private.h"

#include "model/line.h"
#include "reckon/air.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* ---- the site ---- */

const Vessel *site_vessel(const ReckonSite *site)
{
    return site->vessel >= 0 ? &site->state->vessels[site->vessel] : NULL;
}

const Line *site_line(const ReckonSite *site)
{
    return site->line >= 0 ? &site->state->lines[site->line] : NULL;
}

const Stage *site_stage(const ReckonSite *site, StageType from, StageType to)
{
    for (int i = 0; i < site->state->stage_count; i++) {
        const Stage *stage = &site->state->stages[i];
        if (!label_empty(&stage->label) && stage->type >= from && stage->type <= to &&
            (site->line < 0 || stage->line == site->line))
            return stage;
    }
    return NULL;
}

/* ---- proposals ---- */

void propose_value(ReckonInput *input, double value, const char *format, ...)
{
    va_list args;
    input->value = value;
    input->known = true;
    va_start(args, format);
    (void)vsnprintf(input->why, sizeof input->why, format, args);
    va_end(args);
}

void propose_contents(ReckonInput *input, const ReckonSite *site)
{
    const Vessel *v = site_vessel(site);
    if (v != NULL && v->volume > 0)
        propose_value(input, (double)v->volume / 1000.0, "%s holds it", v->label.s);
}

/* Of the vessel or the line, the vessel with the lowest known rating; NULL: none is known. */
static const Vessel *site_weakest(const ReckonSite *site)
{
    const Vessel *only = site_vessel(site);
    const Line *line = site_line(site);
    if (only != NULL)
        return only->rated_pa >= 0 ? only : NULL;
    return line != NULL ? line_weakest(site->state, line) : NULL;
}

void propose_pressure(ReckonInput *input, const ReckonSite *site)
{
    const Line *line = site_line(site);
    if (line != NULL && line->working_pa > 0)
        propose_value(input, (double)line->working_pa / 1000.0, "%s was pressurised to it",
                      line->label.s);
    const Vessel *v = site_weakest(site);
    if (v != NULL && v->rated_pa > 0 && (double)v->rated_pa / 1000.0 < input->value)
        propose_value(input, (double)v->rated_pa / 1000.0, "%s is rated for no more", v->label.s);
}

void site_unrated_tell(const ReckonSite *site, Str *out)
{
    const Vessel *only = site_vessel(site);
    const Line *line = site_line(site);
    if (only != NULL)
        str_adds(out, only->rated_pa < 0 ? only->label.s : "");
    else if (line != NULL)
        line_unrated_tell(site->state, line, out);
}

void propose_rating(ReckonInput *input, const ReckonSite *site)
{
    const Vessel *v = site_weakest(site);
    Str unrated = {0};
    site_unrated_tell(site, &unrated);
    if (v != NULL)
        propose_value(input, (double)v->rated_pa / 1000.0, "rating of %s%s", v->label.s,
                      unrated.n > 0 ? "; others not known" : "");
    else
        (void)snprintf(input->why, sizeof input->why, "not known: look at the plate");
    input->known = v != NULL && unrated.n == 0;
    str_finish(&unrated);
}

/* ---- results ---- */

double percent_up(double share)
{
    return fmax(0.0, ceil(share * 100.0 - 1e-9)) + 0.0; /* of either zero the one without a sign */
}

static void note_add(const char *notes[], int *count, const char *note)
{
    if (note == NULL || *note == '\0')
        return;
    for (int i = 0; i < *count; i++)
        if (strcmp(notes[i], note) == 0)
            return;
    if (*count < RECKON_NOTES_MAX)
        notes[(*count)++] = note;
}

void add_source(Reckoning *out, const char *source)
{
    note_add(out->sources, &out->source_count, source);
}

void add_limit(Reckoning *out, const char *limit)
{
    note_add(out->limits, &out->limit_count, limit);
}

void add_caution(Reckoning *out, const char *caution)
{
    note_add(out->cautions, &out->caution_count, caution);
}

void take_notes(Reckoning *out, const Basis *basis)
{
    add_source(out, basis->source);
    add_limit(out, basis->limits);
    add_caution(out, basis->caution);
}

bool take(Reckoning *out, const Basis *basis)
{
    take_notes(out, basis);
    if (!basis->ok && !out->refused) {
        out->refused = true;
        out->refusal = *basis;
    }
    return basis->ok;
}

/* A place to write to where no line is to be had. */
static ReckonLine *line_add(Reckoning *out, ReckonMark mark, const char *label, Quantity quantity,
                            const char *unit)
{
    ReckonLine *line =
        &out->lines[out->count < RECKON_LINES_MAX ? out->count++ : RECKON_LINES_MAX - 1];
    *line = (ReckonLine){.label = label,
                         .mark = mark,
                         .quantity = quantity,
                         .unit = unit,
                         .value = 0.0,
                         .high = NAN};
    return line;
}

ReckonLine *line_number(Reckoning *out, ReckonMark mark, const char *label, Quantity quantity,
                        const char *unit, double value)
{
    ReckonLine *line = line_add(out, mark, label, quantity, unit);
    if (isfinite(value))
        line->value = value;
    else
        line->quantity = QUANTITY_WORDS;
    return line;
}

ReckonLine *line_to(ReckonLine *line, double high)
{
    line->high = high;
    return line;
}

void line_note(ReckonLine *line, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    (void)vsnprintf(line->words, sizeof line->words, format, args);
    va_end(args);
}

void line_words(Reckoning *out, ReckonMark mark, const char *label, const char *format, ...)
{
    va_list args;
    ReckonLine *line = line_add(out, mark, label, QUANTITY_WORDS, NULL);
    va_start(args, format);
    (void)vsnprintf(line->words, sizeof line->words, format, args);
    va_end(args);
}

void line_list(Reckoning *out, ReckonMark mark, const char *label, const char *const *list,
               size_t count)
{
    for (size_t i = 0; i < count; i++)
        line_words(out, mark, i == 0 ? label : "", "%s", list[i]);
}

ReckonMark judged(Reckoning *out, unsigned decides, bool good, ReckonMark bad)
{
    const unsigned wanting = decides & ~out->known;
    if (!good)
        return bad;
    out->wanting |= wanting;
    return wanting != 0 ? MARK_PLAIN : MARK_FINE;
}

double value_known(const Reckoning *out, int field)
{
    return (out->known & FIELD(field)) != 0 ? out->values[field] : NAN;
}

const char *told(const Reckoning *out, Quantity quantity, double value, char *buf)
{
    return quantity_show(quantity, NULL, value, out->units, buf);
}

const char *told_up(const Reckoning *out, Quantity quantity, double value, char *buf)
{
    return quantity_show_up(quantity, NULL, value, out->units, buf);
}

int choice_of(double value, int count)
{
    return value >= 0.0 && value < (double)count ? (int)value : 0;
}

bool rating_holds(Reckoning *out, const char *param, double kpa, int rated)
{
    char pressure[QUANTITY_TEXT], rating[QUANTITY_TEXT];
    const double lowest = out->values[rated];
    const AirRating r = air_rating(param, kpa, lowest);
    if (!take(out, &r.basis))
        return false;
    (void)told(out, QUANTITY_PRESSURE, kpa, pressure);
    if (!isnan(value_known(out, rated))) {
        line_words(out, MARK_PLAIN, "rating", "%s is within the lowest, %s", pressure,
                   told(out, QUANTITY_PRESSURE, lowest, rating));
        return true;
    }
    Str names = {0};
    site_unrated_tell(out->site, &names);
    line_words(out, MARK_CAUTION, "rating", "%s is not compared with one: none is known%s%s",
               pressure, names.n > 0 ? " of " : "", names.n > 0 ? names.s : "");
    str_finish(&names);
    return true;
}
