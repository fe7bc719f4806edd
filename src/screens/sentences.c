#include "screens/sentences.h"

#include "paint/width.h"

#include <stdio.h>
#include <string.h>

enum { PAIRED_COLS = 76 };

void sentences_init(Sentences *s, Words *words, int count, int columns, bool drawn_stages)
{
    s->words = words;
    s->count = count;
    s->columns = columns;
    s->caption = columns >= 50 ? 12 : 10;
    s->drawn_stages = drawn_stages;
}

/* What gives way first has the highest number. `nth`: the how many-th of its sort. */
static int rank_of(const Words *words, int nth)
{
    switch (words->about) {
    case WORDS_RUNS:
    case WORDS_WATER:
        return 0;
    case WORDS_RESERVE:
        return 1;
    case WORDS_ALERT:
        return nth == 0 ? 2 : nth < 3 ? 5 : 10;
    case WORDS_DUE:
        if (words->strong == 0)
            return 11; /* not due yet */
        return nth == 0 ? 3 : nth < 3 ? 10 : 14;
    case WORDS_STAGES:
        return 4;
    case WORDS_STOP:
        return nth == 0 ? 6 : 15;
    case WORDS_LAST:
        return nth == 0 ? 7 : nth == 1 ? 12 : 16;
    case WORDS_EXPECTED:
        return 8;
    case WORDS_APART:
    case WORDS_USE:
        return 9;
    case WORDS_NOTICE:
        return (words->alert & ALERT_ASKS) != 0 ? 5 : 13;
    case WORDS_TAP:
    case WORDS_CLASS:
    case WORDS_LASTS:
    case WORDS_PARTS:
    case WORDS_LEFT:
    case WORDS_LIMITS:
        break;
    }
    return 17;
}
enum { RANKS = 18 };

static int text_cols(const Sentences *s, const Words *words)
{
    return s->columns - s->caption - 1 - (words->marked ? 2 : 0);
}

static int full_rows(const Sentences *s, const Words *words)
{
    int rows = words->about == WORDS_LAST ? 1 /* the log screen has it in full */
                                          : width_lines(text_of(words->text), text_cols(s, words));
    return rows < 1 ? 1 : rows;
}

/* Where a second sentence begins behind a short one: in the middle, or further right. */
static int beside_col(const Sentences *s, int left)
{
    int end = s->caption + width_ofs(s->words[left].text) + 3, middle = s->columns * 5 / 9;
    return end > middle ? end : middle;
}

/* Two short sentences in one row: the reserve and what is apart, the stop and the crew. */
static bool pairs(const Sentences *s, int left, int right)
{
    WordsAbout a = s->words[left].about, b = s->words[right].about;
    if (s->columns < PAIRED_COLS ||
        !((a == WORDS_RESERVE && b == WORDS_APART) || (a == WORDS_STOP && b == WORDS_USE)))
        return false;
    return beside_col(s, left) + width_ofs(s->words[right].caption) + 2 +
               width_ofs(s->words[right].text) <
           s->columns;
}

/* One row to each sentence of the ranks from..to that has none yet, as long as there are any. */
static int share_first(Sentences *s, int from, int to, int rows)
{
    for (int rank = from; rank <= to; rank++) {
        int nth = 0;
        for (int i = 0; i < s->count; i++) {
            nth = i > 0 && s->words[i].about == s->words[i - 1].about ? nth + 1 : 0;
            if (rank_of(&s->words[i], nth) != rank ||
                (s->drawn_stages && s->words[i].about == WORDS_STAGES))
                continue;
            if (i > 0 && s->rows[i - 1] > 0 && pairs(s, i - 1, i)) {
                s->beside[i] = true;
                s->rows[i] = 1;
            } else if (rows > 0) {
                s->rows[i] = 1;
                rows--;
            }
        }
    }
    return rows;
}

/* The rows that a sentence lacks to be read in full. */
static int share_rest(Sentences *s, int from, int to, int rows)
{
    for (int rank = from; rank <= to; rank++) {
        int nth = 0;
        for (int i = 0; i < s->count; i++) {
            nth = i > 0 && s->words[i].about == s->words[i - 1].about ? nth + 1 : 0;
            if (rank_of(&s->words[i], nth) != rank || s->rows[i] == 0 || s->beside[i])
                continue;
            int want = full_rows(s, &s->words[i]) - s->rows[i];
            if (want > rows)
                want = rows;
            s->rows[i] += want;
            rows -= want;
        }
    }
    return rows;
}

int sentences_share(Sentences *s, int rows)
{
    enum { IN_FULL = 5, WANTED = 7, LAST = RANKS - 1, ROOMY_ROWS = 9 };
    int left = rows;
    memset(s->rows, 0, sizeof s->rows);
    memset(s->beside, 0, sizeof s->beside);
    left = share_first(s, 0, IN_FULL, left);
    if (rows >= ROOMY_ROWS) { /* the next stop and the latest entry keep their rows */
        left = share_first(s, IN_FULL + 1, WANTED, left);
        left = share_rest(s, 0, IN_FULL, left);
    } else {
        left = share_rest(s, 0, IN_FULL, left);
        left = share_first(s, IN_FULL + 1, WANTED, left);
    }
    left = share_first(s, WANTED + 1, LAST, left);
    left = share_rest(s, IN_FULL + 1, LAST, left);
    return rows - left;
}

