/* The form screen: one entry of any kind, new or amended. */
#include "screens/screens.h"

#include "paint/width.h"
#include "tui/form.h"

#include <stdio.h>
#include <string.h>

enum { PLACE_COLS = 12 };

typedef struct {
    Form form;
    bool amends;
    Uuid amended;
    char enter[80]; /* what Enter does, where a verdict gets worse by it; "" */
} FormOwn;

Form *app_form(const App *app)
{
    if (app_top(app) != &SCREEN_FORM)
        return NULL;
    FormOwn *own = app_own(app, &SCREEN_FORM);
    return &own->form;
}

static void form_post(App *app, FormOwn *own, Wish *wish, WishKind kind)
{
    Event *out = app->outbox;
    app->outbox_count = 0;
    if (own->amends) {
        event_about(out++, KIND_VOID, &own->amended, app->now);
        app->outbox_count++;
    }
    for (int i = 0; i < own->form.count; i++)
        *out++ = own->form.entries[i];
    app->outbox_count += own->form.count;
    wish->kind = kind;
}

/* What lies before the latest entry, or takes one out, only the log can try. */
static void form_renew(App *app, FormOwn *own, Wish *wish)
{
    form_read(&own->form, app);
    if (own->amends && !own->form.unchanged) {
        bool wrong = false;
        for (int i = 0; i < own->form.rows.count; i++)
            wrong = wrong || own->form.rows.fields[i].wrong;
        own->form.ready = !wrong;
        own->form.refusal[0] = '\0';
        str_clear(&own->form.changes);
    }
    if (own->form.ready && (own->form.backdated || own->amends))
        form_post(app, own, wish, WISH_TRY);
}

/* On top and empty; NULL where no screen can be opened any more. */
static FormOwn *form_opened(App *app, Wish *wish)
{
    app_open(app, &SCREEN_FORM, wish);
    FormOwn *own = app_own(app, &SCREEN_FORM);
    if (own == NULL)
        return NULL;
    form_finish(&own->form);
    own->amends = false;
    return own;
}

void app_open_form(App *app, KindId kind, const char *about, Wish *wish)
{
    FormOwn *own = form_opened(app, wish);
    if (own != NULL)
        form_begin(&own->form, kind, app, about);
}

void app_open_refill(App *app, const Stop *stop, Wish *wish)
{
    FormOwn *own = form_opened(app, wish);
    if (own == NULL)
        return;
    form_begin_refill(&own->form, app, stop);
    form_renew(app, own, wish);
}

void app_open_class(App *app, const Source *source, Wish *wish)
{
    FormOwn *own = form_opened(app, wish);
    if (own == NULL)
        return;
    form_begin_class(&own->form, app, source);
    form_renew(app, own, wish);
}

void app_open_amend(App *app, const Event *entry, Wish *wish)
{
    FormOwn *own = form_opened(app, wish);
    if (own == NULL)
        return;
    own->amends = true;
    own->amended = entry->id;
    form_begin_from(&own->form, entry, app);
    form_renew(app, own, wish);
}

static void form_close(App *app)
{
    FormOwn *own = app_own(app, &SCREEN_FORM);
    form_finish(&own->form);
}

static void form_told(App *app, Wish *wish)
{
    FormOwn *own = app_own(app, &SCREEN_FORM);
    if (own->form.kind != NULL)
        form_renew(app, own, wish);
}

/* "now" in a form is now; what only the log can try stays as it is. */
static void form_tick(App *app)
{
    Form *form = app_form(app);
    if (!form->backdated && form->ready)
        form_read(form, app);
}

static void form_tried_by_log(App *app, const Trial *trial)
{
    form_tried(app_form(app), trial, app);
}

static bool form_screen_key(App *app, Press press, Wish *wish)
{
    FormOwn *own = app_own(app, &SCREEN_FORM);
    if (!form_key(&own->form, press, app))
        return false;
    form_renew(app, own, wish);
    return true;
}

static void act_write(App *app, int unused, Wish *wish)
{
    (void)unused;
    FormOwn *own = app_own(app, &SCREEN_FORM);
    Form *form = &own->form;
    if (!own->amends && !form->backdated) /* "now" is now, not when the form was opened */
        form_read(form, app);
    if (form->unchanged) {
        app_close(app);
        app_say(app, INK_NOTICE, "Nothing was changed, so nothing is written.");
    } else if (form->ready) {
        form_post(app, own, wish, WISH_APPEND);
    } else if (fields_show_wrong(&form->rows)) {
        const FormField *wrong = &form->rows.fields[form->rows.active];
        if (wrong->typed.text[0])
            app_say(app, INK_WARNING, "Not written: %s", wrong->error);
        else
            app_say(app, INK_WARNING, "Not written: %s is needed.", wrong->caption);
    } else {
        app_say(app, INK_WARNING, "Not written: %s", form->refusal);
    }
}

/* A form asks nothing twice, but its Enter says what it would do to the tap. */
static const char *form_hint(const App *app, const Action *action)
{
    FormOwn *own = app_own(app, &SCREEN_FORM);
    if (action->press != PRESS_ENTER || !own->form.becomes[0])
        return NULL;
    snprintf(own->enter, sizeof own->enter, "write: %s", own->form.becomes);
    return own->enter;
}

static void form_screen_draw(const App *app, Area area)
{
    const FormOwn *own = app_own(app, &SCREEN_FORM);
    form_draw(&own->form, area);
    if (own->amends) { /* in place of the gist; the place in a long form stays at the right */
        int col = 3 + width_ofs(own->form.kind->name), cols = area.cols - col - PLACE_COLS;
        area_fill(area_part(area, 0, col, 1, cols), INK_TEXT, " ");
        area_cut(area, 0, col, cols, INK_NOTICE, text_of("amends: the old entry is taken out"));
    }
}

static const Action form_actions[] = {
    {PRESS_ENTER, 0, "write", "write the entry as the form shows it", 1, act_write, 0},
    {PRESS_ESC, 0, "leave", "leave the form; nothing is written", 2, NULL, 0},
    {PRESS_TAB, PRESS_DOWN, "next field", "the next field; Shift-Tab or Up: the one before", 3,
     NULL, 0},
    {PRESS_RIGHT, PRESS_LEFT, "choose", "go through the names or words that a field can hold", 4,
     NULL, 0},
    {PRESS_BACKSPACE, 0, "as typed",
     "put a completed name away and keep what is typed; else rub out", 0, NULL, 0},
    {PRESS_CTRL('U'), 0, "clear", "empty the field", 0, NULL, 0},
};

const Screen SCREEN_FORM = {
    .name = "form",
    .gist = "one entry: each field with its unit, and what it would change",
    .typed = true,
    .actions = form_actions,
    .action_count = sizeof form_actions / sizeof *form_actions,
    .own_size = sizeof(FormOwn),
    .hint = form_hint,
    .close = form_close,
    .told = form_told,
    .tick = form_tick,
    .written = app_close,
    .tried = form_tried_by_log,
    .draw = form_screen_draw,
    .key = form_screen_key,
};
