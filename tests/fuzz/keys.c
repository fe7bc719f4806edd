/* keys.c - random keys, sizes, pastes, clicks, minutes and entries of others straight into the
 * board, with its wishes granted from a log.
 *
 *     keys [COUNT [SEED]]      default 20000 keys, seed 1
 *
 * A round of ROUND_KEYS keys has a log of its own: empty (the set-up opens), a season that was
 * logged as it should, or one that nobody checked. After each round `verify` must be content with
 * the log, and what the board was told must be what the log holds. What is drawn is looked at, too.
 * A failure prints the seed of its round: `keys 4000 SEED` repeats it. Exit 0 or 1; a hang ends in
 * SIGALRM after a minute.
 */
#include "base/memory.h"
#include "model/audit.h"
#include "paint/width.h"
#include "screens/screens.h"
#include "store/port.h"
#include "support/logbook.h"
#include "tui/grant.h"

#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { ROUND_KEYS = 4000, SEASON = 60, HANG_SECONDS = 60, TEXT_MAX = 400 };

typedef struct {
    Dice dice;
    uint64_t seed;
    long step;
    Moment now;
    Log *log;
    App *app;
    Grant grant;
    Sheet sheet;
    const char *typing; /* what is left of a word that is being typed */
    char word[64];
    long written, drawn, quits;
} Round;

static _Noreturn void give_up(const Round *round, const char *what, const char *about)
{
    fprintf(stderr, "keys: seed %llu, key %ld, screen %s, %dx%d: %s%s%s\n",
            (unsigned long long)round->seed, round->step,
            round->app ? app_top(round->app)->name : "-", round->app ? round->app->cols : 0,
            round->app ? round->app->rows : 0, what, about[0] ? ": " : "", about);
    exit(1);
}

/* ---- the log that a round begins with ---- */

static void season_import(Round *round, const Event *events, int count)
{
    Str text = {0};
    Fault fault = {0};
    LogIntake intake;
    for (int i = 0; i < count; i++) {
        port_json(&events[i], NULL, &text);
        str_addc(&text, '\n');
        if (events[i].at.ms > round->now.ms)
            round->now = events[i].at;
    }
    FILE *file = fmemopen(text.s, text.n, "r");
    const PortInput input = {"season", file};
    if (!file ||
        !port_import(
            round->log,
            &(PortImport){.inputs = &input, .count = 1, .now = round->now, .format = PORT_JSON},
            &intake, &fault))
        give_up(round, "the season is not taken", fault.text);
    fclose(file);
    str_finish(&text);
}

static void season_make(Round *round)
{
    State *state = memory_get(sizeof *state);
    Event *events = memory_get(SEASON * sizeof *events);
    int64_t which = dice_from(&round->dice, 0, 3);
    if (which == 1)
        dice_wild(&round->dice, events, SEASON, state);
    else if (which > 1)
        dice_legal(&round->dice, events, SEASON, state);
    if (which > 0)
        season_import(round, events, SEASON);
    free(events);
    free(state);
}

/* ---- what is pressed ---- */

static const Press named[] = {PRESS_ENTER,     PRESS_ENTER,     PRESS_ENTER,     PRESS_ESC,
                              PRESS_TAB,       PRESS_TAB,       PRESS_TAB,       PRESS_BACKTAB,
                              PRESS_BACKSPACE, PRESS_DELETE,    PRESS_UP,        PRESS_DOWN,
                              PRESS_DOWN,      PRESS_LEFT,      PRESS_RIGHT,     PRESS_RIGHT,
                              PRESS_HOME,      PRESS_END,       PRESS_PAGE_UP,   PRESS_PAGE_DOWN,
                              PRESS_CTRL('L'), PRESS_CTRL('U'), PRESS_CTRL('Z'), PRESS_CTRL('A')};
