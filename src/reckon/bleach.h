/* bleach.h - how much household bleach: drinking dose, emergency sheets, shock chlorination.
 *
 * Strength is read as weight by volume (1 % = 10 g of available chlorine a litre), as the
 * public bodies' own arithmetic does. A label in weight per cent holds up to a tenth more: the
 * dose then errs upward. All concentrations are mg/L as Cl2. Contact times and credits are in
 * disinfection.h. */
#ifndef ULLAGE_RECKON_BLEACH_H
#define ULLAGE_RECKON_BLEACH_H

#include "reckon/basis.h"
#include "reckon/tables_disinfection.h"

/* A drop is not one published size: 0.05 mL (20 drops/mL, pharmacy convention, from memory),
 * 0.0625, 0.078 and 0.094 mL are in circulation on the sheets of one public body. */
#define BLEACH_DROP_SMALL_ML 0.05
#define BLEACH_DROP_LARGE_ML 0.094
/* NIST, SP 811 App. B and Handbook 44 App. C: US teaspoon 1/6 fl oz, tablespoon 1/2 fl oz. */
#define BLEACH_TEASPOON_ML 4.92892159375
#define BLEACH_TABLESPOON_ML 14.78676478125
/* WHO, Guidelines for drinking-water quality, 3rd ed., fact sheet 12.23: guideline value 5 mg/L. */
#define BLEACH_GUIDELINE_MG_L 5.0

typedef struct {
    double drops;       /* of 0.05 mL: of the smallest that is in circulation */
    double drops_large; /* of 0.094 mL: a dropper as large needs no more */
    double teaspoons;   /* US, in quarters; a metric one of 5 mL holds a little more */
    double tablespoons; /* US, in halves */
} BleachMeasure;

/* What to measure out so that it holds at least `ml` (0 or more): each count is rounded up. */
BleachMeasure bleach_measure(double ml);

typedef struct {
    Basis basis;
    double ml;
    double percent_now;   /* strength left */
    bool above_guideline; /* target above the 5 mg/L of the WHO */
} BleachDose;

/* Bleach to bring `volume_l` (0.05 to 10,000) to `target_mg_l` (0.1 to 500). The chlorine that dirt
 * takes up is NOT counted: measure the residual.
 *
 * Bleach of `percent` (0.5 to 15) after `age_months` at `storage_c` (-10 to 50): a fifth lost in a
 * year at 21 C, 3.5 times as fast for each 10 K more (public summary, reproduced), no gain reckoned
 * for cold. Older than 12 months at 21 C, or the same by heat: refused (US EPA 816-F-15-003: less
 * than one year; about 3 months in the tropics), because what is left cannot be known. */
BleachDose bleach_dose(double volume_l, double target_mg_l, double percent, double age_months,
                       double storage_c);

typedef struct {
    Basis basis;
    double drops;       /* the largest count of the sheets that print this strength */
    double drops_least; /* the smallest */
    double ml;          /* `drops` at 0.0625 mL, as the CDC prints beside them (8 = 0.5 mL) */
    double mg_l;        /* what that gives; 0 where the strength is unknown */
    double
        read_percent; /* the strength whose rows were read: the printed one, or the next weaker */
    double
        wait_minutes; /* 30; repeat the dose and wait 15 more where no smell of chlorine is left */
    const char *document, *document_least; /* which sheet prints which */
} EmergencyDose;

/* The emergency dose of the public bodies for 0.25 to 1,000 L of water with bleach of
 * `percent` (1 to 15); 0 = unknown strength. `doubtful`: cloudy, coloured or very cold, which
 * doubles it. Where the sheets differ, the larger number leads and both are named. A strength that
 * no sheet prints is read as the next weaker one, which takes more. */
EmergencyDose bleach_emergency(double volume_l, double percent, bool doubtful);

typedef struct {
    Basis basis;
    double ml;
    double hours;          /* the longer of the published contact times */
    double hours_shortest; /* the shorter */
    const char *body, *body_shortest;
    int rinses; /* fills and drains until no more than 5 mg/L can be left */
} ShockPlan;

/* Sanitising a vessel of `volume_l` (0.5 to 10,000) filled to the brim at `target_mg_l`
 * (50 to 200) with bleach as in bleach_dose. `heel_l` (0 to half the volume) stays behind
 * at each draining. Concentrations between 50, 100 and 200 take the contact time of the level
 * below. */
ShockPlan bleach_shock(double volume_l, double target_mg_l, double percent, double age_months,
                       double storage_c, double heel_l);

/* Litres of clean water pushed in at the air side of `vessels` (1 to 16) in series, none larger
 * than `volume_l`, all at `target_mg_l`, until the last is at 5 mg/L (CDC VSP 2018 5.3.5.2; the
 * WHO's guideline value is the same). Each is well mixed (domain: a series line), so that what is
 * left is Q(vessels, litres/volume), the incomplete gamma function: tanks in series. Smaller
 * vessels need less. Within the ranges of bleach_shock. */
double bleach_flush_l(double target_mg_l, double volume_l, int vessels);

/* The order of work for a vessel by itself, or for a whole line with its stages. */
const char *const *bleach_shock_steps(bool line, size_t *count);

#endif
