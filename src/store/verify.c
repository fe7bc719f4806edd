/* Proving the log: nothing that is stored is believed. The derived tables are made anew in the
 * connection's temporary database (where they shadow the stored ones), and the two are held against
 * each other. */
#include "store/idwatch.h"
#include "store/replay.h"
#include "store/schema.h"
#include "store/tally.h"

#include "base/memory.h"
#include "model/field.h"
#include "model/kinds.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

enum { SHOWN_MAX = 20 }; /* lines about rows; the rest is counted */

typedef struct {
    Log *log;
    LogReport report;
    int64_t wrong;
    Fault *fault;
} Proof;

static void verify_say(Proof *proof, bool good, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

static void verify_say(Proof *proof, bool good, const char *format, ...)
{
    char line[400];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(line, sizeof line, format, arguments);
    va_end(arguments);
    if (!good)
        proof->wrong++;
    if (proof->report.line != NULL)
        proof->report.line(proof->report.context, good, line);
}

/* Lines of a pragma that says "ok" (or nothing) where all is well. */
static bool prove_pragma(Proof *proof, const char *sql, const char *what)
{
    Db *db = &proof->log->db;
    sqlite3_stmt *stmt = db_prepare(db, sql, proof->fault);
    int64_t lines = 0;
    DbStep step = DB_BAD;
    while (stmt != NULL && (step = db_step(db, stmt, proof->fault)) == DB_ROW) {
        Text text = db_text(stmt, 0);
        if (!text_is(text, "ok")) {
            lines++;
            verify_say(proof, false, "%s: %.*s", what, (int)(text.n < 300 ? text.n : 300),
                       text.s != NULL ? text.s : "?");
        }
    }
    db_done(stmt);
    if (step == DB_END && lines == 0)
        verify_say(proof, true, "%s: sound", what);
    return step == DB_END;
}

static void part_say(void *context, bool ours, bool trigger, const char *what)
{
    Proof *proof = context;
    if (ours) {
        verify_say(proof, false,
                   "%s is gone or was changed: entries may have been altered or removed", what);
    } else {
        verify_say(proof, !trigger || proof->log->db.asserted, "%s is of another program%s", what,
                   trigger ? ": it may change or drop what is logged" : "");
    }
}

/* The permanent part of the schema against a fresh one, word by word. */
static bool prove_schema(Proof *proof)
{
    const int64_t wrong = proof->wrong;
    if (!schema_differs(&proof->log->db, part_say, proof, proof->fault))
        return false;
    if (proof->wrong == wrong)
        verify_say(proof, true, "tables and the triggers that refuse change: as they must be");
    return true;
}

/* What the walk over the rows counts. */
typedef struct {
    Proof *proof;
    int64_t rows, bad, hidden;
    Tally sealed;
    IdWatch ids;
    Fault why; /* of the row at hand */
} Rows;

/* `why` says why the entry can't be read, where it is NULL. */
static void prove_row(Rows *rows, DbRow row, const Event *e, Fault *why)
{
    char id[40];
    bool sealed = false;
    rows->rows++;
    if (e == NULL || !codec_sealed(row, e, &sealed, why) ||
        !codec_bare(&rows->proof->log->codec, row, e, why)) {
        if (++rows->bad <= SHOWN_MAX)
            verify_say(rows->proof, false, "%s", why->text);
        return;
    }
    const Spot spot = spot_of(e);
    idwatch_pass(&rows->ids, &spot);
    if (sealed)
        tally_add(&rows->sealed, &e->id, (uint32_t)row_number(row, CODEC_SEAL));
    const Kind *kind = kind_of((KindId)e->kind); /* ranges and what is required: codec_decode */
    if (kind->complete != NULL && !kind->complete(e, why)) {
        if (++rows->bad <= SHOWN_MAX)
            verify_say(rows->proof, false, "entry %s: %s", uuid_print(&e->id, id), why->text);
    } else if (!event_texts_fit(e, why) && ++rows->hidden <= SHOWN_MAX) {
        verify_say(rows->proof, true, "entry %s is shown with '?', and no import takes it: %s",
                   uuid_print(&e->id, id), why->text);
    }
}

static bool look_at_row(void *context, DbRow row, const Spot *spot, const Event *e, Fault *fault)
{
    Rows *rows = context;
    (void)spot;
    prove_row(rows, row, e, e == NULL ? fault : &rows->why);
    return true;
}

static void say_rows(Proof *proof, const Rows *rows)
{
    if (rows->bad > SHOWN_MAX) {
        verify_say(proof, false, "and %lld more entries that can't be",
                   (long long)(rows->bad - SHOWN_MAX));
    } else if (rows->bad == 0) {
        verify_say(proof, true, "entries: all %lld can be read, and each seal fits",
                   (long long)rows->rows);
    }
    if (rows->hidden > SHOWN_MAX)
        verify_say(proof, true, "and %lld more that are shown with '?'",
                   (long long)(rows->hidden - SHOWN_MAX));
    if (rows->sealed.entries < rows->rows - rows->bad)
        verify_say(
            proof, true,
            "%lld entries have no seal yet (of an older version, or another program): ullage "
            "verify --seal gives them one",
            (long long)(rows->rows - rows->bad - rows->sealed.entries));
}

/* A row that is gone has no seal that could tell. */
static bool prove_tally(Proof *proof, const Rows *rows)
{
    Tally stored;
    if (!tally_load(&proof->log->db, &stored, proof->fault))
        return false;
    long long more = (long long)(rows->sealed.entries - stored.entries);
    if (more != 0) {
        verify_say(proof, false, "%lld entries %s since they were written", more < 0 ? -more : more,
                   more < 0 ? "are missing" : "were added by another program");
    } else if (stored.sum != rows->sealed.sum) {
        verify_say(proof, false, "entries are other ones than those that were written");
    } else {
        verify_say(proof, true, "none of %lld sealed entries is missing",
                   (long long)stored.entries);
    }
    return true;
}

static bool end_rows(Proof *proof, Rows *rows)
{
    say_rows(proof, rows);
    return proof->log->db.older || rows->bad > 0 || prove_tally(proof, rows);
}

static bool prove_rows(Proof *proof)
{
    Log *log = proof->log;
    sqlite3_stmt *stmt =
        db_prepare(&log->db, "SELECT " CODEC_COLUMNS " FROM entry ORDER BY at,id", proof->fault);
    Rows rows = {.proof = proof};
    Event e;
    DbStep step = DB_BAD;
    while (stmt != NULL && (step = db_step(&log->db, stmt, proof->fault)) == DB_ROW) {
        const bool read = codec_decode(&log->codec, db_row(stmt), true, &e, &rows.why);
        prove_row(&rows, db_row(stmt), read ? &e : NULL, &rows.why);
    }
    db_done(stmt);
    idwatch_finish(&rows.ids);
    return step == DB_END && end_rows(proof, &rows);
}

/* ---- one id, one entry ---- */

static void say_double(Proof *proof, const Uuid *id, int64_t count)
{
    char words[40];
    verify_say(proof, false, "the id %s stands for %lld entries", uuid_print(id, words),
               (long long)count);
}

/* SQLite sorts this in temporary files, so memory stays bounded. */
static bool ids_sorted(Proof *proof, int64_t *bad)
{
    Db *db = &proof->log->db;
    sqlite3_stmt *rows = db_prepare(
        db, "SELECT id,count(*) FROM entry GROUP BY id HAVING count(*)>1 LIMIT 20", proof->fault);
    DbStep step = DB_BAD;
    while (rows != NULL && (step = db_step(db, rows, proof->fault)) == DB_ROW) {
        Uuid id;
        ++*bad;
        if (db_bytes(rows, 0, id.b, sizeof id.b))
            say_double(proof, &id, sqlite3_column_int64(rows, 1));
    }
    db_done(rows);
    return step == DB_END;
}

/* Those that may have come twice, counted. */
static bool ids_counted(Proof *proof, IdSet *set, int64_t *bad)
{
    Db *db = &proof->log->db;
    sqlite3_stmt *rows = db_prepare(db, "SELECT id FROM entry", proof->fault);
    DbStep step = DB_BAD;
    Uuid id;
    idset_sort(set);
    uint32_t *counts = memory_get((set->count + 1) * sizeof *counts);
    while (rows != NULL && (step = db_step(db, rows, proof->fault)) == DB_ROW) {
        const ptrdiff_t i =
            db_bytes(rows, 0, id.b, sizeof id.b) ? idset_find(set, &id) : (ptrdiff_t)-1;
        counts[i < 0 ? (ptrdiff_t)set->count : i]++;
    }
    for (size_t i = 0; i < set->count && *bad < SHOWN_MAX; i++) {
        if (counts[i] > 1) {
            ++*bad;
            say_double(proof, &set->ids[i], counts[i]);
        }
    }
    free(counts);
    db_done(rows);
    return step == DB_END;
}

static bool prove_ids(Proof *proof, IdWatch *ids)
{
    int64_t bad = 0;
    if (!idwatch_passed(ids, proof->log, proof->fault))
        return false;
    const bool good = ids->lost             ? ids_sorted(proof, &bad)
                      : ids->set.count == 0 ? true
                                            : ids_counted(proof, &ids->set, &bad);
    if (good && bad == 0)
        verify_say(proof, true, "ids: each stands for one entry");
    return good;
}

/* ---- what is derived ---- */

/* Rows of table `a` that are not in `b` as they are; `same` compares the rows x of a and y of b. */
static bool count_other(Proof *proof, const char *a, const char *b, const char *table,
                        const char *same, int64_t *count)
{
    Str sql = {0};
    str_addf(&sql,
             "SELECT count(*) FROM %s.%s AS x WHERE NOT EXISTS(SELECT 1 FROM %s.%s AS y WHERE %s)",
             a, table, b, table, same);
    const bool good = db_number(&proof->log->db, sql.s, 0, count, proof->fault);
    str_finish(&sql);
    return good;
}

static bool prove_same(Proof *proof, const char *what, const char *table, const char *same)
{
    int64_t missing, extra;
    if (!count_other(proof, "temp", "main", table, same, &missing) ||
        !count_other(proof, "main", "temp", table, same, &extra))
        return false;
    if (missing + extra == 0) {
        verify_say(proof, true, "%s: equal to a fresh fold", what);
    } else {
        verify_say(proof, false,
                   "%s: differ from a fresh fold (%lld missing or other, %lld too many)", what,
                   (long long)missing, (long long)extra);
    }
    return true;
}

#define SAME_SPOT "y.at=x.at AND y.id=x.id"

static bool prove_stored(Proof *proof, bool believed)
{
    const bool good =
        prove_same(proof, "voids", "void_of",
                   "y.target=x.target AND y.void=x.void AND y.target_at IS x.target_at") &&
        prove_same(proof, "entries taken out", "struck", SAME_SPOT) &&
        prove_same(proof, "checkpoints", "checkpoint",
                   SAME_SPOT " AND y.entries=x.entries AND y.stretch=x.stretch AND "
                             "y.state=x.state AND y.seal=x.seal") &&
        prove_same(proof, "the latest state", "head",
                   "y.entries=x.entries AND y.at IS x.at AND y.id IS x.id AND y.stretch=x.stretch "
                   "AND y.state=x.state");
    if (good && proof->wrong == 0 && !believed)
        verify_say(proof, false, "the order of writing: its seal does not fit");
    return good;
}

/* What is stored of the derived tables, before they are made anew beside it. */
typedef struct {
    bool there, current, believed;
} Stored;

static bool stored_look(Log *log, Stored *stored, Fault *fault)
{
    int64_t stamp = 0;
    *stored = (Stored){.there = false};
    if (!schema_derived_there(&log->db, &stored->there, fault))
        return false;
    if (!stored->there)
        return true;
    log->shadow = false;
    const bool good = head_fresh(log, &stored->believed, fault) &&
                      db_number(&log->db, "SELECT stamp FROM main.head", 0, &stamp, fault);
    stored->current = stamp == derived_stamp();
    return good;
}

/* One walk proves the rows and makes the derived tables anew. */
static bool prove_entries(Proof *proof)
{
    Log *log = proof->log;
    Stored stored;
    Rows rows = {.proof = proof};
    const ReplayWatch watch = {.look = look_at_row, .context = &rows, .whole = true};
    if (!stored_look(log, &stored, proof->fault))
        return false;
    log->shadow = true;
    bool good = derived_rebuild(log, watch, proof->fault);
    log->shadow = false;
    good = good && end_rows(proof, &rows) && prove_ids(proof, &rows.ids);
    if (good && proof->wrong == 0 && !stored.there) {
        verify_say(proof, true,
                   "stored states: none; they are made anew by the next command that writes");
    } else if (good && proof->wrong == 0 && !stored.current) {
        verify_say(
            proof, true,
            "stored states: of another version of the program; they are made anew by the next "
            "command that writes");
    } else if (good && proof->wrong == 0) {
        good = prove_stored(proof, stored.believed);
    }
    idwatch_finish(&rows.ids);
    Fault ignored;
    schema_derive_drop(&log->db, "temp", &ignored);
    return good;
}

static bool prove_all(Proof *proof)
{
    return prove_pragma(proof, "PRAGMA integrity_check(20)", "file") &&
           prove_pragma(proof, "PRAGMA foreign_key_check", "references") && prove_schema(proof) &&
           prove_entries(proof);
}

/* ---- sealing what has no seal ---- */

enum { SEAL_BATCH = 500 };

static bool seal_row(Log *log, const Event *e, Tally *more, Fault *fault)
{
    sqlite3_stmt *stmt = db_kept(&log->db, "UPDATE entry SET seal=?1 WHERE at=?2 AND id=?3", fault);
    if (stmt == NULL)
        return false;
    const uint32_t seal = event_seal(e);
    tally_add(more, &e->id, seal);
    db_bind_number(stmt, 1, seal);
    db_bind_number(stmt, 2, e->at.ms);
    db_bind_blob(stmt, 3, e->id.b, sizeof e->id.b);
    return db_change_one(&log->db, stmt, fault);
}

/* Reads some rows, then seals them: a table is not changed under a walk through it. */
static bool seal_batch(Log *log, Event *batch, Spot *from, int *count, Tally *more, Fault *fault)
{
    sqlite3_stmt *stmt = db_kept(&log->db,
                                 "SELECT " CODEC_COLUMNS " FROM entry WHERE (at,id)>(?1,?2) AND "
                                 "seal IS NULL ORDER BY at,id LIMIT ?3",
                                 fault);
    if (stmt == NULL)
        return false;
    db_bind_number(stmt, 1, from->at.ms);
    db_bind_blob(stmt, 2, from->id.b, sizeof from->id.b);
    db_bind_number(stmt, 3, SEAL_BATCH);
    DbStep step;
    bool good = true;
    *count = 0;
    while (good && (step = db_step(&log->db, stmt, fault)) != DB_END) {
        good =
            step == DB_ROW && codec_decode(&log->codec, db_row(stmt), true, &batch[*count], fault);
        *count += good;
    }
    sqlite3_reset(stmt);
    for (int i = 0; good && i < *count; i++) {
        good = seal_row(log, &batch[i], more, fault);
        *from = spot_of(&batch[i]);
    }
    return good;
}

bool log_seal(Log *log, int64_t *sealed, Fault *fault)
{
    Tally more = {0};
    Spot from = SPOT_BEFORE_ALL;
    int count = SEAL_BATCH;
    if (!log_begin(log, true, fault))
        return false;
    Event *batch = memory_get(SEAL_BATCH * sizeof *batch);
    bool good = schema_unlock(&log->db, fault);
    while (good && count == SEAL_BATCH)
        good = seal_batch(log, batch, &from, &count, &more, fault);
    free(batch);
    good = good && tally_grow(&log->db, &more, fault) && schema_lock(&log->db, fault);
    *sealed = more.entries;
    return db_end(&log->db, good, fault) && good;
}

static bool unsound(const Log *log, int64_t findings, Fault *fault)
{
    return fault_set(
        fault, FAULT_LOG,
        "%s is not sound: %lld findings. Go back to a backup (ullage restore), or write "
        "what can be read to a new log (ullage salvage %s NEW).",
        log->db.name, (long long)findings, log->db.name);
}

bool log_rows_sound(Log *log, Fault *fault)
{
    Proof proof = {.log = log, .fault = fault};
    if (!prove_pragma(&proof, "PRAGMA integrity_check(1)", "file") || !prove_rows(&proof))
        return false;
    return proof.wrong == 0 || unsound(log, proof.wrong, fault);
}

static bool proved(Log *log, LogReport report, bool *wrong, Fault *fault)
{
    Proof proof = {log, report, 0, fault};
    const bool shadow = log->shadow;
    Fault ignored;
    /* Not log_begin: a log that is to be proved is not repaired first. */
    if (!db_run(&log->db, "PRAGMA query_only=OFF", fault))
        return false;
    bool good = db_begin(&log->db, false, fault);
    if (good) {
        good = prove_all(&proof);
        good = db_end(&log->db, true, good ? fault : &ignored) && good;
    }
    if (log->db.read_only)
        db_run(&log->db, "PRAGMA query_only=ON", &ignored);
    log->shadow = shadow;
    log->shadow_version = -1; /* the temporary tables are gone */
    *wrong = proof.wrong > 0;
    return good && (proof.wrong == 0 || unsound(log, proof.wrong, fault));
}

bool log_verify(Log *log, LogReport report, Fault *fault)
{
    bool wrong;
    return proved(log, report, &wrong, fault);
}

bool log_proved(Log *log, bool *wrong, Fault *fault)
{
    *wrong = false;
    return proved(log, (LogReport){0}, wrong, fault);
}
