#include "store/unsent.h"

#include "store/setting.h"

/* "All" is a row before every entry. */
static bool put(Log *log, const char *sql, const Spot *spot, Fault *fault)
{
    sqlite3_stmt *stmt = db_kept(&log->db, sql, fault);
    if (stmt == NULL)
        return false;
    db_bind_number(stmt, 1, spot->at.ms);
    db_bind_blob(stmt, 2, spot->id.b, sizeof spot->id.b);
    return db_exec(&log->db, stmt, fault);
}

bool unsent_kept(Log *log, bool *kept, Fault *fault)
{
    Str machine = {0};
    const bool good = setting_get(&log->db, "sync.machine", &machine, kept, fault);
    str_finish(&machine);
    return good;
}

bool unsent_note(Log *log, const Spot *spot, Fault *fault)
{
    return put(log,
               "INSERT OR IGNORE INTO unsent(at,id) SELECT ?1,?2 WHERE EXISTS"
               "(SELECT 1 FROM setting WHERE name='sync.machine')",
               spot, fault);
}

bool unsent_note_all(Log *log, Fault *fault)
{
    return put(log, "INSERT OR IGNORE INTO unsent(at,id) VALUES(?1,?2)", &SPOT_BEFORE_ALL, fault);
}

bool unsent_look(Log *log, bool *any, bool *all, Fault *fault)
{
    int64_t first;
    const int64_t none = INT64_MAX;
    if (!db_number(&log->db, "SELECT at FROM unsent ORDER BY at LIMIT 1", none, &first, fault))
        return false;
    *any = first != none;
    *all = first == SPOT_BEFORE_ALL.at.ms;
    return true;
}

bool unsent_clear(Log *log, Fault *fault)
{
    return db_run(&log->db, "DELETE FROM unsent", fault);
}
