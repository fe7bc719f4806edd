/* Kinds that move water or find out how much is there: fill, draw, sound, decant, dump. */
#include "base/whole.h"
#include "model/kinds_private.h"
#include "model/line.h"

/* ---- fill ---- */

enum { FILL_VESSEL, FILL_LITRES, FILL_LEVEL, FILL_SOURCE, FILL_CLASS, FILL_COST };
static const Field fill_fields[] = {
    [FILL_VESSEL] = VESSEL_FIELD(fill.vessel),
    [FILL_LITRES] = {.name = "litres",
                     .option = "litres",
                     .unit = "L",
                     .help = "how much went in; 'full', '80%' or '=11.5' for the level after",
                     .type = FIELD_VOLUME,
                     .level_field = FILL_LEVEL,
                     .position = 2,
                     .min = 1,
                     .max = LITRES_MAX,
                     .column = COLUMN_N1,
                     .offset = offsetof(Event, u.fill.litres)},
    [FILL_LEVEL] = {.name = "level",
                    .option = "level",
                    .unit = "L",
                    .help = "what the vessel holds after",
                    .type = FIELD_VOLUME,
                    .level = true,
                    .max = LITRES_MAX,
                    .column = COLUMN_N2,
                    .offset = offsetof(Event, u.fill.level)},
    [FILL_SOURCE] = {.name = "source",
                     .option = "from",
                     .help = "where the water comes from",
                     .type = FIELD_LABEL,
                     .names = NAMES_SOURCE,
                     .may_be_new = true,
                     .column = COLUMN_OTHER,
                     .offset = offsetof(Event, u.fill.source)},
    [FILL_CLASS] = {.name = "class",
                    .option = "class",
                    .help =
                        "class of the water; left out: the source's usual one, else questionable",
                    .type = FIELD_CHOICE,
                    .choices = class_words,
                    .max = CLASS_COUNT - 1,
                    .column = COLUMN_CODE,
                    .offset = offsetof(Event, u.fill.quality)},
    [FILL_COST] = {.name = "cost",
                   .option = "cost",
                   .help = "what it cost, in your own currency",
                   .type = FIELD_DECIMAL,
                   .max = LITRES_MAX,
                   .column = COLUMN_MORE,
                   .offset = offsetof(Event, u.fill.cost)},
};

static bool fill_complete(const Event *e, Fault *fault)
{
    char level[40], in[40];
    const bool has_litres = event_has(e, FILL_LITRES), has_level = event_has(e, FILL_LEVEL);
    if (!has_litres && !has_level)
        return fault_set(fault, FAULT_USAGE,
                         "fill: litres or level is missing: how much went in? For example: ullage "
                         "fill %s",
                         kind_fill.example);
    if (has_litres && has_level && e->u.fill.level < e->u.fill.litres)
        return fault_set(
            fault, FAULT_REFUSED, "%s can't hold %s after %s went in. Check the two amounts.",
            e->u.fill.vessel.s, litres(e->u.fill.level, level), litres(e->u.fill.litres, in));
    return true;
}

static bool fill_check(const State *state, const Event *e, Fault *fault)
{
    char a[40], b[40];
    if (!must_exist(state, NAMES_VESSEL, &e->u.fill.vessel, fault))
        return false;
    const Vessel *v = &state->vessels[state_vessel(state, &e->u.fill.vessel)];
    const bool has_litres = event_has(e, FILL_LITRES), has_level = event_has(e, FILL_LEVEL);
    if (has_litres && e->u.fill.litres > v->capacity)
        return fault_set(fault, FAULT_REFUSED,
                         "%s holds %s at most: %s can't have gone in. Log what fits, or amend its "
                         "capacity.",
                         v->label.s, litres(v->capacity, a), litres(e->u.fill.litres, b));
    if (has_level && e->u.fill.level > v->capacity)
        return fault_set(fault, FAULT_REFUSED,
                         "%s holds %s at most: a level of %s is past the brim. Log what fits, or "
                         "amend its capacity.",
                         v->label.s, litres(v->capacity, a), litres(e->u.fill.level, b));
    if (!has_litres && has_level && e->u.fill.level < v->volume)
        return fault_set(fault, FAULT_REFUSED,
                         "%s is reckoned to hold %s already, more than %s after the fill. Give the "
                         "litres that went in as well, or sound it first.",
                         v->label.s, litres(v->volume, a), litres(e->u.fill.level, b));
    return true;
}

