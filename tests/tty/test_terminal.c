/* What only a terminal proves: the built program runs on a pseudo-terminal and the test looks at
 * the bytes, at what they make of the screen, at the modes, the signals and the exit status. */
#include "support/run.h"
#include "tty/terminal.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <ctype.h>
#include <locale.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

static Run scene; /* its folder is HOME: the log of the board and of the commands */
static char lines[16384];

static void line(int hours_ago, const char *rest)
{
    char at[32];
    time_t when = time(NULL) - (time_t)hours_ago * 3600;
    strftime(at, sizeof at, "%Y-%m-%dT%H:%M:%SZ", gmtime(&when));
    size_t n = strlen(lines);
    snprintf(lines + n, sizeof lines - n, "{\"at\":\"%s\",%s}\n", at, rest);
}

static void lines_import(const char *log)
{
    const char *const words[] = {"import", "-", log ? "--log" : NULL, log, NULL};
    scene.input = lines;
    if (run_words(&scene, words) != 0)
        fail_msg("%s", scene.err);
    lines[0] = '\0';
}

static int scene_begin(void **unused)
{
    static const char *const vessels[] = {"A1", "A2", "A3", "A4"};
    char text[256];
    (void)unused;
    setlocale(LC_CTYPE, "C.UTF-8"); /* the picture measures as the program does */
    run_begin(&scene, "UTC0");
    lines[0] = '\0';
    line(100, "\"kind\":\"crew\",\"persons\":2");
    for (int i = 0; i < 4; i++) {
        snprintf(text, sizeof text,
                 "\"kind\":\"vessel\",\"vessel\":\"%s\",\"capacity\":12,\"heel\":0.2,"
                 "\"duty\":\"line\",\"class\":\"potable\"",
                 vessels[i]);
        line(100, text);
    }
    line(100, "\"kind\":\"vessel\",\"vessel\":\"R1\",\"capacity\":12,\"duty\":\"reserve\"");
    line(99, "\"kind\":\"couple\",\"line\":\"galley\",\"order\":[\"A1\",\"A2\",\"A3\",\"A4\"]");
    line(99, "\"kind\":\"stage\",\"stage\":\"sediment\",\"type\":\"sediment\",\"line\":\"galley\","
             "\"position\":1,\"life_litres\":300");
    line(99, "\"kind\":\"source\",\"source\":\"Ferrow spring\",\"type\":\"spring\","
             "\"class\":\"questionable\"");
    line(99,
         "\"kind\":\"source\",\"source\":\"Holm tap\",\"type\":\"mains\",\"class\":\"potable\"");
    for (int i = 0; i < 4; i++) {
        snprintf(text, sizeof text,
                 "\"kind\":\"fill\",\"vessel\":\"%s\",\"level\":12,\"source\":\"Holm tap\"",
                 vessels[i]);
        line(98, text);
    }
    for (int i = 0; i < 5; i++)
        line(90 - 18 * i, "\"kind\":\"draw\",\"line\":\"galley\",\"litres\":3.1");
    lines_import(NULL);
    return 0;
}

static int scene_end(void **unused)
{
    (void)unused;
    run_end(&scene);
    return 0;
}

static void board_open(Terminal *t, const char *term)
{
    terminal_open(t, 24, 80, term, NULL, NULL);
    terminal_until(t, "f fill");
    terminal_quiet(t, 50);
}

static void board_leave(Terminal *t)
{
    terminal_send(t, "q");
    assert_int_equal(terminal_end(t), 0);
    terminal_is_restored(t);
    if (t->picture->unknown > 0)
        fail_msg("%d sequences are not known to the picture: %s", t->picture->unknown,
                 t->picture->unknown_text);
    terminal_close(t);
}

/* Whatever was sent until now, all of it sent anew shows the same. */
static void redraw_changes_nothing(Terminal *t)
{
    Picture *before = malloc(sizeof *before);
    char ours[PICTURE_COLS * PICTURE_TEXT], theirs[PICTURE_COLS * PICTURE_TEXT], why[400];
    int row = 0;
    bool same = false;
    assert_non_null(before);
    for (int i = 0; i < 3 && !same; i++) { /* a minute may have ended within: then once more */
        terminal_quiet(t, 60);
        *before = *t->picture;
        terminal_send(t, "\f");
        int64_t end = clock_ms() + PATIENCE_MS / 4;
        while (!same && clock_ms() < end) {
            terminal_read(t, 20);
            same = t->picture->clears > before->clears && picture_equal(before, t->picture, &row);
        }
    }
    if (!same) {
        snprintf(why, sizeof why, "sent anew, row %d is another:\n%.150s\n%.150s", row,
                 picture_row(before, row, ours), picture_row(t->picture, row, theirs));
        terminal_fail(t, why);
    }
    free(before);
}

/* ---- what is sent ---- */

