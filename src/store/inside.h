/* inside.h - the log from the inside. Private to src/store and its tests. */
#ifndef ULLAGE_STORE_INSIDE_H
#define ULLAGE_STORE_INSIDE_H

#include "model/pack.h"
#include "store/codec.h"
#include "store/db.h"
#include "store/log.h"

/* A place in the order of the fold. */
typedef struct {
    Moment at;
    Uuid id;
} Spot;

#define SPOT_BEFORE_ALL ((Spot){{INT64_MIN}, {{0}}})

static inline Spot spot_of(const Event *e)
{
    return (Spot){e->at, e->id};
}
static inline int spot_compare(const Spot *a, const Spot *b)
{
    if (a->at.ms != b->at.ms)
        return a->at.ms < b->at.ms ? -1 : 1;
    return uuid_compare(&a->id, &b->id);
}
/* From two columns; where they are NULL, the one before all. */
static inline Spot spot_load(DbRow row, int column)
{
    Spot spot = {{row_number(row, column)}, {{0}}};
    if (!row_bytes(row, column + 1, spot.id.b, sizeof spot.id.b) &&
        sqlite3_value_type(row_value(row, column)) == SQLITE_NULL)
        return SPOT_BEFORE_ALL;
    return spot;
}

/* Where the latest live appends stand, so that "take back the last" needs no search: see find.c. */
enum { WRITTEN_MAX = 64 };
typedef struct {
    Spot spots[WRITTEN_MAX]; /* oldest first */
    int count;
} Written;

/* What tests turn so that the rare path is the common one. */
typedef struct {
    int64_t interval; /* entries from one checkpoint to the next */
    int busy_ms;      /* how long to wait for another program */
} LogTuning;
#define LOG_INTERVAL 1000
#define LOG_BUSY_MS 15000

struct Log {
    Db db;
    LogMode mode;
    LogTuning tuning;
    JsonReader json; /* import's and the codec's: neither keeps what it read across calls */
    Codec codec;
    bool shadow;            /* LOG_READ with stale derived tables: they live in temp instead */
    int64_t shadow_version; /* data_version that they were made from */
    Uuid last_id;           /* of the latest entry made by this process */
    uint8_t *packed;        /* STATE_PACKED_MAX bytes */
    struct Head *head;      /* replay.h: the last one that was read */
    bool head_known;        /* it was read in this transaction, and nobody has had it since */
    int64_t passed;         /* entries that the last log_each passed over */
    Fault passed_first;     /* why the first of them */
    int64_t astray;         /* entries that it met out of their order */
    int64_t lacking;        /* sealed entries that were written, and that it did not meet */
};

/* Like log_open with other tuning. */
Log *log_open_tuned(const char *path, LogMode mode, LogTuning tuning, Fault *fault);

/* A new id: UUIDv7 of `now`, greater than all that this log handle made before (RFC 9562
 * section 6.2, method 2: within one millisecond, or where the clock went back, the random part
 * counts on). */
bool log_new_id(Log *log, Moment now, Uuid *id, Fault *fault);

/* Begins a transaction in which the derived tables can be trusted: rebuilds them where their stamp
 * is not ours, where they lag behind `entry`, or are not there. End with db_end. */
bool log_begin(Log *log, bool write, Fault *fault);

/* Is it the row's own fault that it can't be read, and not that of SQLite (a disk, memory)? Then a
 * walk may go on past it, and has to say so. */
static inline bool log_may_pass(const Log *log)
{
    return log->db.failed == 0;
}

/* log_verify without a listener. Where it fails, *wrong: something was found; else what failed is
 * only the look at it, and the fault says why. */
bool log_proved(Log *log, bool *wrong, Fault *fault);

/* What log_verify proves of the file and of the rows, without the stored states. */
bool log_rows_sound(Log *log, Fault *fault);

#endif
