/* Machines in step through a folder that delays, loses, repeats, cuts and renames what is put into
 * it. ULLAGE_SCHEDULES: how many random ones are tried. */
#include "base/crc.h"
#include "model/field.h"
#include "model/seal.h"
#include "store/sync.h"
#include "store/sync_line.h"
#include "support/store_kit.h"

#include <dirent.h>
#include <fcntl.h>
#include <signal.h>
#include <sys/syscall.h>
#include <sys/wait.h>

/* ---- a kill at the n-th call that changes a file ---- */

static int64_t kill_left = INT64_MAX;
static bool kill_torn; /* a write that is killed was half done */

static bool kill_now(void)
{
    return kill_left != INT64_MAX && kill_left-- <= 0;
}

static void kill_me(void)
{
    syscall(SYS_kill, getpid(), SIGKILL);
}

ssize_t write(int fd, const void *bytes, size_t n)
{
    if (kill_now()) {
        if (kill_torn)
            syscall(SYS_write, fd, bytes, n / 2);
        kill_me();
    }
    return syscall(SYS_write, fd, bytes, n);
}

ssize_t pwrite64(int fd, const void *bytes, size_t n, off_t at)
{
    if (kill_now()) {
        if (kill_torn)
            syscall(SYS_pwrite64, fd, bytes, n / 2, at);
        kill_me();
    }
    return syscall(SYS_pwrite64, fd, bytes, n, at);
}

/* A kill takes nothing from what was written: the disk need not be waited for. */
int fsync(int fd)
{
    (void)fd;
    if (kill_now())
        kill_me();
    return 0;
}

int fdatasync(int fd)
{
    return fsync(fd);
}

int renameat(int from, const char *a, int to, const char *b)
{
    if (kill_now())
        kill_me();
    return (int)syscall(SYS_renameat2, from, a, to, b, 0);
}

/* ---- machines ---- */

typedef struct {
    char path[160], folder[160];
    Log *log;
    Moment now;
    Str said;
    SyncCount count;
} Box;

static void hear(void *context, const char *sentence)
{
    Str *said = context;
    str_adds(said, sentence);
    str_addc(said, '\n');
}

static void box_init(Box *box, const Kit *kit, const char *name, const char *folder)
{
    *box = (Box){.now = KIT_NOW};
    snprintf(box->path, sizeof box->path, "%s/%s.db", kit->dir, name);
    snprintf(box->folder, sizeof box->folder, "%s/%s", kit->dir, folder);
    mkdir(box->folder, 0700);
    box->log = kit_open(box->path, LOG_WRITE);
}

static void box_finish(Box *box)
{
    log_close(box->log);
    str_finish(&box->said);
}

/* Machines of one folder, in the order in which they joined it. */
typedef struct {
    Kit kit;
    Box box[3];
    int count;
} Fleet;

static void fleet_join(Fleet *fleet)
{
    static const char *const names[] = {"a", "b", "c"};
    box_init(&fleet->box[fleet->count], &fleet->kit, names[fleet->count], "f");
    fleet->count++;
}

/* Returns the machines. */
static Box *fleet_init(Fleet *fleet, int count)
{
    kit_init(&fleet->kit);
    fleet->count = 0;
    while (fleet->count < count)
        fleet_join(fleet);
    return fleet->box;
}

static void fleet_finish(Fleet *fleet)
{
    for (int i = 0; i < fleet->count; i++)
        box_finish(&fleet->box[i]);
    kit_finish(&fleet->kit);
}

static void box_sync(Box *box)
{
    Fault fault = {0};
    str_clear(&box->said);
    str_adds(&box->said, "");
    if (!log_sync(box->log, box->folder, box->now, (SyncTell){.say = hear, .context = &box->said},
                  &box->count, &fault))
        fail_msg("%s", fault.text);
}

/* Writes a note here and now. */
static Uuid box_note(Box *box, const char *words)
{
    Event e;
    Fault fault = {0};
    event_clear(&e, KIND_NOTE);
    e.at = box->now;
    snprintf(e.note, sizeof e.note, "%s", words);
    if (!log_append(box->log, &e, box->now, &fault))
        fail_msg("%s", fault.text);
    return e.id;
}

static int64_t box_entries(Box *box)
{
    State *state = malloc(sizeof *state);
    int64_t entries;
    kit_state(box->log, state, &entries);
    free(state);
    return entries;
}

static void same_everywhere(Box *boxes, int count, int64_t entries)
{
    char *first = kit_export(boxes[0].log, PORT_JSON);
    for (int i = 0; i < count; i++) {
        char *text = kit_export(boxes[i].log, PORT_JSON);
        assert_string_equal(text, first);
        assert_int_equal(box_entries(&boxes[i]), entries);
        kit_sound(boxes[i].log);
        free(text);
    }
    free(first);
}

static void own_path(const Box *box, char *out, size_t size)
{
    snprintf(out, size, "%s/ullage-%s.jsonl", box->folder, box->count.machine);
}