static bool only_ascii(const Terminal *t)
{
    for (size_t i = 0; i < t->n; i++)
        if ((unsigned char)t->out[i] >= 0x80)
            return false;
    return true;
}

static void every_usual_terminal_is_drawn_on_left_and_restored(void **unused)
{
    static const struct {
        const char *term;
        bool colours, utf8, alternate, pasting;
    } terms[] = {
        {"xterm-256color", true, true, true, true},
        {"screen", true, true, true, true},
        {"linux", true, true, false, false},
        {"vt100", false, false, false, false},
    };
    (void)unused;
    for (size_t i = 0; i < sizeof terms / sizeof *terms; i++) {
        Terminal t;
        board_open(&t, terms[i].term);
        assert_in_range(t.n, 500, 6000);
        assert_true(terminal_shows(&t, "galley"));
        assert_int_equal(t.picture->coloured > 0, terms[i].colours);
        assert_int_equal(t.picture->alternate, terms[i].alternate);
        assert_int_equal(t.picture->bracketed, terms[i].pasting);
        if (!terms[i].utf8)
            assert_true(only_ascii(&t));
        redraw_changes_nothing(&t);
        board_leave(&t);
    }
}

/* The processor time of a process in clock ticks. */
static long ticks_of(pid_t pid)
{
    char name[64], text[1024];
    unsigned long user = 0, system = 0;
    snprintf(name, sizeof name, "/proc/%d/stat", (int)pid);
    FILE *file = fopen(name, "r");
    assert_non_null(file);
    size_t n = fread(text, 1, sizeof text - 1, file);
    fclose(file);
    text[n] = '\0';
    const char *behind = strrchr(text, ')');
    assert_non_null(behind);
    assert_int_equal(
        sscanf(behind + 1, " %*c %*d %*d %*d %*d %*d %*u %*u %*u %*u %*u %lu %lu", &user, &system),
        2);
    return (long)(user + system);
}

/* How often it has waited for something: what it wakes up for. */
static long waits_of(pid_t pid)
{
    char name[64], text[256];
    long waits = -1;
    snprintf(name, sizeof name, "/proc/%d/status", (int)pid);
    FILE *file = fopen(name, "r");
    assert_non_null(file);
    while (waits < 0 && fgets(text, sizeof text, file) != NULL)
        sscanf(text, "voluntary_ctxt_switches: %ld", &waits);
    fclose(file);
    assert_true(waits >= 0);
    return waits;
}

/* The minute's end repaints the clock: what may not be disturbed by it begins early in one. */
static void early_in_the_minute(void)
{
    while (time(NULL) % 60 > 54)
        usleep(100000);
}

static void while_nothing_changes_no_byte_is_sent_and_no_processor_used(void **unused)
{
    Terminal t;
    (void)unused;
    board_open(&t, "xterm-256color");
    terminal_quiet(&t, 300);
    early_in_the_minute();
    terminal_quiet(&t, 50);
    terminal_forget(&t);
    long before = ticks_of(t.pid), waits = waits_of(t.pid);
    int64_t end = clock_ms() + 3000;
    while (clock_ms() < end)
        terminal_read(&t, (int)(end - clock_ms()) + 1);
    assert_int_equal(t.n, 0);
    /* to ask the log every 450 ms would make seven; a tick is 10 ms */
    assert_in_range(waits_of(t.pid) - waits, 0, 2);
    assert_in_range(ticks_of(t.pid) - before, 0, 2);
    board_leave(&t);
}

/* What is to be read is in the terminal's own two colours, or brings its ground: the board does not
 * know what it stands on. */
static void words_are_in_the_terminals_colours_or_bring_a_ground(void **unused)
{
    Terminal t;
    (void)unused;
    terminal_open(&t, 24, 80, "xterm-256color", NULL, NULL);
    terminal_until(&t, "L  ");
    terminal_quiet(&t, 300);
    assert_true(terminal_sent(&t, "38;5;")); /* there is colour */
    assert_in_range(t.n, 1, 9600 / 10 * 4);  /* at 9600 bauds it is there in four seconds */
    for (int row = 0; row < 24; row++) {
        for (int col = 0; col < 80; col++) {
            const PictureCell *cell = &t.picture->cells[row][col];
            if (isalnum((unsigned char)cell->text[0]) && cell->pen.bg < 0)
                assert_int_equal(cell->pen.fg, -1);
        }
    }
    board_leave(&t);
}

static void no_color_sends_no_colour(void **unused)
{
    static const char *const environment[] = {"NO_COLOR=1", NULL};
    Terminal t;
    (void)unused;
    terminal_open(&t, 24, 80, "xterm-256color", environment, NULL);
    terminal_until(&t, "f fill");
    terminal_send(&t, "f");
    terminal_until(&t, "write");
    terminal_send(&t, "\033");
    terminal_until(&t, "f fill");
    assert_int_equal(t.picture->coloured, 0);
    redraw_changes_nothing(&t);
    board_leave(&t);
}

