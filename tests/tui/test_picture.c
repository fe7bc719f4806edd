/* README's picture is the demo's board, cell by cell: share/board.svg. ULLAGE_GOLDEN=write draws it
 * anew. */
#include "support/scene.h"

#include "store/port.h"
#include "support/svg.h"
#include "tui/grant.h"

static void demo_read(Log *log)
{
    Fault fault = {0};
    LogIntake intake = {0};
    PortInput input = {"demo.jsonl", fopen(SHARE "/demo.jsonl", "rb")};
    assert_non_null(input.file);
    const PortImport what = {.inputs = &input, .count = 1, .now = {MOMENT_MAX_MS}};
    if (!port_import(log, &what, &intake, &fault))
        fail_msg("%s", fault.text);
    fclose(input.file);
}

/* What `ullage demo` shows at its story's place: twenty minutes after its last entry. */
static void the_picture_is_the_board_of_the_demo(void **unused)
{
    (void)unused;
    Fault fault = {0};
    Event last;
    Str svg = {0};
    Grant grant;
    Scene *scene = scene_open(24, 80, SCHEME_DEFAULT, ALPHABET_UTF8);
    Log *log = log_open("", LOG_SCRATCH, &fault);
    assert_non_null(log);
    setenv("TZ", "CET-1", 1);
    tzset();
    demo_read(log);
    assert_true(log_find(log, text_of("last"), &last, &fault));
    scene->app->demo = true;
    grant_init(&grant, log, scene->app);
    assert_true(grant_first(&grant, (Moment){last.at.ms + 20 * MS_PER_MINUTE}, &fault));
    assert_true(scene_shows(scene, "galley tap"));
    svg_of_sheet(&scene->sheet, "The board of the demo's log, Tue 24 Nov 18:30", &svg);
    golden_file(SHARE "/board.svg", &svg);
    grant_finish(&grant);
    log_close(log);
    str_finish(&svg);
    scene_close(scene);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(the_picture_is_the_board_of_the_demo)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
