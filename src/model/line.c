#include "model/line.h"

#include "base/memory.h"
#include "base/whole.h"

#include <math.h>
#include <string.h>

int line_lead(const State *state, const Line *line)
{
    for (int i = 0; i < line->count; i++)
        if (vessel_usable(&state->vessels[line->order[i]]) > 0)
            return i;
    return -1;
}

int64_t line_usable(const State *state, const Line *line)
{
    int64_t sum = 0;
    for (int i = 0; i < line->count; i++)
        sum += vessel_usable(&state->vessels[line->order[i]]);
    return sum;
}

int64_t line_volume(const State *state, const Line *line)
{
    int64_t sum = 0;
    for (int i = 0; i < line->count; i++)
        sum += state->vessels[line->order[i]].volume;
    return sum;
}

bool line_delivers(const State *state, const Line *line, Quality *quality)
{
    const int lead = line_lead(state, line);
    if (lead < 0)
        return false;
    Quality worst = line->fouled_at != MOMENT_NONE_MS         ? CLASS_NON_POTABLE
                    : line->found != 0 || line->strangers > 0 ? CLASS_QUESTIONABLE
                                                              : CLASS_POTABLE;
    for (int i = lead; i < line->count; i++)
        worst = quality_worst(worst, (Quality)state->vessels[line->order[i]].quality);
    *quality = worst;
    return true;
}

/* One vessel behind a constant inflow: s = s0' + (s - s0') exp(-v/W). */
static double mix_one(double inflow, double s, double W, double v)
{
    return W > 0 ? inflow + (s - inflow) * exp(-v / W) : inflow;
}

/* Several: with d(j) = s(j) - s(0) the system is d' = A d, A lower bidiagonal. For L = max 1/W the
 * matrix I + A/L has no negative entry, and exp(Av) d = sum over m of Poisson(m; Lv) (I + A/L)^m d.
 * For Lv up to SPAN_MAX, so that the first weight, exp(-Lv), never underflows. `share` is
 * 1/(L W): of vessels that hold the same it is 1, then the matrix only hands on, and the series
 * ends by itself after n terms. */
#define SPAN_MAX 32.0
static void mix_span(double *d, const double *share, int n, double x)
{
    MEMORY_UNSET double sum[VESSELS_ABOARD_MAX + 1];
    double weight = exp(-x), total = weight;
    for (int j = 1; j <= n; j++)
        sum[j] = weight * d[j];
    /* Poisson weights fall faster than geometrically once m > x; what is left out is below 2^-60.
     */
    for (int m = 1; m < 400; m++) {
        bool ended = true;
        weight *= x / m;
        total += weight;
        for (int j = n; j >= 1; j--) {
            d[j] += share[j] * (d[j - 1] - d[j]);
            sum[j] += weight * d[j];
            ended = ended && d[j] == 0;
        }
        if (ended)
            total = 1; /* all other terms are zero: nothing is left out */
        if (ended || ((double)m > x && weight < 1e-18))
            break;
    }
    for (int j = 1; j <= n; j++)
        d[j] = sum[j] / total;
}

/* What is left of each vessel in each after Lv = x, as a matrix: a span's columns are what it makes
 * of the unit vectors, and two spans in a row are its square. So a vessel with a millilitre in it,
 * for which x is in the thousands, costs a dozen small products. No entry is negative: nothing
 * cancels. */
static void mix_long(double *d, const double *share, int n, double x)
{
    MEMORY_UNSET double left[VESSELS_ABOARD_MAX + 1][VESSELS_ABOARD_MAX + 1];
    int doublings = 0;
    for (; x > SPAN_MAX; doublings++)
        x /= 2;
    for (int j = 1; j <= n; j++) {
        MEMORY_UNSET double unit[VESSELS_ABOARD_MAX + 1];
        for (int i = 0; i <= n; i++)
            unit[i] = i == j;
        mix_span(unit, share, n, x);
        for (int i = j; i <= n; i++)
            left[i][j] = unit[i];
    }
    for (; doublings > 0; doublings--)
        for (int i = n; i >= 1; i--) /* rows from below: those above are still needed */
            for (int j = 1; j <= i; j++) {
                double sum = 0;
                for (int m = j; m <= i; m++)
                    sum += left[i][m] * left[m][j];
                left[i][j] = sum;
            }
    for (int i = n; i >= 1; i--) {
        double sum = 0;
        for (int j = 1; j <= i; j++)
            sum += left[i][j] * d[j];
        d[i] = sum;
    }
}

