#include "store/intake.h"
#include "store/value.h"

static bool rows_in(Intake *intake, Log *from, Fault *fault)
{
    sqlite3_stmt *rows =
        db_prepare(&from->db, "SELECT " CODEC_COLUMNS " FROM entry ORDER BY at,id", fault);
    if (rows == NULL) {
        return false;
    }
    Event e;
    DbStep step = DB_BAD;
    bool good = true;
    while (good && (step = db_step(&from->db, rows, fault)) == DB_ROW) {
        bool sealed;
        good = codec_decode(&from->codec, rows, true, &e, fault) &&
               codec_sealed(rows, &e, &sealed, fault);
        if (!good) {
            fault_prefix(fault, "%s: ", from->db.name);
            break;
        }
        /* The other log is as foreign as a file of lines: what import would refuse is refused here.
         */
        if (!value_check(&e, fault)) {
            char id[40];
            good = fault_prefix(fault, "%s, entry %s: ", from->db.name, uuid_print(&e.id, id));
            break;
        }
        good = intake_put(intake, &e, fault);
    }
    db_done(rows);
    return good && step == DB_END;
}

bool log_merge(Log *log, const char *other, LogIntake *intake, Fault *fault)
{
    /* log_open_tuned(LOG_READ) makes sure that it is a log, of a version that is known */
    Log *from = log_open_tuned(other, LOG_READ, log->tuning, fault);
    if (from == NULL) {
        return false;
    }
    Intake taking;
    /* It is walked through once, in its order: pages seen need not be kept. */
    bool good =
        db_run(&from->db, "PRAGMA cache_size=-256", fault) && intake_begin(&taking, log, fault);
    if (good) {
        good = rows_in(&taking, from, fault);
        good = intake_end(&taking, good, false, false, fault);
    }
    log_close(from);
    if (good) {
        *intake = taking.count;
    }
    return good;
}
