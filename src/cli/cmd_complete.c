/* cmd_complete.c - what may stand at the cursor of a command line: asked by the shells.
 *
 * `ullage complete -- WORD...`: the words behind `ullage` up to the cursor, the last one as far as
 * it is typed. A line a candidate: the word, and behind a tab what it is. An empty word stands for
 * the names of files. Says nothing else, writes nothing, waits for nothing.
 */
#include "cli/command.h"

#include "base/memory.h"
#include "cli/help.h"
#include "cli/kind_words.h"
#include "paint/ink.h"
#include "topics/reckoner.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
    const CommandTable *commands;
    const Command *command; /* NULL: none is typed yet */
    Command room;           /* of a kind */
    OptionList made;
    OptionList options;
    const char *path;    /* of the log */
    const Option *wants; /* whose value stands at the cursor; NULL: none */
    const char **words;  /* behind the command, without options and their values */
    int word_count;
    bool ended; /* by -- */
    State *state;
    bool looked, known; /* the state was looked for, and found */
    Text begun;         /* what is typed of the candidate */
    const char *before; /* what stands before it in the same word: "--for=" */
    Str out;
} Typed;

/* ---- candidates ---- */

static void offer(Typed *t, const char *word, const char *help)
{
    if (!text_begins(t->begun, word))
        return;
    str_adds(&t->out, t->before);
    str_add_shown(&t->out, text_of(word), false); /* a log may come from anywhere */
    str_addf(&t->out, "\t%s\n", help);
}

static void offer_choices(Typed *t, const char *const *choices)
{
    for (int i = 0; choices != NULL && choices[i] != NULL; i++)
        offer(t, choices[i], "");
}

/* The words of "event|todo". */
static void offer_split(Typed *t, Text words)
{
    while (words.n > 0) {
        const Text word = text_cut(&words, '|');
        Str one = {0};
        str_add(&one, word);
        offer(t, one.s, "");
        str_finish(&one);
    }
}

static void offer_names(Typed *t, Names names)
{
    static const char *const what[] = {"", "vessel", "line", "stage", "source", "stop"};
    const Label *name;
    if (!t->looked) {
        t->looked = true;
        t->state = memory_get(sizeof *t->state);
        t->known = t->path != NULL && log_peek(t->path, t->state);
    }
    for (int i = 0; t->known && (name = state_name(t->state, names, i)) != NULL; i++)
        if (state_find(t->state, names, name) == i)
            offer(t, name->s, what[names]);
}

static void offer_commands(Typed *t, bool all)
{
    for (int i = 0; i < t->commands->count && all; i++)
        if (!t->commands->commands[i]->hidden)
            offer(t, t->commands->commands[i]->name, t->commands->commands[i]->gist);
    for (int id = 1; id < KIND_END; id++)
        offer(t, kind_of((KindId)id)->name, kind_of((KindId)id)->gist);
}

static void offer_topics(Typed *t)
{
    int count = 0;
    const Topic *const *topics = topics_all(&count);
    for (int i = 0; i < count; i++)
        offer(t, topics[i]->name, topics[i]->gist);
}

static void offer_files(Typed *t)
{
    str_adds(&t->out, "\tfiles\n");
}

/* What a placeholder of a usage line or of an option stands for; other words take anything. */
static void offer_placeholder(Typed *t, Text name)
{
    static const char *const files[] = {"FILE", "FOLDER", "BACKUP", "DAMAGED", "NEW", "OTHER.db"};
    for (size_t i = 0; i < sizeof files / sizeof *files; i++)
        if (text_is(name, files[i]))
            offer_files(t);
    if (text_is(name, "SYSTEM"))
        offer_split(t, text_of("metric|us|imperial"));
    for (int s = 0; text_is(name, "THEME") && s < SCHEME_COUNT; s++)
        offer(t, scheme_name((Scheme)s), "");
    if (text_is(name, "VESSEL"))
        offer_names(t, NAMES_VESSEL);
    if (text_is(name, "LINE"))
        offer_names(t, NAMES_LINE);
    if (text_is(name, "STOP"))
        offer_names(t, NAMES_STOP);
    if (text_is(name, "KIND"))
        offer_commands(t, false);
    if (text_is(name, "COMMAND"))
        offer_commands(t, true);
    if (text_is(name, "TOPIC"))
        offer_topics(t);
    if (name.n > 0 && memchr(name.s, '|', name.n) != NULL)
        offer_split(t, name);
}

