/* port.h - import and export: JSON Lines and CSV (contract: "Interchange").
 *
 * Import is all or nothing; a bad line is named by file, line and field. Importing the same entries
 * twice changes nothing. Lines are read with bounded memory (a line of more than 64 KiB is
 * refused). JSON is RFC 8259, read strictly: a field twice, null, a number as text are refused. CSV
 * is RFC 4180 with a header line that names the columns; the order of a line stands in one cell
 * with ';' between the labels, or as a JSON list where a label has a ';' in it or begins with '['.
 * An entry without an id gets a new one, in the order of the lines; a time more than a minute after
 * `now` is refused; what the state would not allow is taken, and becomes a discrepancy.
 */
#ifndef ULLAGE_STORE_PORT_H
#define ULLAGE_STORE_PORT_H

#include "store/log.h"

#include <stdio.h>

typedef enum {
    PORT_AUTO,
    PORT_JSON,
    PORT_CSV
} PortFormat; /* auto: CSV where the first line is a CSV header */

/* Called now and then with bytes read; may be NULL. */
typedef void (*PortProgress)(void *context, int64_t bytes, int64_t lines);

typedef struct {
    const char *name; /* for messages: the file's name or "standard input" */
    FILE *file;
} PortInput;

typedef struct {
    const PortInput *inputs;
    int count;
    PortFormat format;
    Moment now;
    bool dry; /* all is done, and then rolled back */
    PortProgress progress;
    void *context;
} PortImport;

/* One transaction for all inputs. *intake is set on success. FAULT_REFUSED: something in the lines,
 * named by file, line and field, also an id that stands for something else already. FAULT_LOG: the
 * log itself. */
bool port_import(Log *log, const PortImport *what, LogIntake *intake, Fault *fault);

/* One entry as a JSON object (json_out.h), without a newline. Appends. */
void port_json(const Event *e, const char *key, Str *out);

/* Exports all entries that match to a stream, in the order of the fold; for a whole log set
 * query.voided, or what was taken back is left out. False with FAULT_LOG when writing fails (disk
 * full), and, all the others being written, where entries were passed over (log_all_read). In CSV a
 * cell that a spreadsheet would take for a formula (= + - @ tab CR first) gets a leading
 * apostrophe, taken off again on import. */
bool port_export(Log *log, const LogQuery *query, PortFormat format, FILE *out, Fault *fault);

#endif
