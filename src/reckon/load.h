/* load.h - what the water weighs, and how much of it people need.
 *
 * Sources: density IAPWS SR6-08(2011); needs: The Sphere Project 2011, WASH standard 1; CDC,
 * Creating and storing an emergency water supply (2017); WHO; heat and work: US Army TB MED 507
 * fluid replacement table. */
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
    double heat_l;                /* of which for heat and work */
    double total_low, total_high; /* for all persons and days */
    int heat_category;            /* 0 (cool) to 5 */
} LoadNeed;
/* Need of `persons` (1 to 1,000) for `days` (0.01 to 3,650) at a level, with `work_hours` (0 to
 * 24) a day at a kind of work in a WBGT of `wbgt_c` (-50 to 60; 25.6 C and above counts). The
 * army's hourly intake for those hours, at most 12 US quarts a day, comes on top of the level
 * in full: the safe side. */
LoadNeed load_need(NeedLevel level, double persons, double days, double wbgt_c, Work work,
                   double work_hours);

typedef struct {
    Basis basis;
    double litres_an_hour;
    int category;
} HeatIntake;
/* The army's hourly intake: 0 below category 1. Never above 1.42 L (1 1/2 US qt) an hour. */
HeatIntake load_heat_intake(double wbgt_c, Work work);

#endif
