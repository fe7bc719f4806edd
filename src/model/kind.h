/* kind.h - what a kind of entry is: one record, with the table of its fields.
 *
 * A kind is one block in kinds_*.c: its field table, `check` and `apply`. The command line's
 * arguments, the forms, import and export, the log line and the manual's table all come from here.
 */
#ifndef ULLAGE_MODEL_KIND_H
#define ULLAGE_MODEL_KIND_H

#include "model/event.h"
#include "model/state.h"

#include <stddef.h>

typedef enum {
    FIELD_LABEL,       /* Label */
    FIELD_LABELS,      /* CoupleEvent's count and order: offset is that of `count` */
    FIELD_VOLUME,      /* int64_t mL; interchange in litres, three decimals at most */
    FIELD_MASS,        /* int64_t g; kg */
    FIELD_PRESSURE,    /* int64_t Pa; kPa */
    FIELD_TEMPERATURE, /* int64_t thousandths of a degree C */
    FIELD_ALTITUDE,    /* int64_t mm; m */
    FIELD_DECIMAL,     /* int64_t thousandths of the unit */
    FIELD_COUNT,       /* int64_t whole number */
    FIELD_CHOICE,      /* int64_t index into `choices` */
    FIELD_FLAG,        /* int64_t 0 or 1; a JSON boolean */
    FIELD_MOMENT,      /* int64_t ms since the epoch; RFC 3339 */
    FIELD_ENTRY        /* Uuid of an entry */
} FieldType;

/* The column of the log's table that carries the field (store/schema): permanent. COLUMN_MORE is
 * the JSON text for what is rare. */
typedef enum { COLUMN_NAME, COLUMN_OTHER, COLUMN_N1, COLUMN_N2, COLUMN_CODE, COLUMN_MORE } Column;

typedef struct {
    const char *name;   /* in JSON and CSV */
    const char *option; /* long option on the command line, without "--"; the form's caption too */
    const char *unit;   /* as shown beside the field: "L", "kg", "kPa", "mg/L", ...; NULL = none */
    const char *help;   /* plain words, one line */
    FieldType type;
    Names names;     /* for labels */
    bool may_be_new; /* a label that need not exist yet (it is being named, or is optional
                        knowledge) */
    bool required;
    int position; /* 1.. = positional argument; fields that share one exclude each other;
                     0 = option only */
    const char *const *choices; /* NULL-terminated, for FIELD_CHOICE */
    int64_t min, max;           /* inclusive, in the stored unit; for numbers */
    bool past;                  /* of a moment: it lies behind; else ahead */
    bool limit;                 /* a pressure not to be exceeded: told exactly, never rounded up */
    bool flow;                  /* a decimal of litres a minute that is not to be exceeded: told as
                                   volumes are, never rounded up; typed without a unit */
    bool level;                 /* a volume that is what a vessel holds, not what is moved */
    int level_field; /* of a volume: the field that a level typed here ("full", "80%", "=11.5") sets
                        instead; 0 = none, a level is refused */
    Column column;
    size_t offset; /* into Event */
} Field;

typedef struct {
    KindId id;
    const char *name;    /* "fill" */
    const char *gist;    /* one line: what it records */
    const char *example; /* command line words after the kind */
    const char *caution; /* NULL, or one sentence shown in help, form and manual */
    const char *earlier; /* NULL, or what tells the same of a time before the thing was named */
    const Field *fields;
    int field_count;
    bool several;     /* its first word may be several vessels: one entry each, all or none */
    bool moves_water; /* what it does to a vessel ends where its level or its class is made anew */
    /* The vessel that its amounts are measured against, where it is the entry itself that says what
     * that can hold: `vessel A1 --capacity 12 --level full`. False, or NULL: the one aboard. */
    bool (*measures)(const Event *e, Vessel *out);
    /* What no state could make good: fields that need or exclude each other. Asked of every entry
     * that comes in (event_check_fields, model/field.h). NULL: nothing but the field table. */
    bool (*complete)(const Event *e, Fault *fault);
    /* Can this entry be, given the state just before it? Asked before an append only, of entries
     * that event_check_fields has passed. On false the Fault says why and what to do. NULL: it can
     * always be. */
    bool (*check)(const State *state, const Event *e, Fault *fault);
    /* What is known of the thing that `e` names, as an entry that would say it all; false: it is
     * not there. NULL: naming it again amends nothing. */
    bool (*present)(const State *state, const Event *e, Event *out);
    /* An entry that says beside it what it says beyond itself, to be written after it: the first
     * fill from a place, with its class, names the usual class of that place. `state` is the one
     * before. False: it says no more. NULL: it never does. */
    bool (*brings)(const State *state, const Event *e, Event *out);
    /* What it does to the state. Can't fail: what is impossible is done as far as possible and the
     * rest becomes a discrepancy. */
    void (*apply)(State *state, const Event *e);
} Kind;

/* Index of a field by JSON name; -1 where there is none. */
int kind_field(const Kind *kind, Text name);

/* An entry was refused by the state at its own time: the fault says so, and what tells it of a time
 * before the thing was named. False. */
bool kind_refused_then(const Kind *kind, Fault *fault);

#endif
