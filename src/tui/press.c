#include "tui/press.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

bool press_is_text(Press press)
{
    return !code_acts(press) && !(press >= 0xd800 && press < 0xe000) && press < PRESS_NAMED;
}

size_t press_utf8(Press press, char *out)
{
    size_t n = 0;
    if (press_is_text(press)) {
        if (press < 0x80) {
            out[n++] = (char)press;
        } else if (press < 0x800) {
            out[n++] = (char)(0xc0 | press >> 6);
            out[n++] = (char)(0x80 | (press & 0x3f));
        } else if (press < 0x10000) {
            out[n++] = (char)(0xe0 | press >> 12);
            out[n++] = (char)(0x80 | (press >> 6 & 0x3f));
            out[n++] = (char)(0x80 | (press & 0x3f));
        } else {
            out[n++] = (char)(0xf0 | press >> 18);
            out[n++] = (char)(0x80 | (press >> 12 & 0x3f));
            out[n++] = (char)(0x80 | (press >> 6 & 0x3f));
            out[n++] = (char)(0x80 | (press & 0x3f));
        }
    }
    out[n] = '\0';
    return n;
}

char *press_name(Press press, char *out)
{
    static const struct {
        Press press;
        const char *name;
    } named[] = {{PRESS_TAB, "Tab"},
                 {PRESS_ENTER, "Enter"},
                 {PRESS_ESC, "Esc"},
                 {PRESS_BACKTAB, "Shift-Tab"},
                 {PRESS_BACKSPACE, "Backspace"},
                 {PRESS_DELETE, "Delete"},
                 {PRESS_UP, "Up"},
                 {PRESS_DOWN, "Down"},
                 {PRESS_LEFT, "Left"},
                 {PRESS_RIGHT, "Right"},
                 {PRESS_HOME, "Home"},
                 {PRESS_END, "End"},
                 {PRESS_PAGE_UP, "Page Up"},
                 {PRESS_PAGE_DOWN, "Page Down"},
                 {' ', "Space"}};
    out[0] = '\0';
    for (size_t i = 0; i < sizeof named / sizeof *named; i++)
        if (named[i].press == press)
            snprintf(out, 16, "%s", named[i].name);
    if (out[0])
        return out;
    if (press > 0 && press < 0x20)
        snprintf(out, 16, "Ctrl-%c", (int)(press | 0x40));
    else
        press_utf8(press, out);
    return out;
}
