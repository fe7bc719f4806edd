/* ultraviolet.h - what the lamp does at a flow.
 *
 * Dose is fluence in mJ/cm2. A chamber's dose goes as 1/flow; it falls with the lamp's age and
 * with murkier water. Sources: 40 CFR 141.720(d)(1) and US EPA UV Disinfection Guidance Manual,
 * 2006, Table 1.4 (log credit); NSF/ANSI 55 (class A 40, class B 16 mJ/cm2); lamp output 60 %
 * at 9,000 h (public guidance) or 80 % at 8,000 h (EPA manual 2006): two publications that
 * disagree, so the dose is a range and the lower end is the one that is credited; Beer-Lambert
 * law for the transmittance. */
#ifndef ULLAGE_RECKON_ULTRAVIOLET_H
#define ULLAGE_RECKON_ULTRAVIOLET_H

#include "reckon/basis.h"
#include "reckon/disinfection.h"

#define ULTRAVIOLET_CLASS_A_MJ_CM2 40.0
#define ULTRAVIOLET_CLASS_B_MJ_CM2 16.0
/* Where the published output ends: no credit after, whatever life is claimed. */
#define ULTRAVIOLET_LAMP_LIFE_H 9000.0
/* The least transmittance that is commonly printed (from memory). */
#define ULTRAVIOLET_UVT_LOW_PERCENT 75.0
/* Public guidance for private wells: below 1 NTU, with a 5 um filter before it (reproduced). */
#define ULTRAVIOLET_CLEAR_NTU 1.0

/* A lamp chamber as its plate gives it. */
typedef struct {
    double rated_mj_cm2;      /* 1 to 1,000 */
    double rated_flow_l_min;  /* 0.1 to 200, the flow at which it gives that */
    double rated_uvt_percent; /* 50 to 100 a centimetre, the transmittance it was rated at */
    double gap_cm;            /* 0.1 to 10, lamp sleeve to wall: the way light goes through water */
    double lamp_life_h;       /* 100 to 20,000 */
    bool rated_at_end_of_life; /* the rated dose already allows for an aged lamp */
} UvChamber;
/* A chamber rated for a new lamp at 95 % transmittance, 2 cm gap, 9,000 h: what to assume
 * unless told (common practice, no source). */
UvChamber ultraviolet_chamber(double rated_mj_cm2, double rated_flow_l_min);

typedef struct {
    Basis basis;
    double dose_mj_cm2;                                 /* the lower end, which counts */
    double dose_high_mj_cm2;                            /* with the kinder published lamp ageing */
    double lamp_factor;                                 /* of the output when new, lower end */
    double water_factor;                                /* by transmittance, never above 1 */
    double cryptosporidium_log, giardia_log, virus_log; /* credit of the lower end */
    double flow_limit_l_min; /* at which the lower end is 40 mJ/cm2; 0 where no credit is given */
    bool lamp_spent;         /* at its life or past it, or at 9,000 h: no credit */
    bool murky;              /* below 75 %: no credit is given */
    bool class_a;            /* lower end at least 40 mJ/cm2, credit given */
} UvDose;

/* Dose at `flow_l_min` (0.01 to 200), lamp burnt for `lamp_h` (0 to 50,000), water of
 * `uvt_percent` (50 to 100 a centimetre; 95 is common for clear water, from memory). Chamber
 * values outside their ranges refuse. */
UvDose ultraviolet_dose(const UvChamber *chamber, double flow_l_min, double lamp_h,
                        double uvt_percent);

/* Is a dose enough, as a treatment? At least 40 mJ/cm2 (NSF/ANSI 55 class A), the lamp in its
 * hours, the water of 75 % or more, its turbidity measured and below 1 NTU. NAN for what was not
 * measured. */
TreatmentVerdict ultraviolet_judge(const UvDose *dose, double ntu);

#endif
