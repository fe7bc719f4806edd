/* Where the figures of the reckoners end: each limit as the header says it, neither sooner nor
 * later. */
#include "reckon/air.h"
#include "reckon/atmosphere.h"
#include "reckon/bleach.h"
#include "reckon/blend.h"
#include "reckon/disinfection.h"
#include "reckon/freeze.h"
#include "reckon/heat.h"
#include "reckon/hydraulics.h"
#include "reckon/load.h"
#include "reckon/meter.h"
#include "reckon/ultraviolet.h"
#include "reckon/water.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

enum { INPUTS_MAX = 9 };
typedef struct {
    const char *field;
    double usual, low, high;
} Limit;
typedef Basis (*Ask)(const double v[]);

static bool beyond(const Basis *b, const char *field)
{
    return !b->ok && strcmp(b->field, field) == 0 &&
           (b->reason == RECKON_TOO_LOW || b->reason == RECKON_TOO_HIGH);
}

/* One input at, and a hair beyond, each of its ends; the others as usual. */
static void limits_hold(Ask ask, const Limit limits[], int count)
{
    double v[INPUTS_MAX];
    for (int i = 0; i < count; i++)
        v[i] = limits[i].usual;
    assert_true(ask(v).ok);
    for (int i = 0; i < count; i++) {
        const Limit *l = &limits[i];
        const double ends[] = {l->low, l->high};
        for (int end = 0; end < 2; end++) {
            v[i] = ends[end];
            const Basis at = ask(v);
            v[i] = nextafter(ends[end], end == 0 ? -INFINITY : INFINITY);
            const Basis past = ask(v);
            if (beyond(&at, l->field) || !beyond(&past, l->field))
                fail_msg("%s does not end at %g", l->field, ends[end]);
            assert_int_equal(past.reason, end == 0 ? RECKON_TOO_LOW : RECKON_TOO_HIGH);
        }
        v[i] = l->usual;
    }
}
#define LIMITS(ask, ...)                                                                           \
    limits_hold(ask, (const Limit[]){__VA_ARGS__},                                                 \
                sizeof((const Limit[]){__VA_ARGS__}) / sizeof(Limit))

static Basis charge(const double v[])
{
    return air_charge(v[0], v[1], v[2]).basis;
}

static Basis run(const double v[])
{
    return air_run(v[0], v[1], v[2], v[3], v[4], v[5]).basis;
}

static Basis rating(const double v[])
{
    return air_rating("gauge_kpa", v[0], v[1]).basis;
}

static Basis once(const double v[])
{
    return air_once(&(AirVessel){v[0], v[1], v[2], v[3], v[4]}, v[5]).basis;
}

static Basis after(const double v[])
{
    return air_after(&(AirVessel){20, 1, 300, 100, 101}, v[0], v[1]).basis;
}

static Basis sealed(const double v[])
{
    return air_sealed(&(AirVessel){20, 1, 300, 100, 101}, v[0], v[1], v[2], v[3]).basis;
}

static Basis altitude(const double v[])
{
    return atmosphere_at(v[0]).basis;
}

static Basis dose(const double v[])
{
    return bleach_dose(v[0], v[1], v[2], v[3], v[4]).basis;
}

static Basis emergency(const double v[])
{
    return bleach_emergency(v[0], v[1], false).basis;
}

static Basis shock(const double v[])
{
    return bleach_shock(v[0], v[1], v[2], v[3], v[4], v[5]).basis;
}

static Basis mix(const double v[])
{
    return blend_mix(v[0], v[1], v[2], v[3]).basis;
}

static Basis add(const double v[])
{
    return blend_add(v[0], v[1], v[2], v[3]).basis;
}

static Basis membrane(const double v[])
{
    return blend_membrane(v[0], v[1], v[2], v[3]).basis;
}

static Basis hose(const double v[])
{
    return blend_hose(v[0], v[1]).basis;
}

static Basis giardia(const double v[])
{
    return disinfection_giardia(v[0], v[1], v[2], v[3]).basis;
}

static Basis virus(const double v[])
{
    return disinfection_virus(v[0], v[1], v[2], v[3]).basis;
}

static Basis credit(const double v[])
{
    return disinfection_credit(v[0], v[1], v[2], v[3]).basis;
}

static Basis boil(const double v[])
{
    return disinfection_boil(v[0]).basis;
}

