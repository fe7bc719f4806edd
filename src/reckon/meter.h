/* meter.h - how many litres a meter's litre is, and how many pulses of a sensor are one.
 *
 * Sources: error of indication and zones OIML R 49-1 (2013) = ISO 4064-1:2014; a volumetric
 * calibration with rectangular limits and k = 2 after EURAMET cg-21, Guidelines on the calibration
 * of standard capacity measures (existence seen). K is pulses a litre; f = K Q / 60 with f in Hz
 * and Q in L/min, so that "f = 7.5 Q" is 450 (common practice, no source). */
#ifndef ULLAGE_RECKON_METER_H
#define ULLAGE_RECKON_METER_H

#include "reckon/basis.h"

/* A meter of class 2 may err by so much at low flow, and at any other up to 30 C. */
#define METER_CLASS_2_LOW 0.05
#define METER_CLASS_2 0.02
/* Beyond so many standard errors two measures differ by more than chance: 1 in 100 does. */
#define METER_CHANCE 2.576

typedef struct {
    Basis basis;
    double per_litre; /* pulses */
    double error;     /* relative, 2 standard errors */
} MeterCount;
/* `pulses` (1 to 1e9) counted while a vessel of `volume_l` (0.05 to 1000) was filled `runs` times
 * (1 to 1000) to a mark that is right within `read_l` (0 to half of the volume). The mark may err
 * by the same each time, so runs do not make it better; each start and stop loses up to a pulse. */
MeterCount meter_jug(double volume_l, double read_l, double pulses, double runs);

/* The error of indication, relative: (indicated - actual) / actual. NAN unless actual is above 0.
 */
double meter_error(double indicated_l, double actual_l);

typedef struct {
    Basis basis;
    double factor; /* true litres for each that was counted */
    double error;  /* relative, 2 standard errors */
    bool chance;   /* what was found may be chance */
} MeterSounding;
/* Soundings found that `found_l` (down to -0.99 of those counted, up to 1e6) more had gone than the
 * `counted_l` (0.001 to 1e6) that the meter counted between them; their errors add up to the
 * standard error `sd_l` (0.001 to 1e6). */
MeterSounding meter_soundings(double counted_l, double found_l, double sd_l);

typedef struct {
    double value, error; /* error: relative, 2 standard errors */
} MeterBest;
/* Two measures of one thing, each weighed by its error (both above 0, as the values are). */
MeterBest meter_best(MeterBest a, MeterBest b);

#endif
