/* load.h - what the water weighs, and how much of it people need.
 *
 * Sources: density IAPWS SR6-08(2011); needs: The Sphere Project 2011, WASH standard 1; CDC,
 * Creating and storing an emergency water supply (2017); WHO; heat and work: US Army TB MED 507
 * fluid replacement table; US CBP; FEMA and the American Red Cross. */
#ifndef ULLAGE_RECKON_LOAD_H
#define ULLAGE_RECKON_LOAD_H

#include "reckon/basis.h"

typedef struct {
    Basis basis;
    double water_kg;
    double gross_kg; /* with the vessel */
} LoadMass;
/* `volume_l` 0 to 10,000 at 0 to 100 C in a vessel of `tare_kg` (0 to 10,000). */
LoadMass load_mass(double volume_l, double temperature_c, double tare_kg);
typedef struct {
    Basis basis;
    double volume_l;
} LoadVolume;
/* The litres behind a mass on a scale; gross not below tare. The inverse of load_mass. */
LoadVolume load_volume(double gross_kg, double temperature_c, double tare_kg);

enum { LOAD_VESSELS_MAX = 16 };
typedef struct {
    Basis basis;
    double total_kg;
    double middle_m; /* of the mass, from the middle of the first vessel */
} LoadCentre;
/* Where the mass of `count` vessels (1 to LOAD_VESSELS_MAX; 0 to 1,000 kg each, some of it not 0)
 * in a row sits, their middles `apart_m` (0 to 100) from one another: the sum of the moments by
 * the sum of the masses (FAA-H-8083-1B, Weight and Balance Handbook, 2016, chapter 2). */
LoadCentre load_centre(const double kg[], int count, double apart_m);

typedef enum {
    NEED_SURVIVAL, /* drinking and food: 3 (Sphere 2011: 2.5 to 3) */
    NEED_STORE,    /* 3.785: CDC 2017, a US gallon, of which half to drink */
    NEED_BASIC,    /* 7.5 to 15: Sphere 2011, with hygiene and cooking */
    NEED_MINIMUM,  /* 20: WHO */
    NEED_COMFORT,  /* 50 to 100: UN/WHO */
    NEED_COUNT
} NeedLevel;
typedef struct {
    const char *name;
    const char *source;
    double low, high; /* litres per person-day */
} NeedRow;
/* The published level; the last row for anything else. */
const NeedRow *load_need_row(NeedLevel level);

typedef enum { WORK_REST, WORK_EASY, WORK_MODERATE, WORK_HARD } Work;
typedef struct {
    Basis basis;
    double low, high;             /* litres per person-day, heat and work included */
    double heat_l;                /* of which for heat and work: to carry */
    const char *heat_source;      /* the table that asks for so much; "" where there is none */
    double drink_l_h;             /* the army's intake an hour of that work */
    double total_low, total_high; /* for all persons and days */
    int heat_category;            /* 0 (cool) to 5 */
} LoadNeed;
/* Need of `persons` (1 to 1,000) for `days` (0.01 to 3,650) at a level, with `work_hours` (0 to
 * 24) a day at a kind of work in a WBGT of `wbgt_c` (-50 to 60; 25.6 C and above counts). What heat
 * and work ask for comes on top of the level in full: the safe side. It is the highest of the
 * army's hourly intake for those hours (at rest that of easy work), 1.5 L for each of them (US
 * Customs and Border Protection: plan 1.0 to 1.5) and, at rest as well, a US gallon a day (FEMA and
 * the American Red Cross: very hot weather can double the gallon, reproduced); no more than
 * LOAD_DRINK_DAY_L, which is all that anyone may drink. */
LoadNeed load_need(NeedLevel level, double persons, double days, double wbgt_c, Work work,
                   double work_hours);

/* FEMA and the American Red Cross: heat can double the US gallon. */
#define LOAD_HOT_DAY_L 3.785411784
/* US Army TB MED 507 (seen): never more than 1 1/2 US qt an hour, 12 a day. */
#define LOAD_QUART_L 0.946352946
#define LOAD_DRINK_HOUR_L (1.5 * LOAD_QUART_L)
#define LOAD_DRINK_DAY_L (12.0 * LOAD_QUART_L)

typedef struct {
    Basis basis;
    double litres_an_hour;
    int category;
} HeatIntake;
/* The army's hourly intake: 0 below category 1; its easy work is the least that it knows, and read
 * for rest. Never above LOAD_DRINK_HOUR_L. */
HeatIntake load_heat_intake(double wbgt_c, Work work);

#endif