static const char letters[] = "fdswaztT?q12345678jkhl/+-=<>[]nNgGxrcpuvmeio 0.9";
static const char *const words[] = {
    "8",
    "12 L",
    "full",
    "=3",
    "50 %",
    "empty",
    "-1",
    "1e9",
    "0.001",
    "99999999999999999999",
    "3 gal",
    "yesterday 18:30",
    "-2h",
    "+3d",
    "31.02.",
    "2026-06-02 12:00",
    "yes",
    "no",
    "potable",
    "galley",
    "A1 A2;A3",
    "A1",
    "sediment",
    "Holm tap",
    "12 kPa",
    "2 bar",
    "20 C",
    "\xe6\xb0\xb4\xe7\x93\xb6",
    "o\xcc\x88\xcc\xa3\xcc\x88\xcc\x88",
    "\xf0\x9f\x8c\x8a",
    "a;b,c",
    "..",
    "last",
    "\xe2\x80\x8f\xe2\x80\xae",
};
/* What a person does on purpose: without it few forms would ever be written. '\n' is Enter. */
static const char *const stories[] = {
    "\033\033f\n",
    "\033\033f\n",
    "\033\033d\t2\n",
    "\033\033d\t1 L\n",
    "\033\033s\t5\n",
    "\033\033w\n",
    "\033\033a\n\n",
    "\033\033ajj\n\n",
    "\033\033ajjjjj\n\n",
    "\033\033ajjjjjjjjj\n\t2\n",
    "\n\n\n\n\n\n",
    "\n\n",
    "zz",
    "z",
    "\033\0332jj\n",
    "\033\0332jjx",
    "\033\0332e\n",
    "\033\0333jj\n",
    "\033\0334jw\n",
    "\033\0335++--",
    "\033\0336j\n\t5\n",
    "\033\0337\n\n",
    "\033\0338\n\n\n\n",
    "\033\0332/fill\n",
    "\t\t\t-2h\n",
    "\033\033f\t\t3 L\n",
};
/* Wide, combining, joining, of the private range, the last one, and half of a pair. */
static const Press odd[] = {0x6c34, 0x0301, 0x200d, 0xfe0f, 0x1f30a, 0xe000, 0x10ffff,
                            0xd800, 0x00a0, 0x0085, 0x202e, 0xffff,  0x1f1e6};

/* A name out of the state, or a word that some field takes. */
static const char *word_of(Round *round)
{
    const State *state = &round->app->state;
    if (dice_one_in(&round->dice, 2)) {
        Names names = (Names)dice_from(&round->dice, NAMES_VESSEL, NAMES_STOP);
        const Label *label = state_name(state, names, (int)dice_from(&round->dice, 0, 8));
        if (label && !label_empty(label)) {
            snprintf(round->word, sizeof round->word, "%s", label->s);
            return round->word;
        }
    }
    return words[dice_from(&round->dice, 0, sizeof words / sizeof *words - 1)];
}

static Press press_next(Round *round)
{
    Dice *dice = &round->dice;
    if (round->typing && *round->typing) {
        size_t at = 0;
        Press press = text_next(text_of(round->typing), &at);
        round->typing += at;
        return press == '\n' ? PRESS_ENTER : press == 0x1b ? PRESS_ESC : press;
    }
    int64_t which = dice_from(dice, 0, 99);
    if (which < 6) {
        round->typing = word_of(round);
        return PRESS_CTRL('U');
    }
    if (which < 10) {
        round->typing = stories[dice_from(dice, 0, sizeof stories / sizeof *stories - 1)];
        return PRESS_TAB;
    }
    if (which < 50)
        return named[dice_from(dice, 0, sizeof named / sizeof *named - 1)];
    if (which < 90)
        return (Press)letters[dice_from(dice, 0, sizeof letters - 2)];
    if (which < 96)
        return (Press)dice_from(dice, 1, 0x17f);
    if (which < 98)
        return odd[dice_from(dice, 0, sizeof odd / sizeof *odd - 1)];
    return (Press)dice_from(dice, 0, PRESS_CLICK + 3);
}

