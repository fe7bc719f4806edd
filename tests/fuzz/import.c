/* import.c - damaged JSON Lines and CSV into logs that hold something already.
 *
 *     import [COUNT [SEED]]      default 400 imports, seed 1
 *
 * A season is exported in one of the two formats, damaged in a few places, and imported into
 * another log. Refused: a sentence, and the log is byte for byte (as exported) what it was. Taken:
 * `verify` is content, the count is right, and what is exported can be imported into an empty log
 * and is the same there. Exit 0 or 1; a failure leaves the lines in import-failed.txt.
 */
#include "base/memory.h"
#include "csv_line.h"
#include "model/audit.h"
#include "store/port.h"
#include "support/logbook.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { SEASON = 30, HANG_SECONDS = 60 };

typedef struct {
    Dice dice;
    uint64_t seed;
    Moment now;
    PortFormat format;
    Str text;
} Trial;

static _Noreturn void give_up(const Trial *trial, const char *what, const char *about)
{
    fprintf(stderr, "import: seed %llu: %s: %s\n", (unsigned long long)trial->seed, what, about);
    FILE *file = fopen("import-failed.txt", "wb");
    if (file) {
        fwrite(trial->text.s, 1, trial->text.n, file);
        fclose(file);
    }
    exit(1);
}

static void season_text(Trial *trial, PortFormat format, Str *text)
{
    State *state = memory_get(sizeof *state);
    Event *events = memory_get(SEASON * sizeof *events);
    if (dice_one_in(&trial->dice, 2))
        dice_legal(&trial->dice, events, SEASON, state);
    else
        dice_wild(&trial->dice, events, SEASON, state);
    if (format == PORT_CSV)
        port_csv_header(text);
    for (int i = 0; i < SEASON; i++) {
        if (format == PORT_CSV) {
            csv_line(&events[i], text);
        } else {
            port_json(&events[i], NULL, text);
            str_addc(text, '\n');
        }
        if (events[i].at.ms > trial->now.ms)
            trial->now = events[i].at;
    }
    free(events);
    free(state);
}

/* ---- damage ---- */

static const char *const pieces[] = {
    "\"",
    ",",
    ":",
    "{",
    "}",
    "[",
    "]",
    "\\",
    "\\u0000",
    "\\ud800",
    "null",
    "true",
    "1e308",
    "-0",
    "NaN",
    "1e-3",
    "0.0005",
    "\n",
    "\r\n",
    "\r",
    ";",
    "'=",
    "\xff",
    "\xef\xbb\xbf",
    "\xc0\x80",
    "\xed\xa0\x80",
    "\"at\":",
    "\"id\":",
    "\"kind\":\"void\"",
    "\"note\":\"x\"",
    "\"litres\":9999999999",
    "999999999999999999999",
    "1969-12-31T23:59:59Z",
    "2026-06-02T12:00:00+25:00",
    "\t",
    " ",
    "",
    "\"order\":[\"A1\",\"A1\"]",
    "at,kind,vessel\r\n",
    "\"\"",
    "\xe2\x80\xa8",
};

static void splice(Str *text, size_t at, size_t cut, const char *with, size_t n)
{
    Str out = {0};
    str_add(&out, text_slice(text->s, at));
    str_add(&out, text_slice(with, n));
    if (at + cut < text->n)
        str_add(&out, text_slice(text->s + at + cut, text->n - at - cut));
    str_finish(text);
    *text = out;
}

/* A line that stands somewhere else already, at random. */
static Text a_line(Trial *trial)
{
    const Str *text = &trial->text;
    size_t from = (size_t)dice_from(&trial->dice, 0, (int64_t)text->n - 1), to = from;
    while (from > 0 && text->s[from - 1] != '\n')
        from--;
    while (to < text->n && text->s[to] != '\n')
        to++;
    return text_slice(text->s + from, to - from + (to < text->n));
}

static void damage(Trial *trial)
{
    Dice *dice = &trial->dice;
    Str *text = &trial->text;
    if (text->n == 0)
        return;
    size_t at = (size_t)dice_from(dice, 0, (int64_t)text->n - 1);
    const char *piece = pieces[dice_from(dice, 0, sizeof pieces / sizeof *pieces - 1)];
    Str line = {0};
    switch (dice_from(dice, 0, 8)) {
    case 0:
        text->s[at] = (char)(text->s[at] ^ 1 << dice_from(dice, 0, 7));
        break;
    case 1:
        text->s[at] = (char)dice_from(dice, 0, 255);
        break;
    case 2:
        splice(text, at, (size_t)dice_from(dice, 1, 30), "", 0);
        break;
    case 3:
        splice(text, at, (size_t)dice_from(dice, 0, 3), piece, strlen(piece));
        break;
    case 4:
        splice(text, at, text->n, "", 0); /* cut off */
        break;
    case 5: /* a line twice */
        str_add(&line, a_line(trial));
        splice(text, 0, 0, line.s, line.n);
        break;
    case 6: { /* a line elsewhere in another line's stead */
        Text gone = a_line(trial), other = a_line(trial);
        size_t from = (size_t)(gone.s - text->s), n = gone.n;
        str_add(&line, other);
        splice(text, from, n, line.s, line.n);
        break;
    }
    case 7: /* digits: still a number, mostly */
        for (; at < text->n; at++) {
            if (text->s[at] >= '0' && text->s[at] <= '9') {
                text->s[at] = (char)dice_from(dice, '0', '9');
                break;
            }
        }
        break;
    default:
        for (int64_t n = dice_from(dice, 1, 3000); n > 0; n--)
            str_adds(&line, piece);
        if (line.n > 0)
            splice(text, at, 0, line.s, line.n);
        break;
    }
    str_finish(&line);
}

