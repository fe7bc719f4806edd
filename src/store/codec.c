#include "store/codec.h"

#include "model/field.h"
#include "model/seal.h"

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

static uint8_t row_column(Column column)
{
    static const uint8_t rows[] = {
        [COLUMN_NAME] = ROW_NAME, [COLUMN_OTHER] = ROW_OTHER, [COLUMN_N1] = ROW_N1,
        [COLUMN_N2] = ROW_N2,     [COLUMN_CODE] = ROW_CODE,   [COLUMN_MORE] = ROW_MORE};
    return rows[column];
}

int codec_choices(const Field *f)
{
    int count = f->type == FIELD_FLAG ? 2 : 0;
    while (f->type == FIELD_CHOICE && f->choices[count] != NULL) {
        count++;
    }
    return count;
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
            if (f->column == COLUMN_MORE) {
                plan->more = true;
                continue;
            }
            plan->steps[plan->count++] =
                (CodecStep){(uint16_t)f->offset, row_column(f->column), (uint8_t)i,
                            (uint8_t)codec_choices(f), f->type == FIELD_LABEL};
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
    char id[40];
    str_addc(out, out->n == 0 ? '{' : ',');
    str_add_json(out, text_of(f->name));
    str_addc(out, ':');
    switch (f->type) {
    case FIELD_LABEL:
        str_add_json(out, text_of(field_label_of(e, f)->s));
        break;
    case FIELD_LABELS:
        str_addc(out, '[');
        for (int i = 0; i < e->u.couple.count; i++) {
            if (i > 0) {
                str_addc(out, ',');
            }
            str_add_json(out, text_of(e->u.couple.order[i].s));
        }
        str_addc(out, ']');
        break;
    case FIELD_ENTRY:
        str_add_json(out, text_of(uuid_print(
                              (const Uuid *)(const void *)((const char *)e + f->offset), id)));
        break;
    default:
        str_addf(out, "%lld", (long long)field_number_of(e, f));
    }
}

uint32_t codec_bind(Codec *codec, const Event *e, sqlite3_stmt *stmt)
{
    const Kind *kind = kind_of((KindId)e->kind);
    db_bind_number(stmt, ROW_AT + 1, e->at.ms);
    db_bind_blob(stmt, ROW_ID + 1, e->id.b, sizeof e->id.b);
    db_bind_number(stmt, ROW_KIND + 1, e->kind);
    db_bind_number(stmt, ROW_ZONE + 1, e->zone);
    for (int column = ROW_NAME; column <= ROW_NOTE; column++) {
        db_bind_null(stmt, column + 1);
    }
    const CodecPlan *plan = &codec->plans[e->kind];
    for (int i = 0; i < plan->count; i++) {
        const CodecStep *step = &plan->steps[i];
        if (!event_has(e, step->field)) {
            continue;
        }
        const char *at = (const char *)e + step->offset;
        if (step->label) {
            db_bind_text(stmt, step->column + 1, text_of(at));
        } else {
            int64_t value;
            memcpy(&value, at, sizeof value);
            db_bind_number(stmt, step->column + 1, value);
        }
    }
    if (plan->more) {
        str_clear(&codec->more);
        for (int i = 0; i < kind->field_count; i++) {
            if (kind->fields[i].column == COLUMN_MORE && event_has(e, i)) {
                more_add(&codec->more, e, &kind->fields[i]);
            }
        }
        if (codec->more.n > 0) {
            str_addc(&codec->more, '}');
            db_bind_text(stmt, ROW_MORE + 1, text_slice(codec->more.s, codec->more.n));
        }
    }
    if (e->note[0] != '\0') {
        db_bind_text(stmt, ROW_NOTE + 1, text_of(e->note));
    }
    const uint32_t seal = event_seal(e);
    db_bind_number(stmt, ROW_SEAL + 1, seal);
    return seal;
}

/* ---- from a row ---- */

static bool row_wrong(sqlite3_stmt *stmt, const char *words, Fault *fault)
{
    char at[48], id[40] = "of no id";
    Uuid uuid;
    if (db_bytes(stmt, ROW_ID, uuid.b, sizeof uuid.b)) {
        uuid_print(&uuid, id);
    }
    moment_print_utc((Moment){sqlite3_column_int64(stmt, ROW_AT)}, at);
    return fault_set(fault, FAULT_LOG,
                     "the entry %s of %s can't be read: %s. The log is damaged or was changed by "
                     "another program; go back to a backup.",
                     id, at, words);
}

/* The same for column more; but where SQLite itself failed, the row is not to blame. */
static bool row_more_wrong(sqlite3_stmt *stmt, const Fault *inner, const char *words, Fault *fault)
{
    if (inner->kind == FAULT_LOG) {
        *fault = *inner;
        return false;
    }
    return row_wrong(stmt, words, fault);
}

static bool more_labels(JsonReader *json, const JsonMember *value, Event *e, Fault *fault)
{
    JsonMember items[VESSELS_ABOARD_MAX];
    int count;
    if (value->type != JSON_ARRAY ||
        !json_list(json, value->text, items, VESSELS_ABOARD_MAX, &count, fault)) {
        return false;
    }
    for (int i = 0; i < count; i++) {
        if (items[i].type != JSON_STRING || items[i].text.n == 0 || items[i].text.n > LABEL_MAX) {
            return false;
        }
        e->u.couple.order[i] = label_of(items[i].text);
    }
    e->u.couple.count = count;
    return true;
}