static char *bytes_of(const char *path, size_t *n)
{
    FILE *in = fopen(path, "rb");
    assert_non_null(in);
    char *bytes = calloc(1, 1 << 20);
    *n = fread(bytes, 1, (1 << 20) - 1, in);
    fclose(in);
    return bytes;
}

static void bytes_to(const char *path, const char *bytes, size_t n)
{
    FILE *out = fopen(path, "wb");
    assert_non_null(out);
    assert_int_equal(fwrite(bytes, 1, n, out), n);
    fclose(out);
}

static int files_in(const char *folder)
{
    int count = 0;
    DIR *dir = opendir(folder);
    for (struct dirent *entry; (entry = readdir(dir)) != NULL;)
        count += entry->d_name[0] != '.';
    closedir(dir);
    return count;
}

static void said(const Box *box, const char *words)
{
    if (strstr(box->said.s, words) == NULL)
        fail_msg("'%s' is not in: %s", words, box->said.s);
}

/* ---- the plain road ---- */

static void two_machines_come_to_the_same_and_rest(void **state)
{
    (void)state;
    Fleet fleet;
    Box *box = fleet_init(&fleet, 2);
    kit_import(box[0].log, KIT_SETUP);
    box_note(&box[0], "one");
    box_note(&box[1], "two");
    box_sync(&box[0]);
    assert_int_equal(box[0].count.sent, 2);
    box_sync(&box[1]);
    assert_int_equal(box[1].count.added, 2);
    assert_int_equal(box[1].count.sent, 1);
    box_sync(&box[0]);
    assert_int_equal(box[0].count.added, 1);
    assert_int_equal(box[0].count.sent, 0);
    same_everywhere(box, 2, 3);
    for (int i = 0; i < 2; i++) {
        box_sync(&box[1]);
        box_sync(&box[0]);
        assert_int_equal(box[0].count.read, 0);
        assert_int_equal(box[1].count.read, 0);
        assert_int_equal(box[0].count.sent + box[1].count.sent, 0);
    }
    assert_int_equal(files_in(box[0].folder), 2);
    char path[256];
    struct stat info;
    own_path(&box[0], path, sizeof path);
    assert_int_equal(stat(path, &info), 0);
    assert_int_equal(info.st_mode & 0777, 0600);
    Str folder = {0};
    Moment heard;
    Fault fault = {0};
    assert_true(log_sync_folder(box[0].log, &folder, &heard, &fault));
    assert_string_equal(folder.s, box[0].folder);
    assert_int_equal(heard.ms, KIT_NOW.ms);
    str_finish(&folder);
    fleet_finish(&fleet);
}

static void an_entry_tells_which_machine_wrote_it(void **state)
{
    (void)state;
    Fleet fleet;
    Box *box = fleet_init(&fleet, 2);
    for (int i = 0; i < 2; i++) {
        Machine machine;
        box_sync(&box[i]);
        assert_true(machine_read(text_of(box[i].count.machine), &machine));
        for (int n = 0; n < 20; n++) { /* in one millisecond: the ids count on */
            const Uuid id = box_note(&box[i], "here");
            assert_int_equal(id.b[6] >> 4, 7);
            assert_int_equal(uuid_mark(&id), machine_mark(&machine));
        }
    }
    assert_string_not_equal(box[0].count.machine, box[1].count.machine);
    fleet_finish(&fleet);
}

static void a_folder_that_is_not_there_or_holds_the_log_is_refused(void **state)
{
    (void)state;
    Fleet fleet;
    Box *box = fleet_init(&fleet, 1);
    Fault fault = {0};
    assert_false(log_sync(box->log, "/nonexistent/f", KIT_NOW, (SyncTell){0}, &box->count, &fault));
    assert_int_equal(fault.kind, FAULT_REFUSED);
    assert_says(fault, "Is its disk there?");
    assert_false(log_sync(box->log, fleet.kit.dir, KIT_NOW, (SyncTell){0}, &box->count, &fault));
    assert_int_equal(fault.kind, FAULT_REFUSED);
    assert_says(fault, "the log itself lies in");
    fleet_finish(&fleet);
}

/* ---- what a folder does to files ---- */

