#include "store/setting.h"

bool setting_get(Db *db, const char *name, Str *value, bool *there, Fault *fault)
{
    sqlite3_stmt *stmt = db_kept(db, "SELECT value FROM setting WHERE name=?1", fault);
    if (stmt == NULL)
        return false;
    db_bind_text(stmt, 1, text_of(name));
    const DbStep step = db_step(db, stmt, fault);
    *there = step == DB_ROW;
    str_clear(value);
    str_adds(value, "");
    if (*there)
        str_add(value, db_text(stmt, 0));
    sqlite3_reset(stmt);
    return step != DB_BAD;
}

bool setting_set(Db *db, const char *name, const char *value, Fault *fault)
{
    sqlite3_stmt *stmt =
        value != NULL
            ? db_kept(db, "INSERT OR REPLACE INTO setting(name,value) VALUES(?1,?2)", fault)
            : db_kept(db, "DELETE FROM setting WHERE name=?1", fault);
    if (stmt == NULL)
        return false;
    db_bind_text(stmt, 1, text_of(name));
    if (value != NULL)
        db_bind_text(stmt, 2, text_of(value));
    return value != NULL ? db_change_one(db, stmt, fault) : db_exec(db, stmt, fault);
}
