#include "cli/feed.h"

#include "model/field.h"
#include "model/tell.h"
#include "store/sensor.h"

#include <stdio.h>
#include <string.h>

enum {
    RUN_MS = 60 * 1000,  /* so often it is logged while the water runs */
    TELL_MS = 500,       /* so often the boards are told */
    FLOW_LEAST_ML = 200, /* in a window of flow.h: what stands for the train is no trickle */
    COLD = 3000,         /* thousandths of a degree: under it a cold one is told at once, */
    COLD_STEP = 1000     /* and again where it is so much colder (common practice, no source) */
};

/* ---- what is told, what is written ---- */

static void feed_tell(Feed *feed, const Fault *fault)
{
    if (strcmp(feed->told.text, fault->text) != 0)
        fprintf(stderr, "ullage: %s\n", fault->text);
    feed->told = *fault;
}

static Moment feed_now(const Feed *feed)
{
    const Moment now = session_clock();
    return now.ms > feed->written.ms ? now : (Moment){feed->written.ms + 1};
}

static bool feed_append(Feed *feed, Event *e)
{
    Fault fault = {0};
    e->at = feed_now(feed);
    e->zone = (int32_t)moment_local_zone(e->at);
    if (!log_append(feed->session->log, e, e->at, &fault)) {
        feed_tell(feed, &fault);
        return false;
    }
    Str line = {0};
    char when[64];
    event_tell(e, feed->session->units, true, &line);
    printf("%s  %s\n", moment_print_zone(e->at, e->zone, when), line.s);
    fflush(stdout);
    str_finish(&line);
    feed->written = e->at;
    feed->told = (Fault){0};
    return true;
}

static void field_put(Event *e, const char *name, int64_t value)
{
    const Kind *kind = kind_of((KindId)e->kind);
    const int field = kind_field(kind, text_of(name));
    *field_number(e, &kind->fields[field]) = value;
    e->has |= 1u << field;
}

static Event feed_event(const Feed *feed, KindId id)
{
    Event e = {0};
    event_clear(&e, id);
    const Kind *kind = kind_of(id);
    const int field = kind_field(kind, text_of("line"));
    *field_label(&e, &kind->fields[field]) = feed->line;
    e.has |= 1u << field;
    return e;
}

static int64_t feed_ml(const Feed *feed, int64_t counts)
{
    return (int64_t)((double)counts * 1000 / feed->counter.per_litre);
}

static bool feed_log_reading(Feed *feed, int64_t ml)
{
    Event e = feed_event(feed, KIND_METER);
    feed->tried_at = feed->ms;
    field_put(&e, "reading", ml);
    if (feed->fresh)
        field_put(&e, "new", 1);
    if (!feed_append(feed, &e))
        return false;
    feed->logged = feed->counts;
    feed->fresh = false;
    return true;
}

/* A reading of what is open. Where the log refuses it, it is tried again with the next. */
static bool feed_log(Feed *feed)
{
    if (feed->counts == feed->logged && !feed->fresh)
        return true;
    return feed_log_reading(feed, feed_ml(feed, feed->counts));
}

/* The last reading before a new start: to the nearest millilitre, with what was left out before. */
static void feed_anew(Feed *feed, int64_t count)
{
    const double per_ml = feed->counter.per_litre / 1000;
    const double end = (double)feed->counts / per_ml + feed->owed;
    const int64_t least = feed_ml(feed, feed->counts);
    const int64_t ml = (int64_t)(end + 0.5) > least ? (int64_t)(end + 0.5) : least;
    if ((ml == least ? feed_log(feed) : feed_log_reading(feed, ml)))
        feed->owed = end - (double)ml;
    feed->counts = count;
    feed->flow.samples = 0;
    feed->fresh = true;
    feed_log(feed);
    feed->owed -= (double)count / per_ml - (double)feed_ml(feed, count);
}

