/* event.h - one entry of the log, as the program holds it in memory.
 *
 * An Event is a plain value: it owns nothing and borrows nothing, and is copied by assignment.
 * Which fields of the payload were given stands in `has`, one bit per row of the kind's field table
 * (model/kinds.h): the bit of a field that was left out is 0 and its value is 0.
 */
#ifndef ULLAGE_MODEL_EVENT_H
#define ULLAGE_MODEL_EVENT_H

#include "base/label.h"
#include "base/moment.h"
#include "base/units.h"
#include "base/uuid.h"
#include "model/quality.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* The values stand in logs: the list only grows at its end. */
typedef enum {
    KIND_NONE, /* no kind, or where entries are asked for: every kind */
    KIND_FILL,
    KIND_DRAW,
    KIND_SOUND,
    KIND_DECANT,
    KIND_DUMP,
    KIND_SANITISE,
    KIND_TREAT,
    KIND_COUPLE,
    KIND_PRESSURISE,
    KIND_SWAP,
    KIND_SPARES,
    KIND_FLOWTEST,
    KIND_VESSEL,
    KIND_RETIRE,
    KIND_STAGE,
    KIND_UNSTAGE,
    KIND_SOURCE,
    KIND_CREW,
    KIND_STOP,
    KIND_UNSTOP,
    KIND_NOTE,
    KIND_VOID,
    KIND_SETTLE,   /* a discrepancy is looked at and settled: it leaves the list */
    KIND_PUTOFF,   /* a reminder is seen: it is quiet until a time */
    KIND_TEST,     /* what a test found in a vessel, at a tap, of a source */
    KIND_METER,    /* a reading of the water meter on a line */
    KIND_LEADTIME, /* so many days ahead what falls due is told */
    KIND_END       /* one past the last */
} KindId;

typedef enum { DUTY_LINE, DUTY_RESERVE, DUTY_WASH, DUTY_STORE } Duty;
typedef enum {
    STAGE_SEDIMENT,
    STAGE_CARBON_GRANULAR,
    STAGE_CARBON_BLOCK,
    STAGE_UV,
    STAGE_MEMBRANE,
    STAGE_OTHER
} StageType;
typedef enum {
    SOURCE_MAINS,
    SOURCE_VENDOR,
    SOURCE_WELL,
    SOURCE_SPRING,
    SOURCE_STREAM,
    SOURCE_LAKE,
    SOURCE_RAIN,
    SOURCE_HOSE,
    SOURCE_OTHER
} SourceType;
typedef enum { PURPOSE_DRINK, PURPOSE_COOK, PURPOSE_DISHES, PURPOSE_WASH, PURPOSE_OTHER } Purpose;
typedef enum { NITRATE_N, NITRATE_NO3 } NitrateUnit;
typedef enum { METHOD_CHLORINE, METHOD_BOIL, METHOD_UV, METHOD_FILTER } Method;
typedef enum { LAMP_ALWAYS, LAMP_WITH_FLOW } LampHabit;
/* What a stage or a vessel wants done: swapped, sanitised, its water changed; a spare got. The
 * first ones are said in entries, the last is put off with the swap. */
typedef enum { CARE_SWAP, CARE_SANITISE, CARE_WATER, CARE_SPARE, CARE_LOOK } Care;

enum {
    VESSELS_ABOARD_MAX = 16, /* not retired */
    VESSEL_SLOTS = 48,       /* with the retired ones that are remembered */
    LINES_MAX = 4,
    STAGES_MAX = 16,
    SOURCES_MAX = 128,
    STOPS_MAX = 32,
    DISCREPANCIES_MAX = 32,
    NOTE_MAX = 1000 /* bytes of a note */
};

