#include "reckon/meter.h"

#include <math.h>

static const char source[] = "OIML R 49-1 (2013) = ISO 4064-1:2014: a meter of class 2 may err by "
                             "5 % at low flow, else 2 %";
static const char limits[] =
    "below its least flow a meter promises nothing: a drip may not be counted";
static const char caution[] = "a sensor differs from piece to piece, and with the flow: calibrate "
                              "it at the flow that is usual";

MeterCount meter_jug(double volume_l, double read_l, double pulses, double runs)
{
    MeterCount count = {basis_begin(source, limits, caution), 0, 0};
    if (!basis_within(&count.basis, "volume_l", volume_l, 0.05, 1000) ||
        !basis_within(&count.basis, "read_l", read_l, 0, volume_l / 2) ||
        !basis_within(&count.basis, "pulses", pulses, 1, 1e9) ||
        !basis_within(&count.basis, "runs", runs, 1, 1000))
        return count;
    const double mark = read_l / sqrt(3) / volume_l;
    const double ends = sqrt(runs) * sqrt(2) / sqrt(12) / pulses;
    count.per_litre = pulses / (volume_l * runs);
    count.error = 2 * sqrt(mark * mark + ends * ends);
    return count;
}

double meter_error(double indicated_l, double actual_l)
{
    return actual_l > 0 ? (indicated_l - actual_l) / actual_l : (double)NAN;
}

MeterSounding meter_soundings(double counted_l, double found_l, double sd_l)
{
    MeterSounding s = {basis_begin(source, limits, caution), 0, 0, true};
    if (!basis_within(&s.basis, "counted_l", counted_l, 0.001, 1e6) ||
        !basis_within(&s.basis, "sd_l", sd_l, 0.001, 1e6) ||
        !basis_within(&s.basis, "found_l", found_l, -0.99 * counted_l, 1e6))
        return s;
    s.factor = (counted_l + found_l) / counted_l;
    s.error = 2 * sd_l / (counted_l + found_l);
    s.chance = fabs(found_l) <= METER_CHANCE * sd_l;
    return s;
}

MeterBest meter_best(MeterBest a, MeterBest b)
{
    const double wa = 1 / (a.value * a.error * a.value * a.error);
    const double wb = 1 / (b.value * b.error * b.value * b.error);
    const double value = (wa * a.value + wb * b.value) / (wa + wb);
    return (MeterBest){value, 1 / sqrt(wa + wb) / value};
}
