#include "outlook/advice_private.h"

#include "model/names.h"

#include <stdio.h>
#include <string.h>

const char *alert_level_name(AlertLevel level)
{
    static const char *const names[] = {"notice", "caution", "warning"};
    return names[level];
}

static int scope_count(const Board *board, Scope scope)
{
    switch (scope) {
    case OVER_VESSELS:
        return board->vessel_count;
    case OVER_LINES:
        return board->line_count;
    case OVER_STAGES:
        return board->stage_count;
    case OVER_STOPS:
        return board->stop_count;
    case OVER_BOARD:
        break;
    }
    return 1;
}

/* The word that a clause of two takes: "%{is|are}". Returns where it ends. */
static const char *either(Str *out, const char *form, bool many)
{
    const char *bar = strchr(form, '|'), *end = strchr(form, '}');
    if (bar == NULL || end == NULL)
        return form;
    str_add(out, many ? text_slice(bar + 1, (size_t)(end - bar - 1))
                      : text_slice(form, (size_t)(bar - form)));
    return end;
}

/* `names`: of those that share it, `many` of them or one. */
static void sentence(Str *out, const char *form, const Finding *f, const char *names, bool many)
{
    for (const char *c = form; *c != '\0'; c++) {
        if (c[0] != '%') {
            str_addc(out, *c);
            continue;
        }
        c++;
        if (*c == '{')
            c = either(out, c + 1, many);
        else if (*c == 'a')
            str_adds(out, names);
        else if (*c == 'b')
            str_adds(out, f->others);
        else if (*c == 't')
            str_adds(out, f->or_else);
        else if (*c == 'l')
            str_adds(out, f->place->s);
        else if (*c == 'w')
            str_adds(out, f->words);
        else if (*c == 'm')
            str_adds(out, f->more);
        else
            str_addc(out, *c);
    }
}

/* Cut where it must be at a whole character: labels are UTF-8. */
static size_t text_keep(char *out, size_t size, const Str *text)
{
    size_t n = 0;
    for (size_t at = 0; at < text->n; n = at) {
        text_next(text_slice(text->s, text->n), &at);
        if (at >= size)
            break;
    }
    if (n > 0)
        memcpy(out, text->s, n);
    out[n] = '\0';
    return n;
}

static void alert_add(Board *board, const Rule *rule, const Finding *f, const Label *names,
                      int count)
{
    if (board->alert_count == BOARD_ALERTS_MAX)
        return;
    Alert *alert = &board->alerts[board->alert_count++];
    *alert = (Alert){.level = rule->level, .id = rule->id};
    alert->flags = (rule->flags & ~(unsigned)GROUPED) | (count > 1 ? ALERT_MANY : 0);
    if (count == 1)
        alert->about = names[0];
    Str text = {0}, all = {0};
    names_tell(names, count, &all);
    if (count > 1 && all.n > sizeof f->words) { /* what to do must stand as well */
        str_clear(&all);
        str_addf(&all, "%d vessels", count);
    }
    sentence(&text, rule->says, f, all.s, count > 1);
    alert->says = text_keep(alert->text, sizeof alert->text, &text);
    str_addc(&text, ' ');
    sentence(&text, rule->todo, f, all.s, count > 1);
    text_keep(alert->text, sizeof alert->text, &text);
    str_finish(&text);
    str_finish(&all);
}

/* Of a rule that is GROUPED: others and more are no part of what such a one finds. */
static bool same_finding(const Finding *a, const Finding *b)
{
    return a->place == b->place && strcmp(a->words, b->words) == 0;
}

/* Every thing of its scope that the rule applies to; those of which the same is found, once. */
static void rule_give(Board *board, const Rule *rule)
{
    Finding found[VESSELS_ABOARD_MAX];
    bool told[VESSELS_ABOARD_MAX] = {false}, applies[VESSELS_ABOARD_MAX] = {false};
    const int n = scope_count(board, rule->scope);
    const bool grouped = (rule->flags & GROUPED) != 0;
    for (int i = 0; i < n && !grouped; i++) {
        Finding finding = {0};
        if (rule->applies(board, i, &finding))
            alert_add(board, rule, &finding, finding.about, finding.about != NULL);
    }
    for (int i = 0; i < n && grouped; i++) {
        found[i] = (Finding){0};
        applies[i] = rule->applies(board, i, &found[i]);
    }
    for (int i = 0; i < n && grouped; i++) {
        Label names[VESSELS_ABOARD_MAX];
        int count = 0;
        if (!applies[i] || told[i])
            continue;
        for (int k = i; k < n; k++)
            if (applies[k] && same_finding(&found[i], &found[k])) {
                told[k] = true;
                names[count++] = *found[k].about;
            }
        alert_add(board, rule, &found[i], names, count);
    }
}

void advice_give(Board *board)
{
    static const Rules *const rooms[] = {&advice_harm, &advice_supply, &advice_care};
    board->alert_count = 0;
    for (int level = ALERT_WARNING; level >= (int)ALERT_NOTICE; level--)
        for (size_t r = 0; r < sizeof rooms / sizeof rooms[0]; r++)
            for (int i = 0; i < rooms[r]->count; i++)
                if ((int)rooms[r]->rules[i].level == level)
                    rule_give(board, &rooms[r]->rules[i]);
}