static void the_c_locale_gets_ascii_only(void **unused)
{
    static const char *const environment[] = {"LC_ALL=C", NULL};
    static const char *const screens[] = {"2", "3", "4", "5", "6", "7", "8", "?"};
    Terminal t;
    (void)unused;
    terminal_open(&t, 24, 80, "xterm-256color", environment, NULL);
    terminal_until(&t, "f fill");
    for (size_t i = 0; i < sizeof screens / sizeof *screens; i++) {
        terminal_send(&t, screens[i]);
        terminal_quiet(&t, 40);
        assert_false(terminal_shows(&t, "??")); /* drawn in ASCII, not left to the library */
        redraw_changes_nothing(&t);
    }
    assert_true(only_ascii(&t));
    terminal_send(&t, "\033");
    terminal_quiet(&t, 40);
    terminal_send(&t, "1");
    terminal_until(&t, "f fill");
    board_leave(&t);
}

/* Its clock stands at the end of its story, in any year; it has a log of its own. */
static void the_demo_stands_at_the_end_of_its_story(void **unused)
{
    static const char *const environment[] = {"ULLAGE_SHARE=" SHARE, "LC_ALL=C", NULL};
    static const char *const stories[][3] = {
        {"demo", "Tue 24 Nov 17:30", "galley tap"},
        {"demo meter --utf8", "Tue 24 Nov", "\xe2\x95\xad"}, /* asked for, whatever the locale */
    };
    (void)unused;
    for (size_t i = 0; i < sizeof stories / sizeof *stories; i++) {
        Terminal t;
        terminal_open(&t, 24, 80, "xterm-256color", environment, stories[i][0]);
        terminal_until(&t, "f fill");
        terminal_until(&t, stories[i][1]);
        terminal_until(&t, stories[i][2]);
        assert_int_equal(only_ascii(&t), i == 0);
        board_leave(&t);
    }
}

static void the_demo_as_a_result_is_no_board(void **unused)
{
    static const char *const environment[] = {"ULLAGE_SHARE=" SHARE, NULL};
    Terminal t;
    (void)unused;
    terminal_open(&t, 24, 80, "xterm-256color", environment, "demo --json");
    assert_int_equal(terminal_end(&t), 0);
    assert_true(terminal_sent(&t, "\"entries\":475"));
    assert_false(terminal_sent(&t, "\033"));
    terminal_close(&t);
}

/* A story without an entry begins as a log without one does. */
static void an_empty_demo_asks_for_the_set_up(void **unused)
{
    char share[100];
    const char *const environment[] = {share, NULL};
    Terminal t;
    (void)unused;
    run_file(&scene, "demo.jsonl", "", 0);
    snprintf(share, sizeof share, "ULLAGE_SHARE=%s", scene.folder);
    terminal_open(&t, 24, 80, "xterm-256color", environment, "demo --utf8");
    terminal_until(&t, "set-up");
    terminal_send(&t, "\033");
    terminal_until_not(&t, "step 1");
    terminal_send(&t, "q");
    terminal_until(&t, "No vessel is named yet");
    board_leave(&t);
}

/* What keeps the board from opening is one line on a terminal that is as it was. */
static void a_board_that_can_not_open_is_one_line(void **unused)
{
    static const char *const environment[] = {"ULLAGE_SHARE=/nowhere", NULL};
    static const char *const words[][2] = {
        {"demo", "/nowhere/demo.jsonl can't be read"},
        {"--log /nowhere/water.db", "The folder /nowhere/ of the log is not there"},
        {"--log /dev/null", "is no regular file"},
    };
    (void)unused;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        Terminal t;
        terminal_open(&t, 24, 160, "xterm-256color", environment, words[i][0]);
        const int status = terminal_end(&t);
        assert_true(WIFEXITED(status));
        assert_int_equal(WEXITSTATUS(status), 3);
        assert_false(terminal_sent(&t, "\033"));
        assert_true(terminal_sent(&t, words[i][1]));
        terminal_is_restored(&t);
        terminal_close(&t);
    }
}

static bool plain_after(const char *term, const char *words, const char *const *environment)
{
    Terminal t;
    terminal_open(&t, 24, 80, term, environment, words);
    terminal_until(&t, "f fill");
    terminal_quiet(&t, 50);
    const bool plain = only_ascii(&t);
    board_leave(&t);
    return plain;
}

/* On this kind of terminal, until another is asked for; no other kind is touched by it. */
static void the_alphabet_that_was_asked_for_is_remembered(void **unused)
{
    (void)unused;
    assert_false(plain_after("xterm", NULL, NULL));
    assert_true(plain_after("xterm", "--ascii", NULL));
    assert_true(plain_after("xterm", NULL, NULL));
    assert_false(plain_after("xterm", NULL, (const char *const[]){"ULLAGE_ALPHABET=utf8", NULL}));
    assert_true(plain_after("xterm", NULL, NULL)); /* the environment remembers itself */
    assert_false(plain_after("screen", NULL, NULL));
    assert_false(plain_after("xterm", "--utf8", NULL));
    assert_false(plain_after("xterm", NULL, NULL));
}

