/* Every page is read, not only those that the tree still names, in the order of what stands in
 * them. A page of entries that is as it must be gives its rows by its own list of them; any other
 * is searched for the beginning of a row at every byte. That is safe because of the seals: what was
 * found by searching counts only with one. */
#include "store/salvage.h"

#include "base/memory.h"
#include "store/backup.h"
#include "store/inside.h"
#include "store/pages.h"
#include "store/replay.h"
#include "store/tally.h"
#include "store/value.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* Columns of table entry: 11 in version 1, then its seal; the key stands first. */
enum { COLUMNS = 12, COLUMNS_OLD = 11, COLUMN_NOTE_AT = 10, COLUMN_SEAL_AT = 11, PAGES_SHOWN = 20 };
enum { BLOB_16 = 44 }; /* serial type of an id */

/* Where the entries of a page lie, by the pages above it and by those of its own that can be read.
 */
typedef struct {
    int64_t low, high; /* ms; INT64_MIN, INT64_MAX: not known */
    uint32_t above;    /* the page that names it; 0: none */
    int32_t bad;       /* entries of its own list that can't be read */
    int32_t found;     /* entries that only a search found */
    bool entries;      /* its own list gives entries */
} Leaf;

typedef struct {
    int64_t at; /* of a row in it */
    int64_t image;
} Place;

typedef struct {
    Pages pages;
    Log *log;
    sqlite3_stmt *row, *insert;
    Leaf *leaves; /* by page number */
    Place *places;
    int64_t place_count;
    Tally sealed;     /* written */
    int64_t unsealed; /* written without a seal */
    Tally stored;     /* by the log's own tally; entries -1: not found */
    int64_t counted;  /* by the log's latest state; -1: not found */
    Units units;
    Fault refused; /* by SQLite, where it was asked for a row at hand: no fault of the row */
    LogReport report;
} Salvage;