/* Water that is treated and watched by somebody whose trade it is. A hose is neither that nor open
 * water. */
static bool is_supplied(const Source *source)
{
    return source->type == SOURCE_MAINS || source->type == SOURCE_VENDOR;
}

/* Potable as measured only where a supplied source is of that class; open or unknown water is raw,
 * whatever it is called. */
static Water incoming_water(State *state, const Event *e)
{
    Water water = WATER_UNKNOWN;
    bool vouched = true;
    uint8_t found = 0;
    if (event_has(e, FILL_SOURCE)) {
        const Source *source = source_ensure(state, &e->u.fill.source, e->at.ms);
        if (source->quality != SOURCE_UNKNOWN_CLASS)
            water.quality = (Quality)source->quality;
        if (is_supplied(source) || source->type == SOURCE_HOSE)
            water.marks = 0;
        found = source->marks;
        vouched = !is_supplied(source) || source->quality != CLASS_POTABLE;
    }
    if (event_has(e, FILL_CLASS))
        water.quality = (Quality)e->u.fill.quality;
    if ((found & MARK_FOUND) != 0)
        water.quality = quality_worst(water.quality, CLASS_QUESTIONABLE);
    if (vouched && water.quality == CLASS_POTABLE)
        water.marks |= MARK_ASSERTED;
    water.marks |= found;
    return water;
}

/* Whether it witnesses a day that was logged: who fills up a vessel that was reckoned full has not
 * logged what was used. */
static bool fill_into(State *state, const Event *e, Vessel *v, Water water)
{
    int64_t in = e->u.fill.litres;
    int64_t level = event_has(e, FILL_LEVEL) ? e->u.fill.level : -1;
    state_twice(state, e, &v->label, v->filled_at, v->filled_by, TWICE_FILL_MS);
    v->filled_at = e->at.ms;
    v->filled_by = uuid_maker(&e->id);
    if (in > v->capacity || level > v->capacity) {
        state_discrepancy(state, e, DISCREPANCY_PAST_BRIM, &v->label,
                          int64_larger(in, level) - v->capacity);
        in = int64_smaller(in, v->capacity);
        level = int64_smaller(level, v->capacity);
    }
    if (level >= 0 && event_has(e, FILL_LITRES)) {
        if (in > level) { /* more than is there after: the measured level is believed */
            state_discrepancy(state, e, DISCREPANCY_LEVEL_FELL, &v->label, in - level);
            in = level;
        }
        level_found(state, e, v, level - in);
    } else if (level >= 0) {
        in = level - v->volume;
        if (in < 0) {
            state_discrepancy(state, e, DISCREPANCY_LEVEL_FELL, &v->label, -in);
            level_found(state, e, v, level);
            in = 0;
        } else {
            level_known(state, e, v);
        }
    } else if (v->volume + in > v->capacity) {
        level_found(state, e, v, v->capacity - in); /* it held less than reckoned */
    } else { /* as much as somebody says: no measure for a meter */
        v->metered = -1;
    }
    water_in(v, in, (double)e->at.ms, e->at.ms, water);
    v->gained = int64_larger(v->gained - in / 20, 0);
    line_filled(state, e, v);
    v->water_put_off = MOMENT_NONE_MS;
    state->totals.filled += in;
    return in > 0 || event_has(e, FILL_LITRES);
}

static void fill_apply(State *state, const Event *e)
{
    const Water water = incoming_water(state, e);
    const int64_t before = state->totals.filled;
    Vessel *v = vessel_or_discrepancy(state, e, &e->u.fill.vessel);
    if (v != NULL && v->volume == 0)
        sources_emptied(state, v);
    const bool logs = v == NULL || fill_into(state, e, v, water);
    const int from = event_has(e, FILL_SOURCE) ? state_source(state, &e->u.fill.source) : -1;
    if (v != NULL && from >= 0)
        source_filled(&state->sources[from], (int)(v - state->vessels), e->at.ms,
                      state->totals.filled - before, event_has(e, FILL_CLASS));
    if (logs)
        use_witness(&state->use, e->at.ms, e->zone); /* after level_found: see use.h on silences */
    else
        use_seen(&state->use, e->at.ms, e->zone);
}