static void offer_field(Typed *t, const Field *field)
{
    switch (field->type) {
    case FIELD_CHOICE:
        offer_choices(t, field->choices);
        break;
    case FIELD_LABEL:
    case FIELD_LABELS:
        offer_names(t, field->names);
        break;
    case FIELD_FLAG:
        offer_split(t, text_of("yes|no"));
        break;
    case FIELD_VOLUME:
        if (field->level || field->level_field != 0)
            offer_split(t, text_of("full"));
        if (field->level)
            offer_split(t, text_of("spent|empty"));
        break;
    case FIELD_ENTRY:
        offer(t, "last", "the latest entry");
        break;
    default:
        break;
    }
}

/* ---- values, options, words ---- */

static void offer_value(Typed *t, const Option *option)
{
    const Kind *kind = t->command != NULL ? t->command->kind : NULL;
    if (kind != NULL && option->id >= OPTION_FIELD) {
        offer_field(t, &kind->fields[(option->id - OPTION_FIELD) / WAYS]);
        return;
    }
    const Topic *topic = t->command == &command_reckon && t->word_count > 0
                             ? topic_named(text_of(t->words[0]))
                             : NULL;
    for (int i = 0; topic != NULL && i < topic->field_count; i++) {
        if (strcmp(topic->fields[i].option, option->name) == 0) {
            offer_choices(t, topic->fields[i].choices);
            return;
        }
    }
    offer_placeholder(t, text_of(option->value));
}

static void offer_options(Typed *t)
{
    const Kind *kind = t->command != NULL ? t->command->kind : NULL;
    t->begun = text_slice(t->begun.s + 2, t->begun.n < 2 ? 0 : t->begun.n - 2);
    t->before = "--";
    for (int i = 0; i < t->options.count; i++)
        if (kind == NULL || kind_option_told(kind, t->options.options[i].id) || t->begun.n > 0)
            offer(t, t->options.options[i].name, t->options.options[i].help);
}

/* Words of a kind: the fields at the next position; where several vessels may be named, those too.
 */
static void offer_kind_word(Typed *t, const Kind *kind)
{
    const int last = kind_positions(kind), next = t->word_count + 1;
    for (int f = 0; f < kind->field_count; f++) {
        const Field *field = &kind->fields[f];
        const bool list = field->type == FIELD_LABELS && field->position <= next;
        if (field->position != 0 && (field->position == (next < last ? next : last) || list ||
                                     (kind->several && field->position == 1)))
            offer_field(t, field);
    }
}

/* The n-th word of a usage line, "LINE [FILE]"; a last one with dots stands for all further ones.
 */
static void offer_usage_word(Typed *t, const char *usage)
{
    Text rest = text_of(usage), word = {0};
    for (int i = 0; i <= t->word_count && rest.n > 0; i++)
        word = text_cut(&rest, ' ');
    while (word.n > 0 && (word.s[0] == '['))
        word = text_slice(word.s + 1, word.n - 1);
    while (word.n > 0 && (word.s[word.n - 1] == ']' ||
                          (word.s[word.n - 1] == '.' && word.n > 3 && word.s[word.n - 2] == '.')))
        word.n--;
    if (word.n > 0 && word.s[word.n - 1] == '.')
        word.n--;
    offer_placeholder(t, word);
}

/* ---- what is typed already ---- */

static const Option *option_of(const Typed *t, Text name)
{
    const Option *only = NULL;
    int found = 0;
    for (int i = 0; i < t->options.count; i++) {
        const Text full = text_of(t->options.options[i].name);
        if (text_equal(full, name))
            return &t->options.options[i];
        if (name.n > 0 && name.n < full.n && memcmp(full.s, name.s, name.n) == 0) {
            only = &t->options.options[i];
            found++;
        }
    }
    return found == 1 ? only : NULL;
}

