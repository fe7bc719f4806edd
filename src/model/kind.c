#include "model/kind.h"

#include <string.h>

int kind_field(const Kind *kind, Text name)
{
    for (int i = 0; i < kind->field_count; i++)
        if (text_is(name, kind->fields[i].name))
            return i;
    return -1;
}

bool kind_refused_then(const Kind *kind, Fault *fault)
{
    if (kind->earlier != NULL && strstr(fault->text, "There is no ") == fault->text)
        fault_suffix(fault, " Before it was named: %s.", kind->earlier);
    return fault_prefix(fault, "At that time: ");
}
