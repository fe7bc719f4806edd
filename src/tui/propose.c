#include "tui/propose.h"

#include <stdio.h>
#include <string.h>

static bool field_is(const Kind *kind, int field, const char *name)
{
    return field >= 0 && field < kind->field_count && strcmp(kind->fields[field].name, name) == 0;
}

/* Compares how full two vessels are, exactly: a.volume / a.capacity against b's. */
static bool emptier(const BoardVessel *a, const BoardVessel *b)
{
    return (double)a->volume * (double)b->capacity < (double)b->volume * (double)a->capacity;
}

/* The coupled ones first, then the reserve and what is stored; one that is full is passed over: a
 * fill of nothing is no refill. A vessel for washing comes last. */
static int fill_rank(const BoardVessel *v)
{
    return v->volume >= v->capacity                       ? 4
           : v->position > 0 && v->place == PLACE_LINE    ? 0
           : v->position > 0 || v->place == PLACE_RESERVE ? 1
           : v->duty == DUTY_WASH                         ? 3
                                                          : 2;
}

static const char *propose_vessel_to_fill(const Board *board)
{
    const BoardVessel *best = NULL;
    for (int i = 0; i < board->vessel_count; i++) {
        const BoardVessel *v = &board->vessels[i];
        const int apart = best != NULL ? fill_rank(v) - fill_rank(best) : -1;
        if (apart < 0 ||
            (apart == 0 && (emptier(v, best) || (!emptier(best, v) && v->position > 0 &&
                                                 v->position < best->position))))
            best = v;
    }
    return best != NULL ? best->label.s : "";
}

static const char *propose_vessel_to_sound(const Board *board)
{
    for (int i = 0; i < board->line_count; i++)
        if (board->lines[i].lead >= 0)
            return board->vessels[board->lines[i].lead].label.s;
    const BoardVessel *oldest = NULL;
    for (int i = 0; i < board->vessel_count; i++)
        if (oldest == NULL || board->vessels[i].sounded.ms < oldest->sounded.ms)
            oldest = &board->vessels[i];
    return oldest != NULL ? oldest->label.s : "";
}

static bool board_has_lead(const Board *board)
{
    for (int i = 0; i < board->line_count; i++)
        if (board->lines[i].lead >= 0)
            return true;
    return false;
}

static const char *propose_line(const Board *board, const State *state)
{
    int best = -1;
    for (int i = 0; i < board->line_count; i++) {
        if (board->lines[i].count == 0)
            continue;
        if (best < 0 ||
            state->lines[board->lines[i].slot].drawn > state->lines[board->lines[best].slot].drawn)
            best = i;
    }
    return best >= 0 ? board->lines[best].label.s : "";
}

/* Due before soon before ok; then the earlier date; a stage without a date last. */
static const char *propose_stage(const Board *board)
{
    const BoardStage *best = NULL;
    for (int i = 0; i < board->stage_count; i++) {
        const BoardStage *stage = &board->stages[i];
        if (best == NULL || stage->state > best->state) {
            best = stage;
            continue;
        }
        bool sooner =
            moment_known(stage->due) && (!moment_known(best->due) || stage->due.ms < best->due.ms);
        if (stage->state == best->state && sooner)
            best = stage;
    }
    return best != NULL ? best->label.s : "";
}

static bool stage_is_asked_for(const Board *board)
{
    for (int i = 0; i < board->stage_count; i++)
        if (board->stages[i].state != SERVICE_OK)
            return true;
    return false;
}

static const char *propose_source(const State *state)
{
    const Source *best = NULL;
    for (int i = 0; i < state->source_count; i++) {
        const Source *source = &state->sources[i];
        if (!label_empty(&source->label) && (best == NULL || source->used_at > best->used_at))
            best = source;
    }
    return best != NULL ? best->label.s : "";
}

static const char *propose_only(Names names, const State *state)
{
    static Label none;
    Label out[2];
    if (propose_names(names, state, text_of(""), out, 2) != 1)
        return none.s;
    switch (names) {
    case NAMES_VESSEL:
        return state->vessels[state_vessel(state, &out[0])].label.s;
    case NAMES_LINE:
        return state->lines[state_line(state, &out[0])].label.s;
    case NAMES_STAGE:
        return state->stages[state_stage(state, &out[0])].label.s;
    case NAMES_STOP:
        return state->stops[state_stop(state, &out[0])].label.s;
    case NAMES_SOURCE:
    case NAMES_NOTHING:
        break;
    }
    return none.s;
}

