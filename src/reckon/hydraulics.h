/* hydraulics.h - flow and pressure from the air regulator to the tap.
 *
 * Darcy-Weisbach: drop = f (L/D) rho V^2/2, f the Darcy factor (four times Fanning's). Laminar
 * f = 64/Re up to Re 2300; Colebrook from Re 4000 on (Colebrook 1939), solved to rounding;
 * between them ln f runs straight in ln Re from the one to the other, a bridge of this
 * program's own: the flow there is neither, and nothing is published, but the drop must rise
 * with the flow and not jump. Minor losses K rho V^2/2. */
#ifndef ULLAGE_RECKON_HYDRAULICS_H
#define ULLAGE_RECKON_HYDRAULICS_H

#include "reckon/basis.h"
#include "reckon/ultraviolet.h"

#define HYDRAULICS_RE_LAMINAR 2300.0
#define HYDRAULICS_RE_TURBULENT 4000.0
/* Drawn tubing 0.0015 mm (Moody diagram of Metzger & Willard). */
#define HYDRAULICS_ROUGHNESS_M 1.5e-6

typedef enum { FLOW_LAMINAR, FLOW_BETWEEN, FLOW_TURBULENT } FlowRegime;

/* The Darcy factor at `re` (above 0) and roughness over bore. */
double hydraulics_friction(double re, double rough, FlowRegime *regime);

typedef struct {
    double bore_m;      /* 0.0001 to 1 */
    double length_m;    /* 0 to 1,000 */
    double roughness_m; /* 0 to 0.05 of the bore */
} Tube;
typedef struct {
    double density_kg_m3;  /* 0.1 to 30,000 */
    double viscosity_pa_s; /* 1e-7 to 100 */
} Fluid;
typedef struct {
    double drop_pa;
    double velocity_m_s;
    double reynolds;
    double factor;
    FlowRegime regime;
} TubeDrop;
/* Friction alone, no ends. */
TubeDrop hydraulics_tube(const Tube *tube, double flow_l_min, Fluid fluid);

/* Loss coefficients K that the reckoner uses; each lies in the span of three published tables
 * (an engineering table; a waterworks handbook table 6-4, p. 144; pumping-station tables
 * B-6/B-7), the larger where they differ. */
typedef enum {
    FITTING_ELBOW_90,      /* 1.5, threaded */
    FITTING_ELBOW_90_LONG, /* 0.7 */
    FITTING_ELBOW_45,      /* 0.4 */
    FITTING_TEE_RUN,       /* 0.9 */
    FITTING_TEE_BRANCH,    /* 2.0 */
    FITTING_VALVE_BALL,    /* 0.04 */
    FITTING_VALVE_GATE,    /* 0.3 */
    FITTING_VALVE_GLOBE,   /* 10 */
    FITTING_VALVE_ANGLE,   /* 5 */
    FITTING_VALVE_CHECK,   /* 2.5 */
    FITTING_ENTRANCE,      /* 0.5, sharp */
    FITTING_EXIT,          /* 1.0 */
    FITTING_COUNT
} Fitting;
double hydraulics_fitting_k(Fitting fitting); /* 0 for no fitting of the list */

/* One thing on the way from the regulator to the tap. */
typedef enum {
    RESIST_TUBE,    /* bore, length, roughness, and `k` for its bends and ends */
    RESIST_OPENING, /* `count` couplings, fittings or nozzles of bore and `k` each */
    RESIST_RATED    /* a stage or a tap: `rated_drop_kpa` at `rated_l_min`, drop ~ flow^exponent */
} ResistKind;
typedef struct {
    ResistKind kind;
    Tube tube;             /* RESIST_TUBE; for RESIST_OPENING the bore */
    double k;              /* 0 to 1e6 */
    double count;          /* RESIST_OPENING: 0 to 1,000 */
    double rated_l_min;    /* RESIST_RATED: 0.01 to 1,000 */
    double rated_drop_kpa; /* RESIST_RATED: 0 to 5,000 */
    double exponent; /* RESIST_RATED: 1 (cartridge, slow flow through grains) to 2 (tap, chamber,
                        orifice) */
} Resist;
/* Common shapes of the above. */
Resist resist_tube(double bore_mm, double length_m, double k);
Resist resist_opening(double bore_mm, double k, double count);
Resist resist_rated(double rated_l_min, double rated_drop_kpa, double exponent);

enum { FLOW_PATH_MAX = 64 };
typedef struct {
    const Resist *parts; /* borrowed; in the order of the water; at least one */
    size_t count;        /* 1 to FLOW_PATH_MAX */
    double supply_kpa;   /* gauge at the vessel's air, 0 to 1,000 */
    double rise_m;       /* tap above the water's surface, -50 to 50 */
    double water_c;      /* 0 to 60 */
} FlowPath;

typedef struct {
    Basis basis;
    double flow_l_min;              /* 0 where the pressure can't lift the water */
    double driving_kpa;             /* supply less the lift */
    double drop_kpa[FLOW_PATH_MAX]; /* of each part at that flow; together the driving pressure */
    size_t worst;                   /* the part with the largest drop */
    double reynolds;                /* the largest in a tube of the path */
    FlowRegime regime;              /* there */
} TapFlow;
/* The flow at which all drops together take up the driving pressure, by bisection to rounding.
 * Never above 10,000 L/min (RECKON_UNREACHABLE: the path hardly resists at all). */
TapFlow hydraulics_flow(const FlowPath *path);

/* The pressure that the path takes at `flow_l_min`, without the lift. */
double hydraulics_drop_pa(const FlowPath *path, double flow_l_min, Fluid fluid);

typedef struct {
    Basis basis;
    double flow_l_min;     /* now */
    double fall;           /* share of the flow lost since the swap; negative where it grew */
    bool clogged;          /* a fall of more than a third */
    double swap_in_litres; /* litres until a third is lost, if it goes on as it went; 0 if not
                              falling */
} Clogging;
/* A timed jug: `litres` (0.05 to 100) in `seconds` (1 to 36,000) against `after_swap_l_min`
 * (0.01 to 1,000), with `since_swap_l` (0 to 1e7) put through since. Supply pressure unchanged,
 * or give both (1 to 1,000 kPa): the flow now is brought to the old pressure by the square
 * root. */
Clogging hydraulics_clogging(double litres, double seconds, double after_swap_l_min,
                             double since_swap_l, double supply_now_kpa, double supply_then_kpa);

typedef struct {
    Basis basis;
    double minutes;
} TimeToEmpty;
/* `reachable_l` (0 to 10,000) at `flow_l_min` (0.001 to 10,000), tap open all the time,
 * pressure held. */
TimeToEmpty hydraulics_empty(double reachable_l, double flow_l_min);

typedef struct {
    TapFlow flow;
    UvDose dose; /* refused where the flow is (field "flow_l_min") */
} FlowDose;
/* The flow at the tap and the ultraviolet dose that follows from it. */
FlowDose hydraulics_dose(const FlowPath *path, const UvChamber *chamber, double lamp_h,
                         double uvt_percent);

#endif