void line_mix(double *s, const double *W, int n, double v)
{
    if (n <= 0 || v <= 0)
        return;
    if (n == 1) {
        s[1] = mix_one(s[0], s[1], W[1], v);
        return;
    }
    /* Vessels with W = 0 pass the water straight on: solve the chain without them. */
    MEMORY_UNSET double d[VESSELS_ABOARD_MAX + 1], share[VESSELS_ABOARD_MAX + 1];
    MEMORY_UNSET int at[VESSELS_ABOARD_MAX + 1];
    double least = 0;
    int m = 0;
    for (int j = 1; j <= n; j++)
        if (W[j] > 0 && (least <= 0 || W[j] < least))
            least = W[j]; /* L = 1 / least */
    d[0] = 0;
    at[0] = 0;
    for (int j = 1; j <= n; j++) {
        if (W[j] > 0) {
            m++;
            at[m] = j;
            d[m] = s[j] - s[0];
            share[m] = least / W[j];
        }
    }
    if (m > 0)
        (v / least > SPAN_MAX ? mix_long : mix_span)(d, share, m, v / least);
    for (int i = 1; i <= m; i++)
        s[at[i]] = s[0] + d[i];
    for (int j = 1; j <= n; j++)
        if (W[j] <= 0)
            s[j] = s[j - 1];
}

/* Class and marks of what passes from the vessel at `lead` to the tap: the worse go along. A vessel
 * that nobody named may stand anywhere, and give: through those that are spent, too. */
static void carry(State *state, const Line *line, int lead)
{
    if (line->strangers > 0)
        lead = 0;
    Quality quality = line->strangers > 0 ? CLASS_QUESTIONABLE : CLASS_POTABLE;
    uint8_t marks = line->strangers > 0 ? MARK_RAW : 0;
    for (int j = lead; j < line->count; j++) {
        Vessel *vessel = &state->vessels[line->order[j]];
        quality = quality_worst(quality, (Quality)vessel->quality);
        vessel->quality = (uint8_t)quality;
        marks |= vessel->marks;
        vessel->marks = marks;
        if (j > lead || line->strangers > 0)
            vessel->tested &= (uint8_t)~TESTED_ALONE;
    }
    sources_follow(state, line->order + lead, line->count - lead);
}

/* Water passes from the lead at `lead` to the tap: v mL with the lead constant in age and class. */
static void pass_through(State *state, const Line *line, int lead, int64_t v)
{
    const int n = line->count - 1 - lead;
    carry(state, line, lead);
    if (n <= 0 || v <= 0)
        return;
    MEMORY_UNSET double s[VESSELS_ABOARD_MAX + 1], W[VESSELS_ABOARD_MAX + 1];
    const Vessel *first = &state->vessels[line->order[lead]];
    int64_t oldest = first->oldest_fill;
    s[0] = first->mean_fill;
    W[0] = 0;
    for (int j = 1; j <= n; j++) {
        Vessel *vessel = &state->vessels[line->order[lead + j]];
        W[j] = (double)vessel->volume;
        s[j] = vessel->mean_fill;
        if (vessel->volume > 0) {
            oldest = int64_smaller(oldest, vessel->oldest_fill);
            vessel->oldest_fill = oldest;
        }
    }
    line_mix(s, W, n, (double)v);
    for (int j = 1; j <= n; j++) {
        Vessel *vessel = &state->vessels[line->order[lead + j]];
        if (vessel->volume > 0)
            vessel->mean_fill = s[j];
    }
}

/* What passed the last vessel has wetted the stages and the tap. */
static void wet_tap(const State *state, Line *line, int lead)
{
    for (int j = lead; j < line->count; j++)
        if (state->vessels[line->order[j]].quality == CLASS_NON_POTABLE)
            line->fouled_at = state->last_at;
}

