#include "store/entry.h"

#include "base/memory.h"
#include "model/kinds.h"

/* A live entry's id carries the time of writing, which is mostly the time of what it tells too. */
#define NEAR_MS (15 * MS_PER_MINUTE)

static Moment id_time(const Uuid *id)
{
    const uint8_t *b = id->b;
    return (Moment){(int64_t)b[0] << 40 | (int64_t)b[1] << 32 | (int64_t)b[2] << 24 |
                    (int64_t)b[3] << 16 | (int64_t)b[4] << 8 | (int64_t)b[5]};
}

bool entry_id_near(const Spot *spot)
{
    const int64_t later = id_time(&spot->id).ms - spot->at.ms;
    return spot->id.b[6] >> 4 == 7 && later >= -NEAR_MS && later <= NEAR_MS;
}

bool entry_spot_near(Log *log, const Uuid *id, bool *found, Spot *spot, Fault *fault)
{
    *found = false;
    if (id->b[6] >> 4 != 7)
        return true;
    sqlite3_stmt *near = db_kept(
        &log->db, "SELECT at FROM entry WHERE at BETWEEN ?2 AND ?3 AND id=?1 LIMIT 1", fault);
    if (near == NULL)
        return false;
    const int64_t ms = id_time(id).ms;
    db_bind_blob(near, 1, id->b, sizeof id->b);
    db_bind_number(near, 2, ms - NEAR_MS);
    db_bind_number(near, 3, ms + NEAR_MS);
    const DbStep step = db_step(&log->db, near, fault);
    *found = step == DB_ROW;
    if (*found)
        *spot = (Spot){{sqlite3_column_int64(near, 0)}, *id};
    sqlite3_reset(near);
    return step != DB_BAD;
}

DbStep entry_by_id(StretchWalk *walk, Log *log, const Uuid *least, const Uuid *greatest,
                   Fault *fault)
{
    *walk = (StretchWalk){.log = log, .after = SPOT_BEFORE_ALL, .until = SPOT_AFTER_ALL};
    walk->wanted = STRETCH_ANY;
    walk->wanted.least = *least;
    walk->wanted.greatest = *greatest;
    walk->rows = db_kept(&log->db,
                         "SELECT " CODEC_COLUMNS
                         " FROM entry WHERE at>=?1 AND at<=?2 AND id BETWEEN ?3 AND ?4",
                         fault);
    if (walk->rows == NULL || !stretch_walk_open(walk, fault))
        return DB_BAD;
    db_bind_blob(walk->rows, 3, walk->wanted.least.b, sizeof(Uuid));
    db_bind_blob(walk->rows, 4, walk->wanted.greatest.b, sizeof(Uuid));
    return stretch_walk_next(walk, fault);
}

bool entry_spot(Log *log, const Uuid *id, bool *found, Spot *spot, Fault *fault)
{
    StretchWalk walk = {0};
    if (!entry_spot_near(log, id, found, spot, fault) || *found)
        return *found;
    const DbStep step = entry_by_id(&walk, log, id, id, fault);
    *found = step == DB_ROW;
    if (*found)
        *spot = spot_load(db_row(walk.rows), 0);
    stretch_walk_close(&walk);
    return step != DB_BAD;
}

static bool row_read(Log *log, const Spot *spot, bool proved, bool *found, Event *e, Fault *fault)
{
    bool sealed;
    sqlite3_stmt *stmt =
        db_kept(&log->db, "SELECT " CODEC_COLUMNS " FROM entry WHERE at=?1 AND id=?2", fault);
    if (stmt == NULL)
        return false;
    db_bind_number(stmt, 1, spot->at.ms);
    db_bind_blob(stmt, 2, spot->id.b, sizeof spot->id.b);
    DbStep step = db_step(&log->db, stmt, fault);
    *found = step == DB_ROW;
    bool good =
        step != DB_BAD && (!*found || codec_decode(&log->codec, db_row(stmt), true, e, fault));
    good = good && (!*found || !proved || codec_sealed(db_row(stmt), e, &sealed, fault));
    sqlite3_reset(stmt);
    return good;
}

bool entry_read(Log *log, const Spot *spot, bool *found, Event *e, Fault *fault)
{
    return row_read(log, spot, false, found, e, fault);
}

bool entry_proved(Log *log, const Spot *spot, bool *found, Event *e, Fault *fault)
{
    return row_read(log, spot, true, found, e, fault);
}

bool entry_taken(Log *log, const Event *e, Fault *fault)
{
    Event there MEMORY_UNSET;
    bool found;
    const Spot spot = spot_of(e);
    if (!log->db.asserted)
        return true;
    return entry_read(log, &spot, &found, &there, fault) &&
           ((found && event_equal(&there, e)) || db_not_taken(&log->db, fault));
}

/* ---- walking ---- */

/* The bounds are on the leading column of the key, so SQLite seeks, and nothing is sorted. One that
 * is open is not asked for: it would be asked of every single row. */
static void bounds_add(const LogQuery *query, bool both, Str *sql)
{
    str_adds(sql, " WHERE at>=?1");
    if (both || moment_known(query->until))
        str_adds(sql, " AND at<=?2");
}

