/* blend.h - waters put together, and what runs off before the good one comes.
 *
 * Sources: mixing and the balance of a membrane are arithmetic (what goes in comes out); demand =
 * dose - residual, a wastewater operators' text, example 9.1 (reproduced); neutralising after the
 * field table of pipeline disinfection, AWWA field guide table 7-2 (reproduced), rounded up;
 * standing: Toxin Reviews 40(4):1407 (2021), abstract (seen). */
#ifndef ULLAGE_RECKON_BLEND_H
#define ULLAGE_RECKON_BLEND_H

#include "reckon/basis.h"

/* Ascorbic acid, mg for each mg of free chlorine: 2.4839 by the equation, 2.5 as printed. */
#define BLEND_ASCORBIC_MG 2.5
/* Open to the air, 24 hours took 51 to 62 % of it: the least counts. */
#define BLEND_STANDING_DAY 0.51

typedef struct {
    Basis basis;
    double value;
} BlendMix;
/* What `a_l` of `a` and `b_l` of `b` give (litres 0 to 1e5, not both 0; values 0 to 1e6, of TDS,
 * hardness, chlorine). For chlorine it is the HIGHEST that it can be: dirt takes some up. */
BlendMix blend_mix(double a_l, double a, double b_l, double b);

typedef struct {
    Basis basis;
    double b_l; /* of the second that brings the first to what is wanted */
} BlendAdd;
/* `wanted` lies between the two: above the lower one, not above the higher. */
BlendAdd blend_add(double a_l, double a, double b, double wanted);

typedef struct {
    Basis basis;
    double recovery;  /* product / feed */
    double rejection; /* of what is dissolved: 1 - product / feed */
    double waste_l;
    double waste; /* what the waste water holds */
} BlendMembrane;
/* `feed_l` (0.001 to 1e5) of `feed` (0.001 to 1e6) give `product_l` (under feed_l) of `product`
 * (not above `feed`). */
BlendMembrane blend_membrane(double feed_l, double product_l, double feed, double product);

/* What stands in a hose, L; length 0 to 1000 m, bore 1 to 200 mm. */
typedef struct {
    Basis basis;
    double litres;
} BlendHose;
BlendHose blend_hose(double length_m, double bore_m);

#endif
