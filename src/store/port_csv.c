#include "store/port_csv.h"

#include "model/field.h"
#include "store/port.h"
#include "store/value.h"

#include <string.h>

/* ---- writing ---- */

static int column_named(const CsvColumns *columns, const char *name)
{
    for (int i = 0; i < columns->count; i++)
        if (strcmp(columns->names[i], name) == 0)
            return i;
    return -1;
}

void csv_columns(CsvColumns *columns)
{
    static const char *const first[] = {"id", "at", "kind"};
    columns->count = 0;
    memset(columns->field, -1, sizeof columns->field);
    for (int i = 0; i < 3; i++)
        columns->names[columns->count++] = first[i];
    for (int k = 1; k < KIND_END; k++) {
        const Kind *kind = kind_of((KindId)k);
        for (int i = 0; i < kind->field_count; i++) {
            int at = column_named(columns, kind->fields[i].name);
            if (at < 0) {
                at = columns->count++;
                columns->names[at] = kind->fields[i].name;
            }
            columns->field[k][at] = (int16_t)i;
        }
    }
    columns->names[columns->count++] = "note";
}

/* Would a spreadsheet take the cell for a formula, once the apostrophes before it are off? */
static bool formula_like(Text text)
{
    size_t i = 0;
    while (i < text.n && text.s[i] == '\'')
        i++;
    return i < text.n && strchr("=+-@\t\r", text.s[i]) != NULL && text.s[i] != '\0';
}

/* A cell of free text. The guard counts the apostrophes that are there as well, so that what is
 * written here is read back to the byte. */
static void cell_text(Str *out, Text text)
{
    bool guard = formula_like(text), quote = false;
    for (size_t i = 0; i < text.n && !quote; i++)
        quote = strchr(",\"\r\n", text.s[i]) != NULL;
    quote = quote || (text.n > 0 && (text.s[0] == ' ' || text.s[text.n - 1] == ' '));
    if (quote)
        str_addc(out, '"');
    if (guard)
        str_addc(out, '\'');
    for (size_t i = 0; quote && i < text.n; i++) {
        if (text.s[i] == '"')
            str_addc(out, '"');
        str_addc(out, text.s[i]);
    }
    if (!quote)
        str_add(out, text);
    else
        str_addc(out, '"');
}

/* Labels with ';' between them; as a JSON list where that could be misread. */
static void cell_labels(Str *out, const Event *e)
{
    Str cell = {0};
    bool plain = e->u.couple.count > 0 && e->u.couple.order[0].s[0] != '[';
    for (int i = 0; i < e->u.couple.count; i++)
        plain = plain && strchr(e->u.couple.order[i].s, ';') == NULL;
    if (!plain)
        value_order_json(e, NULL, &cell);
    for (int i = 0; i < e->u.couple.count && plain; i++)
        str_addf(&cell, "%s%s", i > 0 ? ";" : "", e->u.couple.order[i].s);
    cell_text(out, text_slice(cell.s, cell.n));
    str_finish(&cell);
}

static void cell_field(Str *out, const Event *e, int i)
{
    const Field *f = &kind_of((KindId)e->kind)->fields[i];
    if (f->type == FIELD_LABELS)
        cell_labels(out, e);
    else if (f->type == FIELD_LABEL)
        cell_text(out, text_of(field_label_of(e, f)->s));
    else
        event_get(e, i, out); /* numbers, words, times, ids: nothing in them needs a quote */
}

void csv_record(const CsvColumns *columns, const Event *e, Str *out)
{
    char words[64];
    str_adds(out, uuid_print(&e->id, words));
    str_addc(out, ',');
    str_adds(out, moment_print_zone(e->at, e->zone, words));
    str_addc(out, ',');
    str_adds(out, kind_of((KindId)e->kind)->name);
    for (int i = 3; i < columns->count - 1; i++) {
        int field = columns->field[e->kind][i];
        str_addc(out, ',');
        if (field >= 0 && event_has(e, field))
            cell_field(out, e, field);
    }
    str_addc(out, ',');
    cell_text(out, text_of(e->note));
    str_adds(out, "\r\n");
}

void port_csv_header(Str *out)
{
    CsvColumns columns;
    csv_columns(&columns);
    for (int i = 0; i < columns.count; i++) {
        if (i > 0)
            str_addc(out, ',');
        str_adds(out, columns.names[i]);
    }
    str_adds(out, "\r\n");
}

/* ---- reading ---- */

static bool cell_end(CsvRecord *record, size_t from, size_t to, Fault *fault)
{
    if (record->count == CSV_COLUMNS_MAX)
        return fault_set(fault, FAULT_REFUSED, "more than %d cells.", CSV_COLUMNS_MAX);
    record->at[record->count] = from;
    record->n[record->count++] = to - from;
    return true;
}