/* The class typed at the first fill is the usual one of the place. */
static bool fill_brings(const State *state, const Event *e, Event *out)
{
    if (!event_has(e, FILL_SOURCE) || !event_has(e, FILL_CLASS) ||
        state_source(state, &e->u.fill.source) >= 0)
        return false;
    event_clear(out, KIND_SOURCE);
    out->at = e->at;
    out->zone = e->zone;
    out->u.source.source = e->u.fill.source;
    out->u.source.quality = e->u.fill.quality;
    out->has = 1u << SOURCE_NAME | 1u << SOURCE_CLASS;
    return true;
}

const Kind kind_fill = {
    .id = KIND_FILL,
    .name = "fill",
    .gist = "water into a vessel",
    .example = "A1 full --from \"Holm tap\"",
    .caution = "Vent a vessel before its lid is opened. The class is what was logged, not "
               "a laboratory test.",
    FIELDS(fill_fields),
    .several = true,
    .moves_water = true,
    .complete = fill_complete,
    .check = fill_check,
    .brings = fill_brings,
    .apply = fill_apply,
};

/* ---- draw ---- */

static const char *const purpose_words[] = {"drink", "cook", "dishes", "wash", "other", NULL};
enum { DRAW_VESSEL, DRAW_LINE, DRAW_LITRES, DRAW_PURPOSE };
static const Field draw_fields[] = {
    [DRAW_VESSEL] = {.name = "vessel",
                     .option = "vessel",
                     .help = "the vessel, where it is drawn by itself",
                     .type = FIELD_LABEL,
                     .names = NAMES_VESSEL,
                     .position = 1,
                     .column = COLUMN_NAME,
                     .offset = offsetof(Event, u.draw.vessel)},
    [DRAW_LINE] = {.name = "line",
                   .option = "line",
                   .help = "the line, where it is drawn at the tap",
                   .type = FIELD_LABEL,
                   .names = NAMES_LINE,
                   .position = 1,
                   .column = COLUMN_OTHER,
                   .offset = offsetof(Event, u.draw.line)},
    [DRAW_LITRES] = {.name = "litres",
                     .option = "litres",
                     .unit = "L",
                     .help = "how much was drawn",
                     .type = FIELD_VOLUME,
                     .required = true,
                     .position = 2,
                     .min = 1,
                     .max = LITRES_MAX,
                     .column = COLUMN_N1,
                     .offset = offsetof(Event, u.draw.litres)},
    [DRAW_PURPOSE] = {.name = "purpose",
                      .option = "for",
                      .help = "what for",
                      .type = FIELD_CHOICE,
                      .choices = purpose_words,
                      .max = PURPOSE_OTHER,
                      .column = COLUMN_CODE,
                      .offset = offsetof(Event, u.draw.purpose)},
};

static bool draw_complete(const Event *e, Fault *fault)
{
    return event_has(e, DRAW_LINE) != event_has(e, DRAW_VESSEL) ||
           fault_set(fault, FAULT_USAGE,
                     "draw: give a line or a vessel, one of the two. For example: ullage draw %s",
                     kind_draw.example);
}

static bool draw_check(const State *state, const Event *e, Fault *fault)
{
    char a[40], b[40];
    if (event_has(e, DRAW_LINE)) {
        if (!must_exist(state, NAMES_LINE, &e->u.draw.line, fault))
            return false;
        const Line *line = &state->lines[state_line(state, &e->u.draw.line)];
        const int64_t usable = line_usable(state, line);
        if (e->u.draw.litres > usable)
            return fault_set(fault, FAULT_REFUSED,
                             "%s can give only %s, not %s. Draw less, or sound the vessels if they "
                             "hold more than reckoned.",
                             line->label.s, litres(usable, a), litres(e->u.draw.litres, b));
        return true;
    }
    if (!must_exist(state, NAMES_VESSEL, &e->u.draw.vessel, fault))
        return false;
    const Vessel *v = &state->vessels[state_vessel(state, &e->u.draw.vessel)];
    if (v->line >= 0)
        return fault_set(fault, FAULT_REFUSED,
                         "%s is coupled in %s: draw from %s at its tap, or take %s out of the line "
                         "first with 'couple'.",
                         v->label.s, state->lines[v->line].label.s, state->lines[v->line].label.s,
                         v->label.s);
    if (e->u.draw.litres > vessel_usable(v))
        return fault_set(fault, FAULT_REFUSED,
                         "%s can give only %s above its heel, not %s. Draw less, or sound it if it "
                         "holds more than reckoned.",
                         v->label.s, litres(vessel_usable(v), a), litres(e->u.draw.litres, b));
    return true;
}