static bool mouse_after(const char *words, const char *const *environment)
{
    Terminal t;
    terminal_open(&t, 24, 80, "xterm", environment, words);
    terminal_until(&t, "f fill");
    const bool asked = terminal_sent(&t, "\033[?1000h") || terminal_sent(&t, "\033[?1006;1000h");
    board_leave(&t);
    return asked;
}

static void the_mouse_that_was_asked_for_is_remembered(void **unused)
{
    (void)unused;
    assert_false(mouse_after(NULL, NULL));
    assert_true(mouse_after("--mouse", NULL));
    assert_true(mouse_after(NULL, NULL));
    assert_false(mouse_after(NULL, (const char *const[]){"ULLAGE_MOUSE=0", NULL}));
    assert_false(mouse_after("--mouse=no", NULL));
    assert_false(mouse_after(NULL, NULL));
}

static void wide_and_combining_names_keep_the_columns(void **unused)
{
    static const char *const screens[] = {"2", "3", "4", "5", "7", "8", "t", "?"};
    char path[160], words[180];
    Terminal t;
    (void)unused;
    run_path(&scene, "wide.db", path, sizeof path);
    line(50, "\"kind\":\"vessel\",\"vessel\":\"\u6c341\",\"capacity\":10,\"class\":\"potable\"");
    line(50, "\"kind\":\"vessel\",\"vessel\":\"o\u03082\",\"capacity\":10,\"class\":\"potable\"");
    line(50, "\"kind\":\"couple\",\"line\":\"\u6d41\u308c\",\"order\":[\"\u6c341\",\"o\u03082\"]");
    line(49, "\"kind\":\"source\",\"source\":\"\u6cc9 e\u0301\",\"class\":\"potable\"");
    line(49,
         "\"kind\":\"fill\",\"vessel\":\"o\u03082\",\"level\":10,\"source\":\"\u6cc9 e\u0301\"");
    line(48, "\"kind\":\"note\",\"note\":\"\u6c34 a\u0308\u0323 \U0001f30a end\"");
    lines_import(path);
    snprintf(words, sizeof words, "--log %s", path);
    terminal_open(&t, 24, 80, "xterm-256color", NULL, words);
    terminal_until(&t, "f fill");
    assert_true(terminal_shows(&t, "\u6c341"));
    assert_true(terminal_shows(&t, "o\u03082"));
    redraw_changes_nothing(&t);
    for (size_t i = 0; i < sizeof screens / sizeof *screens; i++) {
        terminal_send(&t, screens[i]);
        terminal_quiet(&t, 40);
        redraw_changes_nothing(&t);
    }
    terminal_send(&t, "\033");
    terminal_quiet(&t, 40);
    terminal_send(&t, "1");
    terminal_until(&t, "f fill");
    terminal_send(&t, "f");
    terminal_until(&t, "vessel");
    terminal_send(&t, "\t\u6cc9\u6cc9");
    terminal_until(&t, "\u6cc9\u6cc9");
    terminal_send(&t, "\177");
    terminal_until_not(&t, "\u6cc9\u6cc9");
    redraw_changes_nothing(&t);
    terminal_send(&t, "\033");
    terminal_until(&t, "f fill");
    board_leave(&t);
}

static void a_burst_of_keys_is_painted_once(void **unused)
{
    Terminal t;
    size_t slow = 0, burst = SIZE_MAX;
    (void)unused;
    board_open(&t, "xterm-256color");
    terminal_send(&t, "a");
    terminal_until(&t, "couple");
    terminal_quiet(&t, 60);
    for (int i = 0; i < 10; i++) {
        terminal_forget(&t);
        terminal_send(&t, "j");
        terminal_quiet(&t, 60);
        slow += t.n;
    }
    for (int i = 0; i < 5; i++) { /* the machine may cut a burst in two; not five times */
        terminal_send(&t, "kkkkkkkkkk");
        terminal_quiet(&t, 60);
        terminal_forget(&t);
        terminal_send(&t, "jjjjjjjjjj");
        terminal_quiet(&t, 60);
        burst = t.n < burst ? t.n : burst;
    }
    assert_in_range(burst * 4, 1, slow); /* ten steps in one paint, not in ten */
    terminal_send(&t, "q");
    terminal_until(&t, "f fill");
    board_leave(&t);
}

/* ---- keys ---- */

