/* sync_line.h - a line of a file of the shared folder, from and to text. Private to src/store.
 *
 * Each line is one JSON object that ends in a member "seal" of eight hexadecimal digits: of an
 * entry its own seal (model/seal.h), else CRC-32C of the bytes before that member. The first line
 * says whose file it is; entries are those of the interchange; from time to time a line says when
 * it was written, and what its writer has seen of the others. */
#ifndef ULLAGE_STORE_SYNC_LINE_H
#define ULLAGE_STORE_SYNC_LINE_H

#include "model/event.h"
#include "model/seal.h"
#include "store/json.h"

enum { MACHINE_DIGITS = 12, SEEN_MAX = 64 };

/* The random name of a machine: hexadecimal digits, of which the first six stand in its ids. */
typedef struct {
    char s[MACHINE_DIGITS + 1];
} Machine;

bool machine_make(Machine *machine, Fault *fault);
bool machine_read(Text text, Machine *machine); /* false where it is none */
uint32_t machine_mark(const Machine *machine);  /* as uuid_mark gives it */

/* How many entries the files of a machine had, and the sum of their seals. */
typedef struct {
    Machine machine;
    Tally tally;
} Seen;

typedef enum { SYNC_HEADER, SYNC_ENTRY, SYNC_SEEN } SyncLineType;

typedef struct {
    SyncLineType type;
    Machine machine; /* SYNC_HEADER */
    Event e;         /* SYNC_ENTRY */
    Moment at;       /* SYNC_SEEN */
    Seen seen[SEEN_MAX];
    int seen_count;
} SyncLine;

/* Reads one line without its newline. FAULT_REFUSED: it is cut, damaged, of a newer version, or an
 * entry that no import would take; how far ahead its time lies is not asked. */
bool sync_line_read(JsonReader *reader, Text line, SyncLine *out, Fault *fault);

/* Each adds a line with its newline. */
void sync_line_header(const Machine *machine, Str *out);
void sync_line_entry(const Event *e, Str *out);
void sync_line_seen(Moment at, const Seen *seen, int count, Str *out);

#endif