static void draw_apply(State *state, const Event *e)
{
    const int64_t asked = e->u.draw.litres;
    int64_t missing;
    if (event_has(e, DRAW_LINE)) {
        const int line = line_or_discrepancy(state, e, &e->u.draw.line);
        use_draw(&state->use, e->at.ms, e->zone, asked);
        if (line < 0)
            return;
        missing = line_draw(state, line, asked);
        line_lacked(state, line, 0, missing);
        state->lines[line].meter_logged += asked - missing;
    } else {
        Vessel *v = vessel_or_discrepancy(state, e, &e->u.draw.vessel);
        if (v == NULL || v->duty == DUTY_WASH)
            use_seen(&state->use, e->at.ms, e->zone);
        else
            use_draw(&state->use, e->at.ms, e->zone, asked);
        if (v == NULL)
            return;
        const int64_t usable = vessel_usable(v);
        missing = int64_larger(asked - usable, 0);
        if (v->line >= 0) { /* there its water leaves by the tap */
            state_discrepancy(state, e, DISCREPANCY_COUPLED, &v->label, asked);
            line_leave(state, v->line, v->position, asked - missing);
            line_wetted(state, v->line, v->position);
            line_lacked(state, v->line, v->position, missing);
        } else {
            vessel_lower(v, asked - missing);
            vessel_lacked(v, int64_larger(missing - v->volume, 0)); /* its heel can be poured */
            v->metered = -1;
        }
    }
    state->totals.drawn += asked - missing;
    if (missing > 0)
        state_discrepancy(state, e, DISCREPANCY_DRAW_BEYOND,
                          event_has(e, DRAW_LINE) ? &e->u.draw.line : &e->u.draw.vessel, missing);
}

const Kind kind_draw = {
    .id = KIND_DRAW,
    .name = "draw",
    .gist = "water drawn at a tap, or from a vessel by its own label",
    .example = "galley 3.5 --for cook",
    FIELDS(draw_fields),
    .moves_water = true,
    .complete = draw_complete,
    .check = draw_check,
    .apply = draw_apply,
};

/* ---- sound ---- */

static const Field sound_fields[] = {
    VESSEL_FIELD(sound.vessel),
    {.name = "level",
     .option = "level",
     .unit = "L",
     .help = "what it holds, measured: litres, '40%', or '9.1kg' on a scale (tare taken off)",
     .type = FIELD_VOLUME,
     .level = true,
     .required = true,
     .position = 2,
     .max = LITRES_MAX,
     .column = COLUMN_N2,
     .offset = offsetof(Event, u.sound.level)},
};

static bool sound_check(const State *state, const Event *e, Fault *fault)
{
    char a[40], b[40];
    if (!must_exist(state, NAMES_VESSEL, &e->u.sound.vessel, fault))
        return false;
    const Vessel *v = &state->vessels[state_vessel(state, &e->u.sound.vessel)];
    if (e->u.sound.level > v->capacity)
        return fault_set(fault, FAULT_REFUSED,
                         "%s holds %s at most: a level of %s is past the brim. Measure again, or "
                         "amend its capacity.",
                         v->label.s, litres(v->capacity, a), litres(e->u.sound.level, b));
    return true;
}

static void sound_apply(State *state, const Event *e)
{
    Vessel *v = vessel_or_discrepancy(state, e, &e->u.sound.vessel);
    if (v != NULL) {
        int64_t level = e->u.sound.level;
        if (level > v->capacity) {
            state_discrepancy(state, e, DISCREPANCY_PAST_BRIM, &v->label, level - v->capacity);
            level = v->capacity;
        }
        level_found(state, e, v, level);
        line_filled(state, e, v);
        v->sounded_at = e->at.ms;
    }
    use_witness(&state->use, e->at.ms, e->zone); /* after level_found: see use.h on silences */
}