static void esc_acts_at_once(void **unused)
{
    Terminal t;
    int64_t best = INT64_MAX;
    (void)unused;
    board_open(&t, "xterm-256color");
    for (int i = 0; i < 8 && best > 100; i++) { /* once is enough: the library's wait is 1000 ms */
        terminal_send(&t, "f");
        terminal_until(&t, "Esc leave");
        int64_t from = clock_ms();
        terminal_send(&t, "\033");
        terminal_until_not(&t, "Esc leave");
        best = clock_ms() - from < best ? clock_ms() - from : best;
        terminal_until(&t, "f fill");
    }
    assert_in_range(best, 0, 100);
    board_leave(&t);
}

static void the_arrow_keys_are_not_taken_for_esc(void **unused)
{
    Terminal t;
    (void)unused;
    board_open(&t, "xterm-256color");
    terminal_send(&t, "f");
    terminal_until(&t, "Esc leave");
    terminal_send(&t, "\033OB\033OB\033OA"); /* in application mode, as it was switched on */
    terminal_quiet(&t, 100);
    terminal_send(&t, "Holm");
    terminal_until(&t, "Holm");
    assert_true(terminal_shows(&t, "Esc leave"));
    terminal_send(&t, "\033");
    terminal_until(&t, "f fill");
    board_leave(&t);
}

static void log_last(char *out, size_t size)
{
    run_expect(&scene, 0, "log --json");
    const char *end = scene.out + scene.out_size;
    const char *from = end - 1;
    while (from > scene.out && from[-1] != '\n')
        from--;
    snprintf(out, size, "%.*s", (int)(end - from), from);
}

/* Sends the keys one by one, as a person does; returns how many they were. */
static int keys(Terminal *t, const char *const *each)
{
    int n = 0;
    for (; each[n]; n++) {
        terminal_send(t, each[n]);
        terminal_quiet(t, 30);
    }
    return n;
}

static void a_refill_takes_two_keys_and_six_with_another_vessel_and_source(void **unused)
{
    static const char *const two[] = {"f", "\r", NULL};
    static const char *const six[] = {"f", "R", "\t", "F", "\r", NULL};
    char last[1024];
    Terminal t;
    (void)unused;
    board_open(&t, "xterm-256color");
    assert_int_equal(keys(&t, two), 2);
    terminal_until(&t, "Written");
    log_last(last, sizeof last);
    assert_non_null(strstr(last, "\"kind\":\"fill\",\"vessel\":\"A1\""));
    assert_non_null(strstr(last, "\"level\":12"));
    assert_non_null(strstr(last, "\"source\":\"Holm tap\""));
    assert_in_range(keys(&t, six), 1, 6);
    terminal_until(&t, "Ferrow");
    terminal_until(&t, "Written");
    log_last(last, sizeof last);
    assert_non_null(strstr(last, "\"kind\":\"fill\",\"vessel\":\"R1\""));
    assert_non_null(strstr(last, "\"source\":\"Ferrow spring\""));
    terminal_send(&t, "z");
    terminal_until(&t, "Taken back");
    terminal_send(&t, "z");
    terminal_until(&t, "A1");
    board_leave(&t);
}

/* Keys with Ctrl or Alt, answers of the terminal: no key of ours, and no letter of them is. */
static const char *const not_keys[] = {
    "\033[1;5C",     /* Ctrl-Right, as xterm sends it */
    "\033O5C",       /* as older ones do */
    "\033\033[1;5C", /* with Alt before it */
    "\033z",         /* Alt and a letter */
    "\033f",
    "\033C",
    "\033\r",
    "\033[27;5;122~", /* Ctrl-z and z, where other keys are told, too */
    "\033[122;3u",
    "\033[[C", /* F3 of the Linux console */
    "\033[25~",
    "\033[?1;2c",
    "\033[12;7R",                       /* F13; what it is, where its cursor stands */
    "\033]11;rgb:fCfC/fCfC/fCfC\033\\", /* its ground */
    "\033]11;rgb:zzzz/zzzz/zzzz\007",
    "\033P1$rC\033\\"};
enum { NOT_KEY_COUNT = sizeof not_keys / sizeof *not_keys };

/* `pause_ms` between the bytes: a serial line gives them one by one. */
static void not_keys_send(Terminal *t, int pause_ms)
{
    for (int i = 0; i < NOT_KEY_COUNT; i++) {
        for (const char *c = not_keys[i]; *c; c++) {
            terminal_send(t, (const char[]){*c, '\0'});
            if (pause_ms > 0)
                nanosleep(&(struct timespec){0, pause_ms * 1000000}, NULL);
        }
        terminal_quiet(t, 35);
    }
}

