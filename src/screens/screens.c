#include "screens/screens.h"

/* In the order of help and of Tab. One line a screen. */
static const Screen *const all_screens[] = {
    &SCREEN_BOARD,  &SCREEN_LOG,     &SCREEN_VESSELS, &SCREEN_SERVICE, &SCREEN_OUTLOOK,
    &SCREEN_RECKON, &SCREEN_SOURCES, &SCREEN_SETUP,   &SCREEN_SEASON,  &SCREEN_FAR,
    NULL,
};

const ScreenTable SCREENS = {all_screens, &GENERAL_ACTIONS};
