/* golden.h - expected sheets kept as text. */
#ifndef ULLAGE_TESTS_SUPPORT_GOLDEN_H
#define ULLAGE_TESTS_SUPPORT_GOLDEN_H

#include "base/text.h"

/* Compares text with tests/golden/<name>.txt; ULLAGE_GOLDEN=write writes it instead. */
void golden_text(const char *name, const Str *text);
void golden_file(const char *path, const Str *text); /* the same for a file anywhere */

#endif