static void a_sequence_that_nobody_knows_is_no_key(void **unused)
{
    static const char *const terms[] = {"vt100", "xterm-256color", "linux", "screen"};
    char before[2048], after[2048];
    (void)unused;
    log_last(before, sizeof before);
    for (int i = 0; i < 8; i++) {
        Terminal t;
        board_open(&t, terms[i / 2]);
        terminal_send(&t, "5"); /* there C is one person fewer, Right more litres a day */
        terminal_until(&t, "as logged");
        terminal_quiet(&t, 60);
        not_keys_send(&t, i % 2 == 0 ? 0 : 2);
        if (!terminal_shows(&t, "as logged") || t.ended)
            terminal_fail(&t, "a sequence that nobody knows set a what-if");
        terminal_send(&t, "1f\t"); /* in a form its letters would be text */
        terminal_until(&t, "Esc leave");
        not_keys_send(&t, i % 2 == 0 ? 0 : 2);
        if (!terminal_shows(&t, "Esc leave") || terminal_shows(&t, "rgb"))
            terminal_fail(&t, "a sequence that nobody knows was typed");
        terminal_send(&t, "\033");
        terminal_until(&t, "f fill");
        board_leave(&t);
    }
    log_last(after, sizeof after);
    assert_string_equal(before, after);
}

/* On a terminal that does not mark what is pasted. */
static void a_blind_paste_does_not_write(void **unused)
{
    static const char *const pasted[] = {"12.5 litres\rA2\r", "Holm tap at noon\r", "5\r5\r5\r"};
    char before[2048], after[2048];
    (void)unused;
    log_last(before, sizeof before);
    for (size_t i = 0; i < sizeof pasted / sizeof *pasted; i++) {
        Terminal t;
        board_open(&t, "vt100");
        terminal_send(&t, "s");
        terminal_until(&t, "Esc leave");
        terminal_send(&t, pasted[i]);
        terminal_until(&t, "as a paste does");
        terminal_quiet(&t, 100);
        assert_true(terminal_shows(&t, "sound"));
        terminal_send(&t, "\033");
        terminal_until(&t, "f fill");
        board_leave(&t);
    }
    log_last(after, sizeof after);
    assert_string_equal(before, after);
}

static void pasted_text_is_text_and_never_a_command(void **unused)
{
    char last[2048], text[201];
    Terminal t;
    (void)unused;
    for (size_t i = 0; i < sizeof text - 1; i++)
        text[i] = (char)('a' + i % 23);
    text[sizeof text - 1] = '\0';
    board_open(&t, "xterm-256color");
    terminal_send(&t, "\033[200~fq\r\033[201~");
    terminal_quiet(&t, 100);
    assert_false(t.ended);
    assert_true(terminal_shows(&t, "f fill"));
    terminal_send(&t, "a");
    terminal_until(&t, "couple");
    terminal_send(&t, "\033");
    terminal_until_not(&t, "couple");
    terminal_send(&t, "s\033[Z"); /* the last field of the form is the note */
    terminal_until(&t, "Esc leave");
    terminal_send(&t, "\033[200~otter\nq\033[201~");
    terminal_until(&t, "otter q");
    terminal_send(&t, " "); /* fast, without the marks: as a serial line gives it */
    terminal_send(&t, text);
    terminal_until(&t, text + 180);
    terminal_send(&t, "\033[Z\033[Z"); /* the time, the level */
    terminal_send(&t, "5\r");
    terminal_until(&t, "Written");
    log_last(last, sizeof last);
    assert_non_null(strstr(last, "\"kind\":\"sound\""));
    assert_non_null(strstr(last, "\"note\":\"otter q abc"));
    assert_non_null(strstr(last, text));
    terminal_send(&t, "z");
    terminal_until(&t, "Taken back");
    board_leave(&t);
}

static void an_entry_by_another_process_is_shown_within_a_second(void **unused)
{
    Terminal t;
    int64_t best = INT64_MAX;
    (void)unused;
    board_open(&t, "xterm-256color");
    for (int i = 0; i < 4 && best > 1000; i++) {
        char words[64], name[32];
        snprintf(name, sizeof name, "otter %d", i);
        snprintf(words, sizeof words, "note \"%s\"", name);
        run_expect(&scene, 0, words);
        int64_t from = clock_ms();
        terminal_until(&t, name);
        best = clock_ms() - from < best ? clock_ms() - from : best;
    }
    assert_in_range(best, 0, 1000);
    board_leave(&t);
}

/* Bytes of any kind, halves of characters and of sequences among them. Left out: what ends or stops
 * the program or the flow (Ctrl-C, Ctrl-\\, Ctrl-S, Ctrl-Q, Ctrl-Z) and q. */