static void a_file_cut_at_any_byte_gives_its_whole_lines_and_later_the_rest(void **state)
{
    (void)state;
    Fleet fleet;
    Box *from = fleet_init(&fleet, 1);
    char path[256];
    size_t n;
    Event events[6];
    kit_log(events, 6, 9);
    kit_feed(from->log, events, 0, 6);
    box_sync(from);
    own_path(from, path, sizeof path);
    char *bytes = bytes_of(path, &n), *want = kit_export(from->log, PORT_JSON);
    Str folder = {0};
    str_addf(&folder, "%s/cut", fleet.kit.dir);
    mkdir(folder.s, 0700);
    snprintf(path, sizeof path, "%s/other.jsonl", folder.s);
    for (size_t cut = 0; cut <= n; cut++) {
        Log *log = kit_open("", LOG_SCRATCH);
        Fault fault = {0};
        SyncCount count;
        int64_t lines = -1; /* the first is no entry, nor is the last */
        for (size_t i = 0; i < cut; i++)
            lines += bytes[i] == '\n';
        lines = lines < 0 ? 0 : lines > 6 ? 6 : lines;
        bytes_to(path, bytes, cut);
        Str words = {0};
        str_adds(&words, "");
        assert_true(log_sync(log, folder.s, KIT_NOW, (SyncTell){.say = hear, .context = &words},
                             &count, &fault));
        assert_int_equal(count.added, lines);
        assert_string_equal(words.s, ""); /* what has not arrived is no fault */
        bytes_to(path, bytes, n);
        assert_true(log_sync(log, folder.s, KIT_NOW, (SyncTell){.say = hear, .context = &words},
                             &count, &fault));
        assert_int_equal(count.added, 6 - lines);
        assert_string_equal(words.s, "");
        char *text = kit_export(log, PORT_JSON);
        assert_string_equal(text, want);
        free(text);
        str_finish(&words);
        log_close(log);
        char mine[256];
        snprintf(mine, sizeof mine, "%s/ullage-%s.jsonl", folder.s, count.machine);
        assert_int_equal(remove(mine), 0);
    }
    str_finish(&folder);
    free(bytes);
    free(want);
    fleet_finish(&fleet);
}

/* Each entry stands in one file only; the names are what is left of them. */
static void every_name_that_a_synchroniser_makes_is_read(void **state)
{
    (void)state;
    static const char *const names[] = {
        "ullage-%s.sync-conflict-20261124-101500-ABCDEFG.jsonl",
        "ullage-%s (1).jsonl",
        "ullage-%s 2.jsonl",
        "ullage-%s (conflicted copy 2026-11-24).jsonl",
        "ullage-%s (Laptop's conflicted copy 2026-11-24).jsonl",
        "ullage-%s-HOST.jsonl",
        "ullage-%s_conflict.jsonl",
        "ullage-%s.jsonl.1",
        "ullage-%s.jsonl~",
        "ullage-%s.jsonl.orig",
        "Copy of ullage-%s.jsonl",
        "whatever %s.jsonl",
    };
    enum { NAMES = sizeof names / sizeof *names };
    Kit kit;
    Box box[NAMES], reader;
    kit_init(&kit);
    box_init(&reader, &kit, "reader", "f");
    for (int i = 0; i < NAMES; i++) {
        char name[16], path[256], to[400], last[200];
        snprintf(name, sizeof name, "m%d", i);
        box_init(&box[i], &kit, name, name);
        box_note(&box[i], name);
        box_sync(&box[i]);
        own_path(&box[i], path, sizeof path);
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral"
        snprintf(last, sizeof last, names[i], box[i].count.machine);
#pragma GCC diagnostic pop
        snprintf(to, sizeof to, "%s/%s", reader.folder, last);
        kit_copy(path, to);
    }
    box_sync(&reader);
    assert_int_equal(reader.count.added, NAMES);
    assert_string_equal(reader.said.s, "");
    for (int i = 0; i < NAMES; i++)
        box_finish(&box[i]);
    box_finish(&reader);
    kit_finish(&kit);
}

static void a_line_that_is_damaged_costs_itself_and_comes_when_it_is_mended(void **state)
{
    (void)state;
    Fleet fleet;
    Box *box = fleet_init(&fleet, 2), *from = &box[0], *to = &box[1];
    char path[256];
    size_t n;
    Event events[8];
    kit_log(events, 8, 5);
    kit_feed(from->log, events, 0, 8);
    box_sync(from);
    own_path(from, path, sizeof path);
    char *bytes = bytes_of(path, &n);
    char *hurt = memcpy(calloc(1, n), bytes, n);
    char *third = hurt;
    for (int i = 0; i < 3; i++)
        third = strchr(third, '\n') + 1;
    third[30] ^= 1;
    bytes_to(path, hurt, n);
    box_sync(to);
    assert_int_equal(to->count.added, 7);
    assert_int_equal(to->count.waiting, 1);
    said(to, "1 line of it waits");
    box_sync(to); /* nothing changed: nothing to read, nothing to say */
    assert_string_equal(to->said.s, "");
    bytes_to(path, bytes, n);
    box_sync(to);
    assert_int_equal(to->count.added, 1);
    assert_int_equal(to->count.waiting, 0);
    assert_int_equal(box_entries(to), 8);
    free(hurt);
    free(bytes);
    fleet_finish(&fleet);
}

