#include "screens/screens.h"

#include <stddef.h>
#include <string.h>

/* In the order of help and of Tab. One line a screen. */
const Screen *const SCREENS[] = {
    &SCREEN_BOARD,  &SCREEN_LOG,     &SCREEN_VESSELS, &SCREEN_SERVICE, &SCREEN_OUTLOOK,
    &SCREEN_RECKON, &SCREEN_SOURCES, &SCREEN_SETUP,   &SCREEN_SEASON,  &SCREEN_FAR,
    NULL,
};

const Screen *screen_named(const char *name)
{
    for (size_t i = 0; SCREENS[i] != NULL; i++)
        if (strcmp(SCREENS[i]->name, name) == 0)
            return SCREENS[i];
    return NULL;
}
