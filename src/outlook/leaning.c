/* Fills that took a class which their source no longer has, in words. */
#include "outlook/board.h"

#include <string.h>

/* As many as a sentence on the board has room for. */
static void leaning_vessels(const State *state, uint64_t vessels, Str *out)
{
    enum { NAMES_BYTES = 64 };
    const char *between = " (";
    size_t named = 0;
    int more = 0;
    for (int i = 0; i < state->vessel_count; i++) {
        const Label *label = &state->vessels[i].label;
        if ((vessels >> i & 1) == 0)
            continue;
        named += strlen(label->s) + 2;
        if (named > NAMES_BYTES) {
            more++;
            continue;
        }
        str_addf(out, "%s%s", between, label->s);
        between = ", ";
    }
    if (more > 0)
        str_addf(out, " and %d more", more);
    str_adds(out, vessels != 0 ? ")" : "");
}

bool leaning_tell(const State *state, const Source *source, Moment now, Str *out)
{
    const Leaning *leant = &source->leant;
    if (leant->fills == 0)
        return false;
    str_addf(out, "%lld fill%s since %s", (long long)leant->fills, leant->fills == 1 ? "" : "s",
             moment_print_local((Moment){leant->since}, now, (char[64]){0}));
    leaning_vessels(state, leant->vessels, out);
    str_addf(out, " keep%s %s", leant->fills == 1 ? "s" : "",
             quality_name(source_quality(source->was)));
    const Quality was = source_quality(source->was), is = source_quality(source->quality);
    return was != is && quality_worst(was, is) == is;
}