static int left_out(const Sentences *s, WordsAbout about)
{
    int n = 0;
    for (int i = 0; i < s->count; i++)
        n += s->words[i].about == about && s->rows[i] == 0;
    return n;
}

/* The last one of its sort that is shown. */
static bool is_last_shown(const Sentences *s, int i)
{
    for (int k = i + 1; k < s->count && s->words[k].about == s->words[i].about; k++)
        if (s->rows[k] > 0)
            return false;
    return true;
}

/* How many of its sort are left out is said where the last one stands; returns the column before
 * which the sentence ends. */
static int draw_left_out(const Sentences *s, int i, Area area, int row)
{
    const WordsAbout about = s->words[i].about;
    const int end = area.cols - 1, out = left_out(s, about);
    if (out == 0 || !is_last_shown(s, i) ||
        (about != WORDS_ALERT && about != WORDS_DUE && about != WORDS_NOTICE))
        return end;
    char more[48];
    snprintf(more, sizeof more, "+%d: t", out);
    area_puts(area, row, end - width_ofs(more), INK_KEY, more);
    return end - width_ofs(more) - 1;
}

/* In one row that it does not fit: the reason goes first, then what to do. */
static void draw_brief(const Words *words, Area text, int col)
{
    const char *why = strstr(words->text, " (");
    const size_t n = why != NULL ? (size_t)(why - words->text) : strlen(words->text);
    const Text what = text_slice(words->text, n);
    const int room = text.cols - col;
    const int at = area_cut(text, 0, col, room, ink_of_tone(words->tone),
                            width_of(what) <= room ? what : text_of(words->brief));
    if (at < text.cols) /* there is more to say */
        area_glyph(text, 0, at, INK_QUIET, GLYPH_CUT);
}

static void draw_wrapped(const Words *words, Area text, int col, int rows)
{
    const char *strong_end = words->text + words->strong;
    Text rest = text_of(words->text), line;
    for (int r = 0; r < rows && width_wrap(&rest, text.cols - col, &line); r++) {
        const bool cut = r == rows - 1 && text_trim(rest).n > 0;
        if (cut && width_of(line) >= text.cols - col)
            line = width_take(line, text.cols - col - 1);
        int at = col;
        if (line.s < strong_end) {
            Text strong = line;
            if (strong.s + strong.n > strong_end)
                strong.n = (size_t)(strong_end - strong.s);
            at = area_put(text, r, at, ink_of_tone(words->tone), strong);
            line = text_slice(line.s + strong.n, line.n - strong.n);
        }
        at = area_put(text, r, at, words->about == WORDS_LAST ? INK_QUIET : INK_TEXT, line);
        if (cut)
            area_glyph(text, r, at, INK_QUIET, GLYPH_CUT);
    }
}

static void draw_sentence(const Sentences *s, int i, const char *caption, Area area, int row)
{
    const Words *words = &s->words[i];
    const Ink ink = ink_of_tone(words->tone);
    int col = s->caption, left = 1;
    if (s->beside[i]) {
        left = beside_col(s, i - 1);
        col = left + width_ofs(caption) + 2;
    }
    area_cut(area, row, left, col - left - 1,
             words->about == WORDS_ALERT && words->marked ? ink : INK_QUIET, text_of(caption));
    if (words->marked) {
        area_glyph(area, row, col, ink_of_alert_mark(words->tone), glyph_of_tone(words->tone));
        col += 2;
    }
    const int end = draw_left_out(s, i, area, row);
    const Area text = area_cols(area_rows(area, row, s->rows[i]), 0, end);
    if (words->brief[0] && s->rows[i] == 1 && width_ofs(words->text) > end - col)
        draw_brief(words, text, col);
    else
        draw_wrapped(words, text, col, s->rows[i]);
}

void sentences_draw(const Sentences *s, Area area)
{
    int row = 0, last = -1;
    const char *shown = "";
    for (int i = 0; i < s->count; i++) {
        const char *caption = s->words[i].caption;
        if (s->rows[i] == 0)
            continue;
        if (s->beside[i] && last >= 0)
            row -= s->rows[last];
        bool again = strcmp(shown, caption) == 0 && !s->beside[i];
        draw_sentence(s, i, again ? "" : caption, area, row);
        shown = caption;
        row += s->beside[i] ? s->rows[last] : s->rows[i];
        if (!s->beside[i])
            last = i;
    }
}

int sentences_want(Sentences *s)
{
    sentences_share(s, 1000);
    int want = 0, nth = 0;
    for (int i = 0; i < s->count; i++) {
        nth = i > 0 && s->words[i].about == s->words[i - 1].about ? nth + 1 : 0;
        if (s->rows[i] > 0 && !s->beside[i] && rank_of(&s->words[i], nth) <= 12)
            want += s->rows[i];
    }
    return want;
}