/* Vessels stand in the two columns of names, and for few kinds in the JSON column, which is not
 * looked into here: any entry of those kinds may name it. */
static void vessel_add(Str *sql)
{
    str_adds(sql, " AND (name=?4 OR other=?4");
    for (int k = 1; k < KIND_END; k++) {
        const Kind *kind = kind_of((KindId)k);
        for (int i = 0; i < kind->field_count; i++) {
            const Field *f = &kind->fields[i];
            if (f->names == NAMES_VESSEL && f->column == COLUMN_MORE)
                str_addf(sql, " OR kind=%d", k);
        }
    }
    str_addf(sql, " OR kind NOT BETWEEN 1 AND %d)", KIND_END - 1);
}

/* `more`: what else is asked of a row, or "". */
static sqlite3_stmt *along(Log *log, const LogQuery *query, const char *columns, const char *table,
                           const char *more, Fault *fault)
{
    Str sql = {0};
    const char *order = query->newest_first ? " DESC" : "";
    const bool entries = table[0] == 'e', by = entries && query->kind != KIND_NONE;
    str_addf(&sql, "SELECT %s FROM %s", columns, table);
    bounds_add(query, by, &sql);
    if (by)
        str_addf(&sql, " AND (kind=?3 OR kind NOT BETWEEN 1 AND %d)", KIND_END - 1);
    if (entries && !label_empty(&query->vessel))
        vessel_add(&sql);
    str_addf(&sql, "%s ORDER BY at%s,id%s", more, order, order);
    sqlite3_stmt *stmt = db_prepare(&log->db, sql.s, fault);
    str_finish(&sql);
    if (stmt == NULL)
        return NULL;
    db_bind_number(stmt, 1, query->since.ms); /* MOMENT_NONE is the least number: open */
    db_bind_number(stmt, 2, query->until.ms);
    db_bind_number(stmt, 3, query->kind);
    db_bind_text(stmt, 4, text_of(query->vessel.s));
    return stmt;
}

static DbStep walk_all(Log *log, const LogQuery *query, bool whole, DbPass *pass, Fault *fault)
{
    sqlite3_stmt *rows =
        along(log, query, "1", "entry",
              whole ? " AND pass(?5," CODEC_COLUMNS ")" : " AND pass(?5," CODEC_FOLDED ")", fault);
    if (rows == NULL)
        return DB_BAD;
    db_bind_pass(rows, 5, pass);
    const DbStep step = db_step(&log->db, rows, fault);
    db_done(rows);
    return step;
}

/* Along the stretches that hold the kind that is asked for. */
static DbStep walk_kind(Log *log, const LogQuery *query, DbPass *pass, Fault *fault)
{
    StretchWalk by = {.log = log, .down = query->newest_first};
    DbStep step = DB_BAD;
    by.after =
        moment_known(query->since) ? (Spot){{query->since.ms - 1}, LAST_ID} : SPOT_BEFORE_ALL;
    by.until = moment_known(query->until) ? (Spot){query->until, LAST_ID} : SPOT_AFTER_ALL;
    by.wanted = STRETCH_ANY;
    by.wanted.kinds = UINT64_C(1) << query->kind | 1;
    by.rows = along(log, query, CODEC_COLUMNS, "entry", "", fault);
    if (by.rows != NULL && stretch_walk_open(&by, fault))
        while ((step = stretch_walk_next(&by, fault)) == DB_ROW &&
               !pass->look(pass->context, db_row(by.rows)))
            ;
    stretch_walk_close(&by);
    db_done(by.rows);
    return step;
}

static bool next_struck(EntryWalk *walk, Fault *fault)
{
    DbStep step = db_step(&walk->log->db, walk->struck, fault);
    walk->more = step == DB_ROW;
    if (walk->more)
        walk->out = spot_load(db_row(walk->struck), 0);
    return step != DB_BAD;
}

bool entry_walk_open(EntryWalk *walk, Log *log, const LogQuery *query, Fault *fault)
{
    *walk = (EntryWalk){.log = log, .down = query->newest_first};
    walk->struck = along(log, query, "at,id", "struck", "", fault);
    return walk->struck != NULL && next_struck(walk, fault);
}

void entry_walk_close(EntryWalk *walk)
{
    db_done(walk->struck);
    walk->struck = NULL;
}

DbStep entry_walk(EntryWalk *walk, Log *log, const LogQuery *query, bool whole, DbPass *pass,
                  Fault *fault)
{
    DbStep step = DB_BAD;
    if (entry_walk_open(walk, log, query, fault))
        step = query->kind != KIND_NONE ? walk_kind(log, query, pass, fault)
                                        : walk_all(log, query, whole, pass, fault);
    entry_walk_close(walk);
    return step;
}

bool entry_walk_out(EntryWalk *walk, const Spot *spot, bool *out, Fault *fault)
{
    *out = false;
    while (walk->more) {
        const int order = spot_compare(&walk->out, spot);
        if (walk->down ? order < 0 : order > 0)
            break;
        *out = order == 0;
        if (!next_struck(walk, fault))
            return false;
    }
    return true;
}