/* Its seal fits, so its writer means it; and yet it is no line of this program. It costs itself. */
static void a_line_that_is_none_costs_itself_though_its_seal_fits(void **state)
{
    (void)state;
    static const struct {
        const char *body, *says; /* without its last bracket */
    } lines[] = {
        {"{\"ullage\":\"sync\",\"format\":2,\"machine\":\"0123456789ab\"", "of a newer version"},
        {"{\"ullage\":\"sync\",\"format\":1,\"machine\":\"0123456789AB\"", "cut or damaged"},
        {"{\"ullage\":\"sync\",\"format\":1,\"machine\":\"0123\"", "cut or damaged"},
        {"{\"ullage\":\"sync\",\"format\":1,\"boat\":\"0123456789ab\"", "no line of this program"},
        {"{\"ullage\":\"sync\"", "no line of this program"},
        {"{\"seen\":\"2026-05-01T08:00:00Z\",\"from\":[]", "no line of this program"},
        {"{\"heard\":\"2026-05-01T08:00:00Z\",\"of\":[]", "no line of this program"},
        {"{\"seen\":\"tomorrow\",\"of\":[]", "waits"},
        {"{\"seen\":\"2026-05-01T08:00:00Z\",\"of\":7", "cut or damaged"},
        {"{\"seen\":\"2026-05-01T08:00:00Z\",\"of\":[1,2", "waits"},
        {"{\"seen\":\"2026-05-01T08:00:00Z\",\"of\":[\"0123456789ab\"]", "cut or damaged"},
        {"{\"seen\":\"2026-05-01T08:00:00Z\",\"of\":[\"0123456789ab 5 g\"]", "cut or damaged"},
        {"{\"seen\":\"2026-05-01T08:00:00Z\",\"of\":[\"0123456789zz 5 0\"]", "cut or damaged"},
        {"{\"seen\":\"2026-05-01T08:00:00Z\",\"of\":[\"0123456789ab 5 0 and words, words, words,"
         " more words than any line of ours has\"]",
         "waits"},
        {"[1,2", "waits"},
    };
    Kit kit;
    Box from, to;
    char path[256];
    size_t n;
    kit_init(&kit);
    box_init(&from, &kit, "a", "f");
    box_note(&from, "one");
    box_note(&from, "two");
    box_sync(&from);
    own_path(&from, path, sizeof path);
    char *bytes = bytes_of(path, &n);
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        Str text = {0};
        char name[32];
        snprintf(name, sizeof name, "to%zu", i);
        /* between the first line and the entries */
        const size_t first = (size_t)(strchr(bytes, '\n') + 1 - bytes);
        str_add(&text, text_slice(bytes, first));
        str_addf(&text, "%s,\"seal\":\"%08x\"}\n", lines[i].body,
                 (unsigned)crc32c(0, lines[i].body, strlen(lines[i].body)));
        str_add(&text, text_slice(bytes + first, n - first));
        bytes_to(path, text.s, text.n);
        box_init(&to, &kit, name, "f");
        box_sync(&to);
        assert_int_equal(to.count.added, 2);
        if (strcmp(lines[i].says, "waits") != 0 || to.count.waiting > 0) {
            assert_int_equal(to.count.waiting, 1);
            said(&to, lines[i].says);
        }
        char mine[256];
        own_path(&to, mine, sizeof mine);
        assert_int_equal(remove(mine), 0);
        box_finish(&to);
        str_finish(&text);
    }
    free(bytes);
    box_finish(&from);
    kit_finish(&kit);
}

/* What a log remembers of the files is not believed where it can't be read: all is read anew. */
static void what_is_remembered_of_files_may_be_damaged(void **state)
{
    (void)state;
    static const char *const damages[] = {
        "UPDATE setting SET value='7' WHERE name GLOB 'sync.file.*'",
        "UPDATE setting SET value='x'||value WHERE name GLOB 'sync.file.*'",
        "UPDATE setting SET value='99 '||substr(value,4) WHERE name GLOB 'sync.file.*'",
        "UPDATE setting SET value='7' WHERE name='sync.own'",
        "UPDATE setting SET value='7' WHERE name='sync.machine'",
        "UPDATE setting SET value='/elsewhere' WHERE name='sync.folder'",
        "UPDATE setting SET value='soon' WHERE name='sync.said'",
        "DELETE FROM setting WHERE name='sync.own'",
    };
    for (size_t i = 0; i < sizeof damages / sizeof *damages; i++) {
        Fleet fleet;
        Box *box = fleet_init(&fleet, 2);
        Fault fault = {0};
        for (int k = 0; k < 2; k++) {
            box_note(&box[k], "before");
            box_sync(&box[k]);
        }
        box_sync(&box[0]);
        box_note(&box[1], "after");
        box_sync(&box[1]);
        box_note(&box[0], "after");
        if (!db_run(&box[0].log->db, damages[i], &fault))
            fail_msg("%s: %s", damages[i], fault.text);
        for (int k = 0; k < 4; k++)
            box_sync(&box[k % 2]);
        same_everywhere(box, 2, 4);
        assert_int_equal(box[0].count.read + box[1].count.read, 0); /* and at rest again */
        fleet_finish(&fleet);
    }
}

