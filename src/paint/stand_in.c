#include "paint/stand_in.h"

#include "model/kinds.h"
#include "paint/glyph.h"
#include "paint/width.h"

#include <stdio.h>
#include <string.h>

static bool all_ascii(const Label *name)
{
    for (const char *c = name->s; *c != '\0'; c++)
        if ((unsigned char)*c >= 0x80)
            return false;
    return true;
}

/* As a sheet shows it without stand-ins. True where a letter has none of its own. */
static bool plain_form(const Label *name, char out[LABEL_SIZE])
{
    const Text text = text_of(name->s);
    bool lacks = false;
    size_t n = 0;
    for (size_t at = 0; at < text.n;) {
        const uint32_t code = text_next(text, &at);
        out[n] = glyph_ascii(code);
        lacks = lacks || (out[n] == '?' && code != '?');
        n++;
    }
    out[n] = '\0';
    return lacks;
}

/* The i-th name of the state, of whatever sort; NULL after the last. */
static const Label *any_name(const State *state, int i)
{
    static const Names sorts[] = {NAMES_VESSEL, NAMES_LINE, NAMES_STAGE, NAMES_SOURCE, NAMES_STOP};
    const int counts[] = {state->vessel_count, state->line_count, state->stage_count,
                          state->source_count, state->stop_count};
    for (size_t s = 0; s < sizeof sorts / sizeof *sorts; i -= counts[s++])
        if (i < counts[s])
            return state_name(state, sorts[s], i);
    return NULL;
}

/* Would it be taken for another name? */
static bool looks_like_another(const State *state, const Label *name, const char *plain)
{
    char other[LABEL_SIZE];
    const Label *label;
    for (int i = 0; (label = any_name(state, i)) != NULL; i++) {
        plain_form(label, other);
        if (!label_equal(label, name) && strcmp(other, plain) == 0)
            return true;
    }
    return false;
}

/* "A~1", no wider than the name; one column has room for the number's last digit alone. */
static void stand_in_text(const char *plain, int number, int columns, char out[LABEL_SIZE])
{
    char mark[16];
    const size_t wide = columns < LABEL_MAX ? (size_t)columns : LABEL_MAX;
    const int n = snprintf(mark, sizeof mark, "~%d", number);
    const size_t size = (size_t)n < wide ? (size_t)n : wide;
    size_t keep = strcspn(plain, "?");
    keep = keep < wide - size ? keep : wide - size;
    snprintf(out, LABEL_SIZE, "%.*s%s", (int)keep, plain, mark + n - size);
}

static bool named_already(const StandIns *names, const Label *name)
{
    for (int i = 0; i < names->count; i++)
        if (label_equal(names->of[i].name, name))
            return true;
    return false;
}

void stand_ins_make(const State *state, StandIns *out)
{
    char plain[LABEL_SIZE];
    const Label *name;
    out->count = 0;
    for (int i = 0; (name = any_name(state, i)) != NULL; i++) {
        if (all_ascii(name) || named_already(out, name))
            continue;
        if (!plain_form(name, plain) && !looks_like_another(state, name, plain))
            continue;
        stand_in_text(plain, out->count + 1, width_ofs(name->s), out->of[out->count].text);
        out->of[out->count++].name = name;
    }
}

int stand_in_at(const StandIns *names, Text text)
{
    int best = -1;
    size_t longest = 0;
    for (int i = 0; i < names->count; i++) {
        const size_t n = strlen(names->of[i].name->s);
        if (n > longest && n <= text.n && memcmp(names->of[i].name->s, text.s, n) == 0) {
            longest = n;
            best = i;
        }
    }
    return best;
}