void line_wetted(State *state, int index, int k)
{
    carry(state, &state->lines[index], k);
    wet_tap(state, &state->lines[index], k);
}

void line_passed(State *state, int index, int64_t ml)
{
    state->lines[index].drawn += ml;
    for (int i = 0; i < state->stage_count; i++)
        if (state->stages[i].line == index)
            state->stages[i].through_ml += ml;
}

void line_leave(State *state, int index, int k, int64_t ml)
{
    Line *line = &state->lines[index];
    if (ml == 0)
        return;
    pass_through(state, line, k, ml);
    wet_tap(state, line, k);
    Vessel *lead = &state->vessels[line->order[k]];
    vessel_lower(lead, ml);
    if (lead->metered >= 0 && line->meter_at != MOMENT_NONE_MS)
        lead->metered += ml;
    line_passed(state, index, ml);
}

bool line_brimful(const State *state, const Line *line)
{
    for (int i = 0; i < line->count; i++)
        if (vessel_room(&state->vessels[line->order[i]]) > 0)
            return false;
    return line->count > 0;
}

const Vessel *line_weakest(const State *state, const Line *line)
{
    const Vessel *weakest = NULL;
    for (int i = 0; i < line->count; i++) {
        const Vessel *v = &state->vessels[line->order[i]];
        if (v->rated_pa >= 0 && (weakest == NULL || v->rated_pa < weakest->rated_pa))
            weakest = v;
    }
    return weakest;
}

void line_unrated_tell(const State *state, const Line *line, Str *out)
{
    const char *between = "";
    for (int i = 0; i < line->count; i++) {
        const Vessel *v = &state->vessels[line->order[i]];
        if (v->rated_pa >= 0)
            continue;
        str_addf(out, "%s%s", between, v->label.s);
        between = ", ";
    }
}

int64_t line_draw(State *state, int index, int64_t ml)
{
    const Line *line = &state->lines[index];
    int64_t left = ml;
    while (left > 0) {
        const int k = line_lead(state, line);
        if (k < 0)
            break;
        const int64_t usable = vessel_usable(&state->vessels[line->order[k]]);
        const int64_t v = int64_smaller(left, usable);
        line_leave(state, index, k, v);
        left -= v;
    }
    return left;
}

/* ---- pressurising ---- */

enum { PRESS_STEPS = 64 };

/* What the vessels from `lead` on take in while the fraction `part` of all demands is met from the
 * lead: volumes W grow by demand * part, water for vessel j passes through those between. Ages:
 * within a step the inflow of a vessel is taken at its mean over the step, and its own growth
 * exactly: ds/dt = F (s_in - s) / (W + d t)   =>   s_in + (s - s_in) (W / (W + d t))^(F/d). */
static void press_part(double *s, double *W, const double *demand, int lead, int n, double part)
{
    for (int step = 0; step < PRESS_STEPS; step++) {
        /* Short steps first, (2 step + 1) / PRESS_STEPS^2: what stands nearly empty is renewed many
         * times over while the first of the water comes in. */
        const double dt = part * (2 * step + 1) / (PRESS_STEPS * PRESS_STEPS);
        double inflow = s[lead];
        double flow = 0;
        for (int j = lead + 1; j < n; j++)
            flow += demand[j];
        for (int j = lead + 1; j < n; j++) {
            const double d = demand[j], grown = W[j] + d * dt;
            double after = s[j];
            if (flow > 0) {
                double keep = 0;
                if (W[j] > 0)
                    keep = d > 0 ? pow(W[j] / grown, flow / d) : exp(-flow * dt / W[j]);
                after = inflow + (s[j] - inflow) * keep;
            }
            /* What leaves is, on average, what the balance of W (s - s_in) lacks after the step. */
            flow -= d;
            if (flow > 0)
                inflow += (W[j] * (s[j] - inflow) - grown * (after - inflow)) / (flow * dt);
            s[j] = after;
            W[j] = grown;
        }
    }
    double given = 0;
    for (int j = lead + 1; j < n; j++)
        given += demand[j] * part;
    W[lead] -= given;
}