static Basis tube(const double v[])
{
    return freeze_tube(&(FreezeTube){v[4], v[5], INFINITY, v[3]}, v[0], v[1], v[2]).basis;
}

static Basis vessel(const double v[])
{
    return freeze_vessel(v[4], v[3], v[0], v[1], v[2]).basis;
}

static Basis heating(const double v[])
{
    return heat_time(v[0], v[1], v[2], v[3], (HeatLoss){v[4], v[5]}).basis;
}

static Basis reached(const double v[])
{
    return heat_reached(v[0], v[1], v[2], v[3], (HeatLoss){v[4], v[5]}).basis;
}

static Basis supply(const double v[])
{
    return heat_supply(v[0], v[1], v[2], v[3], v[4], v[5]).basis;
}

static Basis mix_to(const double v[])
{
    return heat_mix_to(v[0], v[1], v[2], v[3]).basis;
}

static Basis scald(const double v[])
{
    return heat_scald(v[0]).basis;
}

static Basis standing(const double v[])
{
    return heat_standing(v[0]).basis;
}

static Basis clogging(const double v[])
{
    return hydraulics_clogging(v[0], v[1], v[2], v[3], v[4], v[5]).basis;
}

static Basis empty(const double v[])
{
    return hydraulics_empty(v[0], v[1]).basis;
}

static Basis mass(const double v[])
{
    return load_mass(v[0], v[1], v[2]).basis;
}

static Basis volume(const double v[])
{
    return load_volume(v[0], v[1], v[2]).basis;
}

static Basis intake(const double v[])
{
    return load_heat_intake(v[0], WORK_EASY).basis;
}

static Basis need(const double v[])
{
    return load_need(NEED_BASIC, v[0], v[1], v[2], WORK_EASY, v[3]).basis;
}

static Basis centre(const double v[])
{
    return load_centre((double[]){v[1], 5}, 2, v[0]).basis;
}

static Basis jug(const double v[])
{
    return meter_jug(v[0], v[1], v[2], v[3]).basis;
}

static Basis soundings(const double v[])
{
    return meter_soundings(v[0], v[1], v[2]).basis;
}

static Basis light(const double v[])
{
    return ultraviolet_dose(&(UvChamber){v[0], v[1], v[2], v[3], v[4], false}, v[5], v[6], v[7])
        .basis;
}

static Basis liquid(const double v[])
{
    return water_at(v[0]).basis;
}

static Basis boiling(const double v[])
{
    return water_boiling(v[0]).basis;
}

static Basis path_of(const Resist *part, const double v[])
{
    return hydraulics_flow(&(FlowPath){part, 1, v[0], v[1], v[2]}).basis;
}

static Basis tubing(const double v[])
{
    const Resist part = {.kind = RESIST_TUBE,
                         .tube = {.bore_m = v[3], .length_m = v[4], .roughness_m = v[5]},
                         .k = v[6]};
    return path_of(&part, v);
}

static Basis opening(const double v[])
{
    const Resist part = {
        .kind = RESIST_OPENING, .tube = {.bore_m = v[3]}, .k = v[4], .count = v[5]};
    return path_of(&part, v);
}

static Basis rated(const double v[])
{
    const Resist part = {
        .kind = RESIST_RATED, .rated_l_min = v[3], .rated_drop_kpa = v[4], .exponent = v[5]};
    return path_of(&part, v);
}

static Basis pressed(const double v[])
{
    return air_pressure(v[0], 100).basis;
}

/* air.h */
static void air_ends_where_it_says(void **state)
{
    (void)state;
    LIMITS(pressed, {"gauge_kpa", 276, 0, 1000});
    LIMITS(charge, {"volume_l", 10, 0, 1e5}, {"gauge_kpa", 276, 0, 1000},
           {"ambient_kpa", 101, 20, 120});
    LIMITS(run, {"water_l", 10, 0.01, 1e5}, {"gauge_kpa", 276, 0, 1000},
           {"ambient_kpa", 101, 20, 120}, {"free_l_min", 20, 0.1, 1000}, {"watts", 120, 1, 5000},
           {"volts", 12, 1, 1000});
    LIMITS(rating, {"gauge_kpa", 276, 0, 1e4}, {"rated_kpa", 300, 0, 1e4});
    LIMITS(once, {"total_l", 20, 0.1, 1e4}, {"heel_l", 0.01, 0, 20}, {"gauge_kpa", 300, 1, 1000},
           {"floor_kpa", 100, 0, 300}, {"ambient_kpa", 101, 20, 120}, {"water_l", 0.05, 0.01, 20});
    LIMITS(after, {"water_l", 10, 1, 20}, {"drawn_l", 0, 0, 9});
    LIMITS(sealed, {"water_l", 10, 0, 20}, {"from_c", 15, 0, 110}, {"to_c", 45, 0, 110},
           {"to_ambient_kpa", 101, 20, 120});
    LIMITS(altitude, {"altitude_m", 0, -500, 11019.068});
}

