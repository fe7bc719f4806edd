/* advice_private.h - what the rooms of the table of alerts share. Private to outlook/advice*.c and
 * their test. */
#ifndef ULLAGE_OUTLOOK_ADVICE_PRIVATE_H
#define ULLAGE_OUTLOOK_ADVICE_PRIVATE_H

#include "outlook/advice.h"

/* What a rule found: the names and words that its sentences are filled with. */
typedef struct {
    const Label *about;  /* %a; also the alert's `about` */
    const Label *place;  /* %l */
    char words[160];     /* %w */
    char others[160];    /* %b: the vessels at fault */
    const char *or_else; /* %t: what else would do; "" or a clause */
    char more[40];       /* %m: " (and 2 more)" or "" */
} Finding;

typedef enum { OVER_BOARD, OVER_VESSELS, OVER_LINES, OVER_STAGES, OVER_STOPS } Scope;

/* Among a rule's flags: vessels of which the same is found share one alert, %a names them all, and
 * %{is|are} takes the second word for them. */
enum { GROUPED = 0x100 };

typedef struct {
    const char *id;
    AlertLevel level;
    unsigned flags; /* ALERT_..., GROUPED */
    Scope scope;
    bool (*applies)(const Board *board, int i, Finding *finding);
    const char *says; /* what is so */
    const char *todo; /* what to do; what ends it */
} Rule;

typedef struct {
    const Rule *rules;
    int count;
} Rules;
extern const Rules advice_harm, advice_supply, advice_care;

void finding_more(Finding *f, int more);
void finding_date(Finding *f, const Board *board, Moment at);
/* Their labels, as they are read: "A1-A4, R1"; where that is too long, how many they are. */
void vessels_tell(const Label *names, int count, char *out, size_t size);
/* Several vessels of which one thing is to be said, by their labels. */
bool vessels_such(const Board *board, bool (*such)(const BoardVessel *v), Finding *f);

#endif
