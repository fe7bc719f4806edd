#include "base/memory.h"
#include "model/fold.h"
#include "store/log.h"

#include <stdlib.h>

typedef struct {
    State state;
    LogSpan span;
    int next; /* the next moment to look at */
    LogLook look;
    void *context;
} SampleWalk;

static Moment moment_of(const SampleWalk *walk, int i)
{
    const LogSpan *span = &walk->span;
    return (Moment){span->since.ms + (span->until.ms - span->since.ms) * i / (span->count - 1)};
}

static void look_next(SampleWalk *walk)
{
    walk->look(walk->context, walk->next, &walk->state);
    walk->next++;
}

static bool walk_on(void *context, const Event *e, bool voided)
{
    SampleWalk *walk = context;
    if (voided)
        return true;
    while (walk->next < walk->span.count && moment_of(walk, walk->next).ms < e->at.ms)
        look_next(walk);
    fold_apply(&walk->state, e);
    return walk->next < walk->span.count;
}

bool log_sample(Log *log, LogSpan span, LogLook look, void *context, Fault *fault)
{
    SampleWalk *walk = memory_get(sizeof *walk);
    int64_t entries;
    const LogQuery after = {.since = {span.since.ms + 1}, .until = span.until};
    walk->span = span;
    walk->look = look;
    walk->context = context;
    const bool good = log_state_at(log, span.since, &walk->state, &entries, fault) &&
                      log_each(log, &after, walk_on, walk, fault);
    while (good && walk->next < span.count)
        look_next(walk);
    free(walk);
    return good;
}
