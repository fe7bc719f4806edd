#include "store/codec.h"

#include "base/json_out.h"
#include "model/field.h"
#include "model/seal.h"
#include "store/value.h"

#include <stdio.h>
#include <string.h>

enum {
    ROW_AT,
    ROW_ID,
    ROW_KIND,
    ROW_ZONE,
    ROW_NAME,
    ROW_OTHER,
    ROW_N1,
    ROW_N2,
    ROW_CODE,
    ROW_MORE,
    ROW_NOTE,
    ROW_SEAL
};
_Static_assert((int)ROW_SEAL == (int)CODEC_SEAL, "as codec.h says");

static uint8_t row_column(Column column)
{
    static const uint8_t rows[] = {
        [COLUMN_NAME] = ROW_NAME, [COLUMN_OTHER] = ROW_OTHER, [COLUMN_N1] = ROW_N1,
        [COLUMN_N2] = ROW_N2,     [COLUMN_CODE] = ROW_CODE,   [COLUMN_MORE] = ROW_MORE};
    return rows[column];
}

void codec_init(Codec *codec, JsonReader *json)
{
    memset(codec, 0, sizeof *codec);
    codec->json = json;
    for (int k = 1; k < KIND_END; k++) {
        const Kind *kind = kind_of((KindId)k);
        CodecPlan *plan = &codec->plans[k];
        for (int i = 0; kind != NULL && i < kind->field_count; i++) {
            const Field *f = &kind->fields[i];
            plan->required |= f->required ? 1u << i : 0;
            plan->columns |= (uint16_t)(1u << row_column(f->column));
            if (f->column == COLUMN_MORE) {
                plan->more = true;
                continue;
            }
            plan->steps[plan->count++] = (CodecStep){.of = f,
                                                     .offset = (uint16_t)f->offset,
                                                     .column = row_column(f->column),
                                                     .field = (uint8_t)i,
                                                     .label = f->type == FIELD_LABEL};
        }
    }
}

void codec_finish(Codec *codec)
{
    str_finish(&codec->more);
}

/* ---- to a row ---- */

static void more_add(Str *out, const Event *e, const Field *f)
{
    if (out->n == 0)
        json_open(out, NULL, '{');
    switch (f->type) {
    case FIELD_LABEL:
        json_label(out, f->name, field_label_of(e, f));
        break;
    case FIELD_LABELS:
        value_order_json(e, f->name, out);
        break;
    case FIELD_ENTRY:
        json_id(out, f->name, (const Uuid *)(const void *)((const char *)e + f->offset));
        break;
    default:
        json_whole(out, f->name, field_number_of(e, f));
    }
}

static void more_bind(Codec *codec, const Event *e, sqlite3_stmt *stmt, int at)
{
    const Kind *kind = kind_of((KindId)e->kind);
    str_clear(&codec->more);
    for (int i = 0; i < kind->field_count; i++)
        if (kind->fields[i].column == COLUMN_MORE && event_has(e, i))
            more_add(&codec->more, e, &kind->fields[i]);
    if (codec->more.n == 0)
        return;
    str_addc(&codec->more, '}');
    db_bind_copy(stmt, at, text_slice(codec->more.s, codec->more.n));
}

void codec_bind(Codec *codec, const Event *e, uint32_t seal, sqlite3_stmt *stmt, int number)
{
    const int first = 1 + number * (CODEC_SEAL + 1);
    if (number == 0)
        sqlite3_clear_bindings(stmt); /* what is not given is NULL */
    db_bind_number(stmt, first + ROW_AT, e->at.ms);
    db_bind_blob(stmt, first + ROW_ID, e->id.b, sizeof e->id.b);
    db_bind_number(stmt, first + ROW_KIND, e->kind);
    db_bind_number(stmt, first + ROW_ZONE, e->zone);
    const CodecPlan *plan = &codec->plans[e->kind];
    for (int i = 0; i < plan->count; i++) {
        const CodecStep *step = &plan->steps[i];
        if (!event_has(e, step->field))
            continue;
        const char *at = (const char *)e + step->offset;
        if (step->label) {
            db_bind_text(stmt, first + step->column, text_of(at));
        } else {
            int64_t value;
            memcpy(&value, at, sizeof value);
            db_bind_number(stmt, first + step->column, value);
        }
    }
    if (plan->more)
        more_bind(codec, e, stmt, first + ROW_MORE);
    if (e->note[0] != '\0')
        db_bind_text(stmt, first + ROW_NOTE, text_of(e->note));
    db_bind_number(stmt, first + ROW_SEAL, seal);
}

