#include "raw_inside.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

bool raw_wrong(sqlite3 *db, const char *what)
{
    fprintf(stderr, "raw: %s: %s\n", what, db != NULL ? sqlite3_errmsg(db) : "no database");
    return false;
}

sqlite3 *raw_open(const char *path, int flags)
{
    sqlite3 *db = NULL;
    if (sqlite3_open_v2(path, &db, flags | SQLITE_OPEN_NOMUTEX, NULL) != SQLITE_OK ||
        sqlite3_exec(db,
                     "PRAGMA trusted_schema=OFF; PRAGMA foreign_keys=ON;"
                     "PRAGMA recursive_triggers=ON; PRAGMA cell_size_check=ON;"
                     "PRAGMA temp_store=FILE; PRAGMA mmap_size=0; PRAGMA cache_size=-1024",
                     NULL, NULL, NULL) != SQLITE_OK) {
        raw_wrong(db, path);
        sqlite3_close(db);
        return NULL;
    }
    return db;
}

sqlite3_stmt *raw_prepare(sqlite3 *db, const char *sql)
{
    sqlite3_stmt *stmt = NULL;
    if (sqlite3_prepare_v2(db, sql, -1, &stmt, NULL) != SQLITE_OK)
        raw_wrong(db, sql);
    return stmt;
}

/* ---- scan ---- */

static void take_label(sqlite3_stmt *row, int column, Label *label, uint32_t bit, Event *e)
{
    const unsigned char *text = sqlite3_column_text(row, column);
    if (text != NULL) {
        size_t n = (size_t)sqlite3_column_bytes(row, column);
        memcpy(label->s, text, n < LABEL_MAX ? n : LABEL_MAX);
        e->has |= bit;
    }
}

static void take_number(sqlite3_stmt *row, int column, int64_t *number, uint32_t bit, Event *e)
{
    if (sqlite3_column_type(row, column) != SQLITE_NULL) {
        *number = sqlite3_column_int64(row, column);
        e->has |= bit;
    }
}

/* The rare column stays text: what is in it is a handful of rows in a thousand. */
static void take_more(sqlite3_stmt *row, char *more, size_t size)
{
    const unsigned char *text = sqlite3_column_text(row, MORE);
    size_t n = text != NULL ? (size_t)sqlite3_column_bytes(row, MORE) : 0;
    n = n < size ? n : size - 1;
    if (n > 0)
        memcpy(more, text, n);
    more[n] = '\0';
}

void raw_decode(sqlite3_stmt *row, Event *e, char *more, size_t more_size)
{
    e->at.ms = sqlite3_column_int64(row, AT);
    const void *id = sqlite3_column_blob(row, ID);
    if (id != NULL && sqlite3_column_bytes(row, ID) == 16)
        memcpy(e->id.b, id, 16);
    e->kind = sqlite3_column_int(row, KIND);
    e->zone = sqlite3_column_int(row, ZONE);
    e->has = 0;
    e->note[0] = '\0';
    switch (e->kind) {
    case KIND_FILL:
        memset(&e->u.fill, 0, sizeof e->u.fill);
        take_label(row, NAME, &e->u.fill.vessel, 1, e);
        take_label(row, OTHER, &e->u.fill.source, 8, e);
        take_number(row, N1, &e->u.fill.litres, 2, e);
        take_number(row, N2, &e->u.fill.level, 4, e);
        take_number(row, CODE, &e->u.fill.quality, 16, e);
        take_more(row, more, more_size);
        break;
    case KIND_DRAW:
        memset(&e->u.draw, 0, sizeof e->u.draw);
        take_label(row, NAME, &e->u.draw.vessel, 1, e);
        take_label(row, OTHER, &e->u.draw.line, 2, e);
        take_number(row, N1, &e->u.draw.litres, 4, e);
        take_number(row, CODE, &e->u.draw.purpose, 8, e);
        break;
    case KIND_SOUND:
        memset(&e->u.sound, 0, sizeof e->u.sound);
        take_label(row, NAME, &e->u.sound.vessel, 1, e);
        take_number(row, N2, &e->u.sound.level, 2, e);
        break;
    case KIND_DECANT:
        memset(&e->u.decant, 0, sizeof e->u.decant);
        take_label(row, NAME, &e->u.decant.from, 1, e);
        take_label(row, OTHER, &e->u.decant.to, 2, e);
        take_number(row, N1, &e->u.decant.litres, 4, e);
        take_number(row, CODE, &e->u.decant.treated, 8, e);
        break;
    case KIND_PRESSURISE:
    case KIND_FLOWTEST: /* line, and two numbers behind it, alike */
        memset(&e->u.pressurise, 0, sizeof e->u.pressurise);
        take_label(row, OTHER, &e->u.pressurise.line, 1, e);
        take_number(row, N1, &e->u.pressurise.kpa, 2, e);
        take_number(row, N2, &e->u.pressurise.ambient_kpa, 4, e);
        break;
    default: /* rare kinds: a name, a number, and the text */
        memset(&e->u.spares, 0, sizeof e->u.spares);
        take_label(row, NAME, &e->u.spares.stage, 1, e);
        take_number(row, N1, &e->u.spares.count, 2, e);
        take_more(row, more, more_size);
    }
}

