/* screens.h - every screen by its name, and the opening of the form, for screens that lead to
 * others.
 */
#ifndef ULLAGE_SCREENS_SCREENS_H
#define ULLAGE_SCREENS_SCREENS_H

#include "tui/app.h"

extern const Screen SCREEN_BOARD, SCREEN_LOG, SCREEN_VESSELS, SCREEN_SERVICE, SCREEN_OUTLOOK,
    SCREEN_RECKON, SCREEN_SOURCES, SCREEN_SETUP, SCREEN_SEASON, SCREEN_FAR;
/* Opened by an action or another screen, and by no key of their own. */
extern const Screen SCREEN_FORM, SCREEN_HELP, SCREEN_KINDS, SCREEN_PLAIN, SCREEN_SETUP_ASK,
    SCREEN_SUM;

/* What an App is opened with; what works on every screen (general.c). */
extern const ScreenTable SCREENS;
extern const ActionList GENERAL_ACTIONS;

/* A form for a kind on top. `about`: see form_begin; "" for the usual proposals. */
void app_open_form(App *app, KindId kind, const char *about, Wish *wish);
/* The form for the fills that were made at a stop that is past. */
void app_open_refill(App *app, const Stop *stop, Wish *wish);
/* The form for the class of a source, from before the fills that took the one it had. */
void app_open_class(App *app, const Source *source, Wish *wish);
/* Amend: a form filled with the entry; written as a void of it plus the new one. */
void app_open_amend(App *app, const Event *entry, Wish *wish);
/* The form that is open; NULL where none is on top. */
struct Form *app_form(const App *app);

#endif