/* ---- from a row ---- */

static bool row_wrong(DbRow row, const char *words, Fault *fault)
{
    char at[48], id[40] = "of no id";
    Uuid uuid;
    if (row_bytes(row, ROW_ID, uuid.b, sizeof uuid.b))
        uuid_print(&uuid, id);
    moment_print_utc((Moment){row_number(row, ROW_AT)}, at);
    return fault_set(fault, FAULT_LOG,
                     "the entry %s of %s can't be read: %s. The log is damaged or was changed by "
                     "another program; go back to a backup.",
                     id, at, words);
}

/* The same for column more; but where SQLite itself failed, the row is not to blame. */
static bool row_more_wrong(DbRow row, const Fault *inner, const char *words, Fault *fault)
{
    if (inner->kind == FAULT_LOG) {
        *fault = *inner;
        return false;
    }
    return row_wrong(row, words, fault);
}

/* A name as any version of this program can have written it: what text_fit refuses beyond control
 * characters is shown with '?' and named by verify, and locks nobody out. `out` is zero. */
static bool name_read(Text text, Label *out)
{
    if (text.n == 0 || text.n > LABEL_MAX || text.s[0] == '-' || text_trim(text).n != text.n)
        return false;
    if (!text_is_plain(text) && (!text_is_utf8(text) || text_has_control(text)))
        return false;
    memcpy(out->s, text.s, text.n);
    return true;
}

static bool more_labels(JsonReader *json, const JsonMember *value, Event *e, Fault *fault)
{
    JsonMember items[VESSELS_ABOARD_MAX];
    int count;
    if (value->type != JSON_ARRAY ||
        !json_list(json, value->text, items, VESSELS_ABOARD_MAX, &count, fault))
        return false;
    for (int i = 0; i < count; i++)
        if (items[i].type != JSON_STRING || !name_read(items[i].text, &e->u.couple.order[i]))
            return false;
    e->u.couple.count = count;
    return true;
}

/* False with FAULT_LOG where SQLite failed, else where the value is none that this program can have
 * written. */
static bool more_field(JsonReader *json, const JsonMember *value, const Field *f, Event *e,
                       Fault *fault)
{
    if (f->type == FIELD_LABELS)
        return more_labels(json, value, e, fault);
    if (f->type == FIELD_LABEL || f->type == FIELD_ENTRY) {
        if (value->type != JSON_STRING)
            return false;
        if (f->type == FIELD_ENTRY)
            return uuid_parse(value->text, (Uuid *)(void *)((char *)e + f->offset), fault);
        return name_read(value->text, field_label(e, f));
    }
    int64_t thousandths;
    if (value->type != JSON_NUMBER || !json_thousandths(value->text, &thousandths, fault) ||
        thousandths % 1000 != 0)
        return false;
    *field_number(e, f) = thousandths / 1000;
    return field_fits(f, thousandths / 1000);
}

static bool decode_more(JsonReader *json, DbRow row, const Kind *kind, Text more, Event *e,
                        Fault *fault)
{
    JsonMember members[CODEC_STEPS_MAX * 2];
    int count;
    Fault inner = {0};
    if (!json_object(json, more, members, CODEC_STEPS_MAX * 2, &count, &inner))
        return row_more_wrong(row, &inner, "column more is no JSON object", fault);
    for (int i = 0; i < count; i++) {
        int field = kind_field(kind, members[i].key);
        if (field < 0 || kind->fields[field].column != COLUMN_MORE)
            return row_wrong(row, "column more has a field that does not belong there", fault);
        if (!more_field(json, &members[i], &kind->fields[field], e, &inner)) {
            char words[80];
            snprintf(words, sizeof words, "column more: %s can't be that",
                     kind->fields[field].name);
            return row_more_wrong(row, &inner, words, fault);
        }
        e->has |= 1u << field;
    }
    return true;
}