static void text_random(Round *round, Str *text)
{
    int64_t n = dice_from(&round->dice, 0, dice_one_in(&round->dice, 8) ? TEXT_MAX * 4 : 40);
    while (n-- > 0) {
        if (dice_one_in(&round->dice, 3))
            str_adds(text, word_of(round));
        else
            str_addc(text,
                     (char)dice_from(&round->dice, 1, dice_one_in(&round->dice, 4) ? 255 : 126));
    }
}

/* ---- what else happens ---- */

static void size_random(Round *round)
{
    static const int sizes[][2] = {{24, 80}, {24, 80}, {50, 132}, {17, 60},  {12, 40},
                                   {5, 20},  {6, 24},  {1, 1},    {100, 240}};
    Dice *dice = &round->dice;
    int64_t i = dice_from(dice, 0, sizeof sizes / sizeof *sizes);
    if (i < (int64_t)(sizeof sizes / sizeof *sizes))
        app_resize(round->app, sizes[i][0], sizes[i][1]);
    else
        app_resize(round->app, (int)dice_from(dice, -1, 70), (int)dice_from(dice, -1, 200));
}

static void another_writes(Round *round)
{
    Fault fault = {0};
    Event *e = memory_get(sizeof *e);
    Moment at = {round->now.ms - dice_from(&round->dice, 0, 3 * MS_PER_DAY)};
    dice_entry(&round->dice, &round->app->state, at, true, e);
    if (!log_append(round->log, e, round->now, &fault) && fault.kind != FAULT_REFUSED)
        give_up(round, "another's entry", fault.text);
    free(e);
    grant_look(&round->grant, round->now);
}

static void time_passes(Round *round)
{
    static const int64_t spans[] = {0, 0, 0, 0, 1, 700, 60000, 3600000, MS_PER_DAY};
    Dice *dice = &round->dice;
    int64_t most = spans[dice_from(dice, 0, dice_one_in(dice, 50) ? 8 : 5)];
    round->now.ms += dice_from(dice, 0, most);
}

static void step_do(Round *round)
{
    Wish wish = {0};
    Str text = {0};
    App *app = round->app;
    int64_t which = dice_from(&round->dice, 0, 199);
    time_passes(round);
    app_clock(app, round->now);
    if (which < 4) {
        size_random(round);
    } else if (which < 7) {
        text_random(round, &text);
        app_paste(app, (Text){text.s, text.n}, &wish);
    } else if (which < 9) {
        app_click(app, (int)dice_from(&round->dice, -1, app->rows),
                  (int)dice_from(&round->dice, -1, app->cols), &wish);
    } else if (which < 11) {
        app_tick(app, round->now);
    } else if (which < 12) {
        another_writes(round);
    } else {
        app_key(app, press_next(round), &wish);
    }
    round->written += wish.kind == WISH_APPEND || wish.kind == WISH_TAKE_BACK;
    grant_wish(&round->grant, &wish);
    round->quits += round->grant.quit;
    round->grant.quit = false; /* on goes the round */
    str_finish(&text);
}

/* ---- what must hold ---- */

static void cell_check(const Round *round, const Sheet *sheet, int row, int col)
{
    const Cell *cell = sheet_cell(sheet, row, col);
    if (!memchr(cell->text, '\0', sizeof cell->text) || cell->ink >= INK_COUNT)
        give_up(round, "a cell that is none", "");
    Text text = text_of(cell->text);
    if (cell->width == 0) {
        if (col == 0 || sheet_cell(sheet, row, col - 1)->width != 2)
            give_up(round, "half a character without its other half", "");
        return;
    }
    if (cell->width == 2 && (col + 1 >= sheet->cols || sheet_cell(sheet, row, col + 1)->width != 0))
        give_up(round, "a wide character without its right half", cell->text);
    if (!text_is_utf8(text) || text_has_control(text) || width_of(text) != cell->width)
        give_up(round, "a cell holds what no terminal should get", cell->text);
    for (size_t i = 0; sheet->ascii && i < text.n; i++)
        if ((unsigned char)text.s[i] >= 0x80)
            give_up(round, "more than ASCII on a terminal of ASCII", cell->text);
}