/* Most lines have no quotes: the cells lie in it as they are. */
static bool record_plain(CsvRecord *record, Text line, Fault *fault)
{
    size_t from = 0;
    int count = 0;
    const char between = record->between; /* here: a byte of the line might lie in the record */
    line.n -= line.n > 0 && line.s[line.n - 1] == '\r'; /* of CRLF */
    str_add(&record->bytes, line);
    for (size_t i = 0; i < line.n && count < CSV_COLUMNS_MAX; i++) {
        if (line.s[i] == between) {
            record->at[count] = from;
            record->n[count++] = i - from;
            from = i + 1;
        }
    }
    record->count = count;
    return cell_end(record, from, line.n, fault);
}

/* What stands in quotes, from behind the opening one on, to the end of its cell. *open: they do not
 * end on this line. */
static bool cell_quoted(CsvRecord *record, Text line, size_t *i, bool *open, Fault *fault)
{
    for (;;) {
        const char *quote = memchr(line.s + *i, '"', line.n - *i);
        *open = quote == NULL;
        const size_t n = *open ? line.n - *i : (size_t)(quote - line.s) - *i;
        str_add(&record->bytes, text_slice(line.s + *i, n));
        *i += *open ? n : n + 1;
        if (*open)
            return true;
        if (*i >= line.n || line.s[*i] != '"')
            break;
        str_addc(&record->bytes, '"'); /* a doubled one is one of the content */
        ++*i;
    }
    if (*i + 1 == line.n && line.s[*i] == '\r')
        ++*i;
    return *i >= line.n || line.s[*i] == record->between ||
           fault_set(fault, FAULT_REFUSED, "cell %d: there is something behind the closing quote.",
                     record->count + 1);
}

static bool cell_plain(CsvRecord *record, Text line, size_t *i, Fault *fault)
{
    const size_t from = *i;
    for (; *i < line.n && line.s[*i] != record->between; ++*i)
        if (line.s[*i] == '"')
            return fault_set(fault, FAULT_REFUSED, "cell %d: a quote inside a cell without quotes.",
                             record->count + 1);
    /* the CR of CRLF; inside quotes it is content */
    const bool cr = *i > from && *i == line.n && line.s[*i - 1] == '\r';
    str_add(&record->bytes, text_slice(line.s + from, *i - from - cr));
    return true;
}

/* One line of a record. *open: inside quotes at its end. */
static bool record_line(CsvRecord *record, Text line, bool *open, Fault *fault)
{
    bool quoted = *open;
    for (size_t i = 0;; i++) { /* the comma */
        if (!quoted && i < line.n && line.s[i] == '"') {
            quoted = true;
            i++;
        }
        *open = false;
        if (quoted ? !cell_quoted(record, line, &i, open, fault)
                   : !cell_plain(record, line, &i, fault))
            return false;
        if (*open)
            return true;
        quoted = false;
        if (!cell_end(record, record->from, record->bytes.n, fault))
            return false;
        record->from = record->bytes.n;
        if (i >= line.n)
            return true;
    }
}

bool csv_next(Lines *lines, CsvRecord *record, bool *end, Fault *fault)
{
    Text line;
    bool open = false;
    str_clear(&record->bytes);
    record->count = 0;
    record->from = 0;
    do {
        bool over;
        if (!lines_next(lines, &line, &over, fault))
            return false;
        if (over) {
            *end = true;
            return !open || fault_set(fault, FAULT_REFUSED,
                                      "a quote is never closed (was the file cut off?)");
        }
        if (open)
            str_addc(&record->bytes, '\n');
        else
            record->line = lines->number;
        if (record->between == 0)
            record->between = csv_between(line);
        const bool plain = !open && (line.n == 0 || memchr(line.s, '"', line.n) == NULL);
        if (plain ? !record_plain(record, line, fault) : !record_line(record, line, &open, fault))
            return false;
        if (record->bytes.n > LINE_BYTES_MAX)
            return fault_set(fault, FAULT_REFUSED,
                             "the record is longer than %d bytes; is a quote not closed?",
                             LINE_BYTES_MAX);
    } while (open);
    *end = false;
    return true;
}

static bool names_columns(Text line, char between)
{
    bool at = false, kind = false;
    if (line.n > 0 && line.s[line.n - 1] == '\r')
        line.n--;
    while (line.n > 0) {
        Text cell = text_cut(&line, between);
        if (cell.n >= 2 && cell.s[0] == '"' && cell.s[cell.n - 1] == '"')
            cell = text_slice(cell.s + 1, cell.n - 2);
        at = at || text_is(cell, "at");
        kind = kind || text_is(cell, "kind");
    }
    return at && kind;
}