static bool other_process(void *context, Fault *fault)
{
    Box *box = context;
    SyncCount count;
    Log *log = kit_open(box->path, LOG_WRITE);
    const bool good = log_sync(log, box->folder, box->now, (SyncTell){0}, &count, fault);
    log_close(log);
    return good;
}

static bool not_now(void *context, Fault *fault)
{
    (void)context;
    return fault_set(fault, FAULT_LOG, "not now");
}

/* The board and a command of one machine at once: what one wrote the other does not write again. */
static void two_processes_of_a_machine_write_each_entry_once(void **state)
{
    (void)state;
    Fleet fleet;
    Box *box = fleet_init(&fleet, 2);
    Fault fault = {0};
    SyncCount count;
    char path[256];
    size_t n;
    box_sync(&box[0]);
    box_note(&box[1], "from there");
    box_sync(&box[1]);
    box_note(&box[0], "once");
    const SyncTell tell = {.begins = other_process, .context = &box[0]};
    assert_true(log_sync(box[0].log, box[0].folder, KIT_NOW, tell, &count, &fault));
    assert_int_equal(count.sent, 0);
    own_path(&box[0], path, sizeof path);
    char *bytes = bytes_of(path, &n);
    const char *once = strstr(bytes, "once");
    assert_non_null(once);
    assert_null(strstr(once + 1, "once"));
    free(bytes);
    box_note(&box[1], "more");
    box_sync(&box[1]);
    assert_false(log_sync(box[0].log, box[0].folder, KIT_NOW, (SyncTell){.begins = not_now}, &count,
                          &fault));
    assert_says(fault, "not now");
    assert_int_equal(box_entries(&box[0]), 2);
    box_sync(&box[0]);
    same_everywhere(box, 2, 3);
    fleet_finish(&fleet);
}

/* A bit of any byte of a line is turned: either the line says the same, or it is not taken. */
static void no_single_bit_makes_another_entry(void **state)
{
    (void)state;
    Log *log = kit_open("", LOG_SCRATCH);
    Event events[12];
    kit_log(events, 12, 77);
    for (int i = 0; i < 12; i++) {
        Str text = {0};
        SyncLine *line = malloc(sizeof *line);
        Fault fault = {0};
        sync_line_entry(&events[i], &text);
        const Text whole = {text.s, text.n - 1};
        assert_true(sync_line_read(&log->json, whole, line, &fault));
        assert_true(event_equal(&line->e, &events[i]));
        for (size_t bit = 0; bit < whole.n * 8; bit++) {
            text.s[bit / 8] ^= (char)(1 << bit % 8);
            if (sync_line_read(&log->json, whole, line, &fault))
                assert_true(line->type == SYNC_ENTRY && event_equal(&line->e, &events[i]));
            text.s[bit / 8] ^= (char)(1 << bit % 8);
        }
        free(line);
        str_finish(&text);
    }
    log_close(log);
}

/* One row of each log is hurt on disk: it is said, and the sound one of the other mends nothing,
 * but all else goes on. */
static void an_entry_that_cannot_be_read_stops_nobody(void **state)
{
    (void)state;
    Fleet fleet;
    Box *box = fleet_init(&fleet, 2);
    Fault fault = {0};
    kit_import(box[0].log, KIT_SETUP);
    box_sync(&box[0]);
    box_sync(&box[1]);
    box_note(&box[0], "hurt before it was sent");
    assert_true(db_run(&box[0].log->db,
                       "DROP TRIGGER entry_stays; UPDATE entry SET kind=99 WHERE kind=21;",
                       &fault));
    box_note(&box[0], "sound");
    box_sync(&box[0]);
    said(&box[0], "1 entry of this log can't be read and went to nobody");
    assert_int_equal(box[0].count.sent, 1);
    box_sync(&box[1]);
    assert_int_equal(box[1].count.added, 1);
    /* the other way: here it is hurt, there it is sound */
    assert_true(db_run(&box[1].log->db,
                       "DROP TRIGGER entry_stays; UPDATE entry SET kind=99 WHERE kind=21;",
                       &fault));
    assert_true(log_sync_leave(box[1].log, &fault));
    box_note(&box[1], "more");
    box_sync(&box[1]);
    assert_int_equal(box[1].count.sent, 1);
    box_sync(&box[0]);
    assert_int_equal(box[0].count.added, 1);
    fleet_finish(&fleet);
}

static void what_is_no_file_of_ours_is_named_and_left_alone(void **state)
{
    (void)state;
    Fleet fleet;
    Box *box = fleet_init(&fleet, 1);
    char path[256];
    snprintf(path, sizeof path, "%s/shopping.jsonl", box->folder);
    bytes_to(path, "{\"buy\":\"rope\"}\n", 15);
    snprintf(path, sizeof path, "%s/long.jsonl", box->folder);
    char *zeros = calloc(1, 300000);
    bytes_to(path, zeros, 300000);
    snprintf(path, sizeof path, "%s/link.jsonl", box->folder);
    assert_int_equal(symlink("/etc/passwd", path), 0);
    snprintf(path, sizeof path, "%s/pipe.jsonl", box->folder);
    assert_int_equal(mkfifo(path, 0600), 0);
    box_note(box, "one");
    box_sync(box);
    said(box, "shopping.jsonl is no file of this program");
    said(box, "long.jsonl is no file of this program");
    assert_int_equal(box->count.sent, 1);
    box_sync(box);
    assert_string_equal(box->said.s, "");
    free(zeros);
    fleet_finish(&fleet);
}

