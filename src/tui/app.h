/* app.h - the board program without clock, log or terminal: told the time and the state, asked for
 * wishes.
 *
 * The loop (tui/loop.h) tells the App what it needs to know and grants what it wishes; a test does
 * the same by hand, so that a whole season runs inside one. An App is large (some hundred
 * kilobytes): it is created on the heap.
 */
#ifndef ULLAGE_TUI_APP_H
#define ULLAGE_TUI_APP_H

#include "model/event.h"
#include "model/kinds.h"
#include "model/state.h"
#include "outlook/board.h"
#include "outlook/season.h"
#include "tui/screen.h"

enum { APP_DEPTH = 8, APP_RECENT = 12, APP_OUTBOX = 64, APP_HISTORY = 400, APP_MESSAGE = 700 };

typedef struct {
    Event event;
    bool voided; /* taken out by a void */
} Entry;

/* What a screen may ask of the log. */
typedef struct {
    Moment since, until; /* inclusive; MOMENT_NONE: open */
    Label vessel;        /* empty: all */
    int32_t kind;        /* KindId; KIND_NONE: all */
    bool voided;         /* also the voided ones, and the voids */
    char contains[64];   /* only entries whose line contains this (ASCII case ignored); "" all */
    int limit;           /* newest first, at most so many; 1..2000 */
} EntryQuery;

/* Level and class of a vessel at `count` moments from `since` to `until`, evenly spaced. An empty
 * label: the usable water on all lines and in the reserve together (outlook/forecast_view.h:
 * view_water). */
typedef struct {
    Label vessel;
    Moment since, until;
    int count; /* 2..APP_HISTORY */
} HistoryQuery;
typedef struct {
    HistoryQuery query;
    int64_t volume[APP_HISTORY]; /* mL; -1: not aboard then */
    uint8_t quality[APP_HISTORY];
} History;

typedef enum {
    WISH_NOTHING,
    WISH_QUIT,
    WISH_SUSPEND, /* stop the process; the shell's fg brings it back */
    WISH_REDRAW,  /* send the whole screen anew */
    WISH_APPEND, /* write app->outbox[0..outbox_count-1], all or none: app_written or app_refused */
    WISH_TRY,    /* the same without writing: app_tried */
    WISH_TAKE_BACK,  /* void the latest entry that acts, with all that was written together with it
                        here: app_took_back or app_refused */
    WISH_BRING_BACK, /* void what the last WISH_TAKE_BACK wrote: app_brought_back or app_refused */
    WISH_FIND,       /* wish.query: app_found */
    WISH_HISTORY,    /* wish.history: app_history */
    WISH_STORY,      /* both: wish.history, then wish.query */
    WISH_SEASON,     /* what came since wish.since (MOMENT_NONE: the first entry): app_season */
    WISH_UNITS,      /* the log's own setting of units becomes app->units */
    WISH_THEME,      /* app->scheme is remembered, and the whole screen is sent anew */
    WISH_REOPEN      /* open what is at the log's path now */
} WishKind;
struct Wish {
    WishKind kind;
    EntryQuery query;
    HistoryQuery history;
    Moment since;
};

typedef struct {
    const Screen *screen;
    void *own;
} Opening;

struct App {
    const ScreenTable *table; /* borrowed */

    /* the world as it was last told */
    Moment now;
    State state;
    Board board; /* of state at now */
    int64_t entries;
    Units units;
    Running running[LINES_MAX]; /* lines on which water runs, as feeds tell it */
    int running_count;
    Entry recent[APP_RECENT]; /* newest first, voided ones and voids left out */
    int recent_count;
    Marks machines;       /* in step with this one; it stands first */
    Moment heard;         /* when another one of them was last heard of */
    bool demo;            /* a throw-away copy: nothing is kept */
    const char *log_name; /* borrowed; may be NULL */

    /* looks */
    int rows, cols;
    Scheme scheme;                /* shown */
    Scheme by_day;                /* shown outside the hours of the night */
    int night_begins, night_ends; /* minutes of the local day; the same: night by no clock */
    Alphabet alphabet;
    bool ascii;         /* see Sheet.ascii */
    StandIns stand_ins; /* of the state's names, where it is */

    /* what the person is doing: the screens opened, the topmost last */
    Opening stack[APP_DEPTH];
    int depth;
    Opening kept;              /* what was typed on a screen that was left (Screen.keeps) */
    char message[APP_MESSAGE]; /* "": none; gone at the next key */
    Ink message_ink;

