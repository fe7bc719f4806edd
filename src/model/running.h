/* running.h - water that runs at the moment, as a feed tells it: no entry yet. */
#ifndef ULLAGE_MODEL_RUNNING_H
#define ULLAGE_MODEL_RUNNING_H

#include "base/label.h"

#include <stdint.h>

typedef struct {
    Label line;
    int64_t since, at;  /* ms: when it began, when this was told */
    int64_t ml, ml_min; /* that ran since then; how fast, 0: it has just stopped */
} Running;

/* What was told longer ago is believed no more: the feed tells it each second. */
#define RUNNING_OLD_MS 5000

#endif
