/* reckoner.h - the reckoners as topics: what each asks, what it proposes, what it gives.
 *
 * One table. The command line (`ullage reckon`) and the reckoner screen are both made from it, so
 * they take the same words, propose the same values and show the same figures. The sums themselves
 * are in reckon/; a topic only names its fields, puts the values in, and words what comes out.
 *
 * The way through: site_settle (which vessel and line it is about) -> reckon_propose (values taken
 * from the log's state) -> reckon_read for every value that was typed -> reckon_compute.
 */
#ifndef ULLAGE_TOPICS_RECKONER_H
#define ULLAGE_TOPICS_RECKONER_H

#include "outlook/board.h"
#include "reckon/basis.h"
#include "topics/quantity.h"

enum {
    RECKON_FIELDS_MAX = 20,
    RECKON_LINES_MAX = 40,
    RECKON_WORDS = 320,
    RECKON_WHY = 72,
    RECKON_NOTES_MAX = 8
};

typedef struct {
    const char *option; /* long option, caption of the form, key in JSON */
    const char *param;  /* the parameters of reckon/ that it is, between spaces: for refusals */
    Quantity quantity;
    const char *unit; /* of a QUANTITY_NUMBER; NULL: none */
    const char *help; /* plain words, one line */
    double usual;     /* taken where nothing is proposed; NAN: may be left out */
    double scale;     /* the parameter's unit per the field's; 0: the same */
    const char *const
        *choices; /* NULL-terminated, for QUANTITY_CHOICE; usual and value are indexes */
} ReckonField;

/* What a topic is about where nobody says; decides the vessel and the line that proposals are
 * made from. */
typedef enum {
    ABOUT_NOTHING,      /* no one vessel or line has anything to say about it */
    ABOUT_QUESTIONABLE, /* a questionable vessel with water in it, else the one that holds most */
    ABOUT_WASH,         /* a wash vessel, else the one that holds most */
    ABOUT_FULLEST,      /* the vessel that holds most */
    ABOUT_DUE,          /* the vessel that is next to be sanitised */
    ABOUT_LINE,         /* the first line that is coupled */
    ABOUT_ALL           /* all aboard together */
} ReckonAbout;

typedef struct {
    const State *state;          /* borrowed */
    const Board *board;          /* borrowed; made from the state */
    int vessel, line;            /* slots in the state; -1: none */
    bool vessel_said, line_said; /* named by the person */
} ReckonSite;

typedef struct {
    double value;         /* NAN: left out */
    bool typed;           /* given by the person */
    bool known;           /* typed, or taken from the log; else what is usual stands in */
    char why[RECKON_WHY]; /* where a proposal comes from: "A1 holds it", "usual" */
} ReckonInput;

typedef enum { MARK_PLAIN, MARK_FINE, MARK_CAUTION, MARK_REFUSED } ReckonMark;
const char *reckon_mark_name(ReckonMark mark); /* "", "fine", "caution", "refused" */

typedef struct {
    const char *label;
    ReckonMark mark;
    Quantity quantity; /* QUANTITY_WORDS: the words are all of it */
    const char *unit;
    double value, high;       /* high: other end of a range, NAN: none */
    bool up;                  /* shown rounded up: a dose, a wait */
    char words[RECKON_WORDS]; /* behind the value, or instead of it; may be "" */
} ReckonLine;

typedef struct {
    bool refused;           /* an input is outside what the figures cover; see reckon_refusal */
    Basis refusal;          /* the first that was */
    const ReckonSite *site; /* borrowed while it is reckoned, NULL after */
    Units units;            /* of the words of the lines */
    double values[RECKON_FIELDS_MAX]; /* that were reckoned with */
    unsigned known;                   /* bit of each field that is, as in ReckonInput */
    unsigned wanting;                 /* of each that a judgement lacked */
    int count;
    ReckonLine lines[RECKON_LINES_MAX];
    int source_count, limit_count, caution_count;
    const char *sources[RECKON_NOTES_MAX], *limits[RECKON_NOTES_MAX], *cautions[RECKON_NOTES_MAX];
} Reckoning;

/* What stands under every result, in every form of it. */
extern const char RECKON_ALWAYS[];

typedef struct {
    const char *name; /* "chlorine" */
    const char *gist; /* one line: what it answers */
    ReckonAbout about;
    const char *example; /* command line words behind the topic */
    const ReckonField *fields;
    int field_count;
    /* Sets what the site knows; inputs hold the usual values before. May be NULL. */
    void (*propose)(const ReckonSite *site, ReckonInput inputs[]);
    void (*compute)(const double values[], Reckoning *out);
} Topic;

const Topic *const *topics_all(int *count);
const Topic *topic_named(Text name);   /* ASCII case ignored; NULL where there is none */
const Topic *topic_nearest(Text name); /* at most two letters away; NULL */

/* Picks the vessel and the line where they are -1, as the topic is about. */
void site_settle(const Topic *topic, ReckonSite *site);

/* The proposals: RECKON_FIELDS_MAX inputs. */
void reckon_propose(const Topic *topic, const ReckonSite *site, ReckonInput inputs[]);

/* Reads what a person typed for a field: quantity_parse, or a word of the choices (a unique
 * beginning will do), or "none" for a field that may be left out. Sets value and typed; unchanged
 * on failure. FAULT_USAGE. */
bool reckon_read(const ReckonField *field, Text text, Units units, ReckonInput *input,
                 Fault *fault);
/* The value as text that reckon_read takes: "8.2 L", "still", "none". `tolerance` as for
 * quantity_text. `out` of QUANTITY_TEXT bytes. */
char *reckon_text(const ReckonField *field, double value, Units units, double tolerance, char *out);

/* Reckons. Every number in the result is finite; a result with `refused` may hold lines that do not
 * depend on what was refused. Nothing is MARK_FINE where a value that decides it is not known.
 * Lines may borrow names from the site's state. */
void reckon_compute(const Topic *topic, const ReckonSite *site, const ReckonInput inputs[],
                    Units units, Reckoning *out);

/* Why it is refused, as a sentence that names the field and the range in the units asked for;
 * *field (may be NULL) receives its index, -1 where it is none of the topic's. */
void reckon_refusal(const Topic *topic, const Reckoning *reckoning, Units units, int *field,
                    Str *out);

/* A line without its label: "1.64 mL, 33 drops"; what is not plain begins with its mark ("fine: ",
 * "caution: ", "REFUSED: "), but for the further lines of a list. */
void reckon_line_tell(const ReckonLine *line, Units units, Str *out);

#endif