static void say(Salvage *s, bool good, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

static void say(Salvage *s, bool good, const char *format, ...)
{
    char line[400];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(line, sizeof line, format, arguments);
    va_end(arguments);
    if (s->report.line != NULL)
        s->report.line(s->report.context, good, line);
}

/* ---- rows ---- */

/* Could it be a row of table entry: the columns and their types? */
static bool is_entry(const Record *r)
{
    const RecordField *f = r->fields;
    if ((r->count != COLUMNS && r->count != COLUMNS_OLD) || !record_is_number(&f[0]) ||
        f[1].type != BLOB_16 || !record_is_number(&f[2]) || !record_is_number(&f[3]))
        return false;
    for (int i = 4; i < r->count; i++) {
        const bool text = i == 4 || i == 5 || i == 9 || i == COLUMN_NOTE_AT;
        if (f[i].type != 0 && !(text ? record_is_text(&f[i]) : record_is_number(&f[i])))
            return false;
    }
    return true;
}

/* As the row under a statement, which is what the codec reads. */
static void record_bind(const Record *r, sqlite3_stmt *stmt)
{
    for (int i = 0; i < COLUMNS; i++) {
        const RecordField *f = &r->fields[i];
        if (i >= r->count || f->type == 0)
            db_bind_null(stmt, i + 1);
        else if (record_is_number(f))
            db_bind_number(stmt, i + 1, record_number(f));
        else if (record_is_blob(f))
            db_bind_blob(stmt, i + 1, f->bytes, f->n);
        else
            db_bind_text(stmt, i + 1, text_slice((const char *)f->bytes, f->n));
    }
}

/* Did SQLite refuse for a reason of its own? Bytes that were taken for a row may be of any size, or
 * anything. */
static bool is_refused(const Db *db)
{
    const int code = db->failed & 0xff;
    return code != SQLITE_OK && code != SQLITE_ERROR && code != SQLITE_TOOBIG;
}

/* Is it a row that this program wrote? *sealed: that is proved. */
static bool row_read(Salvage *s, const Record *r, Event *e, bool *sealed)
{
    Fault why;
    if (!is_entry(r))
        return false;
    record_bind(r, s->row);
    const bool good = db_step(&s->log->db, s->row, &why) == DB_ROW &&
                      codec_decode(&s->log->codec, db_row(s->row), true, e, &why) &&
                      codec_sealed(db_row(s->row), e, sealed, &why) && value_check(e, &why);
    sqlite3_reset(s->row);
    if (!good && is_refused(&s->log->db))
        s->refused = why;
    return good;
}

static bool row_write(Salvage *s, const Event *e, bool sealed, Fault *fault)
{
    const uint32_t seal = event_seal(e);
    codec_bind(&s->log->codec, e, seal, s->insert, 0);
    if (!sealed)
        db_bind_null(s->insert, COLUMN_SEAL_AT + 1);
    if (!db_exec(&s->log->db, s->insert, fault))
        return false;
    if (sqlite3_changes(s->log->db.handle) == 0)
        return true; /* read from another image already */
    if (sealed)
        tally_add(&s->sealed, &e->id, seal);
    s->unsealed += !sealed;
    return true;
}

/* ---- pages ---- */

/* For pages_open. */
static int64_t entries_on(Pages *pages, const Image *image)
{
    Record r;
    int64_t good = 0;
    const int cells = image_type(image) != PAGE_TABLE_LEAF ? image_cells(pages, image) : 0;
    for (int i = 0; i < cells; i++)
        good += image_record(pages, image, i, &r) && is_entry(&r);
    return good;
}

/* The header of a row at or after byte *at: its length, the type of the time, that of the id. */
static bool header_find(const Pages *pages, const Image *image, size_t *at)
{
    const uint8_t *b = image->bytes, *end = b + pages->usable;
    for (const uint8_t *id = b + *at + 2; id < end; id++) {
        id = memchr(id, BLOB_16, (size_t)(end - id));
        if (id == NULL)
            return false;
        if (id[-2] > COLUMNS_OLD && id[-2] < 64 && id[-1] >= 1 && id[-1] <= 6) {
            *at = (size_t)(id - b) - 2;
            return true;
        }
    }
    return false;
}

/* Whatever of a page its own list of rows doesn't give; only with a seal. *more: how many that had
 * not been read before. */
static bool page_search(Salvage *s, const Image *image, int64_t *more, Fault *fault)
{
    Record r;
    Event e;
    bool sealed;
    const int64_t before = s->sealed.entries;
    for (size_t at = image_content(&s->pages, image); header_find(&s->pages, image, &at); at++)
        if (image_record_at(&s->pages, image, at, &r) && row_read(s, &r, &e, &sealed) && sealed &&
            !row_write(s, &e, true, fault))
            return false;
    *more = s->sealed.entries - before;
    return true;
}

/* Between which times the entries of the pages below this one lie. */
static void below_note(Salvage *s, const Image *image, int cells)
{
    Record r;
    int64_t low = INT64_MIN, high;
    for (int i = 0; i <= cells; i++, low = high) {
        const uint32_t child = image_child(&s->pages, image, i);
        const bool is = i < cells && image_record(&s->pages, image, i, &r) && is_entry(&r);
        high = is ? record_number(&r.fields[0]) : INT64_MAX;
        if (child == 0 || child > s->pages.page_max || child == image->page)
            continue;
        Leaf *leaf = &s->leaves[child];
        leaf->low = low;
        leaf->high = high;
        leaf->above = image->page;
        high = is ? high : INT64_MIN; /* for the next: not known */
    }
}

/* The rows of a page by its own list. What an older image of the page says without a seal is not
 * taken: the newer one knows better. */
static bool page_list(Salvage *s, const Image *image, int cells, int *good, Fault *fault)
{
    Record r;
    Event e;
    bool sealed;
    *good = 0;
    for (int i = 0; i < cells; i++) {
        const bool is = image_record(&s->pages, image, i, &r) && row_read(s, &r, &e, &sealed);
        if (is && (sealed || image->current) && !row_write(s, &e, sealed, fault))
            return false;
        *good += is;
    }
    if (*good > 0 && image->current && image_type(image) == PAGE_INDEX_INTERIOR)
        below_note(s, image, cells);
    return true;
}

static bool page_take(Salvage *s, const Image *image, Fault *fault)
{
    int good = 0;
    int64_t more = 0;
    const bool index = image_type(image) != PAGE_TABLE_LEAF;
    const int cells = index ? image_cells(&s->pages, image) : -1;
    if ((cells > 0 && !page_list(s, image, cells, &good, fault)) ||
        ((cells <= 0 || good < cells) && !page_search(s, image, &more, fault)))
        return false;
    if (image->current) {
        Leaf *leaf = &s->leaves[image->page];
        leaf->entries = good > 0;
        leaf->found = (int32_t)more;
        leaf->bad = good > 0 && good + more < cells ? (int32_t)(cells - good - more) : 0;
    }
    return true;
}

/* ---- what the log says of itself ---- */

/* The one row of table tally: its number, a count, a sum; and the beginning of that of table head:
 * its number, a stamp, a count, the time and id of the last entry. */
static void counts_read(Salvage *s, const Image *image)
{
    Record r;
    const RecordField *f = r.fields;
    if (!image->current || image_type(image) != PAGE_TABLE_LEAF ||
        image_cells(&s->pages, image) != 1 || !image_record(&s->pages, image, 0, &r) ||
        r.count < 3 || f[0].type != 0 || !record_is_number(&f[1]) || !record_is_number(&f[2]) ||
        f[1].bytes == NULL || f[2].bytes == NULL)
        return;
    if (r.count == 3)
        s->stored = (Tally){record_number(&f[1]), (uint64_t)record_number(&f[2])};
    else if (r.count >= 7 && record_is_number(&f[3]) && f[4].type == BLOB_16)
        s->counted = record_number(&f[2]);
}

/* The setting of units: two texts, the last of its table by name. */
static void units_read(Salvage *s, const Image *image)
{
    Record r;
    Fault ignored;
    const int cells =
        image->current && image_type(image) == PAGE_INDEX_LEAF ? image_cells(&s->pages, image) : 0;
    for (int i = cells > 8 ? cells - 8 : 0; i < cells; i++)
        if (image_record(&s->pages, image, i, &r) && r.count == 2 && record_is_text(&r.fields[0]) &&
            record_is_text(&r.fields[1]) &&
            text_is(text_slice((const char *)r.fields[0].bytes, r.fields[0].n), "units"))
            units_parse(text_slice((const char *)r.fields[1].bytes, r.fields[1].n), &s->units,
                        &ignored);
}

/* ---- all of it ---- */

static int place_order(const void *a, const void *b)
{
    const Place *x = a, *y = b;
    return x->at != y->at ? (x->at < y->at ? -1 : 1) : x->image < y->image ? -1 : 1;
}

/* Which images have something like a row, in the order of time: so the new log grows at its end. */
static void places_find(Salvage *s)
{
    Record r;
    const int64_t images = pages_images(&s->pages);
    s->places = memory_get((size_t)(images + 1) * sizeof *s->places);
    for (int64_t i = 0; i < images; i++) {
        const Image image = pages_image(&s->pages, i);
        size_t at = image.start;
        bool found = false;
        counts_read(s, &image);
        units_read(s, &image);
        while (!found && header_find(&s->pages, &image, &at)) {
            found = image_record_at(&s->pages, &image, at, &r) && is_entry(&r);
            at++;
        }
        if (found)
            s->places[s->place_count++] = (Place){record_number(&r.fields[0]), i};
    }
    qsort(s->places, (size_t)s->place_count, sizeof *s->places, place_order);
}

static bool entries_take(Salvage *s, Fault *fault)
{
    Db *db = &s->log->db;
    s->row = db_prepare(db, "SELECT ?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11,?12", fault);
    s->insert =
        s->row != NULL ? db_prepare(db, CODEC_INSERT " ON CONFLICT DO NOTHING", fault) : NULL;
    bool good = s->insert != NULL;
    for (int64_t i = 0; good && i < s->place_count; i++) {
        const Image image = pages_image(&s->pages, s->places[i].image);
        good = page_take(s, &image, fault);
        if (good && s->refused.kind != FAULT_NONE) {
            *fault = s->refused;
            good = false;
        }
    }
    db_done(s->row);
    db_done(s->insert);
    return good;
}

/* ---- what is missing ---- */

static void span_print(const Leaf *leaf, Str *out)
{
    char from[48] = "the beginning", to[48] = "the end";
    if (leaf->low != INT64_MIN)
        moment_print_utc((Moment){leaf->low}, from);
    if (leaf->high != INT64_MAX)
        moment_print_utc((Moment){leaf->high}, to);
    str_addf(out, "between %s and %s", from, to);
}

/* What the page itself is not told by the one above it, that one is told by the next above. */
static Leaf leaf_span(const Salvage *s, uint32_t page)
{
    Leaf leaf = s->leaves[page];
    uint32_t above = leaf.above;
    for (int depth = 0; above != 0 && depth < 20; depth++) {
        const Leaf *up = &s->leaves[above];
        leaf.low = leaf.low == INT64_MIN ? up->low : leaf.low;
        leaf.high = leaf.high == INT64_MAX ? up->high : leaf.high;
        above = up->above;
    }
    return leaf;
}

static void say_leaves(Salvage *s)
{
    int lines = 0;
    for (uint32_t page = 1; page <= s->pages.page_max; page++) {
        const Leaf leaf = leaf_span(s, page);
        const bool lost = leaf.above != 0 && !leaf.entries;
        if ((!lost && leaf.bad == 0) || ++lines > PAGES_SHOWN)
            continue;
        Str span = {0};
        span_print(&leaf, &span);
        if (lost)
            say(s, false, "page %u is damaged: %d of its entries were found, all lie %s", page,
                (int)leaf.found, span.s);
        else
            say(s, false, "page %u: %d of its entries can't be read, %s", page, (int)leaf.bad,
                span.s);
        str_finish(&span);
    }
    if (lines > PAGES_SHOWN)
        say(s, false, "and %d more pages like these", lines - PAGES_SHOWN);
}

/* A count that damage made of nothing is not believed: more than the file has room for, or fewer
 * than were read. */
static bool count_can_be(const Salvage *s, int64_t count, int64_t read)
{
    enum { ROW_LEAST = 30 };
    return count >= read && count <= pages_images(&s->pages) * s->pages.page_size / ROW_LEAST;
}

static void missing_find(const Salvage *s, LogSalvage *count)
{
    const int64_t read = s->sealed.entries + s->unsealed;
    const bool all = s->stored.entries == s->sealed.entries && s->stored.sum == s->sealed.sum;
    *count = (LogSalvage){
        .read = read, .unsealed = s->unsealed, .least = -1, .most = -1, .torn = s->pages.torn};
    if (count_can_be(s, s->stored.entries, s->sealed.entries) &&
        (all || s->stored.entries > s->sealed.entries))
        count->least = count->most = s->stored.entries - s->sealed.entries;
    if ((all && s->unsealed == 0) || !count_can_be(s, s->counted, read))
        return;
    const int64_t more = s->counted - read;
    count->least = count->least >= 0 && count->least < more ? count->least : more;
    count->most = count->most > more ? count->most : more;
}

static void say_missing(Salvage *s, const LogSalvage *count)
{
    if (count->most < 0)
        say(s, false, "how many are missing can't be told: the log's own counts can't be read");
    else if (count->most == 0)
        say(s, true, "none is missing, by the log's own count of %lld", (long long)count->read);
    else if (count->least == count->most)
        say(s, false, "%lld are missing, of %lld that the log counted", (long long)count->most,
            (long long)count->read + (long long)count->most);
    else
        say(s, false, "from %lld to %lld are missing: the log's own counts do not agree",
            (long long)count->least, (long long)count->most);
}

static void say_all(Salvage *s, LogSalvage *count)
{
    missing_find(s, count);
    say(s, true, "%lld entries were read, and each seal fits", (long long)s->sealed.entries);
    if (s->unsealed > 0)
        say(s, true,
            "%lld more have no seal (of an older version): they can be, and are not proved",
            (long long)s->unsealed);
    say_leaves(s);
    if (s->pages.unread > 0)
        say(s, false, "the disk refused to give %lld pages", (long long)s->pages.unread);
    say_missing(s, count);
    if (count->torn)
        say(s, false,
            "the -wal ends within a write: an entry that was written last may be missing besides, "
            "which no count tells");
    if (count->most != 0 || count->torn)
        say(s, false,
            "what is missing may be what made water unfit to drink, or a level lower: look "
            "at both before you rely on the new log");
    say(s, true, "units: %s", units_name(s->units));
}

/* ---- the new log ---- */

static bool new_fill(Salvage *s, Fault *fault)
{
    Log *log = s->log;
    if (!db_begin(&log->db, true, fault))
        return false;
    bool good = entries_take(s, fault) && tally_grow(&log->db, &s->sealed, fault) &&
                derived_rebuild(log, (ReplayWatch){0}, fault);
    return db_end(&log->db, good, fault) && good;
}

/* The part is nothing that anybody has: it is synced as a whole before it takes its name. */
static bool new_write(Salvage *s, const char *part, Fault *fault)
{
    s->log = log_open(part, LOG_WRITE, fault);
    bool good =
        s->log != NULL &&
        db_run(&s->log->db,
               "PRAGMA journal_mode=MEMORY; PRAGMA synchronous=OFF; PRAGMA cache_size=-8192",
               fault) &&
        new_fill(s, fault) && (s->units == UNITS_METRIC || log_set_units(s->log, s->units, fault));
    log_close(s->log);
    s->log = NULL;
    return good;
}

/* Read back as its next reader would; the stored states were made of the same rows just now. */
static bool new_proved(const char *part, Fault *fault)
{
    Log *log = log_open(part, LOG_READ, fault);
    const bool good = log != NULL && log_rows_sound(log, fault);
    log_close(log);
    return good;
}

static bool targets_differ(const char *damaged, const char *target, bool replace, Fault *fault)
{
    struct stat from, to;
    if (stat(target, &to) != 0)
        return true;
    if (stat(damaged, &from) == 0 && from.st_dev == to.st_dev && from.st_ino == to.st_ino)
        return fault_set(fault, FAULT_REFUSED,
                         "%s is the damaged log itself. Name a new file for what can be read.",
                         target);
    return (replace && S_ISREG(to.st_mode)) ||
           fault_set(fault, FAULT_REFUSED,
                     S_ISREG(to.st_mode) ? "%s is there already. Name a new file, or say --replace."
                                         : "%s is no file. Name a file for the new log.",
                     target);
}

bool log_salvage(const char *damaged, const char *target, bool replace, LogReport report,
                 LogSalvage *count, Fault *fault)
{
    Salvage s = {.stored.entries = -1, .counted = -1, .report = report};
    Str part = {0};
    if (!targets_differ(damaged, target, replace, fault) ||
        !pages_open(&s.pages, damaged, entries_on, fault))
        return false;
    s.leaves = memory_get(((size_t)s.pages.page_max + 1) * sizeof *s.leaves);
    for (uint32_t i = 0; i <= s.pages.page_max; i++)
        s.leaves[i] = (Leaf){.low = INT64_MIN, .high = INT64_MAX};
    places_find(&s);
    bool good = part_begin(target, &part, fault);
    if (good) {
        good = new_write(&s, part.s, fault);
        if (good && s.sealed.entries + s.unsealed == 0)
            good = fault_set(fault, FAULT_LOG,
                             "there is no entry of a water log in %s that can be read. Nothing was "
                             "written.",
                             damaged);
        good = good && new_proved(part.s, fault);
        good = backup_end(&part, target, good, replace, fault) && good;
    }
    if (good)
        say_all(&s, count);
    pages_close(&s.pages);
    free(s.leaves);
    free(s.places);
    return good;
}
