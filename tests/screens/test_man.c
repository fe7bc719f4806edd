/* man/ullage.1 tells every screen and key, from the tables that the program itself uses. The part
 * between the two marks is made here: ULLAGE_GOLDEN=write rewrites it. */
#include "support/scene.h"

#include <ctype.h>

#define FIRST_MARK ".\\\" From the tables of keys (tests/tui/test_man.c): begin\n"
#define LAST_MARK ".\\\" From the tables of keys: end\n"

/* A key as mdoc takes it: a sign alone is no punctuation here. */
static void man_key(Str *out, Press press)
{
    char name[16];
    press_name(press, name);
    if (strcmp(name, "-") == 0)
        str_adds(out, "\\-");
    else
        str_addf(out, "%s%s", name[1] == '\0' ? "\\&" : "", name);
}

static void man_actions(Str *out, const Action *actions, int count)
{
    if (count == 0)
        return;
    str_adds(out, ".Bl -tag -width Shift-Tab -compact\n");
    for (int i = 0; i < count; i++) {
        str_adds(out, ".It Cm ");
        man_key(out, actions[i].press);
        if (actions[i].other) {
            str_adds(out, " , ");
            man_key(out, actions[i].other);
        }
        str_addf(out, "\n%s\n", actions[i].help);
    }
    str_adds(out, ".El\n");
}

static void man_screen(Str *out, const Screen *screen)
{
    char key[16] = "";
    press_name(screen->press, key);
    str_addf(out, ".Ss %s%s%s\n%c%s.\n", key, key[0] ? " " : "", screen->name,
             toupper((unsigned char)screen->gist[0]), screen->gist + 1);
    man_actions(out, screen->actions, screen->action_count);
}

static void man_keys(Str *out)
{
    static const Screen *const rest[] = {&SCREEN_KINDS, &SCREEN_FORM,      &SCREEN_SUM,
                                         &SCREEN_PLAIN, &SCREEN_SETUP_ASK, &SCREEN_HELP};
    str_adds(out, ".Ss On every screen that is not typed into\n");
    man_actions(out, GENERAL_ACTIONS.actions, GENERAL_ACTIONS.count);
    for (int i = 0; SCREENS.screens[i]; i++)
        man_screen(out, SCREENS.screens[i]);
    for (size_t i = 0; i < sizeof rest / sizeof rest[0]; i++)
        man_screen(out, rest[i]);
}

static void page_read(Str *page)
{
    char part[4096];
    size_t n;
    FILE *file = fopen(MAN "/ullage.1", "r");
    assert_non_null(file);
    while ((n = fread(part, 1, sizeof part, file)) > 0)
        str_add(page, text_slice(part, n));
    fclose(file);
}

static void the_manual_tells_every_screen_and_key_as_the_tables_do(void **unused)
{
    (void)unused;
    Str page = {0}, made = {0};
    page_read(&page);
    man_keys(&made);
    const char *first = strstr(page.s, FIRST_MARK), *last = strstr(page.s, LAST_MARK);
    if (!first || !last || last < first)
        fail_msg("the marks are not in %s/ullage.1", MAN);
    first += strlen(FIRST_MARK);
    Text told = {first, (size_t)(last - first)};
    bool same = told.n == made.n && memcmp(told.s, made.s, made.n) == 0;
    const char *mode = getenv("ULLAGE_GOLDEN");
    if (!same && mode && strcmp(mode, "write") == 0) {
        FILE *file = fopen(MAN "/ullage.1", "w");
        assert_non_null(file);
        fwrite(page.s, 1, (size_t)(first - page.s), file);
        fwrite(made.s, 1, made.n, file);
        fputs(last, file);
        fclose(file);
        same = true;
    }
    if (!same)
        print_message("the tables say\n%s", made.s);
    str_finish(&page);
    str_finish(&made);
    assert_true(same);
}

/* What the form of each key is must not break the page: no line may begin as a macro does. */
static void no_help_reads_as_a_macro(void **unused)
{
    (void)unused;
    Str made = {0};
    man_keys(&made);
    Text rest = {made.s, made.n};
    while (rest.n > 0) {
        Text line = text_cut(&rest, '\n');
        assert_true(line.n > 0);
        bool macro = line.s[0] == '.';
        assert_true(!macro || strncmp(line.s, ".It ", 4) == 0 || strncmp(line.s, ".Ss ", 4) == 0 ||
                    strncmp(line.s, ".Bl ", 4) == 0 || strncmp(line.s, ".El", 3) == 0);
        assert_true(line.s[0] != '\'');
    }
    str_finish(&made);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_manual_tells_every_screen_and_key_as_the_tables_do),
        cmocka_unit_test(no_help_reads_as_a_macro),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
