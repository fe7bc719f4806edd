/* sensor.h - one line that a sensor says: a running count, or a JSON object. */
#ifndef ULLAGE_STORE_SENSOR_H
#define ULLAGE_STORE_SENSOR_H

#include "store/log.h"

typedef struct {
    int64_t pulses, ml; /* running counts; -1: not said. Never both */
    bool has_temperature;
    int64_t temperature; /* thousandths of a degree C */
} SensorLine;

/* "1234", or an object with "pulses" (a whole number) or "litres", and "c" if it has it; other
 * members are passed over. False where the line is neither, or says nothing of these. Counts and
 * litres from 0 to 10^12. The log lends its reader of JSON; nothing is written. */
bool sensor_read(Log *log, Text line, SensorLine *out);

#endif