bool raw_scan(const char *path, int64_t *rows, uint64_t *sum)
{
    Event e = {0};
    char more[2048] = {0};
    sqlite3 *db = raw_open(path, SQLITE_OPEN_READWRITE);
    sqlite3_stmt *row =
        db != NULL ? raw_prepare(db, "SELECT " RAW_COLUMNS " FROM entry ORDER BY at,id") : NULL;
    bool good = row != NULL;
    int rc = SQLITE_DONE;
    *rows = 0;
    *sum = 0;
    while (good && (rc = sqlite3_step(row)) == SQLITE_ROW) {
        raw_decode(row, &e, more, sizeof more);
        *sum += (uint64_t)e.at.ms + (uint64_t)(unsigned char)e.u.draw.line.s[0] + e.has +
                (uint64_t)more[0];
        ++*rows;
    }
    if (rc != SQLITE_DONE)
        good = raw_wrong(db, "scan");
    sqlite3_finalize(row);
    sqlite3_close(db);
    return good;
}

bool raw_checkpoint(const char *path, uint64_t *sum)
{
    sqlite3 *db = raw_open(path, SQLITE_OPEN_READWRITE);
    sqlite3_stmt *row =
        db != NULL ? raw_prepare(db, "SELECT entries,at,id,state FROM head WHERE one=1") : NULL;
    bool good = row != NULL && sqlite3_step(row) == SQLITE_ROW;
    *sum = 0;
    if (good) {
        const unsigned char *state = sqlite3_column_blob(row, 3);
        for (int i = 0; i < sqlite3_column_bytes(row, 3); i++)
            *sum += state[i];
        *sum += (uint64_t)sqlite3_column_int64(row, 0);
    } else {
        raw_wrong(db, "checkpoint");
    }
    sqlite3_finalize(row);
    sqlite3_close(db);
    return good;
}

bool raw_commit(const char *path, int64_t at_ms)
{
    sqlite3 *db = raw_open(path, SQLITE_OPEN_READWRITE);
    if (db == NULL || sqlite3_exec(db, "PRAGMA synchronous=FULL", NULL, NULL, NULL) != SQLITE_OK)
        return raw_wrong(db, path);
    sqlite3_stmt *row = raw_prepare(db, RAW_INSERT);
    bool good = row != NULL;
    if (good) {
        unsigned char id[16] = {1, 2, 3, 4, 5, 6, 0x70, 0, 0x80};
        memcpy(id + 9, &at_ms, 6);
        sqlite3_bind_int64(row, AT + 1, at_ms);
        sqlite3_bind_blob(row, ID + 1, id, 16, SQLITE_STATIC);
        sqlite3_bind_int(row, KIND + 1, KIND_DRAW);
        sqlite3_bind_int(row, ZONE + 1, 60);
        sqlite3_bind_text(row, OTHER + 1, "galley", -1, SQLITE_STATIC);
        sqlite3_bind_int64(row, N1 + 1, 100);
        good = sqlite3_step(row) == SQLITE_DONE || raw_wrong(db, "insert");
    }
    sqlite3_finalize(row);
    sqlite3_close(db);
    return good;
}