/* bleach.h, blend.h */
static void doses_end_where_they_say(void **state)
{
    (void)state;
    LIMITS(dose, {"volume_l", 10, 0.05, 1e4}, {"target_mg_l", 2, 0.1, 500}, {"percent", 5, 0.5, 15},
           {"age_months", 1, 0, 12}, {"storage_c", 15, -10, 50});
    LIMITS(emergency, {"volume_l", 10, 0.25, 1000}, {"percent", 5, 1, 15});
    LIMITS(shock, {"volume_l", 10, 0.5, 1e4}, {"target_mg_l", 100, 50, 200},
           {"percent", 5, 0.5, 15}, {"age_months", 1, 0, 12}, {"storage_c", 15, -10, 50},
           {"heel_l", 1, 0, 5});
    LIMITS(mix, {"a_l", 10, 0, 1e5}, {"a", 300, 0, 1e6}, {"b_l", 10, 0, 1e5}, {"b", 100, 0, 1e6});
    LIMITS(add, {"a_l", 10, 0, 1e5}, {"a", 300, 0, 1e6}, {"b", 100, 0, 1e6},
           {"wanted", 200, 0, 1e6});
    LIMITS(membrane, {"feed_l", 10, 0.001, 1e5}, {"product_l", 0.0005, 0, 9.9},
           {"feed", 500, 0.001, 1e6}, {"product", 25, 0, 500});
    LIMITS(hose, {"length_m", 10, 0, 1000}, {"bore_m", 0.01, 0.001, 0.2});
}

/* disinfection.h, ultraviolet.h */
static void disinfection_ends_where_it_says(void **state)
{
    (void)state;
    LIMITS(giardia, {"temperature_c", 10, 0, 60}, {"ph", 7, 5, 9}, {"residual_mg_l", 1, 0.1, 5},
           {"log_wanted", 3, 0.5, 3});
    LIMITS(virus, {"temperature_c", 10, 0, 60}, {"ph", 7, 6, 10}, {"residual_mg_l", 1, 0.1, 5},
           {"log_wanted", 4, 0.01, 4});
    LIMITS(credit, {"residual_mg_l", 1, 0.1, 5}, {"minutes", 30, 0, 20160},
           {"temperature_c", 10, 0, 60}, {"ph", 7, 6, 9});
    LIMITS(boil, {"altitude_m", 100, -500, 9000});
    LIMITS(light, {"rated_mj_cm2", 40, 1, 1000}, {"rated_flow_l_min", 4, 0.1, 200},
           {"rated_uvt_percent", 95, 50, 100}, {"gap_cm", 2, 0.1, 10},
           {"lamp_life_h", 9000, 100, 20000}, {"flow_l_min", 2, 0.01, 200},
           {"lamp_h", 100, 0, 50000}, {"uvt_percent", 95, 50, 100});
}