static void noise_on_the_line_does_no_harm(void **unused)
{
    static const char out[] = "\003\034\023\021\032q";
    static const char *const parts[] = {"\033[", "\033O",    "\033[<0;3;", "\033[M", "\xe6\xb0",
                                        "\xff",  "\033[200", "\033[201~",  "\r",     "\xf0\x9f"};
    char path[160], words[180];
    Terminal t;
    uint32_t x = 20261125;
    (void)unused;
    run_path(&scene, "noise.db", path, sizeof path); /* an empty log: the set-up gets its share */
    snprintf(words, sizeof words, "--log %s", path);
    terminal_open(&t, 24, 80, "xterm-256color", NULL, words);
    terminal_until(&t, "Enter");
    for (int i = 0; i < 1500; i++) {
        char bytes[2] = {0};
        x = x * 1664525u + 1013904223u;
        bytes[0] = (char)(x >> 16 & 0xff);
        if (x >> 28 == 0)
            terminal_send(&t, parts[(x >> 8) % (sizeof parts / sizeof *parts)]);
        else if (bytes[0] && !strchr(out, bytes[0]))
            terminal_send(&t, bytes);
        if (i % 250 == 249)
            terminal_size(&t, 10 + i / 100, 40 + i / 20);
        if (t.ended)
            terminal_fail(&t, "noise ends the program");
    }
    terminal_send(&t, "\033[201~");
    redraw_changes_nothing(&t);
    for (int i = 0; i < 20 && !t.ended; i++) {
        terminal_send(&t, i % 2 ? "q" : "\033");
        terminal_quiet(&t, 60);
    }
    assert_int_equal(terminal_end(&t), 0);
    terminal_is_restored(&t);
    terminal_close(&t);
}

/* ---- the window ---- */

static void hints_in_the_last_row(Terminal *t)
{
    int64_t end = clock_ms() + PATIENCE_MS;
    while (picture_find(t->picture, "f fill") != t->picture->rows - 1) {
        if (clock_ms() > end)
            terminal_fail(t, "the row of hints is not in the last row");
        terminal_read(t, 50);
    }
}

static void every_size_is_drawn_though_lines_and_columns_are_exported(void **unused)
{
    static const char *const environment[] = {"LINES=10", "COLUMNS=50", NULL};
    static const int sizes[][2] = {{50, 132}, {12, 40}, {5, 20}, {1, 1}, {24, 80}};
    Terminal t;
    (void)unused;
    terminal_open(&t, 24, 80, "xterm-256color", environment, NULL);
    hints_in_the_last_row(&t);
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        terminal_forget(&t);
        terminal_size(&t, sizes[i][0], sizes[i][1]);
        if (sizes[i][1] >= 40)
            hints_in_the_last_row(&t);
        else if (sizes[i][1] >= 20)
            terminal_until(&t, "More at");
        else
            terminal_quiet(&t, 600);
        redraw_changes_nothing(&t);
        assert_false(t.ended);
    }
    terminal_size(&t, 30, 90);
    t.picture->bottom = 11; /* a scroll that was on its way */
    hints_in_the_last_row(&t);
    assert_int_equal(t.picture->bottom, 29);
    for (int i = 0; i < 40; i++) { /* a window that is pulled */
        struct winsize size = {.ws_row = (unsigned short)(8 + i),
                               .ws_col = (unsigned short)(90 - i)};
        assert_int_equal(ioctl(t.fd, TIOCSWINSZ, &size), 0);
        terminal_read(&t, i % 3);
    }
    terminal_size(&t, 24, 80);
    hints_in_the_last_row(&t);
    redraw_changes_nothing(&t);
    t.picture->bottom = 11;
    board_leave(&t);
}

/* A shell's fg is in suspend.sh; this is the stop that can't be caught. */
static void what_was_stopped_and_goes_on_paints_anew(void **unused)
{
    Terminal t;
    (void)unused;
    board_open(&t, "xterm-256color");
    for (int i = 0; i < 2; i++) { /* in the window as it was, and in another */
        kill(t.pid, SIGSTOP);
        picture_feed(t.picture, "\033[2J\033[Hothers write here", 25);
        if (i == 1)
            terminal_size(&t, 30, 90);
        kill(t.pid, SIGCONT);
        hints_in_the_last_row(&t);
        terminal_until_not(&t, "others write here");
        terminal_until(&t, "galley");
    }
    redraw_changes_nothing(&t);
    board_leave(&t);
}

/* ---- the end ---- */

static void q_leaves_and_the_screen_is_what_it_was(void **unused)
{
    Terminal t;
    (void)unused;
    terminal_open(&t, 24, 80, "xterm-256color", NULL, NULL);
    picture_feed(t.picture, "$ ullage\r\n", 10); /* what the shell had there */
    terminal_until(&t, "f fill");
    assert_true(t.picture->alternate);
    assert_false(terminal_shows(&t, "$ ullage"));
    terminal_send(&t, "q");
    assert_int_equal(terminal_end(&t), 0);
    terminal_is_restored(&t);
    assert_true(terminal_shows(&t, "$ ullage"));
    assert_false(terminal_shows(&t, "galley"));
    terminal_close(&t);
}