/* ---- machines that are not what they were ---- */

static void an_entry_of_a_clock_that_was_ahead_waits_until_its_time_or_its_void(void **state)
{
    (void)state;
    Fleet fleet;
    Box *box = fleet_init(&fleet, 2), *from = &box[0], *to = &box[1];
    from->now.ms = KIT_NOW.ms + 3 * MS_PER_DAY;
    box_note(from, "ahead");
    from->now = KIT_NOW;
    Event out;
    Fault fault = {0};
    box_sync(from);
    box_sync(to);
    assert_int_equal(to->count.added, 0);
    said(to, "is in the future: one of the clocks is wrong");
    box_sync(to);
    said(to, "is in the future");
    Event e;
    assert_true(log_find(from->log, text_of("last"), &e, &fault));
    event_about(&out, KIND_VOID, &e.id, KIT_NOW);
    assert_true(log_append(from->log, &out, KIT_NOW, &fault));
    box_sync(from);
    box_sync(to);
    box_sync(to);
    assert_string_equal(to->said.s, "");
    same_everywhere(box, 2, 2);
    fleet_finish(&fleet);
}

static void a_clock_in_2001_stops_nobody(void **state)
{
    (void)state;
    Fleet fleet;
    Box *box = fleet_init(&fleet, 2);
    box[1].now.ms = INT64_C(980000000000); /* 2001-01-20 */
    box_note(&box[0], "right");
    box_note(&box[1], "old");
    for (int i = 0; i < 3; i++) {
        box_sync(&box[i % 2]);
        assert_string_equal(box[i % 2].said.s, "");
    }
    same_everywhere(box, 2, 2);
    fleet_finish(&fleet);
}

/* Both copies of a log write under one name, until the second to come finds lines that it never
 * wrote. */
static void a_cloned_machine_takes_a_name_of_its_own(void **state)
{
    (void)state;
    Fleet fleet;
    Box *box = fleet_init(&fleet, 2);
    box_note(&box[0], "before");
    box_sync(&box[0]);
    box_sync(&box[1]);
    char copy[160];
    Fault fault = {0};
    snprintf(copy, sizeof copy, "%s/c.db", fleet.kit.dir);
    assert_true(log_backup(box[0].log, copy, false, &fault));
    fleet_join(&fleet);
    box_note(&box[0], "of the first");
    box_note(&box[2], "of the copy");
    box_sync(&box[0]);
    box_sync(&box[2]);
    said(&box[2], "is not as this log left it");
    assert_string_not_equal(box[0].count.machine, box[2].count.machine);
    for (int i = 0; i < 3; i++) {
        box_sync(&box[i]);
        assert_string_equal(box[i].said.s, "");
    }
    same_everywhere(box, 3, 3);
    fleet_finish(&fleet);
}

static void a_machine_put_back_to_a_backup_gets_all_back_and_is_named(void **state)
{
    (void)state;
    Fleet fleet;
    Box *box = fleet_init(&fleet, 3);
    char month[160];
    Fault fault = {0};
    for (int i = 0; i < 3; i++) {
        box_note(&box[i], "before");
        box_sync(&box[i]);
    }
    snprintf(month, sizeof month, "%s/month.db", fleet.kit.dir);
    assert_true(log_backup(box[0].log, month, false, &fault));
    for (int i = 0; i < 3; i++) {
        box_note(&box[i], "later");
        box_sync(&box[i]);
    }
    box_note(&box[0], "never sent"); /* this one only the log has, and it goes with it */
    log_close(box[0].log);
    Str kept = {0};
    assert_true(log_restore(box[0].path, month, KIT_NOW, &kept, &fault));
    str_finish(&kept);
    box[0].log = kit_open(box[0].path, LOG_WRITE);
    box_note(&box[0], "after");
    box_sync(&box[0]);
    said(&box[0], "the log was put back to an older copy");
    for (int i = 0; i < 3; i++) {
        box_sync(&box[i]);
        assert_string_equal(box[i].said.s, "");
    }
    same_everywhere(box, 3, 7);
    fleet_finish(&fleet);
}

