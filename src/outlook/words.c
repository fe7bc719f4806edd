#include "outlook/words.h"

#include <stdio.h>

const char *marks_name(bool asserted, bool raw)
{
    static const char *const names[2][2] = {{"", "raw"}, {"on your word", "on your word, raw"}};
    return names[asserted][raw];
}

void class_tell(const BoardVessel *v, Str *out)
{
    const char *marks = marks_name(v->asserted, v->raw && v->quality != CLASS_NON_POTABLE);
    str_addf(out, "%s%s%s", quality_name(v->quality), marks[0] != '\0' ? ", " : "", marks);
}

const char *tap_verdict(const BoardLine *line)
{
    const char *name = verdict_name(line->verdict);
    if (name == NULL || !line->delivers)
        return "no water";
    if (line->verdict != VERDICT_DRINK)
        return name;
    return line->doubt.stale                          ? "drink (stale)"
           : (line->doubt.marks & MARK_RAW) != 0      ? "drink (raw)"
           : (line->doubt.marks & MARK_ASSERTED) != 0 ? "drink (your word)"
                                                      : name;
}

/* The vessel nearest the air, from the lead on, that is of the delivered class. */
static const BoardVessel *culprit(const Board *board, const BoardLine *line)
{
    for (int i = 0; i < line->count; i++) {
        const BoardVessel *v = &board->vessels[line->vessels[i]];
        if (!v->spent && v->quality == line->quality)
            return v;
    }
    return NULL;
}

void tap_why(const Board *board, const BoardLine *line, char *out, size_t size)
{
    const BoardVessel *from = culprit(board, line);
    const char *marks =
        marks_name((line->doubt.marks & MARK_ASSERTED) != 0, (line->doubt.marks & MARK_RAW) != 0);
    if (line->count == 0)
        snprintf(out, size, "no vessel is coupled");
    else if (!line->delivers)
        snprintf(out, size, "every vessel is down to its heel");
    else if (line->quality == CLASS_POTABLE)
        snprintf(out, size, "potable all the way%s%s%s", marks[0] != '\0' ? ", " : "", marks,
                 line->doubt.stale ? ", stale" : "");
    else if (from == NULL)
        snprintf(out, size, "foul water reached the tap: sanitise the line");
    else
        snprintf(out, size, "%s from %s on%s", quality_name(line->quality), from->label.s,
                 line->verdict == VERDICT_DRINK_IF_TREATED ? "; the train treats it" : "");
}