/* False with FAULT_LOG where SQLite failed, else where the value is none that this program can have
 * written. */
static bool more_field(JsonReader *json, const JsonMember *value, const Field *f, Event *e,
                       Fault *fault)
{
    if (f->type == FIELD_LABELS) {
        return more_labels(json, value, e, fault);
    }
    if (f->type == FIELD_LABEL || f->type == FIELD_ENTRY) {
        if (value->type != JSON_STRING) {
            return false;
        }
        if (f->type == FIELD_ENTRY) {
            return uuid_parse(value->text, (Uuid *)(void *)((char *)e + f->offset), fault);
        }
        if (value->text.n == 0 || value->text.n > LABEL_MAX) {
            return false;
        }
        *field_label(e, f) = label_of(value->text);
        return true;
    }
    int64_t thousandths;
    if (value->type != JSON_NUMBER || !json_thousandths(value->text, &thousandths, fault) ||
        thousandths % 1000 != 0) {
        return false;
    }
    int choices = codec_choices(f);
    *field_number(e, f) = thousandths / 1000;
    return choices == 0 || (thousandths >= 0 && thousandths / 1000 < choices);
}

static bool decode_more(JsonReader *json, sqlite3_stmt *stmt, const Kind *kind, Text more, Event *e,
                        Fault *fault)
{
    JsonMember members[CODEC_STEPS_MAX * 2];
    int count;
    Fault inner = {0};
    if (!json_object(json, more, members, CODEC_STEPS_MAX * 2, &count, &inner)) {
        return row_more_wrong(stmt, &inner, "column more is no JSON object", fault);
    }
    for (int i = 0; i < count; i++) {
        int field = kind_field(kind, members[i].key);
        if (field < 0 || kind->fields[field].column != COLUMN_MORE ||
            !more_field(json, &members[i], &kind->fields[field], e, &inner)) {
            return row_more_wrong(stmt, &inner,
                                  "column more has a field that does not belong there", fault);
        }
        e->has |= 1u << field;
    }
    return true;
}

bool codec_decode(const Codec *codec, sqlite3_stmt *stmt, bool note, Event *e, Fault *fault)
{
    int64_t k = sqlite3_column_int64(stmt, ROW_KIND);
    const Kind *kind = k > 0 && k < KIND_END ? kind_of((KindId)k) : NULL;
    if (kind == NULL) {
        return row_wrong(stmt, "its kind is not known to this program", fault);
    }
    event_clear(e, (KindId)k);
    e->at.ms = sqlite3_column_int64(stmt, ROW_AT);
    int64_t zone = sqlite3_column_int64(stmt, ROW_ZONE);
    if (e->at.ms < MOMENT_MIN_MS || e->at.ms > MOMENT_MAX_MS || zone <= -1440 || zone >= 1440) {
        return row_wrong(stmt, "its time or its zone can't be", fault);
    }
    e->zone = (int32_t)zone;
    const void *id = sqlite3_column_blob(stmt, ROW_ID);
    if (id == NULL || sqlite3_column_bytes(stmt, ROW_ID) != (int)sizeof e->id.b) {
        return row_wrong(stmt, "its id has not 16 bytes", fault);
    }
    memcpy(e->id.b, id, sizeof e->id.b);
    const CodecPlan *plan = &codec->plans[k];
    for (int i = 0; i < plan->count; i++) {
        const CodecStep *step = &plan->steps[i];
        char *at = (char *)e + step->offset;
        if (step->label) {
            Text text = db_text(stmt, step->column);
            if (text.s == NULL) {
                continue;
            }
            if (text.n == 0 || text.n > LABEL_MAX) {
                return row_wrong(stmt, "a name is empty or too long", fault);
            }
            memcpy(at, text.s, text.n); /* the rest is zero since event_clear */
        } else {
            int64_t value = sqlite3_column_int64(stmt, step->column);
            /* NULL reads as 0: only then is it worth a second call */
            if (value == 0 && sqlite3_column_type(stmt, step->column) == SQLITE_NULL) {
                continue;
            }
            if (step->choices != 0 && (uint64_t)value >= step->choices) {
                return row_wrong(stmt, "a choice is none of the list", fault);
            }
            memcpy(at, &value, sizeof value);
        }
        e->has |= 1u << step->field;
    }
    Text more = plan->more ? db_text(stmt, ROW_MORE) : (Text){0};
    if (more.s != NULL && !decode_more(codec->json, stmt, kind, more, e, fault)) {
        return false;
    }
    if (note) {
        Text text = db_text(stmt, ROW_NOTE);
        if (text.n > NOTE_MAX) {
            return row_wrong(stmt, "its note is too long", fault);
        }
        if (text.n > 0) {
            memcpy(e->note, text.s, text.n);
            e->note[text.n] = '\0';
        }
    }
    return true;
}

bool codec_sealed(sqlite3_stmt *stmt, const Event *e, bool *sealed, Fault *fault)
{
    *sealed = sqlite3_column_type(stmt, ROW_SEAL) != SQLITE_NULL;
    return !*sealed || sqlite3_column_int64(stmt, ROW_SEAL) == event_seal(e) ||
           row_wrong(stmt, "it is not what was written: its seal does not fit", fault);
}
