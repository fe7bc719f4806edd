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

bool vessels_such(const Board *board, bool (*such)(const BoardVessel *v), Finding *f)
{
    Label names[VESSELS_ABOARD_MAX];
    Str all = {0};
    int found = 0;
    for (int i = 0; i < board->vessel_count; i++)
        if (such(&board->vessels[i]))
            names[found++] = board->vessels[i].label;
    names_tell(names, found, &all);
    if (all.n < sizeof f->words)
        snprintf(f->words, sizeof f->words, "%s", all.s);
    else
        snprintf(f->words, sizeof f->words, "%d vessels", found);
    str_finish(&all);
    return found > 0;
}