    /* answers to wishes */
    Entry *found; /* newest first */
    int found_count;
    bool found_more; /* there were more than the limit */
    History history;
    Season *season; /* NULL: none was asked for */

    /* what is to be written */
    Event outbox[APP_OUTBOX];
    int outbox_count;
};

/* The table must outlive the App. */
App *app_create(const ScreenTable *table, int rows, int cols, Scheme scheme, Alphabet alphabet,
                bool ascii);
/* From then to then, each day, the night theme is shown, unless the terminal has no colour or a
 * theme is chosen meanwhile (app_theme). */
void app_night(App *app, int begins, int ends);
void app_theme(App *app, Scheme scheme);
void app_destroy(App *app);

/* ---- what the loop tells ---- */
/* The state, and the time that it is looked at. Makes the board; calls the top screen's `told`,
 * which may wish something. */
void app_tell(App *app, const State *state, int64_t entries, Moment now, Wish *wish);
/* Only the time went on (the minute tick): the board is made anew. */
void app_tick(App *app, Moment now);
/* The lines on which water runs at `now`. True where that is news. */
bool app_runs(App *app, const Running *running, int count, Moment now);
/* The time at which the next key is pressed; the board is not made anew. */
void app_clock(App *app, Moment now);
void app_tell_recent(App *app, const Entry *entries, int count);
void app_resize(App *app, int rows, int cols);
/* A wish was granted; the screen on top is told first (Screen.written, .tried). app_written says
 * what was written. */
void app_written(App *app, const Event *events, int count);
void app_took_back(App *app, const Event *taken, int count); /* count: with what went with it */
void app_brought_back(App *app, int count);
void app_tried(App *app, const Trial *trial);
void app_found(App *app, const Entry *entries, int count, bool more);
void app_history(App *app, const History *history);
void app_season(App *app, Season *season); /* of memory_get; the App's from now on */
/* A wish could not be granted: the sentence is shown, a form stays as it is. */
void app_refused(App *app, const Fault *fault);

/* ---- what the person does ---- */
void app_key(App *app, Press press, Wish *wish);
/* A click of the mouse: on a key hint it is that key, anywhere else nothing. */
void app_click(App *app, int row, int col, Wish *wish);
/* A pasted piece of text: goes where text is typed, and is never taken for commands. */
void app_paste(App *app, Text text, Wish *wish);

void app_draw(const App *app, Sheet *sheet); /* the sheet takes the App's size */

/* ---- for screens ---- */
/* Memory of the topmost opening of a screen (Screen.own_size bytes); NULL where it is not open. */
void *app_own(const App *app, const Screen *screen);
const Screen *app_top(const App *app);
const Screen *app_screen(const App *app,
                         const char *name);                /* NULL: a key opens none of that name */
void app_open(App *app, const Screen *screen, Wish *wish); /* on top; brought up where it is open */
void app_close(App *app);                                  /* the topmost; the board stays */
void app_home(App *app);                                   /* all but the board */
void app_say(App *app, Ink ink, const char *format, ...) __attribute__((format(printf, 3, 4)));
/* Height that a screen has for its own (all but the hints row and the message). */
Area app_body(const App *app);
/* The row of key hints for the top screen; returns the column after the last one. */
int app_draw_hints(const App *app, Area area, int row);

/* "Tue 24 Nov 18:42", or "18:42" where `brief`; on a throw-away copy with a word that says so.
 * `out` of at least 64 bytes; returns `out`. */
char *app_clock_text(const App *app, bool brief, char *out);

/* Words that several screens use. `out` of at least 64 bytes; each returns `out`. */
char *app_volume(const App *app, int64_t ml, char *out);      /* "7.2 L" */
char *app_volume_bare(const App *app, int64_t ml, char *out); /* "7.2" */
char *app_volume_down(const App *app, int64_t ml, char *out); /* "7.1": what is there at least */
char *app_date(const App *app, Moment m, char *out);          /* "Tue 24 Nov"; "not known" */
char *app_time(const App *app, Moment m, char *out); /* "18:30" today, else "Mon 23 Nov 09:12" */
/* A span to or from now: "3.2 days", "5 h", "20 min"; never negative. */
char *app_span(int64_t ms, char *out);
Ink ink_of_class(Quality quality);
Ink ink_of_service(ServiceState state);

#endif
