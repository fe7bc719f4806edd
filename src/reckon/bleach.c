#include "reckon/bleach.h"

#include "reckon/gamma.h"

#include <math.h>
#include <string.h>

static const char dose_source[] = "arithmetic, 1 % = 10 g/L available chlorine (as in US EPA "
                                  "816-F-15-003); loss with age: public "
                                  "summary of storage data";
static const char dose_limits[] =
    "plain unscented hypochlorite bleach, clear water; what dirt takes up is not counted; spoons "
    "are US ones (4.93 and 14.79 mL), and every count is rounded up";
static const char dose_caution[] = "measure the residual; never mix bleach with acids or cleaners";
static const char sheet_source[] =
    "US EPA 816-F-15-003 (2015/2017); US EPA 810-F-93-002 (1993); CDC, "
    "Make Water Safe; CDC current table (from memory)";
static const char sheet_limits[] =
    "an emergency measure for water of unknown microbes, not for chemicals; drops differ in size";
static const char sheet_caution[] = "boiling is better where it can be done; a slight smell of "
                                    "chlorine must be left after the wait";
static const char shock_source[] = "50 mg/L: ANSI A119.2 sec. 10.8 and CDC VSP 2018 5.3.4.1.4 (4 "
                                   "h), Wyoming ch. 12 sec. 10 (24 h); 100: "
                                   "quick variant (1 h, from memory), US Army TB 43-0153 (4 h); "
                                   "200: Wyoming ch. 12 sec. 10 (30 min), "
                                   "CDC VSP 2018 5.3.5.2 (2 h)";
static const char shock_limits[] =
    "a clean vessel: scrub first, slime and rust use up the chlorine; not for aluminium";
static const char shock_caution[] = "vent before a lid is opened; this water is not for drinking; "
                                    "gloves and eyes; never mix with acids";

/* A fifth a year is the worse end of the published 10 to 20 %. */
#define LOSS_A_YEAR 0.20
#define STORAGE_C 21.0
#define LOSS_PER_10_K 3.5
#define OLD_MONTHS 12.0

#define SHEET_DROP_ML 0.0625 /* CDC, Make Water Safe: 8 drops about 0.5 mL */

#define VOLUME_LOW_L 0.05
#define VOLUME_HIGH_L 10000.0

static bool strength_within(Basis *b, double percent, double age_months, double storage_c,
                            double *percent_now)
{
    if (!basis_within(b, "percent", percent, 0.5, 15.0) ||
        !basis_within(b, "age_months", age_months, 0.0, OLD_MONTHS) ||
        !basis_within(b, "storage_c", storage_c, -10.0, 50.0))
        return false;
    double faster = fmax(1.0, pow(LOSS_PER_10_K, (storage_c - STORAGE_C) / 10.0));
    double aged = age_months * faster;
    if (!basis_within(b, "age_at_21_c", aged, 0.0, OLD_MONTHS))
        return false;
    *percent_now = percent * pow(1.0 - LOSS_A_YEAR, aged / 12.0);
    return true;
}

/* The whole number equal or just above; a hair of slack for what is whole but for rounding. */
static double whole_above(double x)
{
    return ceil(x * (1.0 - 1e-12));
}

/* mL of bleach: mg wanted over mg in a mL (1 % = 10 mg/mL). */
static double bleach_volume_ml(double volume_l, double target_mg_l, double percent)
{
    return volume_l * target_mg_l / (10.0 * percent);
}

BleachMeasure bleach_measure(double ml)
{
    return (BleachMeasure){.drops = whole_above(ml / BLEACH_DROP_SMALL_ML),
                           .drops_large = whole_above(ml / BLEACH_DROP_LARGE_ML),
                           .teaspoons = whole_above(ml / BLEACH_TEASPOON_ML * 4.0) / 4.0,
                           .tablespoons = whole_above(ml / BLEACH_TABLESPOON_ML * 2.0) / 2.0};
}

