/* pages.h - an SQLite file as raw bytes, for when SQLite gives up on it. Private to src/store.
 *
 * Reads with pread(2) only: nothing is written, locked, or believed. The formats are published
 * (sqlite.org: "Database File Format", sections 1.3, 1.6, 2.1 and 4). An image is what one page was
 * at one time: a page of the file, or a frame of the write-ahead log up to its last commit. */
#ifndef ULLAGE_STORE_PAGES_H
#define ULLAGE_STORE_PAGES_H

#include "base/fault.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef struct {
    int fd, wal;                /* -1: there is no -wal */
    int64_t size;               /* bytes of the file */
    uint32_t page_size, usable; /* bytes of a page, and those that hold cells */
    int64_t file_pages;         /* in the file; a last one may be cut short */
    uint32_t *frames;           /* the page of each; 0: not known */
    int64_t frame_count;        /* up to the last one that ends a transaction */
    bool torn;                  /* behind that one there is more of the same -wal */
    int32_t *latest;            /* by page number: 1 + its last frame, 0 none */
    uint32_t page_max;
    int64_t unread;  /* images that the disk refused to give */
    uint8_t *window; /* of the image that is read, then of a page of a chain */
    uint8_t *payload;
} Pages;

typedef struct {
    const uint8_t *bytes; /* page_size of them, until the next image is read */
    uint32_t page;        /* 0: not known */
    uint32_t start;       /* of the page's header: 100 on page 1 */
    bool current;         /* no later image of that page is committed */
} Image;

enum { RECORD_FIELDS_MAX = 16, RECORD_BYTES_MAX = 16384 };
typedef struct {
    uint32_t type; /* serial type; 0 is NULL */
    uint32_t n;
    const uint8_t *bytes; /* NULL: beyond what was at hand */
} RecordField;
typedef struct {
    int count;
    RecordField fields[RECORD_FIELDS_MAX];
} Record;

static inline bool record_is_number(const RecordField *f)
{
    return (f->type >= 1 && f->type <= 6) || f->type == 8 || f->type == 9;
}
static inline bool record_is_text(const RecordField *f)
{
    return f->type >= 13 && f->type % 2 == 1;
}
static inline bool record_is_blob(const RecordField *f)
{
    return f->type >= 12 && f->type % 2 == 0;
}
int64_t record_number(const RecordField *f);

/* FAULT_REFUSED: it can't be read, or is no regular file. The page size is that of the header, or,
 * where `fits` counts more good pages with another, that one. pages_close is needed only after
 * success. */
typedef int64_t (*PagesFit)(Pages *pages, const Image *image);
bool pages_open(Pages *pages, const char *path, PagesFit fits, Fault *fault);
void pages_close(Pages *pages);

static inline int64_t pages_images(const Pages *pages)
{
    return pages->file_pages + pages->frame_count;
}
/* Image number `i` from 0; what can't be read is zeros. */
Image pages_image(Pages *pages, int64_t i);

/* How many cells a page of a b-tree of this type says that it has; -1: it is none, or says what
 * can't be. Types: 2 and 10 interior and leaf of an index (a table WITHOUT ROWID), 13 leaf of a
 * table. */
enum { PAGE_INDEX_INTERIOR = 2, PAGE_INDEX_LEAF = 10, PAGE_TABLE_LEAF = 13 };
int image_cells(const Pages *pages, const Image *image);
int image_type(const Image *image);
/* The record of cell `i`; false where it doesn't fit the page, its chain or its own header. Its
 * bytes are valid until the next call. A record of a table leaf may end in fields that are not at
 * hand. */
bool image_record(Pages *pages, const Image *image, int i, Record *record);
/* The page below cell `i` of an interior page (i = cells: the last one); 0: none. */
uint32_t image_child(const Pages *pages, const Image *image, int i);
/* Where the cells begin, as the header says; behind the header where that can't be. */
uint32_t image_content(const Pages *pages, const Image *image);
/* A record of an index whose header begins at byte `at`, whatever the page says of it. */
bool image_record_at(Pages *pages, const Image *image, size_t at, Record *record);

#endif