static bool row_out_of_range(DbRow row, const Kind *kind, const Field *f, int64_t value,
                             Fault *fault)
{
    char words[160];
    snprintf(words, sizeof words, "%s: %s of %lld (stored, from %lld to %lld) is out of its range",
             kind->name, f->name, (long long)value, (long long)f->min, (long long)f->max);
    return row_wrong(row, words, fault);
}

static bool row_incomplete(DbRow row, const Event *e, Fault *fault)
{
    char words[160];
    const Kind *kind = kind_of((KindId)e->kind);
    for (int i = 0; i < kind->field_count; i++)
        if (kind->fields[i].required && !event_has(e, i))
            snprintf(words, sizeof words, "%s: %s is missing", kind->name, kind->fields[i].name);
    return row_wrong(row, words, fault);
}

/* As name_read. */
static bool note_read(DbRow row, Event *e, Fault *fault)
{
    const Text text = row_text(row, ROW_NOTE);
    e->note[0] = '\0';
    if (text.n == 0)
        return true;
    if (text.n > NOTE_MAX || !text_is_utf8(text) || text_has_control(text))
        return row_wrong(row, "its note is none: too long or no text", fault);
    e->note[text.n] = '\0';
    memcpy(e->note, text.s, text.n);
    return true;
}

bool codec_decode(const Codec *codec, DbRow row, bool note, Event *e, Fault *fault)
{
    int64_t k = row_number(row, ROW_KIND);
    const Kind *kind = k > 0 && k < KIND_END ? kind_of((KindId)k) : NULL;
    if (kind == NULL)
        return row_wrong(row, "its kind is not known to this program", fault);
    event_clear(e, (KindId)k);
    e->at.ms = row_number(row, ROW_AT);
    int64_t zone = row_number(row, ROW_ZONE);
    if (e->at.ms < MOMENT_MIN_MS || e->at.ms > MOMENT_MAX_MS || zone <= -1440 || zone >= 1440)
        return row_wrong(row, "its time or its zone can't be", fault);
    e->zone = (int32_t)zone;
    if (!row_bytes(row, ROW_ID, e->id.b, sizeof e->id.b))
        return row_wrong(row, "its id has not 16 bytes", fault);
    const CodecPlan *plan = &codec->plans[k];
    for (int i = 0; i < plan->count; i++) {
        const CodecStep *step = &plan->steps[i];
        char *at = (char *)e + step->offset;
        if (step->label) {
            Text text = row_text(row, step->column);
            if (text.s == NULL)
                continue;
            if (!name_read(text, (Label *)(void *)at))
                return row_wrong(row, "a name is none: empty, too long or no text", fault);
        } else {
            sqlite3_value *number = row_value(row, step->column);
            const int64_t value = sqlite3_value_int64(number);
            /* NULL reads as 0: only then is it worth a second call */
            if (value == 0 && sqlite3_value_type(number) == SQLITE_NULL)
                continue;
            if (!field_fits(step->of, value))
                return row_out_of_range(row, kind, step->of, value, fault);
            memcpy(at, &value, sizeof value);
        }
        e->has |= 1u << step->field;
    }
    Text more = plan->more ? row_text(row, ROW_MORE) : (Text){0};
    if (more.s != NULL && !decode_more(codec->json, row, kind, more, e, fault))
        return false;
    if ((e->has & plan->required) != plan->required)
        return row_incomplete(row, e, fault);
    return !note || note_read(row, e, fault);
}

bool codec_sealed(DbRow row, const Event *e, bool *sealed, Fault *fault)
{
    sqlite3_value *seal = row_value(row, ROW_SEAL);
    *sealed = sqlite3_value_type(seal) != SQLITE_NULL;
    return !*sealed || sqlite3_value_int64(seal) == event_seal(e) ||
           row_wrong(row, "it is not what was written: its seal does not fit", fault);
}

bool codec_bare(const Codec *codec, DbRow row, const Event *e, Fault *fault)
{
    const unsigned used = codec->plans[e->kind].columns;
    for (int c = ROW_NAME; c <= ROW_MORE; c++)
        if ((used >> c & 1u) == 0 && sqlite3_value_type(row_value(row, c)) != SQLITE_NULL)
            return row_wrong(row, "a column that its kind has no use for is not empty", fault);
    return true;
}
