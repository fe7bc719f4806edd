/* Finding and listing entries.
 *
 * "last" is the latest entry in the order of WRITING that still acts and is no void, so that taking
 * back again and again takes back one entry more each time. Ids can't tell that order: an imported
 * id may be anything. So the head remembers the latest 64 live appends, in order; an import forgets
 * them (what came last is then the import), a merge does not (what it brings was not written here).
 * Where none of them acts any more, the last is the one with the greatest (time, id) that acts.
 */
#include "store/entry.h"
#include "store/replay.h"
#include "store/struck.h"
#include "store/tally.h"

#include "base/memory.h"
#include "model/kinds.h"

#include <string.h>

/* ---- the last one ---- */

static bool acts(Log *log, const Spot *spot, bool *does, Event *e, Fault *fault)
{
    bool found, out = true;
    *does = false;
    if (!entry_read(log, spot, &found, e, fault))
        return log_may_pass(log); /* what can't be read is not taken back */
    if (!struck_is(log, spot, &out, fault))
        return false;
    *does = found && !out && e->kind != KIND_VOID;
    return true;
}

static bool last_by_time(Log *log, bool *found, Event *e, Fault *fault)
{
    sqlite3_stmt *rows =
        db_prepare(&log->db, "SELECT at,id FROM entry ORDER BY at DESC,id DESC", fault);
    if (rows == NULL)
        return false;
    DbStep step = DB_END;
    bool good = true;
    *found = false;
    while (good && !*found && (step = db_step(&log->db, rows, fault)) == DB_ROW) {
        Spot spot = {{sqlite3_column_int64(rows, 0)}, {{0}}};
        good = !db_bytes(rows, 1, spot.id.b, sizeof spot.id.b) || acts(log, &spot, found, e, fault);
    }
    db_done(rows);
    return good && step != DB_BAD;
}

static bool find_last(Log *log, Event *e, bool *own, Fault *fault)
{
    Head *head;
    bool found = false;
    *own = false;
    if (!head_load(log, &head, fault))
        return false;
    for (int i = head->written.count - 1; i >= 0 && !found; i--)
        if (!acts(log, &head->written.spots[i], &found, e, fault))
            return false;
    *own = found;
    if (!found && !last_by_time(log, &found, e, fault))
        return false;
    return found || fault_set(fault, FAULT_REFUSED,
                              "there is nothing to take back: the log has no entry that acts.");
}

/* ---- by the beginning of an id ---- */

/* The least and the greatest id that begin so. */
static bool prefix_parse(Text id, Uuid *low, Uuid *high, int *digits, Fault *fault)
{
    *digits = 0;
    memset(low, 0, sizeof *low);
    memset(high, 0xff, sizeof *high);
    for (size_t i = 0; i < id.n; i++) {
        char c = id.s[i];
        if (c == '-')
            continue;
        int digit = is_digit(c)            ? c - '0'
                    : c >= 'a' && c <= 'f' ? c - 'a' + 10
                    : c >= 'A' && c <= 'F' ? c - 'A' + 10
                                           : -1;
        if (digit < 0 || *digits == 32)
            return fault_set(fault, FAULT_REFUSED,
                             "'%.*s' is no id: an id is made of up to 32 of 0-9 a-f. ullage log "
                             "shows them; 'last' is the latest entry.",
                             (int)(id.n < 60 ? id.n : 60), id.s);
        int shift = *digits % 2 == 0 ? 4 : 0, at = *digits / 2;
        low->b[at] = (uint8_t)(low->b[at] | digit << shift);
        high->b[at] = (uint8_t)((high->b[at] & (shift == 4 ? 0x0f : 0xf0)) | digit << shift);
        ++*digits;
    }
    return *digits >= 4 ||
           fault_set(fault, FAULT_REFUSED, "'%.*s' is too short: give at least 4 digits of the id.",
                     (int)id.n, id.s);
}

static bool find_range(Log *log, Text id, const Uuid *low, const Uuid *high, Event *e, Fault *fault)
{
    StretchWalk walk;
    Event first = {0};
    DbStep step = entry_by_id(&walk, log, low, high, fault);
    bool good = step != DB_BAD;
    if (step == DB_END) {
        good =
            fault_set(fault, FAULT_REFUSED,
                      "no entry's id begins with %.*s. ullage log shows the ids.", (int)id.n, id.s);
    } else if (step == DB_ROW) {
        good = codec_decode(&log->codec, db_row(walk.rows), true, &first, fault);
        step = good ? stretch_walk_next(&walk, fault) : DB_BAD;
        if (step == DB_ROW)
            good =
                fault_set(fault, FAULT_REFUSED,
                          "several ids begin with %.*s: give more digits of it.", (int)id.n, id.s);
        good = good && step == DB_END;
    }
    if (good)
        *e = first;
    stretch_walk_close(&walk);
    return good;
}

