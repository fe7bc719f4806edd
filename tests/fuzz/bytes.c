/* bytes.c - any bytes as a log, as another machine's file in a shared folder, or as lines to
 * import: a libFuzzer target, and its own driver.
 *
 *     bytes [COUNT [SEED]]       default 200 damaged files, seed 1
 *
 * With clang and libFuzzer (the folder holds what it found):
 *
 *     CC=clang meson setup build-fuzz -Db_lundef=false -Db_sanitize=address,undefined \
 *         -Dc_args=-fsanitize=fuzzer-no-link
 *     ninja -C build-fuzz && build-fuzz/tests/fuzz/fuzz_libfuzzer FOLDER
 *
 * Bytes that begin as an SQLite file are opened, folded, listed, proved, written to where they are
 * sound, and salvaged; those that begin as a file of sync are taken in by it, twice, also with
 * seals that fit; all others are imported. Nothing may crash or hang; what is refused has a
 * sentence; a state that was given passes the audit; what was written or salvaged is sound. */
#include "base/crc.h"
#include "base/memory.h"
#include "csv_line.h"
#include "model/audit.h"
#include "model/seal.h"
#include "model/tell.h"
#include "store/inside.h"
#include "store/port.h"
#include "store/port_json.h"
#include "store/salvage.h"
#include "store/sync.h"
#include "support/logbook.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

enum { SEASON = 60, HANG_SECONDS = 60 };

static char folder[64], path[96], made[96], shared[96], peer[128], own[160];
static char about[80]; /* what repeats a failure */

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static _Noreturn void give_up(const char *what, const char *why)
{
    fprintf(stderr, "bytes: %s%s: %s\n", about, what, why);
    abort();
}

static void refused(const Fault *fault)
{
    if (fault->kind == FAULT_NONE || fault->text[0] == '\0')
        give_up("refused without a sentence", "");
}

static void files_gone(void)
{
    static const char *const ends[] = {"", "-wal", "-shm", "-journal", "-before-2"};
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        char name[120];
        snprintf(name, sizeof name, "%s%s", path, ends[i]);
        unlink(name);
    }
    unlink(made);
    unlink(peer);
    unlink(own);
}

static void folder_gone(void)
{
    files_gone();
    rmdir(shared);
    rmdir(folder);
}

static void folder_make(void)
{
    if (folder[0] != '\0')
        return;
    strcpy(folder, "/tmp/ullage-bytes-XXXXXX");
    if (mkdtemp(folder) == NULL)
        give_up("no folder", "");
    snprintf(path, sizeof path, "%s/water.db", folder);
    snprintf(made, sizeof made, "%s/new.db", folder);
    snprintf(shared, sizeof shared, "%s/shared", folder);
    snprintf(peer, sizeof peer, "%s/peer.jsonl", shared);
    if (mkdir(shared, 0700) != 0)
        give_up("no folder", shared);
    atexit(folder_gone);
}

/* ---- a database ---- */

static bool told(void *context, const Event *e, bool voided)
{
    (void)voided;
    str_clear(context);
    event_tell(e, UNITS_US, true, context);
    port_json(e, NULL, context);
    csv_line(e, context);
    return true;
}

static void all_proved(const char *file, const char *what)
{
    Fault fault = {0};
    Log *log = log_open(file, LOG_READ, &fault);
    if (log == NULL || !log_verify(log, (LogReport){0}, &fault))
        give_up(what, fault.text);
    log_close(log);
}

static void written_to(void)
{
    Event e;
    Fault fault = {0};
    Log *log = log_open(path, LOG_WRITE, &fault);
    State *state = memory_get(sizeof *state);
    event_clear(&e, KIND_NOTE);
    strcpy(e.note, "n");
    bool good = log != NULL && log_state(log, state, NULL, &fault);
    e.at.ms = good && state->folded > 0 ? state->last_at + 1 : BOOK_BEGIN_MS;
    good = good && log_append(log, &e, e.at, &fault);
    free(state);
    log_close(log);
    if (good)
        all_proved(path, "an entry was written, and the log is not sound");
    else
        refused(&fault);
}

static bool read_through(void)
{
    const LogQuery query = {.since = MOMENT_NONE, .until = MOMENT_NONE, .voided = true};
    State *state = memory_get(sizeof *state);
    Fault fault = {0};
    Str words = {0};
    Log *log = log_open(path, LOG_READ, &fault);
    bool good = log != NULL && log_state(log, state, NULL, &fault);
    if (good && state_audit(state) != NULL)
        give_up("the state", state_audit(state));
    good = good && log_each(log, &query, told, &words, &fault) && log_all_read(log, &fault) &&
           log_verify(log, (LogReport){0}, &fault);
    if (!good)
        refused(&fault);
    log_close(log);
    str_finish(&words);
    free(state);
    return good;
}

