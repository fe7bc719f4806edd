#include "reckon/disinfection.h"

#include "reckon/atmosphere.h"
#include "reckon/tables_disinfection.h"

#include <math.h>

static const char giardia_source[] =
    "US EPA 815-R-20-003 (2020), Table B-1, and its formula (Smith et al. 1995)";
static const char virus_source[] = "US EPA, SWTR Guidance Manual (1991), Table E-7";
static const char credit_source[] =
    "40 CFR 141.534 (Giardia); 4 CT/CT(4 log) for viruses (from memory); tables of US EPA "
    "815-R-20-003 (2020) and SWTR Guidance Manual (1991)";
static const char contact_limits[] = "free chlorine, clear water, closed vessel well mixed; 0.5 to "
                                     "25 C (33 to 77 F), pH 6 to 9, 0.4 to 3 mg/L; outside "
                                     "read the safe way or refused";
static const char contact_caution[] = "chlorine does not kill Cryptosporidium and removes no "
                                      "chemicals; measure the residual at the end";
static const char boil_source[] =
    "US EPA 816-F-15-003 (2015/2017); CDC (1 min, 3 min above 6,500 ft)";
static const char boil_limits[] = "US EPA 1993 asked 3 minutes everywhere, the Philippine "
                                  "Department of Health 2; the WHO holds that "
                                  "reaching a rolling boil is enough (WHO/FWC/WSH/15.02)";
static const char boil_caution[] =
    "boiling removes no chemicals; let it cool covered; nothing protects it afterwards";

#define TEMP_HIGH_C 60.0
#define RESIDUAL_LOW 0.1
#define RESIDUAL_HIGH 5.0
#define COUNTED_RESIDUAL 3.0
/* 8.5 is stored exactly, 7.1 is not: a hair of slack keeps a value typed as the row's own in
 * the row. */
#define HAIR 1e-9

static double clamp(double x, double low, double high)
{
    return fmin(fmax(x, low), high);
}

/* The row equal or just above; the last where there is none. */
static int row_above(const double *rows, int count, double x)
{
    int i = 0;
    while (i < count - 1 && rows[i] < x - HAIR)
        i++;
    return i;
}

/* The row equal or just below; the first where there is none. */
static int row_below(const double *rows, int count, double x)
{
    int i = count - 1;
    while (i > 0 && rows[i] > x + HAIR)
        i--;
    return i;
}

/* Smith, Clark, Pierce & Regli (1995) as printed in the EPA manuals (-2.261; some copies swap
 * two digits). */
static double formula_ct(double t, double ph, double c, double log_wanted)
{
    if (t < 12.5)
        return 0.353 * log_wanted * (12.006 + exp(2.46 - 0.073 * t + 0.125 * c + 0.389 * ph));
    return 0.361 * log_wanted * (-2.261 + exp(2.69 - 0.065 * t + 0.111 * c + 0.361 * ph));
}

/* At 12.5 C the two branches of the formula do not meet: in places the warm one is higher.
 * Colder water must never need less, so below 12.5 C the formula is not let below its own value
 * at 12.5 C. */
static double formula_ct_monotone(double t, double ph, double c, double log_wanted)
{
    double ct = formula_ct(t, ph, c, log_wanted);
    if (t < 12.5)
        ct = fmax(ct, formula_ct(12.5, ph, c, log_wanted));
    return ct;
}

ContactNeed disinfection_giardia(double temperature_c, double ph, double residual_mg_l,
                                 double log_wanted)
{
    ContactNeed r = {.basis = basis_begin(giardia_source, contact_limits, contact_caution)};
    if (!basis_within(&r.basis, "temperature_c", temperature_c, 0.0, TEMP_HIGH_C) ||
        !basis_within(&r.basis, "ph", ph, 5.0, 9.0) ||
        !basis_within(&r.basis, "residual_mg_l", residual_mg_l, RESIDUAL_LOW, RESIDUAL_HIGH) ||
        !basis_within(&r.basis, "log_wanted", log_wanted, 0.5, DISINFECTION_GIARDIA_LOG))
        return r;
    int t = row_below(GIARDIA_TEMP_C, GIARDIA_TEMPS, temperature_c);
    int c = row_above(GIARDIA_RESIDUAL_MG_L, GIARDIA_RESIDUALS, residual_mg_l);
    int p = row_above(GIARDIA_PH, GIARDIA_PHS, ph);
    r.row_temperature_c = GIARDIA_TEMP_C[t];
    r.row_residual_mg_l = GIARDIA_RESIDUAL_MG_L[c];
    r.row_ph = GIARDIA_PH[p];
    r.ct_table = GIARDIA_CT[t][c][p] * log_wanted / DISINFECTION_GIARDIA_LOG;
    r.ct_formula = formula_ct_monotone(clamp(temperature_c, 0.5, 25.0), clamp(ph, 6.0, 9.0),
                                       clamp(residual_mg_l, 0.4, 3.0), log_wanted);
    r.ct = fmax(r.ct_table, r.ct_formula);
    r.minutes = r.ct / fmin(residual_mg_l, COUNTED_RESIDUAL);
    return r;
}

