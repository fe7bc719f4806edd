#include "model/names.h"

#include "model/kinds_private.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool is_there(const State *state, Names names, const Label *name)
{
    return !label_empty(name) && state_find(state, names, name) >= 0;
}

const Label *name_begun(const State *state, Names names, Text text)
{
    const Label *only = NULL, *name;
    for (int i = 0; (name = state_name(state, names, i)) != NULL; i++) {
        if (text.n == 0 || !is_there(state, names, name) || !text_begins(text, name->s))
            continue;
        if (only != NULL)
            return NULL;
        only = name;
    }
    return only;
}

const Label *name_meant(const State *state, Names names, Text text)
{
    enum { LONG_ENOUGH = 5, SLIPS = 2 };
    const Label *name;
    if (text.n < LONG_ENOUGH)
        return NULL;
    for (int i = 0; (name = state_name(state, names, i)) != NULL; i++)
        if (is_there(state, names, name) && text_distance(text, text_of(name->s), SLIPS) <= SLIPS)
            return name;
    return NULL;
}

/* ---- several ---- */

typedef struct {
    const State *state;
    Label *out;
    int size, count;
} List;

static const Label *vessel_spelt(const State *state, Text text)
{
    const Label *name;
    for (int i = 0; (name = state_name(state, NAMES_VESSEL, i)) != NULL; i++)
        if (is_there(state, NAMES_VESSEL, name) && text_is_nocase(text, name->s))
            return name;
    return NULL;
}

static bool list_add(List *list, Text text, Fault *fault)
{
    const Label *name = vessel_spelt(list->state, text);
    Label asked;
    if (name == NULL)
        return label_set(&asked, text, fault) &&
               refuse_unknown(list->state, NAMES_VESSEL, &asked, fault);
    for (int i = 0; i < list->count; i++)
        if (label_equal(&list->out[i], name))
            return fault_set(fault, FAULT_USAGE, "%s is named twice.", name->s);
    if (list->count == list->size)
        return fault_set(fault, FAULT_REFUSED, "%d vessels at most can be named at once.",
                         list->size);
    list->out[list->count++] = *name;
    return true;
}

/* Where the number at the end of a name begins. */
static size_t number_at(Text text)
{
    size_t at = text.n;
    while (at > 0 && is_digit(text.s[at - 1]))
        at--;
    return at;
}

static bool number_read(Text text, size_t at, long *number)
{
    char digits[8];
    if (at == text.n || text.n - at >= sizeof digits)
        return false;
    snprintf(digits, sizeof digits, "%.*s", (int)(text.n - at), text.s + at);
    *number = strtol(digits, NULL, 10);
    return true;
}

/* "A1-A4", "A1-4": the vessels from the first to the second by their numbers. */
static bool range_read(Text text, Text *stem, long *from, long *to)
{
    size_t cut = 0;
    while (cut < text.n && text.s[cut] != '-')
        cut++;
    if (cut == text.n)
        return false;
    const Text first = text_trim(text_slice(text.s, cut));
    const Text last = text_trim(text_slice(text.s + cut + 1, text.n - cut - 1));
    const size_t a = number_at(first), b = number_at(last);
    char same[LABEL_SIZE];
    snprintf(same, sizeof same, "%.*s", (int)a, first.s);
    *stem = text_slice(first.s, a);
    return number_read(first, a, from) && number_read(last, b, to) && *from <= *to &&
           (b == 0 || text_is_nocase(text_slice(last.s, b), same));
}

static bool list_range(List *list, Text stem, long from, long to, Fault *fault)
{
    char name[LABEL_SIZE + 24];
    for (long i = from; i <= to; i++) {
        const int n = snprintf(name, sizeof name, "%.*s%ld", (int)stem.n, stem.s, i);
        if (!list_add(list, text_slice(name, (size_t)n), fault))
            return false;
    }
    return true;
}

static bool list_word(List *list, Text word, Fault *fault)
{
    Text stem;
    long from, to;
    if (vessel_spelt(list->state, word) == NULL && range_read(word, &stem, &from, &to))
        return list_range(list, stem, from, to, fault);
    return list_add(list, word, fault);
}

/* What stands between two commas: a name, or names with spaces between. */
static bool list_part(List *list, Text part, Fault *fault)
{
    if (vessel_spelt(list->state, part) != NULL)
        return list_add(list, part, fault);
    while (part.n > 0) {
        const Text word = text_trim(text_cut(&part, ' '));
        if (word.n > 0 && !list_word(list, word, fault))
            return false;
    }
    return true;
}

int names_list(const State *state, Text text, Label out[], int size, Fault *fault)
{
    List list = {state, out, size, 0};
    for (Text rest = text_trim(text); rest.n > 0;) {
        const Text part = text_trim(text_cut(&rest, ','));
        if (part.n > 0 && !list_part(&list, part, fault))
            return 0;
    }
    if (list.count == 0)
        fault_set(fault, FAULT_REFUSED, "No vessel is named.");
    return list.count;
}

/* ---- told ---- */

/* How many of the names from here on are numbered on from the first. */
static int run_of(const Label *names, int count)
{
    const Text first = text_of(names[0].s);
    const size_t stem = number_at(first);
    long from, next;
    int n = 1;
    if (!number_read(first, stem, &from))
        return 1;
    for (; n < count; n++) {
        const Text name = text_of(names[n].s);
        if (number_at(name) != stem || memcmp(name.s, first.s, stem) != 0 ||
            !number_read(name, stem, &next) || next != from + n)
            break;
    }
    return n;
}

void names_tell(const Label *names, int count, Str *out)
{
    enum { WORTH = 3 };
    str_adds(out, "");
    for (int i = 0; i < count;) {
        const int run = run_of(&names[i], count - i);
        str_addf(out, "%s%s", i > 0 ? ", " : "", names[i].s);
        if (run >= WORTH)
            str_addf(out, "-%s", names[i + run - 1].s);
        i += run >= WORTH ? run : 1;
    }
}