static void draw_and_look(Round *round)
{
    Sheet *sheet = &round->sheet;
    app_draw(round->app, sheet);
    round->drawn++;
    if (sheet->rows != round->app->rows || sheet->cols != round->app->cols)
        give_up(round, "the sheet has another size", "");
    if (sheet->cursor_row >= sheet->rows || sheet->cursor_col >= sheet->cols)
        give_up(round, "the cursor is outside", "");
    for (int row = 0; row < sheet->rows; row++)
        for (int col = 0; col < sheet->cols; col++)
            cell_check(round, sheet, row, col);
}

static void log_check(Round *round)
{
    Fault fault = {0};
    int64_t entries = 0;
    State *state = memory_get(sizeof *state);
    if (!log_verify(round->log, (LogReport){0}, &fault))
        give_up(round, "verify", fault.text);
    if (!log_state(round->log, state, &entries, &fault))
        give_up(round, "the log's state", fault.text);
    if (entries != round->app->entries || !state_equal(state, &round->app->state))
        give_up(round, "the board knows another log", "");
    const char *wrong = state_audit(state);
    if (wrong)
        give_up(round, "the state", wrong);
    free(state);
}

static void round_run(Round *round, long keys)
{
    Fault fault = {0};
    Dice *dice = &round->dice;
    *round = (Round){.dice = {round->seed}, .seed = round->seed, .now = {BOOK_BEGIN_MS}};
    round->log = log_open(NULL, LOG_SCRATCH, &fault);
    if (!round->log)
        give_up(round, "no log", fault.text);
    season_make(round);
    bool ascii = dice_one_in(dice, 3);
    round->app = app_create(&SCREENS, 24, 80, (Scheme)dice_from(dice, 0, SCHEME_COUNT - 1),
                            ascii ? ALPHABET_ASCII : (Alphabet)dice_from(dice, 0, 1), ascii);
    round->app->units = (Units)dice_from(dice, 0, 2);
    sheet_init(&round->sheet, 24, 80);
    grant_init(&round->grant, round->log, round->app);
    if (!grant_first(&round->grant, round->now, &fault))
        give_up(round, "the first look", fault.text);
    for (round->step = 0; round->step < keys; round->step++) {
        if (round->step % 500 == 0)
            alarm(HANG_SECONDS);
        step_do(round);
        if (dice_one_in(dice, 4)) /* a burst is painted once */
            draw_and_look(round);
    }
    alarm(HANG_SECONDS);
    log_check(round);
    alarm(0);
    grant_finish(&round->grant);
    sheet_finish(&round->sheet);
    app_destroy(round->app);
    log_close(round->log);
}

int main(int argc, char **argv)
{
    long count = argc > 1 ? strtol(argv[1], NULL, 10) : 20000;
    uint64_t seed = argc > 2 ? strtoull(argv[2], NULL, 10) : 1;
    long written = 0, drawn = 0, quits = 0, rounds = 0;
    Round *round = memory_get(sizeof *round);
    setlocale(LC_CTYPE, "C.UTF-8");
    setenv("TZ", "UTC0", 1);
    tzset();
    for (long done = 0; done < count; rounds++) {
        long keys = count - done < ROUND_KEYS ? count - done : ROUND_KEYS;
        round->seed = seed + (uint64_t)rounds;
        round_run(round, keys);
        done += keys;
        written += round->written;
        drawn += round->drawn;
        quits += round->quits;
    }
    free(round);
    printf("%ld keys in %ld rounds, %ld paints, %ld wishes to write, %ld to leave: no fault\n",
           count, rounds, drawn, written, quits);
    return 0;
}
