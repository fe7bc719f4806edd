#include "screens/words.h"

#include "model/tell.h"
#include "paint/width.h"

#include <stdio.h>
#include <string.h>

Ink ink_of_tone(Tone tone)
{
    static const Ink inks[] = {
        [TONE_TEXT] = INK_TEXT,    [TONE_QUIET] = INK_QUIET,     [TONE_STRONG] = INK_STRONG,
        [TONE_BAND] = INK_BAND,    [TONE_GOOD] = INK_GOOD,       [TONE_NOTICE] = INK_NOTICE,
        [TONE_CAUTION] = INK_SOON, [TONE_WARNING] = INK_WARNING,
    };
    return inks[tone];
}

Glyph glyph_of_tone(Tone tone)
{
    return tone == TONE_WARNING   ? GLYPH_MARK_WARNING
           : tone == TONE_CAUTION ? GLYPH_MARK_CAUTION
                                  : GLYPH_MARK_NOTICE;
}

Ink ink_of_alert_mark(Tone tone)
{
    return tone == TONE_WARNING ? INK_WARNING : INK_TEXT;
}

Ink words_verdict_ink(const BoardLine *line)
{
    switch (line->delivers ? line->verdict : VERDICT_NONE) {
    case VERDICT_DRINK:
        return line->tainted || line->leant || line->doubt.stale || line->doubt.residual_low ||
                       line->doubt.residual_high || (line->doubt.marks & ~MARK_ASSERTED) != 0
                   ? INK_VERDICT_CARE
                   : INK_VERDICT_GOOD;
    case VERDICT_DRINK_IF_TREATED:
    case VERDICT_BOIL_FIRST:
        return INK_VERDICT_CARE;
    case VERDICT_NONE:
    case VERDICT_WASH_ONLY:
        break;
    }
    return INK_VERDICT_BAD;
}

Ink ink_of_residual(Residual residual)
{
    return residual == RESIDUAL_GOOD ? INK_TEXT : INK_CAUTION;
}

const char *words_class(const App *app, Quality quality, int columns)
{
    static const char *const shorter[][CLASS_COUNT] = {
        {"pot.", "quest.", "non-p."},
        {"pot.", "quest", "non-p"},
        {"pot.", "que.", "non."},
    };
    if (columns >= width_ofs(quality_name(quality)))
        return quality_name(quality);
    if (columns >= 8)
        return quality_short(quality);
    if (columns >= 4)
        return shorter[columns >= 6 ? 0 : 6 - columns][quality];
    return glyph(app->alphabet, glyph_mark(quality));
}

const char *words_class_marked(const App *app, const BoardVessel *vessel, int columns, char *out)
{
    const char *sign = raw_told(vessel)   ? glyph(app->alphabet, GLYPH_MARK_RAW)
                       : vessel->asserted ? glyph(app->alphabet, GLYPH_MARK_ASSERTED)
                                          : "";
    snprintf(out, 64, "%s%s", words_class(app, vessel->quality, columns - width_ofs(sign)), sign);
    return out;
}

static void last_entry(const App *app, const Entry *entry, Words *words)
{
    char when[64];
    Str line = {0};
    *words = (Words){.about = WORDS_LAST, .caption = "Last", .tone = TONE_QUIET};
    event_tell(&entry->event, app->units, true, &line);
    words->strong = strlen(app_time(app, entry->event.at, when));
    snprintf(words->text, sizeof words->text, "%s %s", when, line.s != NULL ? line.s : "");
    str_finish(&line);
}

/* The keys of the board in the place of the words that begin what to do. Where there is no room for
 * the whole, what stands before `briefly` (NULL: nothing) and the keys are left of it. */
static void acts_put(Words *words, const char *todo, const char *briefly, const char *keys)
{
    const char *act = strstr(words->text, todo);
    const char *about = briefly != NULL ? strstr(words->text, briefly) : NULL;
    const size_t at = act != NULL ? (size_t)(act - words->text) : strlen(words->text);
    snprintf(words->text + at, WORDS_TEXT - at, "%s", keys);
    words->brief[0] = '\0';
    if (about != NULL)
        snprintf(words->brief, sizeof words->brief, "%.*s:%.*s", (int)(about - words->text),
                 words->text, (int)strcspn(keys, "."), keys);
}

int app_words(const App *app, Words out[APP_WORDS_MAX])
{
    int count = words_of(&app->board, app->units, out);
    for (int i = 0; i < count; i++) {
        const size_t n = strlen(out[i].text);
        if ((out[i].alert & ALERT_TWICE) != 0)
            acts_put(&out[i], " Take it back", NULL, " b takes it back, y keeps both.");
        else if ((out[i].alert & ALERT_DIFFERS) != 0)
            snprintf(out[i].text + n, WORDS_TEXT - n, " 2, then D, shows them.");
        if ((out[i].alert & ALERT_PASSED) != 0)
            acts_put(&out[i], " Log the fills", " was planned", " r refilled, m move, x drop.");
    }
    for (int i = 0; i < app->recent_count; i++)
        last_entry(app, &app->recent[i], &out[count++]);
    return count;
}
