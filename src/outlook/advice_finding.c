/* What the rules share: how a finding is worded. */
#include "outlook/advice_private.h"

#include "model/names.h"

#include <stdio.h>

void finding_more(Finding *f, int more)
{
    if (more > 0)
        snprintf(f->more, sizeof f->more, " (and %d more)", more);
}

void finding_date(Finding *f, const Board *board, Moment at)
{
    char date[64];
    snprintf(f->words, sizeof f->words, "%s",
             moment_known(at) ? moment_print_date(at, board->now, date) : "long");
}

void vessels_tell(const Label *names, int count, char *out, size_t size)
{
    Str all = {0};
    names_tell(names, count, &all);
    if (all.n < size)
        snprintf(out, size, "%s", all.s);
    else
        snprintf(out, size, "%d vessels", count);
    str_finish(&all);
}

bool vessels_such(const Board *board, bool (*such)(const BoardVessel *v), Finding *f)
{
    Label names[VESSELS_ABOARD_MAX];
    int found = 0;
    for (int i = 0; i < board->vessel_count; i++)
        if (such(&board->vessels[i]))
            names[found++] = board->vessels[i].label;
    if (found > 0)
        vessels_tell(names, found, f->words, sizeof f->words);
    return found > 0;
}
