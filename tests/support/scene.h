/* scene.h - a scene for screens: an App, a log in memory, and somebody who grants its wishes.
 *
 * What the loop does with a terminal, a clock and a file is done here by hand, so that a test reads
 * as a story: entries, keys, what is on the sheet, what is in the log.
 */
#ifndef ULLAGE_TESTS_SUPPORT_SCENE_H
#define ULLAGE_TESTS_SUPPORT_SCENE_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/memory.h"
#include "model/field.h"
#include "model/fold.h"
#include "model/strike.h"
#include "outlook/forecast_view.h"
#include "screens/screens.h"
#include "support/golden.h"
#include "tui/form.h"

#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

enum { SCENE_LOG_MAX = 3000 };

typedef struct {
    App *app;
    Event *log; /* in the order in which they were written */
    bool *voided;
    int count;
    Moment now;
    bool quit;
    int suspended, redrawn;
    Sheet sheet;
    char refusal[FAULT_TEXT_MAX];
} Scene;

/* The sizes that screens are tried in: the usual, the wide one, the least that is promised; the
 * usual one in ASCII. Golden are the first of them, and in ASCII three screens: what the others say
 * there test_alphabets.c holds against UTF-8. */
typedef struct {
    int rows, cols;
    Alphabet alphabet;
} SceneSize;
enum { SCENE_SIZE_COUNT = 4, SCENE_GOLDEN_COUNT = 3 };
extern const SceneSize SCENE_SIZES[SCENE_SIZE_COUNT];

/* Keys that lead from the season's board to each sheet that there is. */
enum { SCENE_SHEET_COUNT = 40 };
extern const char *const SCENE_SHEETS[SCENE_SHEET_COUNT];

void scene_tell(Scene *scene);
void scene_write(Scene *scene, Event *e);
void scene_grant(Scene *scene, Wish wish);
void scene_press(Scene *scene, Press press);
/* "\n" Enter, "\t" Tab, "\x1b" Esc, "\b" Backspace, "\x0c" Ctrl-L; all else as it stands. Returns
 * how many keys that was. */
int scene_keys(Scene *scene, const char *keys);
/* Writes an entry: field name and text in turn, NULL at the end; the name "note" gives the note. */
void scene_entry(Scene *scene, const char *when, KindId kind, ...);
/* An empty log at Tue 24 Nov 2026 18:42 UTC. */
Scene *scene_open(int rows, int cols, Scheme scheme, Alphabet alphabet);
void scene_close(Scene *scene);
/* A camper three weeks out: four vessels on the galley line, a reserve and a wash vessel apart,
 * three stages, a crew of two, a stop ahead. */
Scene *scene_season(int rows, int cols, Scheme scheme, Alphabet alphabet);
const char *scene_draw(Scene *scene, Str *out);
bool scene_shows(Scene *scene, const char *part);
/* The sheet against tests/golden/<name>-<cols>x<rows>-<utf8|ascii>.txt. */
void scene_golden_sheet(Scene *scene, const char *name);
/* The inks against tests/golden/<name>-<cols>x<rows>-inks.txt. */
void scene_golden_inks(Scene *scene, const char *name);
/* A screen in the golden sizes; in ASCII. `go`: keys that lead to it. */
void scene_golden_sizes(const char *name, const char *go);
void scene_golden_ascii(const char *name, const char *go);

#endif