const Kind kind_sound = {
    .id = KIND_SOUND,
    .name = "sound",
    .gist = "a measured level of a vessel",
    .example = "A2 5.5",
    .caution = "Vent a vessel before its lid is opened.",
    FIELDS(sound_fields),
    .moves_water = true,
    .check = sound_check,
    .apply = sound_apply,
};

/* ---- decant ---- */

enum { DECANT_FROM, DECANT_TO, DECANT_LITRES, DECANT_TREATED };
static const Field decant_fields[] = {
    [DECANT_FROM] = {.name = "from",
                     .option = "from",
                     .help = "the vessel it comes out of",
                     .type = FIELD_LABEL,
                     .names = NAMES_VESSEL,
                     .required = true,
                     .position = 1,
                     .column = COLUMN_NAME,
                     .offset = offsetof(Event, u.decant.from)},
    [DECANT_TO] = {.name = "to",
                   .option = "to",
                   .help = "the vessel it goes into",
                   .type = FIELD_LABEL,
                   .names = NAMES_VESSEL,
                   .required = true,
                   .position = 2,
                   .column = COLUMN_OTHER,
                   .offset = offsetof(Event, u.decant.to)},
    [DECANT_LITRES] = {.name = "litres",
                       .option = "litres",
                       .unit = "L",
                       .help = "how much",
                       .type = FIELD_VOLUME,
                       .required = true,
                       .position = 3,
                       .min = 1,
                       .max = LITRES_MAX,
                       .column = COLUMN_N1,
                       .offset = offsetof(Event, u.decant.litres)},
    [DECANT_TREATED] = {.name = "treated",
                        .option = "treated",
                        .help = "through treatment: questionable water arrives as potable",
                        .type = FIELD_FLAG,
                        .max = 1,
                        .column = COLUMN_CODE,
                        .offset = offsetof(Event, u.decant.treated)},
};

static bool decant_check(const State *state, const Event *e, Fault *fault)
{
    char a[40], b[40];
    if (!must_exist(state, NAMES_VESSEL, &e->u.decant.from, fault) ||
        !must_exist(state, NAMES_VESSEL, &e->u.decant.to, fault))
        return false;
    const Vessel *from = &state->vessels[state_vessel(state, &e->u.decant.from)];
    const Vessel *to = &state->vessels[state_vessel(state, &e->u.decant.to)];
    if (from == to)
        return fault_set(fault, FAULT_REFUSED,
                         "%s can't be decanted into itself. Name two vessels.", from->label.s);
    if (e->u.decant.litres > from->volume)
        return fault_set(fault, FAULT_REFUSED,
                         "%s holds only %s, not %s. Decant less, or sound it first.", from->label.s,
                         litres(from->volume, a), litres(e->u.decant.litres, b));
    if (e->u.decant.litres > vessel_room(to))
        return fault_set(fault, FAULT_REFUSED,
                         "%s has room for %s only, not %s. Decant less, or sound it first.",
                         to->label.s, litres(vessel_room(to), a), litres(e->u.decant.litres, b));
    if (e->u.decant.treated != 0 && from->quality == CLASS_NON_POTABLE)
        return fault_set(fault, FAULT_REFUSED,
                         "%s is non-potable: no treatment here makes it fit to drink. Dump it, or "
                         "decant it without --treated for washing.",
                         from->label.s);
    return e->u.decant.treated == 0 || vouched_for(from, "Decant it without --treated", fault);
}

