/* water.h - what water itself does: density, viscosity, heat, vapour.
 *
 * Sources: IAPWS SR6-08(2011), Revised Supplementary Release on Properties of Liquid Water at
 * 0.1 MPa (density, viscosity, heat capacity, conductivity; valid 253.15 to 383.15 K). IAPWS
 * R7-97(2012), Industrial Formulation 1997, region 4, equations 30 and 31 (saturation line).
 * The releases are the publications; the coefficients stand in water.c. Pressure in this
 * program's range (up to 1 MPa) changes the density of liquid water by less than 0.05 %, which
 * is neglected. */
#ifndef ULLAGE_RECKON_WATER_H
#define ULLAGE_RECKON_WATER_H

#include "reckon/basis.h"

#define WATER_T_LOW_C 0.0
#define WATER_T_HIGH_C 110.0

typedef struct {
    Basis basis;
    double density_kg_m3;
    double viscosity_pa_s; /* dynamic */
    double kinematic_m2_s; /* viscosity / density */
    double heat_j_kg_k;    /* isobaric heat capacity */
    double conduct_w_m_k;  /* thermal conductivity */
    double vapour_pa;      /* saturation pressure, absolute */
} WaterProperties;

/* Liquid water at atmospheric pressure, 0 to 110 C. Refused outside. */
WaterProperties water_at(double temperature_c);

typedef struct {
    Basis basis;
    double temperature_c;
} WaterBoiling;

/* The temperature at which water boils under an ABSOLUTE pressure of 0.7 to 1,500 kPa. */
WaterBoiling water_boiling(double pressure_kpa);

#endif
