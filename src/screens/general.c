/* The keys that do the same on every screen. */
#include "screens/screens.h"

static void act_form(App *app, int kind, Wish *wish)
{
    app_open_form(app, (KindId)kind, "", wish);
}

static void act_screen(App *app, int which, Wish *wish)
{
    static const Screen *const opened[] = {&SCREEN_KINDS, &SCREEN_PLAIN, &SCREEN_HELP};
    app_open(app, opened[which], wish);
}

static void act_wish(App *app, int kind, Wish *wish)
{
    (void)app;
    wish->kind = (WishKind)kind;
}

static void act_leave(App *app, int quit, Wish *wish)
{
    if (app->depth > 1)
        app_close(app);
    else if (quit)
        wish->kind = WISH_QUIT;
}

static void act_next(App *app, int step, Wish *wish)
{
    const Screen *const *screens = app->table->screens;
    int count = 1, at = 0; /* the first one is always there */
    for (; screens[count] != NULL; count++)
        if (screens[count] == app_top(app))
            at = count;
    const Screen *next = screens[(at + step + count) % count];
    app_home(app);
    app_open(app, next, wish);
}

static void act_scheme(App *app, int unused, Wish *wish)
{
    (void)unused;
    app_theme(app, (Scheme)((app->scheme + 1) % SCHEME_COUNT));
    app_say(app, INK_MESSAGE, "Theme: %s.", scheme_name(app->scheme));
    wish->kind = WISH_THEME;
}

static const Action general_actions[] = {
    {'f', 0, "fill", "log water into a vessel", 1, act_form, KIND_FILL},
    {'d', 0, "draw", "log water drawn at the tap or from a vessel", 2, act_form, KIND_DRAW},
    {'s', 0, "sound", "log a measured level", 3, act_form, KIND_SOUND},
    {'w', 0, "swap", "log a new cartridge or lamp", 4, act_form, KIND_SWAP},
    {'a', 0, "any entry", "choose any kind of entry", 6, act_screen, 0},
    {'z', 0, "take back", "take back the latest entry, again and again", 5, act_wish,
     WISH_TAKE_BACK},
    {'Z', 0, "bring back", "bring back what z took back last", 0, act_wish, WISH_BRING_BACK},
    {'t', 0, "as text", "the board in plain words, for a screen reader too", 7, act_screen, 1},
    {PRESS_TAB, 0, "next screen", "the next screen", 8, act_next, 1},
    {PRESS_BACKTAB, 0, "screen before", "the screen before", 0, act_next, -1},
    {'T', 0, "theme", "the next theme: default, light, monochrome, night", 0, act_scheme, 0},
    {'O', 0, "open anew", "open the log anew, after its file was replaced", 0, act_wish,
     WISH_REOPEN},
    {'?', 0, "keys", "every key of this screen", 90, act_screen, 2},
    {'q', 0, "quit", "close this screen; on the board: leave", 91, act_leave, 1},
    {PRESS_ESC, 0, "back", "close this screen", 0, act_leave, 0},
    {PRESS_CTRL('L'), 0, "redraw", "send the whole screen again", 0, act_wish, WISH_REDRAW},
    {PRESS_CTRL('Z'), 0, "suspend", "stop; the shell's fg comes back", 0, act_wish, WISH_SUSPEND},
};

const ActionList GENERAL_ACTIONS = {general_actions,
                                    sizeof general_actions / sizeof *general_actions};
