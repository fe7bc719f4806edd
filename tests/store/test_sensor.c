/* Lines of a sensor, which may say anything. */
#include "store/sensor.h"
#include "support/store_kit.h"

static void a_line_says_a_count_or_nothing(void **state)
{
    (void)state;
    static const struct {
        const char *line;
        bool read;
        int64_t pulses, ml;
        int64_t temperature; /* INT64_MIN: not said */
    } lines[] = {
        {"0", true, 0, -1, INT64_MIN},
        {" 1234\r\n", true, 1234, -1, INT64_MIN},
        {"1000000000000", true, INT64_C(1000000000000), -1, INT64_MIN},
        {"1000000000001", false, 0, 0, 0},
        {"99999999999999999999", false, 0, 0, 0},
        {"", false, 0, 0, 0},
        {"-5", false, 0, 0, 0},
        {"12.5", false, 0, 0, 0},
        {"{\"pulses\":7}", true, 7, -1, INT64_MIN},
        {"{\"pulses\":7,\"c\":3.25,\"battery\":\"low\"}", true, 7, -1, 3250},
        {"{\"pulses\":-7}", false, 0, 0, 0},
        {"{\"pulses\":7.5}", false, 0, 0, 0},
        {"{\"pulses\":1000000000001}", false, 0, 0, 0},
        {"{\"pulses\":\"7\"}", false, 0, 0, 0},
        {"{\"litres\":1.234}", true, -1, 1234, INT64_MIN},
        {"{\"litres\":1000000000}", true, -1, INT64_C(1000000000000), INT64_MIN},
        {"{\"litres\":1000000000.001}", false, 0, 0, 0},
        {"{\"litres\":-0.001}", false, 0, 0, 0},
        {"{\"litres\":1,\"pulses\":1}", false, 0, 0, 0}, /* which of the two? */
        {"{\"c\":-100}", true, -1, -1, -100000},
        {"{\"c\":-100.001}", false, 0, 0, 0},
        {"{\"c\":200}", true, -1, -1, 200000},
        {"{\"c\":200.001}", false, 0, 0, 0},
        {"{\"battery\":3}", false, 0, 0, 0},
        {"{}", false, 0, 0, 0},
        {"{\"pulses\":7", false, 0, 0, 0},
        {"[7]", false, 0, 0, 0},
    };
    Log *log = kit_open("", LOG_SCRATCH);
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        SensorLine out;
        if (sensor_read(log, text_of(lines[i].line), &out) != lines[i].read)
            fail_msg("%s", lines[i].line);
        if (!lines[i].read)
            continue;
        assert_int_equal(out.pulses, lines[i].pulses);
        assert_int_equal(out.ml, lines[i].ml);
        assert_int_equal(out.has_temperature, lines[i].temperature != INT64_MIN);
        if (out.has_temperature)
            assert_int_equal(out.temperature, lines[i].temperature);
    }
    log_close(log);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_line_says_a_count_or_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