/* ---- what must hold ---- */

static bool take(Trial *trial, Log *log, const Str *text, PortFormat format, LogIntake *intake,
                 Fault *fault)
{
    FILE *file = text->n > 0 ? fmemopen(text->s, text->n, "r") : fopen("/dev/null", "r");
    if (!file)
        give_up(trial, "no file", "");
    const PortInput input = {"season", file};
    bool good = port_import(
        log, &(PortImport){.inputs = &input, .count = 1, .now = trial->now, .format = format},
        intake, fault);
    fclose(file);
    return good;
}

static char *everything(const Trial *trial, Log *log, int64_t *entries, Moment *last)
{
    const LogQuery query = {.since = MOMENT_NONE, .until = MOMENT_NONE, .voided = true};
    State *state = memory_get(sizeof *state);
    Fault fault = {0};
    char *text = NULL;
    size_t n = 0;
    FILE *out = open_memstream(&text, &n);
    bool good = out && port_export(log, &query, PORT_JSON, out, &fault);
    if (out)
        fclose(out);
    if (!good || !log_state(log, state, entries, &fault))
        give_up(trial, "the log can't be read", fault.text);
    const char *wrong = state_audit(state);
    if (wrong)
        give_up(trial, "the state", wrong);
    last->ms = state->last_at;
    free(state);
    return text;
}

static void taken_check(Trial *trial, Log *log, const char *now)
{
    Fault fault = {0};
    LogIntake intake = {0};
    int64_t entries = 0;
    Moment last;
    if (!log_verify(log, (LogReport){0}, &fault))
        give_up(trial, "verify", fault.text);
    Log *other = log_open(NULL, LOG_SCRATCH, &fault);
    Str text = {0};
    str_adds(&text, now);
    if (!other || !take(trial, other, &text, PORT_JSON, &intake, &fault))
        give_up(trial, "what was exported is not taken", fault.text);
    char *copy = everything(trial, other, &entries, &last);
    if (strcmp(copy, now) != 0)
        give_up(trial, "exported and imported, the log is another", "");
    free(copy);
    str_finish(&text);
    log_close(other);
}

static bool trial_run(Trial *trial)
{
    Fault fault = {0};
    LogIntake intake = {0};
    int64_t before = 0, after = 0;
    Moment last;
    trial->dice.x = trial->seed;
    trial->now.ms = BOOK_BEGIN_MS;
    trial->format = dice_one_in(&trial->dice, 2) ? PORT_CSV : PORT_JSON;
    Log *log = log_open(NULL, LOG_SCRATCH, &fault);
    if (!log)
        give_up(trial, "no log", fault.text);
    if (dice_one_in(&trial->dice, 2)) {
        season_text(trial, PORT_JSON, &trial->text);
        if (!take(trial, log, &trial->text, PORT_JSON, &intake, &fault))
            give_up(trial, "the first season is not taken", fault.text);
        str_clear(&trial->text);
    }
    season_text(trial, trial->format, &trial->text);
    for (int64_t n = dice_from(&trial->dice, 0, 3); n > 0; n--)
        damage(trial);
    char *was = everything(trial, log, &before, &last);
    PortFormat format = dice_one_in(&trial->dice, 4) ? PORT_AUTO : trial->format;
    bool good = take(trial, log, &trial->text, format, &intake, &fault);
    char *is = everything(trial, log, &after, &last);
    if (good && after != before + intake.added)
        give_up(trial, "the count is wrong", "");
    if (good)
        taken_check(trial, log, is);
    if (!good && (fault.kind != FAULT_REFUSED || !fault.text[0]))
        give_up(trial, "refused without a sentence, or as the log's fault", fault.text);
    if (!good && (after != before || strcmp(is, was) != 0))
        give_up(trial, "refused, and half of it written", fault.text);
    free(was);
    free(is);
    str_clear(&trial->text);
    log_close(log);
    return good;
}

int main(int argc, char **argv)
{
    long count = argc > 1 ? strtol(argv[1], NULL, 10) : 400, taken = 0;
    uint64_t seed = argc > 2 ? strtoull(argv[2], NULL, 10) : 1;
    Trial trial = {0};
    setenv("TZ", "UTC0", 1);
    tzset();
    for (long i = 0; i < count; i++) {
        alarm(HANG_SECONDS);
        trial.seed = seed + (uint64_t)i;
        taken += trial_run(&trial);
    }
    str_finish(&trial.text);
    printf("%ld imports, %ld taken, %ld refused: no fault\n", count, taken, count - taken);
    return 0;
}