char csv_between(Text line)
{
    return names_columns(line, ';') ? ';' : ',';
}

bool csv_is_header(Text line)
{
    return names_columns(line, csv_between(line));
}

static bool known_field(CsvHeader *header, int column, Text name)
{
    bool known = false;
    for (int k = 1; k < KIND_END; k++) {
        int field = kind_field(kind_of((KindId)k), name);
        header->field[k][column] = (int16_t)field;
        known = known || field >= 0;
    }
    return known;
}

bool csv_header(const CsvRecord *record, CsvHeader *header, Fault *fault)
{
    static const char *const words[] = {"id", "at", "kind", "note"};
    *header = (CsvHeader){.count = record->count, .kind = -1, .at = -1};
    for (int i = 0; i < record->count; i++) {
        Text name = csv_cell(record, i);
        for (int j = 0; j < 4; j++)
            if (text_is(name, words[j]))
                header->common[i] = words[j][0];
        bool good = name.n <= LABEL_MAX;
        if (good) {
            header->names[i] = label_of(name);
            good = known_field(header, i, name) || header->common[i] != 0;
        }
        if (!good)
            return fault_set(fault, FAULT_REFUSED, "the header names a column '%.*s' that is none.",
                             (int)(name.n < 60 ? name.n : 60), name.s);
        for (int j = 0; j < i; j++) {
            if (label_equal(&header->names[i], &header->names[j]))
                return fault_set(fault, FAULT_REFUSED, "the header names the column %s twice.",
                                 header->names[i].s);
        }
        if (header->common[i] == 'k')
            header->kind = i;
        else if (header->common[i] == 'a')
            header->at = i;
    }
    if (header->kind < 0 || header->at < 0)
        return fault_set(fault, FAULT_REFUSED,
                         "the first line must name the columns, and among them at and kind.");
    return true;
}

/* Takes the guard against formulas off again. */
static Text unguard(Text text)
{
    bool guard = text.n > 1 && text.s[0] == '\'' && formula_like(text);
    return guard ? (Text){text.s + 1, text.n - 1} : text;
}

static bool cell_list(JsonReader *reader, Event *e, int field, Text text, Fault *fault)
{
    if (text.s[0] == '[')
        return value_order(reader, e, field, text, fault);
    e->has |= 1u << field;
    while (text.n > 0)
        if (!value_add_label(e, field, text_cut(&text, ';'), fault))
            return false;
    return true;
}

/* A cell of one of the columns that every kind has (CsvHeader.common). */
static bool cell_common(char common, Text text, Moment now, Event *e, Fault *fault)
{
    return common == 'i'   ? value_id(e, text, fault)
           : common == 'a' ? value_at(e, text, now, fault)
           : common == 'n' ? event_set_note(e, text, fault)
                           : true; /* the kind, read before */
}

static bool cell_to_field(int field, Text text, JsonReader *reader, Event *e, Fault *fault)
{
    const Kind *kind = kind_of((KindId)e->kind);
    if (field < 0)
        return fault_set(fault, FAULT_REFUSED, "an entry of kind %s has no such field.",
                         kind->name);
    const Field *f = &kind->fields[field];
    return f->type == FIELD_LABELS ? cell_list(reader, e, field, text, fault)
                                   : value_set(e, f, field, text, fault);
}

bool csv_entry(const CsvHeader *header, const CsvRecord *record, Moment now, JsonReader *reader,
               Event *e, Fault *fault)
{
    if (record->count != header->count)
        return fault_set(fault, FAULT_REFUSED, "%d cells where the header names %d columns.",
                         record->count, header->count);
    if (!text_is_utf8((Text){record->bytes.s, record->bytes.n}))
        return fault_set(fault, FAULT_REFUSED, "the line is not UTF-8.");
    const Kind *kind = value_kind(unguard(csv_cell(record, header->kind)), fault);
    if (kind == NULL)
        return fault_prefix(fault, "field kind: ");
    event_clear(e, kind->id);
    if (csv_cell(record, header->at).n == 0)
        return fault_set(fault, FAULT_REFUSED, "field at: it is missing.");
    for (int i = 0; i < record->count; i++) {
        if (record->n[i] == 0)
            continue;
        const Text text = unguard(csv_cell(record, i));
        if (header->common[i] != 0
                ? !cell_common(header->common[i], text, now, e, fault)
                : !cell_to_field(header->field[kind->id][i], text, reader, e, fault))
            return fault_prefix(fault, "field %s: ", header->names[i].s);
    }
    return value_check(e, fault);
}