static bool feed_log_cold(Feed *feed)
{
    Event e = feed_event(feed, KIND_TEST);
    if (!feed->cold_known)
        return true;
    field_put(&e, "temp_c", feed->coldest);
    feed->cold_known = !feed_append(feed, &e);
    if (!feed->cold_known)
        feed->cold_logged = feed->coldest;
    return !feed->cold_known;
}

/* The fastest flow of the day, as a flow test that a meter counted. */
static bool feed_log_flow(Feed *feed)
{
    Event e = feed_event(feed, KIND_FLOWTEST);
    const int64_t ml = feed_ml(feed, feed->flow_counts);
    if (ml < FLOW_LEAST_ML)
        return true;
    field_put(&e, "litres", ml);
    field_put(&e, "seconds", feed->flow_ms);
    field_put(&e, "counted", 1);
    if (!feed_append(feed, &e))
        return false;
    feed->flow_counts = feed->flow_ms = 0;
    return true;
}

/* With the first sign of another day what the day before had is logged. */
static void feed_day(Feed *feed)
{
    const Moment now = feed_now(feed);
    const int64_t day = (now.ms + moment_local_zone(now) * MS_PER_MINUTE) / MS_PER_DAY;
    if (day == feed->day)
        return;
    if (feed->day != 0) {
        feed_log_cold(feed);
        feed_log_flow(feed);
    }
    feed->cold_logged = INT64_MAX;
    feed->day = day;
}

/* ---- what runs, told to the boards ---- */

static void feed_runs(Feed *feed, int64_t passed)
{
    int64_t counts, ms;
    if (feed->running.since == 0)
        feed->running = (Running){.line = feed->line, .since = feed_now(feed).ms};
    feed->running.ml += feed_ml(feed, passed);
    if (flow_sustained(&feed->flow, &counts, &ms) &&
        (feed->flow_ms == 0 ||
         (double)counts / (double)ms > (double)feed->flow_counts / (double)feed->flow_ms)) {
        feed->flow_counts = counts;
        feed->flow_ms = ms;
    }
}

static void feed_tell_boards(Feed *feed)
{
    if (feed->running.since == 0 || !feed->timed || feed->ms - feed->told_at < TELL_MS)
        return;
    feed->told_at = feed->ms;
    feed->running.at = feed_now(feed).ms;
    feed->running.ml_min =
        (int64_t)(flow_rate(&feed->flow, feed->ms) * 1000 / feed->counter.per_litre);
    if (feed->ms - feed->flow_at > RUNNING_OLD_MS)
        feed->running.ml_min = 0;
    running_tell(log_path(feed->session->log), &feed->running);
    if (feed->ms - feed->woken_at >= RUNNING_WAKE_MS) {
        feed->woken_at = feed->ms;
        running_wake(log_path(feed->session->log));
    }
}

static void feed_stands(Feed *feed)
{
    if (feed->running.since != 0)
        running_end(log_path(feed->session->log), &feed->line);
    feed->running.since = feed->woken_at = 0;
}

/* ---- lines ---- */

/* The sensor goes on from where the log knows it, where that can be; else it is another meter. */
static bool feed_resume(Feed *feed, int64_t count, Fault *fault)
{
    const State *state = log_state_lent(feed->session->log, NULL, NULL, fault);
    const int index = state != NULL ? state_line(state, &feed->line) : -1;
    if (index >= 0) {
        const Line *line = &state->lines[index];
        feed->counts = count;
        while (feed->counter.span > 0 && line->meter_at != MOMENT_NONE_MS &&
               feed_ml(feed, feed->counts) + 1 < line->meter_ml)
            feed->counts += feed->counter.span;
        const int64_t passed = feed_ml(feed, feed->counts) - line->meter_ml;
        const double most =
            ((double)(feed_now(feed).ms - line->meter_at) + 1000 * COUNTER_SLACK_S) *
            COUNTER_LITRES_PER_S;
        const bool known = line->meter_at != MOMENT_NONE_MS;
        feed->fresh = known && (passed < 0 || (feed->timed && (double)passed > most));
        feed->logged = known && !feed->fresh && passed == 0 ? feed->counts : -1;
        feed->written = (Moment){state->last_at < feed_now(feed).ms ? state->last_at : 0};
    }
    return state != NULL;
}