ContactNeed disinfection_virus(double temperature_c, double ph, double residual_mg_l,
                               double log_wanted)
{
    ContactNeed r = {.basis = basis_begin(virus_source, contact_limits, contact_caution)};
    if (!basis_within(&r.basis, "temperature_c", temperature_c, 0.0, TEMP_HIGH_C) ||
        !basis_within(&r.basis, "ph", ph, 6.0, 10.0) ||
        !basis_within(&r.basis, "residual_mg_l", residual_mg_l, RESIDUAL_LOW, RESIDUAL_HIGH) ||
        !basis_within(&r.basis, "log_wanted", log_wanted, 0.01, DISINFECTION_VIRUS_LOG))
        return r;
    int t = row_below(GIARDIA_TEMP_C, GIARDIA_TEMPS, temperature_c);
    int log_column = log_wanted <= 2.0 ? 0 : (log_wanted <= 3.0 ? 1 : 2);
    int p = ph <= 9.0 + HAIR ? 0 : 1;
    r.row_temperature_c = GIARDIA_TEMP_C[t];
    r.row_ph = p == 0 ? 9.0 : 10.0;
    r.ct_table = VIRUS_CT[t][log_column][p];
    r.ct = r.ct_table;
    r.minutes = r.ct / fmin(residual_mg_l, COUNTED_RESIDUAL);
    return r;
}

ContactCredit disinfection_credit(double residual_mg_l, double minutes, double temperature_c,
                                  double ph)
{
    ContactCredit r = {.basis = basis_begin(credit_source, contact_limits, contact_caution)};
    if (!basis_within(&r.basis, "residual_mg_l", residual_mg_l, RESIDUAL_LOW, RESIDUAL_HIGH) ||
        !basis_within(&r.basis, "minutes", minutes, 0.0, 20160.0) ||
        !basis_within(&r.basis, "temperature_c", temperature_c, 0.0, TEMP_HIGH_C) ||
        !basis_within(&r.basis, "ph", ph, 6.0, 9.0))
        return r;
    ContactNeed giardia =
        disinfection_giardia(temperature_c, ph, residual_mg_l, DISINFECTION_GIARDIA_LOG);
    ContactNeed virus =
        disinfection_virus(temperature_c, ph, residual_mg_l, DISINFECTION_VIRUS_LOG);
    r.ct = fmin(residual_mg_l, COUNTED_RESIDUAL) * minutes;
    r.giardia_log = fmin(DISINFECTION_GIARDIA_LOG, DISINFECTION_GIARDIA_LOG * r.ct / giardia.ct);
    r.virus_log = fmin(DISINFECTION_VIRUS_LOG, DISINFECTION_VIRUS_LOG * r.ct / virus.ct);
    return r;
}

#define EPA_HIGH_M 1524.0  /* 5,000 ft */
#define EPA_SHEET_M 1000.0 /* what the sheet prints beside it */
#define CDC_HIGH_M 1981.2  /* 6,500 ft */
#define BOIL_MINUTES 1.0
#define BOIL_MINUTES_HIGH 3.0

BoilTime disinfection_boil(double altitude_m)
{
    BoilTime r = {.basis = basis_begin(boil_source, boil_limits, boil_caution)};
    if (!basis_within(&r.basis, "altitude_m", altitude_m, -500.0, 9000.0))
        return r;
    /* between its two thresholds the sheet is read the safe way */
    r.minutes_epa = altitude_m >= EPA_SHEET_M ? BOIL_MINUTES_HIGH : BOIL_MINUTES;
    r.minutes_cdc = altitude_m >= CDC_HIGH_M ? BOIL_MINUTES_HIGH : BOIL_MINUTES;
    r.minutes = fmax(r.minutes_epa, r.minutes_cdc);
    r.boiling_c = atmosphere_at(altitude_m).boiling_c;
    r.sheet_contradicts = altitude_m >= EPA_SHEET_M && altitude_m < EPA_HIGH_M;
    return r;
}

static TreatmentVerdict verdict_short(TreatmentVerdict r, const char *shortfall)
{
    r.sufficient = false;
    r.shortfall = shortfall;
    return r;
}

/* WHO GDWQ 2nd ed. vol. 2 (1996): 0.5 mg/L after at least 30 min at pH below 8. */
#define WHO_RESIDUAL 0.5
#define WHO_MINUTES 30.0
#define WHO_PH 8.0