/* Whole millilitres by largest remainder: the sum of the volumes stays what it was. */
static void round_volumes(const double *W, int n, int64_t total, int64_t *whole)
{
    double rest[VESSELS_ABOARD_MAX];
    int64_t sum = 0;
    for (int j = 0; j < n; j++) {
        whole[j] = (int64_t)floor(W[j]);
        rest[j] = W[j] - (double)whole[j];
        sum += whole[j];
    }
    while (sum != total) {
        const int64_t step = sum < total ? 1 : -1;
        int best = -1;
        for (int j = 0; j < n; j++)
            if (whole[j] + step >= 0 &&
                (best < 0 || (step > 0 ? rest[j] > rest[best] : rest[j] < rest[best])))
                best = j;
        if (best < 0)
            return; /* never: the total is not negative */
        whole[best] += step;
        rest[best] -= (double)step;
        sum += step;
    }
}

/* Classes and oldest times move with the water, in order, as far down as any is asked for. */
static void press_classes(State *state, const Line *line, const double *demand, int lead)
{
    for (int j = lead + 1; j < line->count; j++) {
        double beyond = 0;
        for (int i = j; i < line->count; i++)
            beyond += demand[i];
        if (beyond <= 0)
            return;
        const Vessel *up = &state->vessels[line->order[j - 1]];
        Vessel *v = &state->vessels[line->order[j]];
        v->quality = (uint8_t)quality_worst((Quality)v->quality, (Quality)up->quality);
        v->marks |= up->marks;
        sources_follow(state, line->order + j - 1, 2);
        if (v->oldest_fill == MOMENT_NONE_MS ||
            (up->oldest_fill != MOMENT_NONE_MS && up->oldest_fill < v->oldest_fill))
            v->oldest_fill = up->oldest_fill;
    }
}

/* From the lead on: each in its turn gives what it has above its heel to those behind it. */
static void press_on(State *state, const Line *line, int lead, double *s, double *W, double *demand)
{
    double left = 1; /* the fraction of every demand that is still to be met */
    while (left > 0 && lead < line->count - 1) {
        double asked = 0;
        for (int j = lead + 1; j < line->count; j++)
            asked += demand[j];
        if (asked <= 0)
            return;
        const double heel = (double)state->vessels[line->order[lead]].heel;
        const double had = fmax(W[lead] - heel, 0);
        const double part = asked * left <= had ? left : had / asked;
        if (part > 0) {
            press_classes(state, line, demand, lead);
            press_part(s, W, demand, lead, line->count, part);
            left -= part;
        }
        demand[++lead] = 0; /* the new lead takes in no more */
    }
}

void line_pressurise(State *state, int index, int64_t p_pa, int64_t ambient_pa)
{
    Line *line = &state->lines[index];
    const int n = line->count, lead = line_lead(state, line);
    if (p_pa <= 0 || ambient_pa <= 0)
        return;
    if (line->strangers > 0)
        carry(state, line, 0);
    if (lead < 0)
        return;
    double s[VESSELS_ABOARD_MAX], W[VESSELS_ABOARD_MAX], demand[VESSELS_ABOARD_MAX];
    const double share = (double)p_pa / ((double)p_pa + (double)ambient_pa);
    int64_t total = 0;
    for (int j = lead; j < n; j++) {
        const Vessel *v = &state->vessels[line->order[j]];
        s[j] = v->mean_fill;
        W[j] = (double)v->volume;
        demand[j] = j == lead ? 0 : (double)vessel_room(v) * share;
        total += v->volume;
    }
    press_on(state, line, lead, s, W, demand);
    int64_t whole[VESSELS_ABOARD_MAX];
    round_volumes(W + lead, n - lead, total, whole);
    for (int j = lead; j < n; j++) {
        Vessel *v = &state->vessels[line->order[j]];
        v->volume = int64_smaller(whole[j - lead], v->capacity); /* headspace only shrinks */
        v->mean_fill = fmax(s[j], (double)v->oldest_fill);       /* rounding */
        v->tested &= (uint8_t)~TESTED_ALONE;
        if (v->volume == 0)
            vessel_lower(v, 0);
    }
}
