/* log_entry.h - an entry among those that the log screen holds (App.found), and its words. */
#ifndef ULLAGE_SCREENS_LOG_ENTRY_H
#define ULLAGE_SCREENS_LOG_ENTRY_H

#include "tui/app.h"
#include "tui/pane.h"

const Entry *found_by_id(const App *app, const Uuid *id); /* NULL: not among them */
/* The void that keeps an entry out; NULL where it is not among those found. */
const Entry *found_void_of(const App *app, const Uuid *id);
/* What stands in the log for an entry that was amended: of its kind and time; itself where there is
 * none. */
const Entry *found_in_place_of(const App *app, const Entry *old);
/* What does not agree in an entry that acts; NULL where it does, or was settled. */
const Discrepancy *discrepancy_of(const App *app, const Uuid *id);

/* In one line; a void and a settle with what they are about. Appends. */
void entry_tell(const App *app, const Entry *entry, Str *out);
/* All that is known of it, a line each. */
void entry_facts(const App *app, const Entry *entry, Facts *facts);

#endif
