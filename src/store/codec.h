/* codec.h - an entry as a row of table `entry`, and back. Private to src/store.
 *
 * Which field stands in which column is said by the field tables (model/kinds.h); it is worked out
 * once per log into a plan per kind, because replay decodes a million rows.
 */
#ifndef ULLAGE_STORE_CODEC_H
#define ULLAGE_STORE_CODEC_H

#include "model/kinds.h"
#include "store/json.h"

/* Columns in this order are what codec_decode reads. */
#define CODEC_SAYS "kind,zone,name,other,n1,n2,code,more"
#define CODEC_FOLDED "at,id," CODEC_SAYS /* all that a fold needs */
#define CODEC_COLUMNS CODEC_FOLDED ",note,seal"
enum { CODEC_SEAL = 11 }; /* the place of the seal among CODEC_COLUMNS */
enum { CODEC_PLACE = 2 }; /* so many of them are the place */
#define CODEC_ROW "(?,?,?,?,?,?,?,?,?,?,?,?)"
#define CODEC_INSERT "INSERT INTO entry(" CODEC_COLUMNS ") VALUES" CODEC_ROW

enum { CODEC_STEPS_MAX = 16 };

typedef struct {
    const Field *of;
    uint16_t offset; /* of the label or number in Event */
    uint8_t column;  /* of the row */
    uint8_t field;
    bool label;
} CodecStep;

typedef struct {
    CodecStep steps[CODEC_STEPS_MAX];
    int count;
    uint32_t required; /* bits of Event's `has` */
    bool more;         /* has fields in the JSON column */
    uint16_t columns;  /* bits of those of the row that its fields stand in */
} CodecPlan;

typedef struct {
    CodecPlan plans[KIND_END];
    Str more;         /* the JSON text of the row that is being bound */
    JsonReader *json; /* of the log; for the column more of rows that are read */
} Codec;

/* `json` is borrowed as long as the codec is in use. */
void codec_init(Codec *codec, JsonReader *json);
void codec_finish(Codec *codec);

/* Binds *e and its seal (event_seal) to a statement that ends like CODEC_INSERT; or, of one with
 * several CODEC_ROW, to that of this number, the first, 0, before the others. The bytes are
 * borrowed from *e until the statement has run. */
void codec_bind(Codec *codec, const Event *e, uint32_t seal, sqlite3_stmt *stmt, int number);

/* Makes *e of the row. The note is left out where `note` is false. Whatever was read
 * with the log's JsonReader before is gone. False with FAULT_LOG (the sentence names time and id)
 * where the row is none that this program can have written: a required field is missing, a number
 * is out of its range, a name or the note is none. So the fold meets only what its sums were made
 * for, whoever wrote the row. */
bool codec_decode(const Codec *codec, DbRow row, bool note, Event *e, Fault *fault);

/* Does the seal of the row (CODEC_COLUMNS) fit what was read from it? A row without
 * one fits; *sealed tells. False with FAULT_LOG: it was damaged, or changed by another program. */
bool codec_sealed(DbRow row, const Event *e, bool *sealed, Fault *fault);

/* Are the columns that its kind has no field for empty, as they were written? False with FAULT_LOG:
 * nothing is read from them, and no seal covers them, but somebody changed the row. */
bool codec_bare(const Codec *codec, DbRow row, const Event *e, Fault *fault);

#endif
