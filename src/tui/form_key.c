/* Typing into a form and moving about in it. */
#include "tui/form.h"
#include "tui/propose.h"

#include <stdio.h>
#include <string.h>

static size_t char_before(const char *text, size_t at)
{
    if (at == 0)
        return 0;
    at--;
    while (at > 0 && ((unsigned char)text[at] & 0xc0) == 0x80)
        at--;
    return at;
}

static size_t char_after(const char *text, size_t at)
{
    if (!text[at])
        return at;
    at++;
    while (((unsigned char)text[at] & 0xc0) == 0x80)
        at++;
    return at;
}

static void form_go(Form *form, int to)
{
    int count = form->count;
    form->active = ((to % count) + count) % count;
    form->caret = strlen(form->fields[form->active].text);
}

static void text_set(Form *form, const char *text)
{
    FormField *row = &form->fields[form->active];
    const size_t n = strnlen(text, sizeof row->text - 1);
    memmove(row->text, text, n); /* a proposal may be what stands there already */
    row->text[n] = '\0';
    row->as_typed = false;
    form->caret = strlen(row->text);
    form->touched = true;
}

/* Left and Right go through what can be chosen, where the field is empty or holds one of the
 * choices in full. */
static bool form_cycle(Form *form, int step, const State *state)
{
    FormField *row = &form->fields[form->active];
    if (row->field >= form->kind->field_count)
        return false;
    const Field *f = &form->kind->fields[row->field];
    static const char *const YES_NO[] = {"yes", "no", NULL};
    const char *words[VESSEL_SLOTS + SOURCES_MAX];
    Label names[SOURCES_MAX];
    int count = 0;
    if (f->type == FIELD_CHOICE || f->type == FIELD_FLAG) {
        const char *const *choices = f->type == FIELD_FLAG ? YES_NO : f->choices;
        for (; choices && choices[count] && count < VESSEL_SLOTS; count++)
            words[count] = choices[count];
    } else if (f->type == FIELD_LABEL && f->names != NAMES_NOTHING) {
        count = propose_names(f->names, state, text_of(""), names, SOURCES_MAX);
        for (int i = 0; i < count; i++)
            words[i] = names[i].s;
    }
    if (count == 0)
        return false;
    const char *now = row->text[0] ? row->text : row->proposal;
    int at = -1;
    for (int i = 0; i < count; i++) {
        if (text_is_nocase(text_of(now), words[i]))
            at = i;
    }
    if (at < 0 && row->text[0])
        return false;
    if (at < 0)
        at = step > 0 ? -1 : 0;
    text_set(form, words[(at + step + count) % count]);
    return true;
}

static void form_type(Form *form, Press press)
{
    FormField *row = &form->fields[form->active];
    char bytes[5];
    size_t n = press_utf8(press, bytes), have = strlen(row->text);
    if (n == 0 || have + n > FORM_TEXT_MAX)
        return;
    memmove(row->text + form->caret + n, row->text + form->caret, have - form->caret + 1);
    memcpy(row->text + form->caret, bytes, n);
    form->caret += n;
    form->touched = true;
}

static void form_erase(Form *form, size_t from, size_t to)
{
    char *text = form->fields[form->active].text;
    memmove(text + from, text + to, strlen(text + to) + 1);
    form->caret = from;
    form->touched = true;
    if (!text[0])
        form->fields[form->active].as_typed = false;
}

bool form_key(Form *form, Press press, const State *state)
{
    FormField *row = &form->fields[form->active];
    switch (press) {
    case PRESS_TAB:
    case PRESS_DOWN:
        form_go(form, form->active + 1);
        return true;
    case PRESS_BACKTAB:
    case PRESS_UP:
        form_go(form, form->active - 1);
        return true;
    case PRESS_LEFT:
        if (!form_cycle(form, -1, state))
            form->caret = char_before(row->text, form->caret);
        return true;
    case PRESS_RIGHT:
        if (row->completed[0] && form->caret == strlen(row->text))
            text_set(form, row->completed);
        else if (!form_cycle(form, 1, state))
            form->caret = char_after(row->text, form->caret);
        return true;
    case PRESS_HOME:
    case PRESS_CTRL('A'):
        form->caret = 0;
        return true;
    case PRESS_END:
    case PRESS_CTRL('E'):
        form->caret = strlen(row->text);
        return true;
    case PRESS_BACKSPACE:
        if (row->completed[0] && form->kind->fields[row->field].may_be_new)
            row->as_typed = true; /* the text itself is meant, not the name that it was taken for */
        else
            form_erase(form, char_before(row->text, form->caret), form->caret);
        return true;
    case PRESS_DELETE:
        form_erase(form, form->caret, char_after(row->text, form->caret));
        return true;
    case PRESS_CTRL('U'):
        form_erase(form, 0, strlen(row->text));
        return true;
    default:
        if (!press_is_text(press))
            return false;
        form_type(form, press);
        return true;
    }
}
