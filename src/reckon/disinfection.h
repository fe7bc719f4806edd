/* disinfection.h - how long disinfection takes, what it reaches, and what it does not.
 *
 * CT is residual (mg/L of free chlorine, the lowest measured) times minutes, in mg min/L. Sources:
 *  - US EPA, Disinfection Profiling and Benchmarking Technical Guidance Manual, EPA 815-R-20-003,
 *    June 2020, Table B-1 (Giardia, 3 log, 588 cells) and its formula (Smith, Clark, Pierce & Regli
 *    1995);
 *  - US EPA, SWTR Guidance Manual, 1991, Table E-7 (viruses, 2 to 4 log);
 *  - 40 CFR 141.534: Giardia log = 3 CT/CT(3 log); virus log = 4 CT/CT(4 log) (from memory);
 *  - boiling: US EPA 816-F-15-003 (2015/2017) and CDC; WHO/FWC/WSH/15.02.
 *
 * The safe way to read the tables: the temperature row equal or just below, the pH column equal or
 * just above, the residual row equal or just above; a residual above 3 mg/L counts as 3. Figures
 * are for clear water mixed by hand in a closed vessel (no short-circuit: baffling factor 1). */
#ifndef ULLAGE_RECKON_DISINFECTION_H
#define ULLAGE_RECKON_DISINFECTION_H

#include "reckon/basis.h"

#define DISINFECTION_GIARDIA_LOG 3.0 /* 40 CFR 141 subpart H, 99.9 % */
#define DISINFECTION_VIRUS_LOG 4.0   /* the same, 99.99 % */
/* From here on water is too cloudy: WHO GDWQ 4th ed. and technical brief 2017 (from memory); Ohio
 * Department of Health. */
#define DISINFECTION_CLOUDY_NTU 5.0

typedef struct {
    Basis basis;
    double ct;         /* needed: the larger of the next two */
    double ct_table;   /* the table read the safe way, in proportion to the log wanted */
    double ct_formula; /* the published formula at the values themselves; 0 for viruses (none) */
    double minutes;    /* ct / residual, a residual above 3 mg/L counted as 3 */
    double row_temperature_c, row_ph, row_residual_mg_l; /* the cell that was read */
} ContactNeed;

/* Giardia: 0 to 60 C (above 25 read as 25, below 0.5 as 0.5), pH 5 to 9 (below 6 read as 6),
 * residual 0.1 to 5 mg/L (below 0.4 read as 0.4), log_wanted 0.5 to 3. The formula is held to
 * its own span (0.5 to 25 C, pH 6 to 9, 0.4 to 3 mg/L) in the safe direction. */
ContactNeed disinfection_giardia(double temperature_c, double ph, double residual_mg_l,
                                 double log_wanted);
/* Viruses: 0 to 60 C, pH 6 to 10, residual 0.1 to 5 mg/L, log_wanted above 0 to 4 (the column
 * equal or above: 2, 3 or 4). row_residual_mg_l is 0: the table has no residual rows. */
ContactNeed disinfection_virus(double temperature_c, double ph, double residual_mg_l,
                               double log_wanted);

typedef struct {
    Basis basis;
    double ct;          /* reached */
    double giardia_log; /* 0 to 3, never more is credited */
    double virus_log;   /* 0 to 4 */
} ContactCredit;

/* Credit of `residual_mg_l` (0.1 to 5) held for `minutes` (0 to 20,160: two weeks) at 0 to 60
 * C, pH 6 to 9. */
ContactCredit disinfection_credit(double residual_mg_l, double minutes, double temperature_c,
                                  double ph);

typedef struct {
    Basis basis;
    double minutes; /* of rolling boil: the stricter */
    double minutes_epa, minutes_cdc;
    double boiling_c;       /* at that altitude, standard atmosphere */
    bool sheet_contradicts; /* 1,000 to 1,524 m: the EPA sheet prints both as its threshold */
} BoilTime;

/* Minutes of rolling boil at -500 to 9,000 m. US EPA: 1, from 5,000 ft (1,524 m) on 3. CDC: 1,
 * from 6,500 ft (1,981 m) on 3. The sheet's "5,000 feet (1,000 meters)" is a misprint for 1,524
 * m. */
BoilTime disinfection_boil(double altitude_m);

/* A measured treatment against what the figures ask. Give NAN for what was not measured. */
typedef struct {
    bool sufficient;       /* nothing below is missing or short */
    const char *shortfall; /* why not, a clause without a full stop; NULL when sufficient */
    const char *source;
    bool who_met;                  /* chlorine: at least 0.5 mg/L after 30 min at pH below 8 */
    double giardia_log, virus_log; /* chlorine: credit reached, 0 where it can't be reckoned */
} TreatmentVerdict;

/* Chlorine: temperature, pH, residual and minutes are needed; 3-log Giardia and 4-log viruses,
 * the WHO criterion, and turbidity below 5 NTU where it was measured. */
TreatmentVerdict disinfection_judge_chlorine(double residual_mg_l, double minutes,
                                             double temperature_c, double ph, double ntu);
/* Boiling: minutes at an altitude (NAN: not known, reckoned as the stricter 3 minutes). */
TreatmentVerdict disinfection_judge_boil(double minutes, double altitude_m);
/* Sediment and carbon cartridges never make water safe by themselves: never sufficient. */
TreatmentVerdict disinfection_judge_filter(void);

typedef enum { TREATMENT_CHLORINE, TREATMENT_BOIL, TREATMENT_FILTER, TREATMENT_UV } TreatmentMethod;
/* What the method leaves in the water, one sentence each. */
const char *const *disinfection_limits(TreatmentMethod method, size_t *count);

#endif