/* freeze.h, heat.h, water.h */
static void heat_and_frost_end_where_they_say(void **state)
{
    (void)state;
    LIMITS(tube, {"from_c", 5, 0, 60}, {"air_c", -5, -60, 60}, {"wind_m_s", 5, 0, 60},
           {"foam_m", 0.01, 0, 0.2}, {"bore_m", 0.006, 0.001, 0.1}, {"outer_m", 0.2, 0.006, 0.5});
    LIMITS(vessel, {"from_c", 5, 0, 60}, {"air_c", -5, -60, 60}, {"wind_m_s", 5, 0, 60},
           {"foam_m", 0.01, 0, 0.2}, {"volume_l", 10, 0.1, 1000});
    LIMITS(heating, {"volume_l", 10, 0.05, 1000}, {"from_c", 10, 0, 100}, {"to_c", 40, 10, 100},
           {"watts", 300, 1, 50000}, {"loss_w_k", 2, 0, 1000}, {"air_c", 20, -50, 60});
    LIMITS(reached, {"volume_l", 10, 0.05, 1000}, {"from_c", 10, 0, 100},
           {"energy_wh", 100, 0.1, 1e5}, {"watts", 300, 1, 50000}, {"loss_w_k", 2, 0, 1000},
           {"air_c", 20, -50, 60});
    LIMITS(supply, {"electric_wh", 100, 0, 1e6}, {"battery_wh", 1000, 1, 1e6},
           {"volts", 12, 1, 1000}, {"efficiency", 0.9, 0.1, 1}, {"solar_w", 100, 1, 1e5},
           {"sun_hours", 4, 0.1, 24});
    LIMITS(mix_to, {"total_l", 10, 0.05, 1000}, {"hot_c", 80, 10, 100}, {"cold_c", 10, 0, 100},
           {"target_c", 40, 10, 80});
    LIMITS(scald, {"temperature_c", 50, 0, 100});
    LIMITS(standing, {"temperature_c", 50, 0, 100});
    LIMITS(liquid, {"temperature_c", 20, 0, 110});
    LIMITS(boiling, {"pressure_kpa", 101, 0.7, 1500});
}

/* hydraulics.h, meter.h */
static void flow_ends_where_it_says(void **state)
{
    (void)state;
    LIMITS(tubing, {"supply_kpa", 276, 0, 1000}, {"rise_m", 1, -50, 50}, {"water_c", 15, 0, 60},
           {"bore_m", 0.006, 0.0001, 1}, {"length_m", 5, 0, 1000},
           {"roughness_m", 0, 0, 0.05 * 0.006}, {"k", 2, 0, 1e6});
    LIMITS(opening, {"supply_kpa", 276, 0, 1000}, {"rise_m", 1, -50, 50}, {"water_c", 15, 0, 60},
           {"bore_m", 0.006, 0.0001, 1}, {"k", 2, 0, 1e6}, {"count", 3, 0, 1000});
    LIMITS(rated, {"supply_kpa", 276, 0, 1000}, {"rise_m", 1, -50, 50}, {"water_c", 15, 0, 60},
           {"rated_l_min", 4, 0.01, 1000}, {"rated_drop_kpa", 50, 0, 5000},
           {"exponent", 1.5, 1, 2});
    LIMITS(clogging, {"litres", 1, 0.05, 100}, {"seconds", 30, 1, 36000},
           {"after_swap_l_min", 3, 0.01, 1000}, {"since_swap_l", 100, 0, 1e7},
           {"supply_now_kpa", 276, 1, 1000}, {"supply_then_kpa", 276, 1, 1000});
    LIMITS(empty, {"reachable_l", 20, 0, 1e4}, {"flow_l_min", 2, 0.001, 1e4});
    LIMITS(jug, {"volume_l", 2, 0.05, 1000}, {"read_l", 0.02, 0, 1}, {"pulses", 900, 1, 1e9},
           {"runs", 1, 1, 1000});
    LIMITS(soundings, {"counted_l", 100, 0.001, 1e6}, {"found_l", 0, -99, 1e6},
           {"sd_l", 1, 0.001, 1e6});
}

/* load.h */
static void loads_and_needs_end_where_they_say(void **state)
{
    (void)state;
    LIMITS(mass, {"volume_l", 10, 0, 1e4}, {"temperature_c", 20, 0, 100}, {"tare_kg", 1, 0, 1e4});
    LIMITS(volume, {"gross_kg", 11, 1, 2e4}, {"temperature_c", 20, 0, 100}, {"tare_kg", 1, 0, 1e4});
    LIMITS(intake, {"wbgt_c", 30, -50, 60});
    LIMITS(need, {"persons", 2, 1, 1000}, {"days", 3, 0.01, 3650}, {"wbgt_c", 30, -50, 60},
           {"work_hours", 4, 0, 24});
    LIMITS(centre, {"apart_m", 0.3, 0, 100}, {"vessel_kg", 10, 0, 1000});
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(air_ends_where_it_says),
        cmocka_unit_test(doses_end_where_they_say),
        cmocka_unit_test(disinfection_ends_where_it_says),
        cmocka_unit_test(heat_and_frost_end_where_they_say),
        cmocka_unit_test(flow_ends_where_it_says),
        cmocka_unit_test(loads_and_needs_end_where_they_say),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