bool log_find(Log *log, Text id, Event *e, Fault *fault)
{
    Uuid low = {{0}}, high = {{0}};
    Spot spot;
    int digits = 0;
    bool last = text_is(id, "last"), found = false, own;
    if ((!last && !prefix_parse(id, &low, &high, &digits, fault)) || !log_begin(log, false, fault))
        return false;
    bool good;
    if (last) {
        good = find_last(log, e, &own, fault);
    } else if (digits == 32) {
        good = entry_spot(log, &low, &found, &spot, fault) &&
               (!found || entry_read(log, &spot, &found, e, fault)) &&
               (found || fault_set(fault, FAULT_REFUSED, "there is no entry %.*s in this log.",
                                   (int)id.n, id.s));
    } else {
        good = find_range(log, id, &low, &high, e, fault);
    }
    return db_end(&log->db, true, fault) && good;
}

bool log_last(Log *log, Event *e, bool *own, Fault *fault)
{
    if (!log_begin(log, false, fault))
        return false;
    const bool good = find_last(log, e, own, fault);
    return db_end(&log->db, true, fault) && good;
}

/* ---- listing ---- */

static bool names_vessel(const Event *e, const Label *vessel)
{
    const Kind *kind = kind_of((KindId)e->kind);
    for (int i = 0; i < kind->field_count; i++) {
        const Field *f = &kind->fields[i];
        if (f->names != NAMES_VESSEL || !event_has(e, i))
            continue;
        if (f->type == FIELD_LABEL) {
            if (memcmp((const char *)e + f->offset, vessel, sizeof *vessel) == 0)
                return true;
            continue;
        }
        for (int j = 0; f->type == FIELD_LABELS && j < e->u.couple.count; j++)
            if (label_equal(&e->u.couple.order[j], vessel))
                return true;
    }
    return false;
}

static bool wanted(const LogQuery *query, const Event *e, bool out)
{
    return (query->voided || (!out && e->kind != KIND_VOID)) &&
           (label_empty(&query->vessel) || names_vessel(e, &query->vessel));
}

static bool asks_all(const LogQuery *query)
{
    return query->voided && label_empty(&query->vessel) && query->kind == KIND_NONE &&
           !moment_known(query->since) && !moment_known(query->until) && query->limit == 0;
}

/* A page of the file that is lost, or in the place of another one, leaves rows that are whole. */
static bool counted(Log *log, int64_t met, Fault *fault)
{
    Tally stored = {0};
    const bool good = log->db.older || tally_load(&log->db, &stored, fault);
    log->lacking = log->db.older ? 0 : stored.entries - met;
    return good;
}

typedef struct {
    const LogQuery *query;
    LogVisit visit;
    void *context;
    EntryWalk walk;
    int64_t shown, met;
    Spot last;
    bool bad;
    Fault *fault;
} Listing;

/* One that can't be read is passed over. False: SQLite failed. */
static bool list_read(Listing *list, DbRow row, Event *e, bool *read)
{
    Log *log = list->walk.log;
    Fault why = {0};
    bool sealed;
    *read = codec_decode(&log->codec, row, true, e, &why) && codec_sealed(row, e, &sealed, &why);
    if (*read) {
        list->met += sealed;
    } else if (log_may_pass(log)) {
        log->passed_first = log->passed++ == 0 ? why : log->passed_first;
    } else {
        *list->fault = why;
        return false;
    }
    return true;
}

static bool list_row(void *context, DbRow row)
{
    Listing *list = context;
    const LogQuery *query = list->query;
    Event e MEMORY_UNSET;
    bool read, out;
    list->bad = !list_read(list, row, &e, &read);
    if (list->bad || !read)
        return list->bad;
    const Spot spot = spot_of(&e);
    list->bad = !entry_walk_out(&list->walk, &spot, &out, list->fault);
    if (list->bad)
        return true;
    const int order = spot_compare(&list->last, &spot);
    list->walk.log->astray +=
        moment_known(list->last.at) && (query->newest_first ? order <= 0 : order >= 0);
    list->last = spot;
    return wanted(query, &e, out) &&
           (!list->visit(list->context, &e, out) || ++list->shown == query->limit);
}

bool log_each(Log *log, const LogQuery *query, LogVisit visit, void *context, Fault *fault)
{
    Listing list = {.query = query,
                    .visit = visit,
                    .context = context,
                    .last = SPOT_BEFORE_ALL,
                    .fault = fault};
    DbPass pass = {.look = list_row, .context = &list};
    if (!log_begin(log, false, fault))
        return false;
    log->passed = log->astray = log->lacking = 0;
    const DbStep step = entry_walk(&list.walk, log, query, true, &pass, fault);
    const bool good = step != DB_BAD && !list.bad &&
                      (step != DB_END || !asks_all(query) || counted(log, list.met, fault));
    return db_end(&log->db, true, fault) && good;
}

bool log_all_read(const Log *log, Fault *fault)
{
    if (log->passed > 0)
        return fault_set(fault, FAULT_LOG, "%lld entr%s passed over. The first: %s",
                         (long long)log->passed, log->passed == 1 ? "y was" : "ies were",
                         log->passed_first.text);
    return (log->astray == 0 && log->lacking == 0) ||
           fault_set(fault, FAULT_LOG,
                     "%s is damaged: entries are missing, stand there twice or out of their order. "
                     "Run ullage verify; go back to a backup (ullage restore), or write what can "
                     "be read to a new log (ullage salvage %s NEW).",
                     log->db.name, log->db.name);
}