/* What somebody would do who has no program: all that the other has and this one has not. */
bool raw_merge(const char *path, const char *other)
{
    sqlite3 *db = raw_open(path, SQLITE_OPEN_READWRITE);
    sqlite3_stmt *attach = db != NULL ? raw_prepare(db, "ATTACH ?1 AS b") : NULL;
    bool good = attach != NULL;
    if (good) {
        sqlite3_bind_text(attach, 1, other, -1, SQLITE_STATIC);
        good = sqlite3_step(attach) == SQLITE_DONE || raw_wrong(db, other);
    }
    sqlite3_finalize(attach);
    good = good && (sqlite3_exec(db,
                                 "PRAGMA cache_size=-2048; PRAGMA synchronous=FULL;"
                                 "INSERT OR IGNORE INTO entry SELECT * FROM b.entry",
                                 NULL, NULL, NULL) == SQLITE_OK ||
                    raw_wrong(db, "merge"));
    sqlite3_close(db);
    return good;
}

bool raw_verify(const char *path, int64_t *rows, uint64_t *sum)
{
    sqlite3 *db = raw_open(path, SQLITE_OPEN_READWRITE);
    sqlite3_stmt *row = db != NULL ? raw_prepare(db, "PRAGMA integrity_check") : NULL;
    bool good = row != NULL && sqlite3_step(row) == SQLITE_ROW &&
                strcmp((const char *)sqlite3_column_text(row, 0), "ok") == 0;
    sqlite3_finalize(row);
    sqlite3_close(db);
    return good && raw_scan(path, rows, sum);
}

/* A copy beside it, and the column that version 2 has more. */
bool raw_upgrade(const char *path, const char *kept)
{
    sqlite3 *db = raw_open(path, SQLITE_OPEN_READWRITE);
    sqlite3 *copy = raw_open(kept, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
    sqlite3_backup *backup =
        db != NULL && copy != NULL ? sqlite3_backup_init(copy, "main", db, "main") : NULL;
    bool good = backup != NULL && sqlite3_backup_step(backup, -1) == SQLITE_DONE;
    sqlite3_backup_finish(backup);
    sqlite3_close(copy);
    good = good && sqlite3_exec(db, "ALTER TABLE entry ADD COLUMN seal INTEGER", NULL, NULL,
                                NULL) == SQLITE_OK;
    if (!good)
        raw_wrong(db, "upgrade");
    sqlite3_close(db);
    return good;
}

bool raw_same(const char *path, const char *other)
{
    static const char words[] =
        "SELECT (SELECT count(*) FROM main.entry)=(SELECT count(*) FROM b.entry) AND NOT EXISTS("
        "SELECT 1 FROM main.entry m LEFT JOIN b.entry o ON o.at=m.at AND o.id=m.id WHERE"
        " (o.kind,o.zone,o.name,o.other,o.n1,o.n2,o.code,o.more,o.note) IS NOT"
        " (m.kind,m.zone,m.name,m.other,m.n1,m.n2,m.code,m.more,m.note))";
    sqlite3 *db = raw_open(path, SQLITE_OPEN_READWRITE);
    sqlite3_stmt *attach = db != NULL ? raw_prepare(db, "ATTACH ?1 AS b") : NULL;
    bool good = attach != NULL;
    if (good) {
        sqlite3_bind_text(attach, 1, other, -1, SQLITE_STATIC);
        good = sqlite3_step(attach) == SQLITE_DONE || raw_wrong(db, other);
    }
    sqlite3_finalize(attach);
    sqlite3_stmt *row = good ? raw_prepare(db, words) : NULL;
    good = row != NULL && sqlite3_step(row) == SQLITE_ROW && sqlite3_column_int(row, 0) == 1;
    if (!good)
        fprintf(stderr, "raw: %s and %s differ in their entries\n", path, other);
    sqlite3_finalize(row);
    sqlite3_close(db);
    return good;
}
