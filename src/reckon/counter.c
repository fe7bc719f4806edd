#include "reckon/counter.h"

/* What passed from one count to the next; negative: it can't have. */
static int64_t follows(const Counter *c, int64_t from, int64_t at, int64_t count, int64_t ms)
{
    int64_t passed = count - from;
    if (passed < 0 && count < c->span) /* no count is below a span of 0 */
        passed += c->span;
    const double seconds = (double)(ms - at) / 1000 + COUNTER_SLACK_S;
    return (double)passed <= seconds * COUNTER_LITRES_PER_S * c->per_litre ? passed : -1;
}

static CounterStep believe(Counter *c, CounterStep step, int64_t count, int64_t ms)
{
    c->begun = true;
    c->doubted = false;
    c->last = count;
    c->at = ms;
    return step;
}

CounterStep counter_take(Counter *c, int64_t count, int64_t ms, int64_t *passed)
{
    *passed = 0;
    if (!c->begun)
        return believe(c, COUNTER_BEGAN, count, ms);
    const int64_t since_last = follows(c, c->last, c->at, count, ms);
    if (since_last >= 0) {
        *passed = since_last;
        return believe(c, COUNTER_COUNTS, count, ms);
    }
    if (c->doubted && follows(c, c->doubt, c->doubt_at, count, ms) >= 0)
        return believe(c, COUNTER_ANEW, count, ms);
    c->doubted = true;
    c->doubt = count;
    c->doubt_at = ms;
    return COUNTER_WAITS;
}
