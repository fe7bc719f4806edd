#include "reckon/blend.h"

#include <math.h>

static const char mix_source[] = "arithmetic: what goes in comes out";
static const char mix_limits[] = "well mixed; pH does not mix so";
static const char mix_caution[] =
    "taste and scale are no measure of safety: the class of a mixture is that of the worse";
static const char membrane_source[] =
    "arithmetic: recovery = product / feed, rejection = 1 - product / feed (definitions, from "
    "memory)";
static const char membrane_limits[] = "TDS tells of salt: it says nothing of germs, nor of a leak "
                                      "smaller than the meter's step";
static const char membrane_caution[] = "the maker's least and most recovery, chlorine limit and "
                                       "storage come first; waste water is not for drinking";
static const char hose_source[] = "volume of a cylinder";
static const char hose_limits[] =
    "a film on the wall, or what grows in it, is not carried out by any number of fills";
static const char hose_caution[] = "use a hose made for drinking water, drained and capped when "
                                   "stowed; hold it out of the ground and the bucket";

BlendMix blend_mix(double a_l, double a, double b_l, double b)
{
    BlendMix r = {basis_begin(mix_source, mix_limits, mix_caution), 0};
    if (basis_within(&r.basis, "a_l", a_l, 0, 1e5) && basis_within(&r.basis, "a", a, 0, 1e6) &&
        basis_within(&r.basis, "b_l", b_l, 0, 1e5) && basis_within(&r.basis, "b", b, 0, 1e6) &&
        (a_l + b_l > 0 || basis_refuse(&r.basis, RECKON_CONTRADICTION, "a_l", a_l)))
        r.value = (a_l * a + b_l * b) / (a_l + b_l);
    return r;
}

BlendAdd blend_add(double a_l, double a, double b, double wanted)
{
    BlendAdd r = {basis_begin(mix_source, mix_limits, mix_caution), 0};
    if (!basis_within(&r.basis, "a_l", a_l, 0, 1e5) || !basis_within(&r.basis, "a", a, 0, 1e6) ||
        !basis_within(&r.basis, "b", b, 0, 1e6) ||
        !basis_within(&r.basis, "wanted", wanted, 0, 1e6))
        return r;
    if (wanted == a)
        return r;
    if ((wanted - a) * (b - wanted) <= 0) {
        (void)basis_refuse(&r.basis, RECKON_UNREACHABLE, "wanted", wanted);
        return r;
    }
    const double litres = a_l * (a - wanted) / (wanted - b);
    if (litres > 1e9)
        (void)basis_refuse(&r.basis, RECKON_UNREACHABLE, "wanted", wanted);
    else
        r.b_l = litres;
    return r;
}

BlendMembrane blend_membrane(double feed_l, double product_l, double feed, double product)
{
    BlendMembrane r = {.basis = basis_begin(membrane_source, membrane_limits, membrane_caution)};
    if (!basis_within(&r.basis, "feed_l", feed_l, 0.001, 1e5) ||
        !basis_within(&r.basis, "product_l", product_l, 0, 0.99 * feed_l) ||
        !basis_within(&r.basis, "feed", feed, 0.001, 1e6) ||
        !basis_within(&r.basis, "product", product, 0, feed))
        return r;
    r.recovery = product_l / feed_l;
    r.rejection = 1 - product / feed;
    r.waste_l = feed_l - product_l;
    r.waste = (feed_l * feed - product_l * product) / r.waste_l;
    return r;
}

BlendHose blend_hose(double length_m, double bore_m)
{
    BlendHose r = {basis_begin(hose_source, hose_limits, hose_caution), 0};
    if (basis_within(&r.basis, "length_m", length_m, 0, 1000) &&
        basis_within(&r.basis, "bore_m", bore_m, 0.001, 0.2))
        r.litres = 3.14159265358979323846 / 4 * bore_m * bore_m * length_m * 1000;
    return r;
}
