#include "reckon/water.h"

#include <math.h>

static const char liquid_source[] =
    "IAPWS SR6-08(2011), liquid water at 0.1 MPa; IAPWS R7-97(2012), saturation line";
static const char vapour_source[] =
    "IAPWS R7-97(2012), Industrial Formulation 1997, eqs. 30 and 31";
static const char water_fresh[] =
    "pure, air-free fresh water; salt and dissolved air are not counted";
static const char hot[] = "a closed vessel above the boiling point of its surroundings flashes to "
                          "steam when opened: let it cool, vent it first";

/* c * x^n */
typedef struct {
    double c;
    int n;
} Term;

static double terms_sum(const Term *terms, int count, double x)
{
    double sum = 0.0;
    for (int i = 0; i < count; i++)
        sum += terms[i].c * pow(x, terms[i].n);
    return sum;
}

/* The second derivative of c x^n by temperature is c n (n + 1) x^(n + 2) / Tr^2, for both of
 * the release's reduced variables. */
static double terms_curve(const Term *terms, int count, double x)
{
    double sum = 0.0;
    for (int i = 0; i < count; i++)
        sum += terms[i].c * terms[i].n * (terms[i].n + 1) * pow(x, terms[i].n + 2);
    return sum;
}

/* SR6-08 table 1 and equations 1 to 5: reduced variables a = 10/(593 - T), b = 10/(T - 232), T
 * in K. */
#define SR6_R_J_KG_K 461.51805
#define SR6_T_REDUCE 10.0
#define SR6_C3 (-8.983025854)
static const Term volume_a[] = {{6.74458446e3, 4},
                                {-2.22521604e5, 5},
                                {1.00231247e8, 7},
                                {-1.63552118e9, 8},
                                {8.32299658e9, 9}};
static const Term volume_b[] = {{5.78545292e-3, 1},  {-1.53195665e-2, 2}, {3.11337859e-2, 3},
                                {-4.23546241e-2, 4}, {3.38713507e-2, 5},  {-1.19946761e-2, 6}};
static const Term gibbs_a[] = {{-1.661470539e5, 4}, {2.708781640e6, 5}, {-1.557191544e8, 7}};
static const Term gibbs_b[] = {
    {-8.237426256e-1, 2}, {1.908956353, 3}, {-2.017597384, 4}, {8.546361348e-1, 5}};
#define SR6_VOLUME_CONSTANT 1.93763157e-2

#define TERM_COUNT(a) ((int)(sizeof(a) / sizeof((a)[0])))

static double liquid_density(double kelvin)
{
    double a = SR6_T_REDUCE / (593.0 - kelvin);
    double b = SR6_T_REDUCE / (kelvin - 232.0);
    double reduced = SR6_VOLUME_CONSTANT + terms_sum(volume_a, TERM_COUNT(volume_a), a) +
                     terms_sum(volume_b, TERM_COUNT(volume_b), b);
    double volume_m3_kg = SR6_R_J_KG_K * SR6_T_REDUCE / 1.0e5 * reduced;
    return 1.0 / volume_m3_kg;
}

static double liquid_heat(double kelvin)
{
    double a = SR6_T_REDUCE / (593.0 - kelvin);
    double b = SR6_T_REDUCE / (kelvin - 232.0);
    double curve =
        terms_curve(gibbs_a, TERM_COUNT(gibbs_a), a) + terms_curve(gibbs_b, TERM_COUNT(gibbs_b), b);
    return -SR6_R_J_KG_K * (SR6_C3 + kelvin / SR6_T_REDUCE * curve);
}

/* SR6-08 equations 7 and 8, with T/300 K. */
static double liquid_viscosity(double kelvin)
{
    double x = kelvin / 300.0;
    return 1.0e-6 * (280.68 * pow(x, -1.9) + 511.45 * pow(x, -7.7) + 61.131 * pow(x, -19.6) +
                     0.45903 * pow(x, -40.0));
}

static double liquid_conductivity(double kelvin)
{
    double x = kelvin / 300.0;
    return 1.6630 * pow(x, -1.15) - 1.7781 * pow(x, -3.4) + 1.1567 * pow(x, -6.0) -
           0.432115 * pow(x, -7.6);
}

/* R7-97 table 34. */
static const double sat[] = {0.11670521452767e4,  -0.72421316703206e6, -0.17073846940092e2,
                             0.12020824702470e5,  -0.32325550322333e7, 0.14915108613530e2,
                             -0.48232657361591e4, 0.40511340542057e6,  -0.23855557567849,
                             0.65017534844798e3};

static double saturation_pa(double kelvin)
{
    double th = kelvin + sat[8] / (kelvin - sat[9]);
    double a = th * th + sat[0] * th + sat[1];
    double b = sat[2] * th * th + sat[3] * th + sat[4];
    double c = sat[5] * th * th + sat[6] * th + sat[7];
    double root = 2.0 * c / (-b + sqrt(b * b - 4.0 * a * c));
    return 1.0e6 * root * root * root * root;
}

static double saturation_kelvin(double pascal)
{
    double be = pow(pascal / 1.0e6, 0.25);
    double e = be * be + sat[2] * be + sat[5];
    double f = sat[0] * be * be + sat[3] * be + sat[6];
    double g = sat[1] * be * be + sat[4] * be + sat[7];
    double d = 2.0 * g / (-f - sqrt(f * f - 4.0 * e * g));
    double sum = sat[9] + d;
    return 0.5 * (sum - sqrt(sum * sum - 4.0 * (sat[8] + sat[9] * d)));
}

WaterProperties water_at(double temperature_c)
{
    WaterProperties r = {.basis = basis_begin(liquid_source, water_fresh, hot)};
    if (!basis_within(&r.basis, "temperature_c", temperature_c, WATER_T_LOW_C, WATER_T_HIGH_C))
        return r;
    double kelvin = temperature_c + 273.15;
    r.density_kg_m3 = liquid_density(kelvin);
    r.viscosity_pa_s = liquid_viscosity(kelvin);
    r.kinematic_m2_s = r.viscosity_pa_s / r.density_kg_m3;
    r.heat_j_kg_k = liquid_heat(kelvin);
    r.conduct_w_m_k = liquid_conductivity(kelvin);
    r.vapour_pa = saturation_pa(kelvin);
    return r;
}

WaterBoiling water_boiling(double pressure_kpa)
{
    WaterBoiling r = {.basis = basis_begin(vapour_source, water_fresh, hot)};
    if (basis_within(&r.basis, "pressure_kpa", pressure_kpa, 0.7, 1500.0))
        r.temperature_c = saturation_kelvin(pressure_kpa * 1000.0) - 273.15;
    return r;
}
