/* press.h - a key as the screens see it: a character typed, or one of the few named keys.
 *
 * A Press below 0x110000 is a Unicode code point (Ctrl-L is 12). The named keys lie above Unicode,
 * so that no typed character can be taken for one of them.
 */
#ifndef ULLAGE_TUI_PRESS_H
#define ULLAGE_TUI_PRESS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef uint32_t Press;

#define PRESS_CTRL(letter) ((Press)(letter)&0x1fu)
enum {
    PRESS_NONE = 0,
    PRESS_TAB = 0x09,
    PRESS_NAMED = 0x110000,
    PRESS_ENTER,
    PRESS_ESC,
    PRESS_BACKTAB,
    PRESS_BACKSPACE,
    PRESS_DELETE,
    PRESS_UP,
    PRESS_DOWN,
    PRESS_LEFT,
    PRESS_RIGHT,
    PRESS_HOME,
    PRESS_END,
    PRESS_PAGE_UP,
    PRESS_PAGE_DOWN,
    PRESS_CLICK /* of the mouse: the loop asks where */
};

/* A character that can stand in a text field: no named key and none that acts (code_acts,
 * base/text.h). What is pasted loses those. */
bool press_is_text(Press press);
/* UTF-8 of a text press; returns the bytes written (1..4), 0 where it is not text. `out` of at
 * least 5 bytes, terminated. */
size_t press_utf8(Press press, char *out);
/* The key's name for help and hints: "f", "Enter", "Esc", "Ctrl-L", "Up", "Space". `out` of at
 * least 16 bytes; returns `out`. */
char *press_name(Press press, char *out);

#endif
