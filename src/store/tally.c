#include "store/tally.h"

bool tally_load(Db *db, Tally *tally, Fault *fault)
{
    sqlite3_stmt *stmt = db_kept(db, "SELECT entries,sum FROM tally WHERE one=1", fault);
    DbStep step = stmt != NULL ? db_step(db, stmt, fault) : DB_BAD;
    *tally = (Tally){0};
    if (step == DB_ROW) {
        tally->entries = sqlite3_column_int64(stmt, 0);
        tally->sum = (uint64_t)sqlite3_column_int64(stmt, 1);
        sqlite3_reset(stmt);
    }
    return step != DB_BAD;
}

bool tally_grow(Db *db, const Tally *more, Fault *fault)
{
    Tally tally;
    if (more->entries == 0)
        return true;
    sqlite3_stmt *stmt =
        db_kept(db, "INSERT OR REPLACE INTO tally(one,entries,sum) VALUES(1,?1,?2)", fault);
    if (stmt == NULL || !tally_load(db, &tally, fault))
        return false;
    /* added here: SQL has no sum modulo 2^64 */
    db_bind_number(stmt, 1, tally.entries + more->entries);
    db_bind_number(stmt, 2, (int64_t)(tally.sum + more->sum));
    return db_change_one(db, stmt, fault);
}