static void options_of(Typed *t, int argc, const char **argv)
{
    const Command *c = t->command;
    int own = 0;
    const Option *alone = options_alone(&own);
    option_list_finish(&t->options);
    option_list_finish(&t->made);
    if (c == NULL) {
        t->options = options_join(alone, own, true);
        return;
    }
    char **words = memory_get(((size_t)argc + 1) * sizeof *words);
    if (argc > 0)
        memcpy(words, argv, (size_t)argc * sizeof *words);
    if (c->made != NULL)
        t->made = c->made(c, argc, words);
    free(words);
    t->options = t->made.options != NULL ? options_join(t->made.options, t->made.count, c->looks)
                                         : options_join(c->options, c->option_count, c->looks);
}

static bool is_option(const Typed *t, const char *word)
{
    return !t->ended && option_begins(word);
}

/* A word before the last. False: no such command, so nothing can be said. */
static bool word_take(Typed *t, int *i, int count, const char **words)
{
    const char *word = words[*i];
    if (!t->ended && strcmp(word, "--") == 0) {
        t->ended = true;
    } else if (is_option(t, word)) {
        const char *equals = strchr(word, '=');
        const Option *option =
            word[1] == '-' && equals == NULL ? option_of(t, text_of(word + 2)) : NULL;
        if (equals != NULL && strncmp(word, "--log=", 6) == 0)
            t->path = equals + 1;
        if (option == NULL || option->takes != TAKES_VALUE)
            return true;
        if (*i + 1 == count - 1)
            t->wants = option;
        else if (option->id == OPTION_LOG)
            t->path = words[*i + 1];
        ++*i;
    } else if (t->command == NULL) {
        Fault ignored = {0};
        t->command = command_named(t->commands, text_of(word), &t->room, &ignored);
        if (t->command == NULL)
            return false;
        options_of(t, count - *i - 1, words + *i + 1);
    } else {
        t->words[t->word_count++] = word;
    }
    return true;
}

static void last_offer(Typed *t, const char *word)
{
    const char *equals = strchr(word, '=');
    t->begun = text_of(word);
    t->before = "";
    if (t->wants != NULL) {
        offer_value(t, t->wants);
    } else if (is_option(t, word) && word[1] == '-' && equals != NULL) {
        const Option *option = option_of(t, text_slice(word + 2, (size_t)(equals - word - 2)));
        Str before = {0};
        str_add(&before, text_slice(word, (size_t)(equals + 1 - word)));
        t->before = before.s;
        t->begun = text_of(equals + 1);
        if (option != NULL && option->takes != TAKES_NOTHING)
            offer_value(t, option);
        str_finish(&before);
    } else if (is_option(t, word) || (!t->ended && strcmp(word, "-") == 0)) {
        offer_options(t);
    } else if (t->command == NULL) {
        offer_commands(t, true);
    } else if (t->command->kind != NULL) {
        offer_kind_word(t, t->command->kind);
    } else {
        offer_usage_word(t, t->command->words);
    }
}

static bool run_complete(Session *session, Fault *fault)
{
    (void)fault;
    const int count = session->arguments.word_count;
    const char **words = session->arguments.words;
    Typed *t = memory_get(sizeof *t);
    t->commands = session->commands;
    t->path = session->path.s;
    t->words = memory_get(((size_t)count + 1) * sizeof *t->words);
    options_of(t, 0, NULL);
    bool good = true;
    for (int i = 0; i < count - 1 && good; i++)
        good = word_take(t, &i, count, words);
    if (good && count > 0)
        last_offer(t, words[count - 1]);
    if (t->out.n > 0)
        fwrite(t->out.s, 1, t->out.n, stdout);
    str_finish(&t->out);
    option_list_finish(&t->options);
    option_list_finish(&t->made);
    free(t->words);
    free(t->state);
    free(t);
    return true;
}

const Command command_complete = {
    .name = "complete",
    .gist = "What may stand at the cursor of a command line, for the shells",
    .words = "[WORD...]",
    .more = "The words behind ullage as far as they are typed stand behind --. A line a "
            "candidate; an empty one stands for names of files.",
    .hidden = true,
    .words_max = -1,
    .run = run_complete,
};
