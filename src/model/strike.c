#include "model/strike.h"

/* What is known of a void while its ring is still being walked. */
typedef enum { STRIKE_UNKNOWN, STRIKE_ACTS, STRIKE_STRUCK } StrikeState;

enum { STRIKE_DEPTH_MAX = 10000 };

typedef struct Trail {
    const struct Trail *up;
    const Uuid *id;
    int depth;
} Trail;

static bool on_trail(const Trail *trail, const Uuid *id)
{
    for (; trail != NULL; trail = trail->up)
        if (uuid_compare(trail->id, id) == 0)
            return true;
    return false;
}

/* The state of the entry `id`, seen as a void. Struck as soon as one void that acts names it; acts
 * when all that name it are struck; a step back onto the trail is a ring and stays unknown. This is
 * the least fixed point (Kleene), so the order in which voids are looked at does not matter. */
static StrikeState strike_state(const VoidSource *source, const Uuid *id, const Trail *up)
{
    const Trail here = {up, id, up == NULL ? 0 : up->depth + 1};
    if (here.depth > STRIKE_DEPTH_MAX)
        return STRIKE_UNKNOWN;
    StrikeState result = STRIKE_ACTS;
    Uuid by;
    for (size_t n = 0; source->nth(source->context, id, n, &by); n++) {
        const StrikeState s =
            on_trail(&here, &by) ? STRIKE_UNKNOWN : strike_state(source, &by, &here);
        if (s == STRIKE_ACTS)
            return STRIKE_STRUCK;
        if (s == STRIKE_UNKNOWN)
            result = STRIKE_UNKNOWN;
    }
    return result;
}

bool strike_holds(const VoidSource *source, const Uuid *entry)
{
    return strike_state(source, entry, NULL) == STRIKE_STRUCK;
}