static void a_signal_restores_the_terminal(void **unused)
{
    static const int signals[] = {SIGTERM, SIGINT, SIGHUP, SIGSEGV, SIGABRT, SIGBUS};
    (void)unused;
    for (size_t i = 0; i < sizeof signals / sizeof *signals; i++) {
        Terminal t;
        bool crash = signals[i] == SIGSEGV || signals[i] == SIGABRT || signals[i] == SIGBUS;
        board_open(&t, "xterm-256color");
        terminal_send(&t, "f"); /* a form shows the cursor */
        terminal_until(&t, "Esc leave");
        kill(t.pid, signals[i]);
        int status = terminal_end(&t);
        if (crash)
            assert_true(WIFSIGNALED(status) && WTERMSIG(status) == signals[i]);
        else
            assert_true(WIFEXITED(status) && WEXITSTATUS(status) == 128 + signals[i]);
        terminal_is_restored(&t);
        assert_false(terminal_shows(&t, "Esc leave"));
        terminal_close(&t);
    }
}

static void control_c_ends_it_as_a_signal_would(void **unused)
{
    Terminal t;
    (void)unused;
    board_open(&t, "xterm-256color");
    terminal_send(&t, "\003");
    int status = terminal_end(&t);
    assert_true(WIFEXITED(status) && WEXITSTATUS(status) == 128 + SIGINT);
    terminal_is_restored(&t);
    terminal_close(&t);
}

static void a_terminal_that_goes_away_ends_the_program(void **unused)
{
    Terminal t;
    (void)unused;
    board_open(&t, "xterm-256color");
    close(t.fd);
    t.fd = -1;
    int status = terminal_end(&t);
    assert_true(WIFEXITED(status) && WEXITSTATUS(status) == 128 + SIGHUP);
    terminal_close(&t);
}

static void a_terminal_that_cannot_be_drawn_on_is_refused_in_one_line(void **unused)
{
    static const char *const terms[] = {"dumb", "unknown", "no-such-terminal", ""};
    (void)unused;
    for (size_t i = 0; i < sizeof terms / sizeof *terms; i++) {
        Terminal t;
        terminal_open(&t, 24, 80, terms[i], NULL, NULL);
        int status = terminal_end(&t);
        assert_true(WIFEXITED(status));
        assert_int_equal(WEXITSTATUS(status), 2);
        assert_false(terminal_sent(&t, "\033"));
        assert_true(terminal_sent(&t, "TERM"));
        assert_memory_equal(t.out, "ullage: ", 8);
        assert_ptr_equal(strchr(t.out, '\n'), t.out + t.n - 1);
        terminal_is_restored(&t);
        terminal_close(&t);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_usual_terminal_is_drawn_on_left_and_restored),
        cmocka_unit_test(while_nothing_changes_no_byte_is_sent_and_no_processor_used),
        cmocka_unit_test(words_are_in_the_terminals_colours_or_bring_a_ground),
        cmocka_unit_test(no_color_sends_no_colour),
        cmocka_unit_test(the_c_locale_gets_ascii_only),
        cmocka_unit_test(the_demo_stands_at_the_end_of_its_story),
        cmocka_unit_test(the_demo_as_a_result_is_no_board),
        cmocka_unit_test(an_empty_demo_asks_for_the_set_up),
        cmocka_unit_test(a_board_that_can_not_open_is_one_line),
        cmocka_unit_test(the_alphabet_that_was_asked_for_is_remembered),
        cmocka_unit_test(the_mouse_that_was_asked_for_is_remembered),
        cmocka_unit_test(wide_and_combining_names_keep_the_columns),
        cmocka_unit_test(a_burst_of_keys_is_painted_once),
        cmocka_unit_test(esc_acts_at_once),
        cmocka_unit_test(the_arrow_keys_are_not_taken_for_esc),
        cmocka_unit_test(a_refill_takes_two_keys_and_six_with_another_vessel_and_source),
        cmocka_unit_test(a_sequence_that_nobody_knows_is_no_key),
        cmocka_unit_test(a_blind_paste_does_not_write),
        cmocka_unit_test(pasted_text_is_text_and_never_a_command),
        cmocka_unit_test(an_entry_by_another_process_is_shown_within_a_second),
        cmocka_unit_test(noise_on_the_line_does_no_harm),
        cmocka_unit_test(every_size_is_drawn_though_lines_and_columns_are_exported),
        cmocka_unit_test(what_was_stopped_and_goes_on_paints_anew),
        cmocka_unit_test(q_leaves_and_the_screen_is_what_it_was),
        cmocka_unit_test(a_signal_restores_the_terminal),
        cmocka_unit_test(control_c_ends_it_as_a_signal_would),
        cmocka_unit_test(a_terminal_that_goes_away_ends_the_program),
        cmocka_unit_test(a_terminal_that_cannot_be_drawn_on_is_refused_in_one_line),
    };
    return cmocka_run_group_tests(tests, scene_begin, scene_end);
}
