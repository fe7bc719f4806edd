#include "store/port.h"

#include "store/intake.h"
#include "store/lines.h"
#include "store/port_csv.h"
#include "store/port_json.h"

#include <errno.h>
#include <string.h>

/* Lines between two calls of the progress hook. */
enum { PROGRESS_LINES = 2048 };

typedef struct {
    Intake *intake;
    Lines *lines;
    const PortImport *what;
    int64_t bytes, done; /* of the inputs before; lines of all */
} Import;

static bool entry_in(Import *import, Event *e, Fault *fault)
{
    if (uuid_is_nil(&e->id) && !log_new_id(import->intake->log, import->what->now, &e->id, fault))
        return false;
    if (!intake_put(import->intake, e, event_seal(e), fault))
        return false;
    if (++import->done % PROGRESS_LINES == 0 && import->what->progress != NULL)
        import->what->progress(import->what->context, import->bytes + import->lines->bytes,
                               import->done);
    return true;
}

static bool json_lines(Import *import, int64_t *line, Fault *fault)
{
    Event e;
    Text text;
    bool end;
    for (;;) {
        bool good = lines_next(import->lines, &text, &end, fault);
        *line = import->lines->number;
        if (!good)
            return false;
        if (end)
            return true;
        while (text_starts(text, "\xEF\xBB\xBF")) /* files that were put together keep theirs */
            text = text_slice(text.s + 3, text.n - 3);
        if (text_trim(text).n == 0)
            continue;
        if (!json_entry(&import->intake->log->json, text, import->what->now, &e, fault) ||
            !entry_in(import, &e, fault))
            return false;
    }
}

static bool csv_records(Import *import, int64_t *line, CsvRecord *record, Fault *fault)
{
    CsvHeader header;
    Event e;
    bool end, first = true;
    for (;;) {
        bool good = csv_next(import->lines, record, &end, fault);
        *line = good && !end ? record->line : import->lines->number;
        if (!good)
            return false;
        if (end)
            return !first || fault_set(fault, FAULT_REFUSED, "there is no header line.");
        if (record->count == 1 && csv_cell(record, 0).n == 0)
            continue; /* a blank line */
        if (first) {
            first = false;
            if (!csv_header(record, &header, fault))
                return false;
        } else if (!csv_entry(&header, record, import->what->now, &import->intake->log->json, &e,
                              fault) ||
                   !entry_in(import, &e, fault)) {
            return false;
        }
    }
}

/* The first line with something on it decides; it is given back. */
static bool format_of(Lines *lines, PortFormat *format, Fault *fault)
{
    Text text = {0};
    bool end = false;
    while (*format == PORT_AUTO) {
        if (!lines_next(lines, &text, &end, fault))
            return false;
        if (end) {
            *format = PORT_JSON; /* nothing at all: no entries */
        } else if (text_trim(text).n > 0) {
            *format = csv_is_header(text) ? PORT_CSV : PORT_JSON;
            lines_back(lines);
        }
    }
    return true;
}

static bool input_in(Import *import, const PortInput *input, Fault *fault)
{
    PortFormat format = import->what->format;
    Lines lines;
    int64_t line = 1;
    lines_init(&lines, input->file);
    import->lines = &lines;
    bool good = format_of(&lines, &format, fault);
    if (!good) {
        line = lines.number;
    } else if (format == PORT_CSV) {
        CsvRecord record = {0};
        good = csv_records(import, &line, &record, fault);
        str_finish(&record.bytes);
    } else {
        good = json_lines(import, &line, fault);
    }
    import->bytes += lines.bytes;
    import->lines = NULL;
    lines_finish(&lines);
    if (!good && fault->kind != FAULT_LOG) {
        fault->kind =
            FAULT_REFUSED; /* also where a number or a time is misspelt: it is no usage here */
        fault_prefix(fault, "%s, line %lld, ", input->name, (long long)line);
        /* an example or a question in brackets may stand at its end */
        const bool ended = fault->text[strlen(fault->text) - 1] == '.';
        fault_suffix(fault, ended ? " Nothing was imported." : ". Nothing was imported.");
    }
    return good;
}

bool port_import(Log *log, const PortImport *what, LogIntake *intake, Fault *fault)
{
    Intake taking;
    if (!intake_begin(&taking, log, fault))
        return false;
    Import import = {.intake = &taking, .what = what};
    bool good = true;
    for (int i = 0; good && i < what->count; i++)
        good = input_in(&import, &what->inputs[i], fault);
    if (!intake_end(&taking, good, what->dry, true, fault)) {
        /* the lines were good, their ids were not */
        return good && fault->kind == FAULT_REFUSED ? fault_suffix(fault, " Nothing was imported.")
                                                    : false;
    }
    if (what->progress != NULL)
        what->progress(what->context, import.bytes, import.done);
    *intake = taking.count;
    return true;
}

/* ---- export ---- */

typedef struct {
    FILE *out;
    bool csv;
    CsvColumns columns;
    Str lines, record;
    bool failed;
} Export;

static bool lines_out(Export *export, size_t kept)
{
    if (export->lines.n > kept) {
        export->failed =
            fwrite(export->lines.s, 1, export->lines.n, export->out) != export->lines.n;
        str_clear(&export->lines);
    }
    return !export->failed;
}

static bool entry_out(void *context, const Event *e, bool voided)
{
    enum { AT_ONCE = 1 << 14 };
    Export *export = context;
    (void)voided; /* the void entry itself stands in the export and says so */
    if (export->csv) {
        str_clear(&export->record);
        csv_record(&export->columns, e, &export->record);
        str_add_shown(&export->lines, text_slice(export->record.s, export->record.n), false);
    } else {
        port_json(e, NULL, &export->lines);
        str_addc(&export->lines, '\n');
    }
    return lines_out(export, AT_ONCE);
}

bool port_export(Log *log, const LogQuery *query, PortFormat format, FILE *out, Fault *fault)
{
    Export export = {.out = out, .csv = format == PORT_CSV};
    errno = 0;
    if (export.csv) {
        csv_columns(&export.columns);
        port_csv_header(&export.lines);
    }
    bool good = log_each(log, query, entry_out, &export, fault);
    lines_out(&export, 0);
    str_finish(&export.lines);
    str_finish(&export.record);
    if (good && (export.failed || fflush(out) != 0)) {
        int why = errno;
        return why == ENOSPC
                   ? fault_set(fault, FAULT_LOG,
                               "the export could not be written: the disk is full. What was "
                               "written so far is not the whole log.")
                   : fault_set(fault, FAULT_LOG,
                               "the export could not be written: %s. What was written so far is "
                               "not the whole log.",
                               strerror(why));
    }
    return good && log_all_read(log, fault);
}
