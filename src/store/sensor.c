#include "store/sensor.h"

#include "store/inside.h"

#define SENSOR_MAX INT64_C(1000000000000)

static bool whole(int64_t thousandths, int64_t *out)
{
    *out = thousandths / 1000;
    return thousandths >= 0 && thousandths % 1000 == 0 && *out <= SENSOR_MAX;
}

static bool member_read(const JsonMember *m, SensorLine *out)
{
    Fault fault = {0};
    int64_t value;
    const bool pulses = text_is(m->key, "pulses"), litres = text_is(m->key, "litres");
    const bool cold = text_is(m->key, "c");
    if (!pulses && !litres && !cold)
        return true;
    if (m->type != JSON_NUMBER || !json_thousandths(m->text, &value, &fault))
        return false;
    if (pulses)
        return whole(value, &out->pulses);
    if (litres) {
        out->ml = value;
        return value >= 0 && value <= SENSOR_MAX;
    }
    out->has_temperature = value >= -100000 && value <= 200000;
    out->temperature = value;
    return out->has_temperature;
}

static bool digits_only(Text line)
{
    for (size_t i = 0; i < line.n; i++)
        if (line.s[i] < '0' || line.s[i] > '9')
            return false;
    return line.n > 0;
}

bool sensor_read(Log *log, Text line, SensorLine *out)
{
    enum { MEMBERS = 8 };
    JsonMember members[MEMBERS];
    Fault fault = {0};
    int64_t value;
    int count;
    *out = (SensorLine){.pulses = -1, .ml = -1};
    line = text_trim(line);
    if (digits_only(line))
        return json_thousandths(line, &value, &fault) && whole(value, &out->pulses);
    if (!json_object(&log->json, line, members, MEMBERS, &count, &fault))
        return false;
    for (int i = 0; i < count; i++)
        if (!member_read(&members[i], out))
            return false;
    return (out->pulses >= 0) != (out->ml >= 0) ||
           (out->pulses < 0 && out->ml < 0 && out->has_temperature);
}
