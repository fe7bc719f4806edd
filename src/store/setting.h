/* setting.h - table `setting`: what belongs to this log and is no entry. Private to src/store. */
#ifndef ULLAGE_STORE_SETTING_H
#define ULLAGE_STORE_SETTING_H

#include "store/db.h"

/* The value into *value (cleared first); *there false where none was made. */
bool setting_get(Db *db, const char *name, Str *value, bool *there, Fault *fault);
/* A NULL value takes it out. */
bool setting_set(Db *db, const char *name, const char *value, Fault *fault);

#endif