/* Payloads. Quantities are thousandths of the unit behind the name, except counts and codes. */
typedef struct {
    Label vessel, source;
    int64_t litres, level, cost;
    int64_t quality;
} FillEvent;
typedef struct {
    Label vessel, line;
    int64_t litres, purpose;
} DrawEvent;
typedef struct {
    Label vessel;
    int64_t level;
} SoundEvent;
typedef struct {
    Label from, to;
    int64_t litres, treated;
} DecantEvent;
typedef struct {
    Label vessel;
    int64_t litres;
} DumpEvent;
typedef struct {
    Label vessel;
    int64_t method, dose_mg_l, residual_mg_l, minutes, temp_c, ph, ntu, asserted;
    int64_t altitude_m, uv_mj_cm2;
} TreatEvent;
/* The places of its fields: what was measured counts only where it was given (treatment.h). */
enum {
    TREAT_VESSEL,
    TREAT_METHOD,
    TREAT_DOSE,
    TREAT_RESIDUAL,
    TREAT_MINUTES,
    TREAT_TEMP,
    TREAT_PH,
    TREAT_NTU,
    TREAT_ALTITUDE,
    TREAT_UV_DOSE,
    TREAT_ASSERTED
};
typedef struct {
    Label line;
    int32_t count, pad;
    Label order[VESSELS_ABOARD_MAX];
} CoupleEvent;
enum { COUPLE_ORDER = 1 }; /* the order's place among the fields of a couple */
typedef struct {
    Label line;
    int64_t kpa, ambient_kpa, asserted;
} PressuriseEvent;
typedef struct {
    Label stage;
    int64_t count;
} SparesEvent;
typedef struct {
    Label line;
    int64_t litres, seconds, counted; /* counted: by a meter, the tap as open as it was */
} FlowtestEvent;
typedef struct {
    Label vessel;
    int64_t capacity, heel, tare_kg, rated_kpa, duty, quality, level;
    int64_t sanitised; /* ms since the epoch */
    int64_t sanitise_days;
} VesselEvent;
typedef struct {
    Label stage, line;
    int64_t type, position, life_litres, life_days, life_hours, lamp, rated_lpm, purifying;
    int64_t fitted, through; /* ms since the epoch; mL */
    int64_t cost;
} StageEvent;
typedef struct {
    Label stage;
    int64_t cost;
} SwapEvent;
typedef struct {
    Label source;
    int64_t type, quality;
} SourceEvent;
enum { SOURCE_NAME, SOURCE_TYPE, SOURCE_CLASS }; /* the places of its fields: a fill brings one */
typedef struct {
    int64_t persons;
} CrewEvent;
typedef struct {
    Label stop;
    int64_t eta, litres; /* eta: milliseconds since the epoch */
    int64_t shop;        /* parts can be had there */
} StopEvent;
typedef struct {
    Label name; /* sanitise, retire: a vessel; swap, unstage: a stage; unstop: a stop */
} NameEvent;
typedef struct {
    Uuid entry; /* void, settle */
} EntryEvent;
enum { ENTRY_NAMED = 0 }; /* the entry's place among the fields of a void and of a settle */
typedef struct {
    Label vessel, stage;
    int64_t care, until; /* Care; ms since the epoch */
} PutoffEvent;

typedef struct {
    Label vessel, line, source; /* one of them */
    int64_t chlorine_mg_l, ph, ntu, tds_mg_l, hardness_mg_l, nitrate_mg_l, nitrate_as, temp_c;
    int64_t coliform, ecoli; /* 0 absent, 1 present */
} TestEvent;

typedef struct {
    Label line;
    int64_t reading, fresh; /* fresh: another meter than before */
    int64_t factor;         /* thousandths: true litres for each that it counts */
} MeterEvent;

typedef struct {
    int64_t days;
} LeadtimeEvent;

typedef struct {
    Uuid id;
    Moment at;
    int32_t zone; /* minutes east of UTC in force where it was entered */
    int32_t kind; /* KindId */
    uint32_t has; /* bit i: field i of the kind was given */
    union {
        FillEvent fill;
        DrawEvent draw;
        SoundEvent sound;
        DecantEvent decant;
        DumpEvent dump;
        TreatEvent treat;
        CoupleEvent couple;
        PressuriseEvent pressurise;
        SparesEvent spares;
        FlowtestEvent flowtest;
        VesselEvent vessel;
        StageEvent stage;
        SwapEvent swap;
        SourceEvent source;
        CrewEvent crew;
        StopEvent stop;
        NameEvent name;
        EntryEvent entry;
        PutoffEvent putoff;
        TestEvent test;
        MeterEvent meter;
        LeadtimeEvent leadtime;
    } u;
    char note[NOTE_MAX + 1]; /* "" = none; for kind note it is the entry itself */
} Event;

static inline bool event_has(const Event *e, int field)
{
    return (e->has >> field & 1u) != 0;
}
/* Bytes of the union that the kind uses; 0 for one that is none. */
size_t event_payload_size(KindId kind);

/* Makes *e an empty entry of that kind: header and payload zero, no note. Only what the kind uses
 * is cleared, so that replay stays cheap. A couple always has its order: one that names no vessel
 * says that none is coupled, so however it was entered it is the same entry. */
void event_clear(Event *e, KindId kind);
/* One that names another entry (void, settle), as it happens now. */
void event_about(Event *e, KindId kind, const Uuid *entry, Moment now);
/* Order of the fold: (time, id). */
int event_compare(const Event *a, const Event *b);
/* Same id, time, zone, kind, payload and note. */
bool event_equal(const Event *a, const Event *b);

#endif
