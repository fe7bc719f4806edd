#include "cli/option.h"

#include "base/label.h"
#include "base/memory.h"

#include <stdlib.h>
#include <string.h>

/* Of what was typed a part may be missing ("--drry"): a beginning may be near too. */
static int option_distance(Text name, Text full)
{
    const int whole = text_distance(name, full, 3);
    if (name.n < 3 || full.n <= name.n)
        return whole;
    const int begin = text_distance(name, text_slice(full.s, name.n), 3);
    return begin < whole ? begin : whole;
}

static const Option *option_nearest(const Option *options, int n, Text name)
{
    const Option *best = NULL;
    int distance = name.n <= 4 ? 2 : 3;
    for (int i = 0; i < n; i++) {
        const int d = option_distance(name, text_of(options[i].name));
        if (d < distance) {
            distance = d;
            best = &options[i];
        }
    }
    return best;
}

/* The option of that name, or the only one that begins so. */
static const Option *option_find(const Option *options, int n, Text name, Fault *fault)
{
    const Option *only = NULL, *second = NULL;
    for (int i = 0; i < n; i++) {
        const Text full = text_of(options[i].name);
        if (text_equal(full, name))
            return &options[i];
        if (name.n == 0 || name.n > full.n || memcmp(full.s, name.s, name.n) != 0)
            continue;
        if (only == NULL)
            only = &options[i];
        else
            second = &options[i];
    }
    if (second != NULL) {
        fault_set(fault, FAULT_USAGE, "--%.*s may mean --%s or --%s: write it out.", (int)name.n,
                  name.s, only->name, second->name);
        return NULL;
    }
    if (only != NULL)
        return only;
    const Option *near = option_nearest(options, n, name);
    fault_set(fault, FAULT_USAGE, "There is no option --%.*s here.", (int)name.n, name.s);
    if (near != NULL)
        fault_suffix(fault, " Did you mean --%s?", near->name);
    return NULL;
}

static const Option *option_lettered(const Option *options, int n, char letter, Fault *fault)
{
    for (int i = 0; i < n; i++)
        if (options[i].letter == letter)
            return &options[i];
    fault_set(fault, FAULT_USAGE, "There is no option -%c here.", letter);
    return NULL;
}

static void given_add(Arguments *a, const Option *option, const char *value)
{
    a->given[a->given_count++] = (Given){option->id, value};
}

/* Where the reading of a command line stands. */
typedef struct {
    OptionList known;
    int argc;
    char **argv;
    int i; /* the word that is read */
    Arguments *out;
} Reader;

/* The value of an option whose own word does not hold it: the next word. NULL where there is none.
 */
static const char *next_word(Reader *r)
{
    return r->i + 1 < r->argc ? r->argv[++r->i] : NULL;
}

/* One "--name", "--name=value" or "--name value". */
static bool read_long(Reader *r, Fault *fault)
{
    const char *name = r->argv[r->i] + 2;
    const char *equals = strchr(name, '=');
    const Text text = text_slice(name, equals != NULL ? (size_t)(equals - name) : strlen(name));
    const Option *option = option_find(r->known.options, r->known.count, text, fault);
    if (option == NULL)
        return false;
    const char *value = equals != NULL ? equals + 1 : NULL;
    if (option->takes == TAKES_NOTHING && value != NULL)
        return fault_set(fault, FAULT_USAGE, "--%s takes no value.", option->name);
    if (option->takes == TAKES_VALUE && value == NULL && (value = next_word(r)) == NULL)
        return fault_set(fault, FAULT_USAGE, "--%s needs its value: --%s %s.", option->name,
                         option->name, option->value);
    given_add(r->out, option, value);
    return true;
}

/* "-x", "-xy", "-x value", "-xvalue". */
static bool read_letters(Reader *r, Fault *fault)
{
    for (const char *c = r->argv[r->i] + 1; *c != '\0'; c++) {
        const Option *option = option_lettered(r->known.options, r->known.count, *c, fault);
        if (option == NULL)
            return false;
        if (option->takes != TAKES_VALUE) {
            given_add(r->out, option, NULL);
            continue;
        }
        const char *value = c[1] != '\0' ? c + 1 : next_word(r);
        if (value == NULL)
            return fault_set(fault, FAULT_USAGE, "-%c needs its value: -%c %s.", *c, *c,
                             option->value);
        given_add(r->out, option, value);
        return true;
    }
    return true;
}

bool option_begins(const char *word)
{
    return word[0] == '-' && word[1] != '\0' && !is_digit(word[1]) && word[1] != '.';
}

bool arguments_read(Arguments *a, OptionList known, int argc, char **argv, bool first_word,
                    Fault *fault)
{
    Reader r = {.known = known, .argc = argc, .argv = argv, .out = a};
    /* "-xyz" can give as many options as it has letters. */
    size_t letters = 1;
    for (int i = 0; i < argc; i++)
        letters += strlen(argv[i]);
    a->given = memory_get(letters * sizeof *a->given);
    a->words = memory_get(((size_t)argc + 1) * sizeof *a->words);
    bool ended = false;
    for (; r.i < argc; r.i++) {
        const char *word = argv[r.i];
        if (!ended && strcmp(word, "--") == 0) {
            ended = true;
        } else if (ended || !option_begins(word)) {
            if (first_word)
                break;
            a->words[a->word_count++] = word;
        } else if (word[1] == '-' ? !read_long(&r, fault) : !read_letters(&r, fault)) {
            return false;
        }
    }
    a->taken = r.i;
    return true;
}

void arguments_finish(Arguments *a)
{
    free(a->given);
    free(a->words);
    *a = (Arguments){0};
}

const Given *arguments_get(const Arguments *a, int id)
{
    for (int i = a->given_count - 1; i >= 0; i--)
        if (a->given[i].id == id)
            return &a->given[i];
    return NULL;
}

void option_list_finish(OptionList *list)
{
    free(list->options);
    *list = (OptionList){0};
}