static void file_make(const char *name, const uint8_t *data, size_t size)
{
    folder_make();
    files_gone();
    const int fd = open(name, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    if (fd < 0 || write(fd, data, size) != (ssize_t)size)
        give_up("no file", name);
    close(fd);
}

static void database(const uint8_t *data, size_t size)
{
    LogSalvage count;
    Fault fault = {0};
    file_make(path, data, size);
    if (log_salvage(path, made, true, (LogReport){0}, &count, &fault))
        all_proved(made, "what was salvaged is not sound");
    else
        refused(&fault);
    if (read_through())
        written_to();
}

/* ---- lines ---- */

static void lines(const uint8_t *data, size_t size)
{
    Fault fault = {0};
    LogIntake intake = {0};
    Log *log = log_open(NULL, LOG_SCRATCH, &fault);
    FILE *file = size > 0 ? fmemopen((void *)(uintptr_t)data, size, "r") : fopen("/dev/null", "r");
    if (log == NULL || file == NULL)
        give_up("no log", fault.text);
    const PortInput input = {"bytes", file};
    const bool good = port_import(
        log, &(PortImport){.inputs = &input, .count = 1, .now = (Moment){BOOK_BEGIN_MS}}, &intake,
        &fault);
    fclose(file);
    if (!good)
        refused(&fault);
    else if (!log_verify(log, (LogReport){0}, &fault))
        give_up("imported, and not sound", fault.text);
    log_close(log);
}

/* ---- the file of another machine ---- */

static void round_made(Log *log, SyncCount *count)
{
    Fault fault = {0};
    if (!log_sync(log, shared, (Moment){BOOK_BEGIN_MS + 366 * MS_PER_DAY}, (SyncTell){0}, count,
                  &fault))
        give_up("a sync stops for a file of another machine", fault.text);
    snprintf(own, sizeof own, "%s/ullage-%s.jsonl", shared, count->machine);
}

static void machine_file(const uint8_t *data, size_t size)
{
    SyncCount count;
    Fault fault = {0};
    file_make(peer, data, size);
    Log *log = log_open(path, LOG_WRITE, &fault);
    if (log == NULL)
        give_up("no log", fault.text);
    round_made(log, &count);
    if (!log_verify(log, (LogReport){0}, &fault))
        give_up("taken in, and not sound", fault.text);
    round_made(log, &count);
    if (count.added != 0)
        give_up("the same file brings something twice", "");
    log_close(log);
}

/* The line as somebody would write it who means it: with a seal that fits. */
static void line_sealed(JsonReader *reader, Text line, Str *out)
{
    enum { TAIL = 19 }; /* ,"seal":"01234567"} */
    Event e;
    Fault fault = {0};
    Str whole = {0};
    const Text body = {line.s, line.n < TAIL ? 0 : line.n - TAIL};
    str_add(&whole, body);
    str_addc(&whole, '}');
    const bool entry =
        json_entry(reader, text_slice(whole.s, whole.n), (Moment){MOMENT_MAX_MS}, &e, &fault);
    str_add(out, body);
    str_addf(out, ",\"seal\":\"%08x\"}\n",
             (unsigned)(entry ? event_seal(&e) : crc32c(0, body.s, body.n)));
    str_finish(&whole);
}

static void sealed_anew(const uint8_t *data, size_t size, Str *out)
{
    Fault fault = {0};
    Log *log = log_open(NULL, LOG_SCRATCH, &fault);
    Text rest = text_slice((const char *)(const void *)data, size);
    if (log == NULL)
        give_up("no log", fault.text);
    while (rest.n > 0) {
        const Text line = text_cut(&rest, '\n');
        line_sealed(&log->json, line, out);
    }
    log_close(log);
}

/* As it is, where hardly a line that was changed is taken; and with seals that fit. */
static void machine(const uint8_t *data, size_t size)
{
    Str forged = {0};
    machine_file(data, size);
    sealed_anew(data, size, &forged);
    machine_file((const uint8_t *)(const void *)forged.s, forged.n);
    str_finish(&forged);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const char magic[] = "SQLite format 3", header[] = "{\"ullage\"";
    if (size >= sizeof magic && memcmp(data, magic, sizeof magic) == 0)
        database(data, size);
    else if (size >= sizeof header && memcmp(data, header, sizeof header - 1) == 0)
        machine(data, size);
    else
        lines(data, size);
    return 0;
}

/* ---- without libFuzzer ---- */

#ifndef LIBFUZZER

static void bytes_read(const char *name, uint8_t **bytes, size_t *size)
{
    *bytes = memory_get(1 << 20);
    const int fd = open(name, O_RDONLY | O_CLOEXEC);
    *size = (size_t)read(fd, *bytes, 1 << 20);
    close(fd);
}

/* A season as a database, and as what its machine wrote into the folder. */
static void season_make(Dice *dice, uint8_t **bytes, size_t *size, uint8_t **told_bytes,
                        size_t *told_size)
{
    SyncCount count;
    State *state = memory_get(sizeof *state);
    Event *events = memory_get(SEASON * sizeof *events);
    Fault fault = {0};
    LogIntake intake;
    Str text = {0};
    folder_make();
    files_gone();
    dice_legal(dice, events, SEASON, state);
    for (int i = 0; i < SEASON; i++) {
        port_json(&events[i], NULL, &text);
        str_addc(&text, '\n');
    }
    Log *log = log_open(path, LOG_WRITE, &fault);
    const PortInput input = {"season", fmemopen(text.s, text.n, "r")};
    if (log == NULL || !port_import(log,
                                    &(PortImport){.inputs = &input,
                                                  .count = 1,
                                                  .now = events[SEASON - 1].at,
                                                  .format = PORT_JSON},
                                    &intake, &fault))
        give_up("the season is not taken", fault.text);
    fclose(input.file);
    round_made(log, &count);
    log_close(log);
    bytes_read(path, bytes, size);
    bytes_read(own, told_bytes, told_size);
    str_finish(&text);
    free(events);
    free(state);
}

/* A few changes that a reader of pages must meet: bytes, sectors, one page's beginning elsewhere,
 * an end. */
static void damage(Dice *dice, uint8_t *bytes, size_t *size)
{
    const int64_t last = (int64_t)*size - 1;
    for (int64_t n = dice_from(dice, 1, 6); n > 0; n--) {
        const size_t at = (size_t)dice_from(dice, 16, last);
        const size_t page = at / 4096 * 4096,
                     other = (size_t)dice_from(dice, 0, last) / 4096 * 4096;
        switch (dice_from(dice, 0, 5)) {
        case 0:
            bytes[at] = (uint8_t)dice_throw(dice);
            break;
        case 1:
            bytes[at] ^= (uint8_t)(1 << dice_from(dice, 0, 7));
            break;
        case 2: /* in the page's header and its list of cells */
            bytes[page + (page == 0 ? 100 : 0) + (size_t)dice_from(dice, 0, 40)] =
                (uint8_t)dice_throw(dice);
            break;
        case 3:
            memset(bytes + page + (page == 0 ? 16 : 0), 0, (size_t)dice_from(dice, 1, 600));
            break;
        case 4:
            if (page > 0)
                memmove(bytes + page, bytes + other, (size_t)dice_from(dice, 1, 4096));
            break;
        default:
            if (n == 1 && *size > 8192)
                *size = (size_t)dice_from(dice, 512, last);
        }
    }
}

/* The same for lines: bytes, pieces that come twice or are gone, an end. The first bytes stay, or
 * it would be no file of ours. */
static void damage_lines(Dice *dice, uint8_t *bytes, size_t *size)
{
    for (int64_t n = dice_from(dice, 1, 6); n > 0; n--) {
        const int64_t last = (int64_t)*size - 1;
        const size_t at = (size_t)dice_from(dice, 12, last),
                     from = (size_t)dice_from(dice, 12, last);
        const size_t more = *size - (at > from ? at : from);
        const size_t piece = (size_t)dice_from(dice, 0, more < 400 ? (int64_t)more : 400);
        switch (dice_from(dice, 0, 4)) {
        case 0:
            bytes[at] = (uint8_t)dice_throw(dice);
            break;
        case 1:
            bytes[at] ^= (uint8_t)(1 << dice_from(dice, 0, 7));
            break;
        case 2:
            memmove(bytes + at, bytes + from, piece);
            break;
        case 3:
            memmove(bytes + at, bytes + at + piece, *size - at - piece);
            *size -= piece;
            break;
        default:
            if (n == 1)
                *size = (size_t)dice_from(dice, 12, last);
        }
    }
}

int main(int argc, char **argv)
{
    const long count = argc > 1 ? strtol(argv[1], NULL, 10) : 200;
    const uint64_t seed = argc > 2 ? strtoull(argv[2], NULL, 10) : 1;
    Dice dice = {seed};
    uint8_t *season, *spoken, *bytes = memory_get(1 << 20);
    size_t whole, spoken_size;
    setenv("TZ", "UTC0", 1);
    tzset();
    season_make(&dice, &season, &whole, &spoken, &spoken_size);
    for (long i = 0; i < count; i++) {
        const bool lines_of = i % 2 == 1;
        size_t size = lines_of ? spoken_size : whole;
        dice.x = seed + (uint64_t)i;
        snprintf(about, sizeof about, "seed %llu: ", (unsigned long long)(seed + (uint64_t)i));
        memcpy(bytes, lines_of ? spoken : season, size);
        (lines_of ? damage_lines : damage)(&dice, bytes, &size);
        alarm(HANG_SECONDS);
        LLVMFuzzerTestOneInput(bytes, size);
    }
    free(season);
    free(spoken);
    free(bytes);
    printf("%ld damaged files: no fault\n", count);
    return 0;
}

#endif