static const char *propose_for(const Kind *kind, int field, const Board *board, const State *state)
{
    const Field *f = &kind->fields[field];
    switch (kind->id) {
    case KIND_FILL:
        return field_is(kind, field, "vessel")   ? propose_vessel_to_fill(board)
               : field_is(kind, field, "litres") ? "full"
               : field_is(kind, field, "source") ? propose_source(state)
                                                 : "";
    case KIND_DRAW:
        return field_is(kind, field, "line") ? propose_line(board, state) : "";
    case KIND_SOUND: /* air is heard in the line: the natural sounding is that its lead is spent */
        return field_is(kind, field, "vessel") ? propose_vessel_to_sound(board)
               : field_is(kind, field, "level") && board_has_lead(board) ? "spent"
                                                                         : "";
    case KIND_SWAP:
        return f->names == NAMES_STAGE ? propose_stage(board) : "";
    case KIND_PUTOFF: /* what is due or soon, for the week that is usual */
        return f->names == NAMES_STAGE && stage_is_asked_for(board) ? propose_stage(board) : "";
    case KIND_TEST: /* which of the three is asked */
        return "";
    case KIND_PRESSURISE:
    case KIND_FLOWTEST:
    case KIND_METER:
        return f->names == NAMES_LINE ? propose_line(board, state) : "";
    default: /* what is being named for the first time is never guessed */
        return f->type == FIELD_LABEL && f->required && !f->may_be_new
                   ? propose_only(f->names, state)
                   : "";
    }
}

void propose(const Kind *kind, int field, const Board *board, const State *state, char *out,
             size_t size)
{
    const bool known = field >= 0 && field < kind->field_count;
    snprintf(out, size, "%s", known ? propose_for(kind, field, board, state) : "");
}

void propose_tested(const Event *e, int field, const State *state, char *out, size_t size)
{
    static const struct {
        const char *field;
        ResultId id;
        int64_t within;
    } asked[] = {{"residual_mg_l", RESULT_CHLORINE, MS_PER_HOUR},
                 {"ph", RESULT_PH, MS_PER_DAY},
                 {"ntu", RESULT_NTU, MS_PER_DAY},
                 {"temp_c", RESULT_TEMP, MS_PER_DAY}};
    char number[40];
    if (e->kind != KIND_TREAT)
        return;
    const int vessel = state_vessel(state, &e->u.treat.vessel);
    if (vessel < 0 || !(state->vessels[vessel].tested & TESTED_VESSEL))
        return;
    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++) {
        const Result *result = &state->vessels[vessel].results.latest[asked[i].id];
        if (field_is(kind_of(KIND_TREAT), field, asked[i].field) && result->at != 0 &&
            e->at.ms - result->at <= asked[i].within)
            snprintf(out, size, "%s", thousandths_print(result->value, number));
    }
}

int propose_order(const Kind *kind, int out[], int size)
{
    /* At a tap the vessel and the source change, the amount is `full`: so the source comes second.
     */
    static const char *const fill[] = {"vessel", "source", "litres", "class", NULL};
    static const char *const draw[] = {"litres", "purpose", "line", "vessel", NULL};
    static const char *const putoff[] = {"stage", "vessel", "what", "until", NULL};
    static const char *const none_words[] = {NULL};
    const char *const *first = kind->id == KIND_FILL     ? fill
                               : kind->id == KIND_DRAW   ? draw
                               : kind->id == KIND_PUTOFF ? putoff
                                                         : none_words;
    int n = 0;
    for (; *first != NULL && n < size; first++) {
        int field = kind_field(kind, text_of(*first));
        if (field >= 0)
            out[n++] = field;
    }
    for (int pass = 0; pass < 2; pass++) { /* positional arguments before options */
        for (int i = 0; i < kind->field_count && n < size; i++) {
            bool there = (kind->fields[i].position > 0) == (pass == 1);
            for (int k = 0; k < n; k++)
                there = there || out[k] == i;
            if (!there)
                out[n++] = i;
        }
    }
    return n;
}

static int lower(char c)
{
    return c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c;
}

/* Where the text stands in the name, ASCII case ignored: -1 nowhere. */
static int name_finds(const char *name, Text text)
{
    size_t n = strlen(name);
    for (size_t at = 0; at + text.n <= n; at++) {
        size_t i = 0;
        while (i < text.n && lower(name[at + i]) == lower(text.s[i]))
            i++;
        if (i == text.n)
            return (int)at;
    }
    return -1;
}

int propose_names(Names names, const State *state, Text text, Label out[], int size)
{
    int n = 0;
    for (int pass = 0; pass < 2; pass++) { /* beginnings, then what contains it */
        int from = n;
        const Label *label;
        for (int i = 0; (label = state_name(state, names, i)) != NULL; i++) {
            if (state_find(state, names, label) < 0) /* a retired vessel */
                continue;
            int at = name_finds(label->s, text);
            if (pass == 0 ? at != 0 : at <= 0)
                continue;
            int place = n;
            while (place > from && label_compare(&out[place - 1], label) > 0)
                place--;
            if (place >= size)
                continue;
            int last = n < size ? n : size - 1;
            for (int k = last; k > place; k--)
                out[k] = out[k - 1];
            out[place] = *label;
            n = last + 1;
        }
    }
    return n;
}