/* The whole machine, its folder too, was put back. Only what others have seen of it can tell. */
static void a_machine_put_back_with_its_folder_is_named_by_what_others_saw(void **state)
{
    (void)state;
    Kit kit;
    Box a, b;
    char file[256], kept[256], path[160], other[256];
    size_t n, m;
    kit_init(&kit);
    box_init(&a, &kit, "a", "f");
    box_init(&b, &kit, "b", "g");
    box_note(&a, "one");
    box_sync(&a);
    own_path(&a, file, sizeof file);
    char *old = bytes_of(file, &n);
    snprintf(kept, sizeof kept, "%s/kept.db", kit.dir);
    Fault fault = {0};
    assert_true(log_backup(a.log, kept, false, &fault));
    box_note(&a, "two");
    box_sync(&a);
    snprintf(other, sizeof other, "%s/%s", b.folder, strrchr(file, '/') + 1);
    kit_copy(file, other);
    box_note(&b, "three");
    box_sync(&b);
    log_close(a.log);
    strcpy(path, a.path);
    Str gone = {0};
    assert_true(log_restore(path, kept, KIT_NOW, &gone, &fault));
    str_finish(&gone);
    a.log = kit_open(a.path, LOG_WRITE);
    bytes_to(file, old, n);
    own_path(&b, other, sizeof other);
    char mine[256];
    snprintf(mine, sizeof mine, "%s/%s", a.folder, strrchr(other, '/') + 1);
    kit_copy(other, mine);
    box_sync(&a);
    said(&a, "has seen more of this machine than its log holds");
    /* the older file travels; then the others write what is in no file any more */
    own_path(&a, file, sizeof file);
    snprintf(other, sizeof other, "%s/%s", b.folder, strrchr(file, '/') + 1);
    free(bytes_of(file, &m));
    kit_copy(file, other);
    box_sync(&b);
    own_path(&b, other, sizeof other);
    kit_copy(other, mine);
    box_sync(&a);
    Box both[2] = {a, b};
    same_everywhere(both, 2, 3);
    free(old);
    box_finish(&a);
    box_finish(&b);
    kit_finish(&kit);
}

static void a_machine_grows_its_file_again_and_shrinking_deletes_nothing(void **state)
{
    (void)state;
    Fleet fleet;
    Box *box = fleet_init(&fleet, 2);
    char path[256];
    box_note(&box[0], "one");
    box_note(&box[1], "two");
    box_sync(&box[0]);
    box_sync(&box[1]);
    box_sync(&box[0]);
    for (int i = 0; i < 2; i++) {
        own_path(&box[i], path, sizeof path);
        assert_int_equal(remove(path), 0);
    }
    box_sync(&box[0]);
    said(&box[0], "is gone from");
    box_sync(&box[1]);
    fleet_join(&fleet);
    box_sync(&box[2]);
    same_everywhere(box, 3, 2);
    fleet_finish(&fleet);
}

/* ---- kills ---- */

static bool sync_killed(const char *path, const char *folder, int64_t after, bool torn)
{
    const pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        Fault fault = {0};
        SyncCount count;
        Log *log = log_open_tuned(path, LOG_WRITE, KIT_TUNING, &fault);
        kill_torn = torn;
        kill_left = after;
        const bool good =
            log != NULL && log_sync(log, folder, KIT_NOW, (SyncTell){0}, &count, &fault);
        _exit(good ? 0 : 1);
    }
    int status;
    waitpid(child, &status, 0);
    assert_true(WIFSIGNALED(status) || WEXITSTATUS(status) == 0);
    return WIFSIGNALED(status);
}

static void a_kill_at_any_write_loses_and_doubles_nothing(void **state)
{
    (void)state;
    int kills = 0;
    for (int torn = 0; torn < 2; torn++) {
        bool killed = true;
        for (int n = 0; killed && n < 400; n++) {
            Fleet fleet;
            Box *box = fleet_init(&fleet, 2);
            Event events[12];
            kit_log(events, 12, 21);
            kit_feed(box[0].log, events, 0, 6);
            kit_feed(box[1].log, events, 6, 12);
            box_sync(&box[1]);
            if (n % 2 == 0) {
                box_sync(&box[0]); /* its file is there already, and grows */
                box_note(&box[0], "more");
            }
            log_close(box[0].log);
            killed = sync_killed(box[0].path, box[0].folder, n / 2, torn != 0);
            kills += killed;
            killed = killed || n < 20;
            box[0].log = kit_open(box[0].path, LOG_WRITE);
            for (int i = 0; i < 4; i++) {
                box_sync(&box[i % 2]);
                if (strstr(box[i % 2].said.s, "put back") != NULL)
                    fail_msg("kill %d: %s", n, box[i % 2].said.s);
            }
            same_everywhere(box, 2, 12 + (n % 2 == 0));
            assert_int_equal(files_in(box[0].folder), 2);
            fleet_finish(&fleet);
        }
        assert_false(killed);
    }
    assert_true(kills > 30); /* of about 20 calls, whole and torn */
}

/* ---- any order, any delay ---- */

enum { BOXES = 3, STEPS = 24 };

/* What a synchroniser might do with one file of one machine's folder: bring it to another's, whole
 * or in part, late, twice, as a conflict, or an older one of it. */