static void decant_apply(State *state, const Event *e)
{
    use_seen(&state->use, e->at.ms, e->zone);
    Vessel *from = vessel_or_discrepancy(state, e, &e->u.decant.from);
    Vessel *to = vessel_or_discrepancy(state, e, &e->u.decant.to);
    if (from == NULL && to != NULL) /* out of a vessel that nobody named: of what, nobody knows */
        unknown_met(to);
    if (from == NULL || to == NULL)
        return;
    if (from == to) {
        state_discrepancy(state, e, DISCREPANCY_SAME_VESSEL, &from->label, e->u.decant.litres);
        return;
    }
    int64_t ml = e->u.decant.litres;
    if (ml > from->volume) {
        state_discrepancy(state, e, DISCREPANCY_DRAW_BEYOND, &from->label, ml - from->volume);
        vessel_lacked(from, ml - from->volume);
        ml = from->volume;
    }
    if (ml > vessel_room(to)) {
        state_discrepancy(state, e, DISCREPANCY_PAST_BRIM, &to->label, ml - vessel_room(to));
        ml = vessel_room(to);
    }
    Water water = {(Quality)from->quality, from->marks};
    const bool never = water.quality == CLASS_NON_POTABLE || (water.marks & MARK_FOUND) != 0;
    if (e->u.decant.treated != 0 && never)
        state_discrepancy(state, e, DISCREPANCY_NOT_RAISED, &from->label, ml);
    if (e->u.decant.treated != 0 && !never && water.quality == CLASS_QUESTIONABLE)
        water = (Water){CLASS_POTABLE, from->marks | MARK_ASSERTED}; /* nothing was measured */
    /* Who poured and is told that nothing was there, or fits, poured all the same. */
    const int32_t way[] = {(int32_t)(from - state->vessels), (int32_t)(to - state->vessels)};
    water_in(to, ml, from->mean_fill, from->oldest_fill, water);
    sources_follow(state, way, 2);
    if (ml == 0)
        return;
    to->water_put_off = MOMENT_NONE_MS;
    vessel_lower(from, ml);
    from->metered = to->metered = -1;
}

const Kind kind_decant = {
    .id = KIND_DECANT,
    .name = "decant",
    .gist = "water from one vessel into another; its class goes along",
    .example = "B1 A3 5 --treated",
    .caution = "Vent both vessels before a lid is opened. Say treated only for a "
               "treatment that was carried out as its maker and local rules require.",
    FIELDS(decant_fields),
    .moves_water = true,
    .check = decant_check,
    .apply = decant_apply,
};

/* ---- dump ---- */

enum { DUMP_VESSEL, DUMP_LITRES };
static const Field dump_fields[] = {
    [DUMP_VESSEL] = VESSEL_FIELD(dump.vessel),
    [DUMP_LITRES] = {.name = "litres",
                     .option = "litres",
                     .unit = "L",
                     .help = "how much to waste; left out: all of it, heel included",
                     .type = FIELD_VOLUME,
                     .position = 2,
                     .min = 1,
                     .max = LITRES_MAX,
                     .column = COLUMN_N1,
                     .offset = offsetof(Event, u.dump.litres)},
};

static bool dump_check(const State *state, const Event *e, Fault *fault)
{
    char a[40], b[40];
    if (!must_exist(state, NAMES_VESSEL, &e->u.dump.vessel, fault))
        return false;
    const Vessel *v = &state->vessels[state_vessel(state, &e->u.dump.vessel)];
    if (event_has(e, DUMP_LITRES) && e->u.dump.litres > v->volume)
        return fault_set(fault, FAULT_REFUSED,
                         "%s holds only %s, not %s. Leave the litres out to dump all of it.",
                         v->label.s, litres(v->volume, a), litres(e->u.dump.litres, b));
    return true;
}

static void dump_apply(State *state, const Event *e)
{
    use_seen(&state->use, e->at.ms, e->zone);
    Vessel *v = vessel_or_discrepancy(state, e, &e->u.dump.vessel);
    if (v == NULL)
        return;
    int64_t ml = v->volume;
    if (event_has(e, DUMP_LITRES)) {
        ml = e->u.dump.litres;
        if (ml > v->volume) {
            state_discrepancy(state, e, DISCREPANCY_DRAW_BEYOND, &v->label, ml - v->volume);
            vessel_lacked(v, ml - v->volume);
            ml = v->volume;
        }
        v->metered = -1;
    } else {
        level_known(state, e, v);
    }
    vessel_lower(v, ml);
    state->totals.dumped += ml;
}

const Kind kind_dump = {
    .id = KIND_DUMP,
    .name = "dump",
    .gist = "water to waste, all or some; it does not count as use",
    .example = "B1",
    .caution = "Vent a vessel before its lid is opened.",
    FIELDS(dump_fields),
    .several = true,
    .moves_water = true,
    .check = dump_check,
    .apply = dump_apply,
};
