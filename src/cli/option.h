/* option.h - options as records, and the words of a command line taken apart by them.
 *
 * The syntax is that of POSIX and GNU: "--name value", "--name=value", a unique beginning of a
 * name, "-x value", "-xvalue", "-xy" for flags, options and words in any order, "--" ends the
 * options. A word that begins with '-' and a digit or a point ("-3.5") is a word, so that a negative
 * amount gets the sentence of the amounts and not one about options. "-" alone is a word (standard
 * input).
 */
#ifndef ULLAGE_CLI_OPTION_H
#define ULLAGE_CLI_OPTION_H

#include "base/fault.h"
#include "base/text.h"

typedef enum { TAKES_NOTHING, TAKES_VALUE, TAKES_WHEN_JOINED /* only as --name=value */ } Takes;

typedef struct {
    const char *name; /* long name without "--" */
    char letter;      /* one-letter form, '\0' = none */
    Takes takes;
    const char *value; /* what stands for the value in the help: "FILE"; NULL for flags */
    const char *help;  /* one line */
    int id;            /* what the command knows it by */
} Option;

/* Options in one block; those made at run time from a table of fields are freed with
 * option_list_finish. */
typedef struct {
    Option *options;
    int count;
} OptionList;

void option_list_finish(OptionList *list);

typedef struct {
    int id;
    const char *value; /* NULL where none was given; belongs to argv */
} Given;

/* The words of one command, in order. Zero-initialise; free with arguments_finish. */
typedef struct {
    Given *given;
    int given_count;
    const char **words; /* belong to argv */
    int word_count;
    int taken; /* how many of argv were read: all, or up to the first word */
} Arguments;

/* Is the word an option, where none before it ended them? */
bool option_begins(const char *word);
/* Reads argv[0..argc-1] by the options of the table. With `first_word` it stops at the first word,
 * which is not taken. FAULT_USAGE: an option that is not there (with the nearest), a beginning that
 * fits several, a value that is missing or not wanted. */
bool arguments_read(Arguments *arguments, OptionList known, int argc, char **argv, bool first_word,
                    Fault *fault);
void arguments_finish(Arguments *arguments);

/* The last one given with that id; NULL where it was not. */
const Given *arguments_get(const Arguments *arguments, int id);

#endif
