#include "reckon/basis.h"

#include <math.h>
#include <stdio.h>

Basis basis_begin(const char *source, const char *limits, const char *caution)
{
    return (Basis){
        .ok = true, .reason = RECKON_OK, .source = source, .limits = limits, .caution = caution};
}

bool basis_refuse(Basis *basis, ReckonReason reason, const char *field, double value)
{
    if (basis->ok) {
        basis->ok = false;
        basis->reason = reason;
        basis->field = field;
        basis->value = isfinite(value) ? value : 0.0;
    }
    return false;
}

bool basis_within(Basis *basis, const char *field, double value, double low, double high)
{
    if (!basis->ok)
        return false;
    ReckonReason reason;
    if (!isfinite(value))
        reason = RECKON_NOT_A_NUMBER;
    else if (value < low)
        reason = RECKON_TOO_LOW;
    else if (value > high)
        reason = RECKON_TOO_HIGH;
    else
        return true;
    basis->low = low;
    basis->high = high;
    return basis_refuse(basis, reason, field, value);
}

char *basis_explain(const Basis *basis, char *out, size_t size)
{
    if (size == 0)
        return out;
    out[0] = '\0';
    switch (basis->reason) {
    case RECKON_OK:
        break;
    case RECKON_NOT_A_NUMBER:
        (void)snprintf(out, size, "%s is not given: give a number from %g to %g", basis->field,
                       basis->low, basis->high);
        break;
    case RECKON_TOO_LOW:
        (void)snprintf(out, size, "%s is %g, below %g, where the figures begin", basis->field,
                       basis->value, basis->low);
        break;
    case RECKON_TOO_HIGH:
        (void)snprintf(out, size, "%s is %g, above %g, where the figures end", basis->field,
                       basis->value, basis->high);
        break;
    case RECKON_NO_ROW:
        (void)snprintf(out, size, "no published figure covers %s %g", basis->field, basis->value);
        break;
    case RECKON_UNREACHABLE:
        (void)snprintf(out, size, "%s %g is never reached with these values", basis->field,
                       basis->value);
        break;
    case RECKON_CONTRADICTION:
        (void)snprintf(out, size, "%s %g does not agree with the other values", basis->field,
                       basis->value);
        break;
    case RECKON_ABOVE_RATING:
        (void)snprintf(out, size, "%s is %g, above the lowest rating, %g", basis->field,
                       basis->value, basis->high);
        break;
    }
    return out;
}