BleachDose bleach_dose(double volume_l, double target_mg_l, double percent, double age_months,
                       double storage_c)
{
    BleachDose r = {.basis = basis_begin(dose_source, dose_limits, dose_caution)};
    double now = 0.0;
    if (!basis_within(&r.basis, "volume_l", volume_l, VOLUME_LOW_L, VOLUME_HIGH_L) ||
        !basis_within(&r.basis, "target_mg_l", target_mg_l, 0.1, 500.0) ||
        !strength_within(&r.basis, percent, age_months, storage_c, &now))
        return r;
    r.percent_now = now;
    r.ml = bleach_volume_ml(volume_l, target_mg_l, now);
    r.above_guideline = target_mg_l > BLEACH_GUIDELINE_MG_L;
    return r;
}

/* A sheet counts by its largest printed amount that is not more than what is to be treated: a
 * gallon of strong bleach takes fewer drops than four quarts, because drops are whole. */
static bool row_fits(const EmergencyRow *row, double percent)
{
    return !row->cloudy && row->drops > 0.0 && percent >= row->percent_low &&
           percent <= row->percent_high;
}

static bool row_is_of(const EmergencyRow *row, const EmergencyRow *other)
{
    return strcmp(row->document, other->document) == 0;
}

static double row_drops(size_t first, double volume_l, double percent)
{
    const EmergencyRow *best = &EMERGENCY_ROWS[first];
    for (size_t i = first + 1; i < EMERGENCY_ROW_COUNT; i++) {
        const EmergencyRow *row = &EMERGENCY_ROWS[i];
        bool usable = row_fits(row, percent) && row_is_of(row, best);
        bool larger = row->litres > best->litres && row->litres <= volume_l * 1.000001;
        if (usable && larger)
            best = row;
    }
    return best->drops * volume_l / best->litres;
}

/* The strength itself where a sheet prints it, else the next weaker that one does. */
static double percent_printed(double percent)
{
    double weaker = 0.0;
    for (size_t i = 0; i < EMERGENCY_ROW_COUNT; i++) {
        if (row_fits(&EMERGENCY_ROWS[i], percent))
            return percent;
        if (EMERGENCY_ROWS[i].percent_high < percent)
            weaker = fmax(weaker, EMERGENCY_ROWS[i].percent_high);
    }
    return weaker;
}

EmergencyDose bleach_emergency(double volume_l, double percent, bool doubtful)
{
    EmergencyDose r = {.basis = basis_begin(sheet_source, sheet_limits, sheet_caution)};
    if (!basis_within(&r.basis, "volume_l", volume_l, 0.25, 1000.0) ||
        (percent != 0.0 && !basis_within(&r.basis, "percent", percent, 1.0, 15.0)))
        return r;
    r.read_percent = percent_printed(percent);
    for (size_t i = 0; i < EMERGENCY_ROW_COUNT; i++) {
        if (!row_fits(&EMERGENCY_ROWS[i], r.read_percent))
            continue;
        double drops = row_drops(i, volume_l, r.read_percent) * (doubtful ? 2.0 : 1.0);
        if (r.document == NULL || drops > r.drops) {
            r.drops = drops;
            r.document = EMERGENCY_ROWS[i].document;
        }
        if (r.document_least == NULL || drops < r.drops_least) {
            r.drops_least = drops;
            r.document_least = EMERGENCY_ROWS[i].document;
        }
    }
    r.ml = r.drops * SHEET_DROP_ML;
    r.mg_l = r.ml * percent * 10.0 / volume_l;
    r.wait_minutes = 30.0;
    return r;
}

typedef struct {
    double mg_l;
    double hours, hours_shortest;
    const char *body, *body_shortest;
} ShockRow;

static const ShockRow shock_rows[] = {
    {50.0, 24.0, 4.0, "Wyoming ch. 12 sec. 10", "ANSI A119.2 sec. 10.8; CDC VSP 2018 5.3.4.1.4"},
    {100.0, 4.0, 1.0, "US Army TB 43-0153", "quick variant of the 50 mg/L rule (from memory)"},
    {200.0, 2.0, 0.5, "CDC VSP 2018 5.3.5.2", "Wyoming ch. 12 sec. 10"},
};