static void carry(const Box *from, const Box *to, uint64_t *seed)
{
    DIR *dir = opendir(from->folder);
    for (struct dirent *entry; (entry = readdir(dir)) != NULL;) {
        char a[500], b[500];
        size_t n;
        const int64_t fate = kit_below(seed, 8);
        if (entry->d_name[0] == '.' || strstr(entry->d_name, to->count.machine) != NULL || fate < 3)
            continue; /* lost, for now */
        snprintf(a, sizeof a, "%s/%s", from->folder, entry->d_name);
        if (fate == 3 && strlen(entry->d_name) < 60) {
            snprintf(b, sizeof b, "%s/%.*s (%d).jsonl", to->folder, (int)strlen(entry->d_name) - 6,
                     entry->d_name, (int)kit_below(seed, 3));
        } else {
            snprintf(b, sizeof b, "%s/%s", to->folder, entry->d_name);
        }
        char *bytes = bytes_of(a, &n);
        bytes_to(b, bytes, fate == 4 ? (size_t)kit_below(seed, (int64_t)n + 1) : n);
        free(bytes);
    }
    closedir(dir);
}

/* In the end all arrives. */
static void deliver(Box *box)
{
    for (int i = 0; i < BOXES; i++) {
        char path[256], to[400];
        own_path(&box[i], path, sizeof path);
        for (int j = 0; j < BOXES; j++) {
            snprintf(to, sizeof to, "%s/%s", box[j].folder, strrchr(path, '/') + 1);
            if (i != j)
                kit_copy(path, to);
        }
    }
}

static void schedule(uint64_t seed)
{
    static const char *const names[] = {"a", "b", "c"}, *const folders[] = {"fa", "fb", "fc"};
    Kit kit;
    Box box[BOXES];
    Event events[STEPS * BOXES];
    int fed = 0;
    kit_init(&kit);
    kit_log(events, STEPS * BOXES, seed);
    for (int i = 0; i < BOXES; i++) {
        box_init(&box[i], &kit, names[i], folders[i]);
        box_sync(&box[i]);
    }
    for (int i = 0; i < STEPS; i++) {
        Box *one = &box[kit_below(&seed, BOXES)];
        const int more = (int)kit_below(&seed, 4);
        kit_feed(one->log, events, fed, fed + more);
        fed += more;
        box_sync(one);
        carry(one, &box[kit_below(&seed, BOXES)], &seed);
    }
    for (int i = 0; i < BOXES; i++)
        box_sync(&box[i]);
    deliver(box);
    for (int i = 0; i < BOXES; i++)
        box_sync(&box[i]);
    same_everywhere(box, BOXES, fed);
    for (int i = 0; i < BOXES; i++)
        box_finish(&box[i]);
    kit_finish(&kit);
}

static void any_schedule_ends_in_the_same_log_everywhere(void **state)
{
    (void)state;
    const char *asked = getenv("ULLAGE_SCHEDULES");
    const int count = asked != NULL ? atoi(asked) : 12;
    for (int i = 0; i < count; i++)
        schedule(UINT64_C(0x9e3779b97f4a7c15) * (uint64_t)(i + 1));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_machines_come_to_the_same_and_rest),
        cmocka_unit_test(an_entry_tells_which_machine_wrote_it),
        cmocka_unit_test(a_folder_that_is_not_there_or_holds_the_log_is_refused),
        cmocka_unit_test(a_file_cut_at_any_byte_gives_its_whole_lines_and_later_the_rest),
        cmocka_unit_test(every_name_that_a_synchroniser_makes_is_read),
        cmocka_unit_test(a_line_that_is_damaged_costs_itself_and_comes_when_it_is_mended),
        cmocka_unit_test(a_line_that_is_none_costs_itself_though_its_seal_fits),
        cmocka_unit_test(what_is_remembered_of_files_may_be_damaged),
        cmocka_unit_test(two_processes_of_a_machine_write_each_entry_once),
        cmocka_unit_test(no_single_bit_makes_another_entry),
        cmocka_unit_test(an_entry_that_cannot_be_read_stops_nobody),
        cmocka_unit_test(what_is_no_file_of_ours_is_named_and_left_alone),
        cmocka_unit_test(an_entry_of_a_clock_that_was_ahead_waits_until_its_time_or_its_void),
        cmocka_unit_test(a_clock_in_2001_stops_nobody),
        cmocka_unit_test(a_cloned_machine_takes_a_name_of_its_own),
        cmocka_unit_test(a_machine_put_back_to_a_backup_gets_all_back_and_is_named),
        cmocka_unit_test(a_machine_put_back_with_its_folder_is_named_by_what_others_saw),
        cmocka_unit_test(a_machine_grows_its_file_again_and_shrinking_deletes_nothing),
        cmocka_unit_test(a_kill_at_any_write_loses_and_doubles_nothing),
        cmocka_unit_test(any_schedule_ends_in_the_same_log_everywhere),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