TreatmentVerdict disinfection_judge_chlorine(double residual_mg_l, double minutes,
                                             double temperature_c, double ph, double ntu)
{
    TreatmentVerdict r = {.sufficient = true,
                          .source =
                              "US EPA 815-R-20-003 (2020), Table B-1; SWTR Guidance Manual (1991), "
                              "Table E-7; WHO GDWQ 2nd ed. vol. 2 (1996); 40 CFR 141 subpart H"};
    if (!isfinite(residual_mg_l))
        return verdict_short(r, "the residual was not measured");
    if (!isfinite(minutes))
        return verdict_short(r, "the minutes of contact are not given");
    r.who_met =
        residual_mg_l >= WHO_RESIDUAL && minutes >= WHO_MINUTES && isfinite(ph) && ph < WHO_PH;
    if (!isfinite(temperature_c))
        return verdict_short(r, "the temperature was not measured");
    if (!isfinite(ph))
        return verdict_short(r, "the pH was not measured");
    /* More than the table's span of residual or time earns no more, and is no reason to refuse. */
    ContactCredit credit =
        disinfection_credit(fmin(residual_mg_l, RESIDUAL_HIGH), fmin(minutes, 20160.0),
                            fmin(temperature_c, TEMP_HIGH_C), ph);
    if (!credit.basis.ok)
        return verdict_short(r, "the values lie outside the published contact tables");
    r.giardia_log = credit.giardia_log;
    r.virus_log = credit.virus_log;
    if (isfinite(ntu) && ntu >= DISINFECTION_CLOUDY_NTU)
        return verdict_short(r, "the water is too cloudy for chlorine: filter it first");
    if (residual_mg_l < WHO_RESIDUAL)
        return verdict_short(r, "the residual is too low");
    if (minutes < WHO_MINUTES)
        return verdict_short(r, "the contact was too short");
    if (credit.virus_log < DISINFECTION_VIRUS_LOG - HAIR)
        return verdict_short(r, "the contact falls short of 4-log viruses");
    if (credit.giardia_log < DISINFECTION_GIARDIA_LOG - HAIR)
        return verdict_short(r, "the contact falls short of 3-log Giardia");
    return r;
}

TreatmentVerdict disinfection_judge_boil(double minutes, double altitude_m)
{
    TreatmentVerdict r = {.sufficient = true, .source = boil_source};
    double needed = BOIL_MINUTES_HIGH;
    if (isfinite(altitude_m)) {
        BoilTime boil = disinfection_boil(altitude_m);
        needed = boil.basis.ok ? boil.minutes : BOIL_MINUTES_HIGH;
    }
    if (!isfinite(minutes))
        return verdict_short(r, "the minutes of rolling boil are not given");
    if (minutes < needed)
        return verdict_short(r, "it boiled too short");
    return r;
}

TreatmentVerdict disinfection_judge_filter(void)
{
    TreatmentVerdict r = {.sufficient = true,
                          .source =
                              "common practice, no source; NSF/ANSI 42 and 53 certify cartridges, "
                              "not water"};
    return verdict_short(r, "a sediment or carbon cartridge does not make water safe to drink");
}

static const char *const chlorine_leaves[] = {
    "Cryptosporidium survives any dose that can be drunk (CDC, EID 5(4) 1999).",
    "Chemicals, metals, salt and fuel stay in the water.",
    "In cloudy water the dirt shields the microbes and uses up the chlorine: filter first.",
    "Giardia cysts need far longer than bacteria and viruses, the more so in cold water.",
};
static const char *const boil_leaves[] = {
    "Chemicals, metals and salt stay, and grow stronger as water boils away.",
    "Nothing protects boiled water afterwards: keep it covered and use it soon.",
};
static const char *const filter_leaves[] = {
    "A sediment cartridge holds back grit, not bacteria or viruses.",
    "Carbon takes out taste, chlorine and some chemicals, not microbes, salt or hardness.",
    "Carbon takes the chlorine that protected the water, so microbes may grow behind it.",
    "A cartridge past its litres or months gives no visible sign when carbon is spent (NSF).",
};
static const char *const uv_leaves[] = {
    "Nothing protects the water after the lamp.",
    "Cloudy or coloured water and iron shield microbes: below 1 NTU, a 5 um filter before it.",
    "At 40 mJ/cm2 the most resistant viruses (adenovirus) lose only half a log (40 CFR 141.720).",
    "Chemicals, metals and salt stay in the water.",
};

const char *const *disinfection_limits(TreatmentMethod method, size_t *count)
{
    switch (method) {
    case TREATMENT_CHLORINE:
        *count = sizeof(chlorine_leaves) / sizeof(chlorine_leaves[0]);
        return chlorine_leaves;
    case TREATMENT_BOIL:
        *count = sizeof(boil_leaves) / sizeof(boil_leaves[0]);
        return boil_leaves;
    case TREATMENT_FILTER:
        *count = sizeof(filter_leaves) / sizeof(filter_leaves[0]);
        return filter_leaves;
    case TREATMENT_UV:
        *count = sizeof(uv_leaves) / sizeof(uv_leaves[0]);
        return uv_leaves;
    }
    *count = 0;
    return NULL;
}
