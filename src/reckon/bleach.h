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
    Basis basis;
    double percent_now; /* strength left */
    double age_at_21_c; /* months at 21 C that age it as much */
} BleachStrength;

/* Strength of bleach of `percent` (0.5 to 15) after `age_months` at `storage_c` (-10 to 50): a
 * fifth lost in a year at 21 C, 3.5 times as fast for each 10 K more (public summary,
 * reproduced), no gain reckoned for cold. Older than 12 months at 21 C, or the same by heat:
 * refused (US EPA 816-F-15-003: less than one year; about 3 months in the tropics), because
 * what is left cannot be known. */
BleachStrength bleach_strength(double percent, double age_months, double storage_c);

typedef struct {
    Basis basis;
    double ml;
    double drops;       /* of 0.05 mL */
    double drops_large; /* of 0.094 mL: the fewest that a large dropper needs */
    double teaspoons;   /* US, 4.93 mL */
    double spoons_5_ml; /* metric teaspoons */
    double tablespoons; /* US, 14.79 mL */
    double percent_now;
    bool above_guideline; /* target above the 5 mg/L of the WHO */
} BleachDose;

/* Bleach to bring `volume_l` (0.05 to 10,000) to `target_mg_l` (0.1 to 500) with bleach as in
 * bleach_strength. The chlorine that dirt takes up is NOT counted: measure the residual. */
BleachDose bleach_dose(double volume_l, double target_mg_l, double percent, double age_months,
                       double storage_c);

typedef struct {
    Basis basis;
    double mg_l;
} BleachConcentration;

/* What `bleach_ml` (0 to 100,000) of `percent` (0.5 to 15) gives in `volume_l` (0.05 to
 * 10,000), bleach itself not counted in the volume. Turns a recipe into a number, so that
 * recipes can be compared. */
BleachConcentration bleach_concentration(double volume_l, double bleach_ml, double percent);

typedef struct {
    Basis basis;
    double drops;       /* the largest count of the sheets that print this strength */
    double drops_least; /* the smallest */
    double ml;          /* `drops` at 0.05 mL */
    double mg_l;        /* what that gives; 0 where the strength is unknown */
    double
        wait_minutes; /* 30; repeat the dose and wait 15 more where no smell of chlorine is left */
    const char *document, *document_least; /* which sheet prints which */
} EmergencyDose;

/* The emergency dose of the public bodies for 0.25 to 1,000 L of water with bleach of
 * `percent`; 0 = unknown strength. `doubtful`: cloudy, coloured or very cold, which doubles it.
 * Where the sheets differ, the larger number leads and both are named. Strengths that no sheet
 * prints (between 1 and 4, above 10) are refused: reckon the dose instead. */
EmergencyDose bleach_emergency(double volume_l, double percent, bool doubtful);

typedef struct {
    Basis basis;
    double ml;
    double tablespoons;
    double hours;          /* the longer of the published contact times */
    double hours_shortest; /* the shorter */
    const char *body, *body_shortest;
    int rinses; /* fills and drains until no more than 5 mg/L can be left */
} ShockPlan;

/* Sanitising a vessel or line of `volume_l` (0.5 to 10,000) filled to the brim at `target_mg_l`
 * (50 to 200) with bleach as in bleach_strength. `heel_l` (0 to half the volume) stays behind
 * at each draining. Concentrations between 50, 100 and 200 take the contact time of the level
 * below. */
ShockPlan bleach_shock(double volume_l, double target_mg_l, double percent, double age_months,
                       double storage_c, double heel_l);

/* The order of work for a vessel by itself, or for a whole line with its stages. */
const char *const *bleach_shock_steps(bool line, size_t *count);

#endif
