#include "base/fault.h"

#include "base/text.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { DRAFT_MAX = 2 * FAULT_TEXT_MAX };

/* Copies a draft into a text of FAULT_TEXT_MAX bytes: whole code points only, and nothing that a
 * terminal would act on. */
static void text_settle(char *text, const char *draft)
{
    Text all = text_of(draft);
    size_t at = 0, n = 0;
    while (at < all.n) {
        size_t start = at;
        uint32_t c = text_next(all, &at);
        size_t length = at - start;
        Text one = text_slice(all.s + start, length);
        bool shown = text_is_utf8(one) && !code_acts(c);
        if (n + (shown ? length : 1) > FAULT_TEXT_MAX - 1)
            break;
        if (shown) {
            memcpy(text + n, one.s, length);
            n += length;
        } else {
            text[n++] = '?';
        }
    }
    text[n] = '\0';
}

bool fault_set(Fault *fault, FaultKind kind, const char *format, ...)
{
    if (fault == NULL)
        return false;
    char draft[DRAFT_MAX];
    va_list list;
    va_start(list, format);
    (void)vsnprintf(draft, sizeof draft, format, list);
    va_end(list);
    fault->kind = kind;
    text_settle(fault->text, draft);
    return false;
}

bool fault_prefix(Fault *fault, const char *format, ...)
{
    if (fault == NULL)
        return false;
    char draft[DRAFT_MAX];
    va_list list;
    va_start(list, format);
    (void)vsnprintf(draft, FAULT_TEXT_MAX, format, list);
    va_end(list);
    size_t n = strlen(draft);
    memcpy(draft + n, fault->text, strlen(fault->text) + 1);
    text_settle(fault->text, draft);
    return false;
}

bool fault_suffix(Fault *fault, const char *format, ...)
{
    if (fault == NULL)
        return false;
    char draft[DRAFT_MAX];
    size_t n = strlen(fault->text);
    memcpy(draft, fault->text, n);
    va_list list;
    va_start(list, format);
    (void)vsnprintf(draft + n, sizeof draft - n, format, list);
    va_end(list);
    text_settle(fault->text, draft);
    return false;
}