static void feed_count(Feed *feed, int64_t count, int64_t ms)
{
    int64_t passed;
    Fault fault = {0};
    switch (counter_take(&feed->counter, count, ms, &passed)) {
    case COUNTER_BEGAN:
        feed->counter.begun = feed_resume(feed, count, &fault);
        if (feed->counter.begun)
            feed_log(feed);
        else
            feed_tell(feed, &fault); /* the next line is the first, then */
        return;
    case COUNTER_WAITS:
        return;
    case COUNTER_ANEW:
        fprintf(stderr,
                "ullage: the count of %s began anew at %lld; what passed meanwhile is not known.\n",
                feed->line.s, (long long)count);
        feed_anew(feed, count);
        return;
    case COUNTER_COUNTS:
        break;
    }
    if (passed > 0 && feed->counts == feed->logged)
        feed->run_at = feed->ms;
    feed->counts += passed;
    flow_take(&feed->flow, feed->counts, feed->ms);
    if (passed == 0)
        return;
    feed->flow_at = feed->ms;
    if (feed->timed)
        feed_runs(feed, passed);
}

static void feed_cold(Feed *feed, int64_t thousandths)
{
    if (thousandths >= feed->cold_logged)
        return;
    if (!feed->cold_known || thousandths < feed->coldest)
        feed->coldest = thousandths;
    feed->cold_known = true;
    if (feed->timed && thousandths < COLD &&
        (feed->cold_logged == INT64_MAX || thousandths <= feed->cold_logged - COLD_STEP))
        feed_log_cold(feed);
}

void feed_line(Feed *feed, Text line, int64_t ms)
{
    SensorLine sensor;
    if (text_trim(line).n == 0)
        return;
    if (!sensor_read(feed->session->log, line, &sensor) ||
        (sensor.pulses >= 0 && feed->per_litre <= 0)) {
        if (feed->wrong++ == 0)
            fprintf(stderr,
                    "ullage: %s is no count that can be used%s; such lines are passed over.\n",
                    text_quote(line).s,
                    feed->per_litre <= 0 ? " (pulses need --pulses-per-litre)" : "");
        return;
    }
    feed_day(feed);
    if (sensor.pulses >= 0)
        feed_count(feed, sensor.pulses, ms);
    else if (sensor.ml >= 0)
        feed_count(feed, sensor.ml, ms);
    if (sensor.has_temperature)
        feed_cold(feed, sensor.temperature);
}

void feed_tick(Feed *feed)
{
    const int64_t since = feed->run_at > feed->tried_at ? feed->run_at : feed->tried_at;
    const bool still = feed->ms - feed->flow_at >= feed->quiet_ms &&
                       feed->tried_at < feed->flow_at + feed->quiet_ms;
    if (feed->counts != feed->logged && feed->counter.begun &&
        (still || feed->ms - since >= RUN_MS))
        feed_log(feed);
    if (feed->ms - feed->flow_at >= feed->quiet_ms)
        feed_stands(feed);
    feed_tell_boards(feed);
}

void feed_begin(Feed *feed, Session *session)
{
    memset(feed, 0, sizeof *feed);
    feed->session = session;
    feed->logged = -1;
    feed->cold_logged = INT64_MAX;
}

bool feed_end(Feed *feed, Fault *fault)
{
    feed_stands(feed);
    const bool good =
        (!feed->counter.begun || feed_log(feed)) && feed_log_cold(feed) && feed_log_flow(feed);
    if (feed->wrong > 0)
        fprintf(stderr, "ullage: %lld line%s passed over.\n", (long long)feed->wrong,
                feed->wrong == 1 ? " was" : "s were");
    if (!good)
        *fault = feed->told;
    return good;
}
