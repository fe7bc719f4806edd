#include "base/memory.h"
#include "model/fold.h"
#include "store/log.h"

#include <stdlib.h>

typedef struct {
    State state;
    Moment since, until;
    int count, next; /* the next moment to look at */
    LogLook look;
    void *context;
} SampleWalk;

static Moment moment_of(const SampleWalk *walk, int i)
{
    return (Moment){walk->since.ms + (walk->until.ms - walk->since.ms) * i / (walk->count - 1)};
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
    while (walk->next < walk->count && moment_of(walk, walk->next).ms < e->at.ms)
        look_next(walk);
    fold_apply(&walk->state, e);
    return walk->next < walk->count;
}

bool log_sample(Log *log, Moment since, Moment until, int count, LogLook look, void *context,
                Fault *fault)
{
    SampleWalk *walk = memory_get(sizeof *walk);
    int64_t entries;
    const LogQuery after = {.since = {since.ms + 1}, .until = until};
    walk->since = since;
    walk->until = until;
    walk->count = count;
    walk->look = look;
    walk->context = context;
    const bool good = log_state_at(log, since, &walk->state, &entries, fault) &&
                      log_each(log, &after, walk_on, walk, fault);
    while (good && walk->next < count)
        look_next(walk);
    free(walk);
    return good;
}