/* Each draining leaves the heel, which the next fill of clean water thins by heel/volume. */
static int rinses_needed(double mg_l, double volume_l, double heel_l)
{
    int rinses = 1;
    double left = mg_l * heel_l / volume_l;
    while (left > BLEACH_GUIDELINE_MG_L) {
        left *= heel_l / volume_l;
        rinses++;
    }
    return rinses;
}

ShockPlan bleach_shock(double volume_l, double target_mg_l, double percent, double age_months,
                       double storage_c, double heel_l)
{
    ShockPlan r = {.basis = basis_begin(shock_source, shock_limits, shock_caution)};
    double now = 0.0;
    if (!basis_within(&r.basis, "volume_l", volume_l, 0.5, VOLUME_HIGH_L) ||
        !basis_within(&r.basis, "target_mg_l", target_mg_l, 50.0, 200.0) ||
        !basis_within(&r.basis, "heel_l", heel_l, 0.0, volume_l / 2.0) ||
        !strength_within(&r.basis, percent, age_months, storage_c, &now))
        return r;
    r.ml = bleach_volume_ml(volume_l, target_mg_l, now);
    for (size_t i = 0; i < sizeof(shock_rows) / sizeof(shock_rows[0]); i++) {
        if (target_mg_l >= shock_rows[i].mg_l) {
            r.hours = shock_rows[i].hours;
            r.hours_shortest = shock_rows[i].hours_shortest;
            r.body = shock_rows[i].body;
            r.body_shortest = shock_rows[i].body_shortest;
        }
    }
    r.rinses = rinses_needed(target_mg_l, volume_l, heel_l);
    return r;
}

double bleach_flush_l(double target_mg_l, double volume_l, int vessels)
{
    return volume_l * gamma_quantile_upper(vessels, BLEACH_GUIDELINE_MG_L / target_mg_l);
}

/* The order of work is common practice, no source, but for the residual of 5 mg/L before use
 * (CDC VSP 2018 5.3.5.2). Carbon takes the chlorine out and would leave all behind it
 * unsanitised, so it is out. */
static const char *const steps_vessel[] = {
    "shut the air off and vent the vessel until no pressure is left",
    "uncouple it, drain it, open it and scrub it clean",
    "fill it half, add the bleach, fill it to the brim and turn it over so that every wall is wet",
    "run some through the dip tube and the coupling",
    "wait the contact time; if no residual is left at its end, do it again",
    "drain it, rinse as often as told, until no more than 5 mg/L is measured",
    "log it: ullage sanitise",
};
static const char *const steps_line[] = {
    "shut the air off and vent the whole line until no pressure is left",
    "drain the vessels, open them and scrub them clean",
    "take the carbon and sediment cartridges and any membrane out, close the empty housings",
    "switch the lamp off; leave its chamber in the line",
    "fill each vessel half, add its own bleach, fill it to the brim, turn it over, close and "
    "couple",
    "put gentle pressure on and run every tap until a strip shows the target there, then shut it: "
    "a smell alone proves nothing",
    "wait the contact time; if no residual is left in a vessel or at a tap at its end, do it again",
    "vent, drain, fill with potable water and flush until a strip shows no more than 5 mg/L at "
    "every tap",
    "fit new cartridges, run the first litres to waste, switch the lamp on",
    "log it: ullage sanitise for each vessel that held the target so long, ullage swap for each "
    "cartridge",
};

const char *const *bleach_shock_steps(bool line, size_t *count)
{
    if (line) {
        *count = sizeof(steps_line) / sizeof(steps_line[0]);
        return steps_line;
    }
    *count = sizeof(steps_vessel) / sizeof(steps_vessel[0]);
    return steps_vessel;
}
