#include "store/pages.h"

#include "base/memory.h"
#include "base/text.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { PAGE_MIN = 512, PAGE_MAX = 65536, USABLE_MIN = 480, WAL_HEADER = 32, FRAME_HEADER = 24 };

static uint32_t big(const uint8_t *b, int n)
{
    uint32_t value = 0;
    for (int i = 0; i < n; i++)
        value = value << 8 | b[i];
    return value;
}

/* Reads what is there; the rest is zeros. Gives back false where the disk refused. */
static bool read_at(int fd, void *out, size_t n, int64_t at)
{
    size_t done = 0;
    ssize_t got = 1;
    while (done < n && got > 0) {
        got = pread(fd, (uint8_t *)out + done, n - done, at + (int64_t)done);
        done += got > 0 ? (size_t)got : 0;
        got = got < 0 && errno == EINTR ? 1 : got;
    }
    memset((uint8_t *)out + done, 0, n - done);
    return got >= 0;
}

/* ---- records ---- */

/* A variable-length integer of at most 9 bytes ("Varint"); 0 where it doesn't end before `n`. */
static size_t varint(const uint8_t *b, size_t n, uint64_t *value)
{
    *value = 0;
    for (size_t i = 0; i < n && i < 9; i++) {
        if (i == 8) {
            *value = *value << 8 | b[i];
            return 9;
        }
        *value = *value << 7 | (b[i] & 0x7f);
        if (b[i] < 0x80)
            return i + 1;
    }
    return 0;
}

static uint64_t serial_bytes(uint64_t type)
{
    static const uint8_t bytes[] = {0, 1, 2, 3, 4, 6, 8, 8, 0, 0};
    return type < 10 ? bytes[type] : (type - 12 - type % 2) / 2;
}

int64_t record_number(const RecordField *f)
{
    if (f->type >= 8)
        return f->type - 8;
    uint64_t value = f->n > 0 && f->bytes[0] >= 0x80 ? UINT64_MAX : 0;
    for (uint32_t i = 0; i < f->n; i++)
        value = value << 8 | f->bytes[i];
    return (int64_t)value;
}

/* The record's header: types and lengths. *total is what it comes to with its body. */
static bool header_read(const uint8_t *b, size_t n, Record *r, uint64_t *total)
{
    uint64_t header, type;
    size_t at = varint(b, n, &header);
    if (at == 0 || header > n || header < at)
        return false;
    *total = header;
    for (r->count = 0; at < header; r->count++) {
        const size_t step = varint(b + at, header - at, &type);
        if (step == 0 || r->count == RECORD_FIELDS_MAX || type == 10 || type == 11 ||
            serial_bytes(type) > INT32_MAX)
            return false;
        r->fields[r->count] =
            (RecordField){.type = (uint32_t)type, .n = (uint32_t)serial_bytes(type)};
        *total += serial_bytes(type);
        at += step;
    }
    return true;
}

/* Gives the fields their bytes; those of which not all are among the `n` at hand stay without. */
static void body_read(const uint8_t *b, size_t n, Record *r)
{
    uint64_t at;
    varint(b, n, &at);
    for (int i = 0; i < r->count; i++) {
        if (at + r->fields[i].n <= n)
            r->fields[i].bytes = b + at;
        at += r->fields[i].n;
    }
}

/* ---- images ---- */

static bool frame_bytes(const Pages *p, int64_t frame, void *out)
{
    const int64_t step = FRAME_HEADER + (int64_t)p->page_size;
    return read_at(p->wal, out, p->page_size, WAL_HEADER + frame * step + FRAME_HEADER);
}

static bool page_bytes(const Pages *p, uint32_t page, void *out)
{
    const int32_t frame = page <= p->page_max ? p->latest[page] : 0;
    return frame > 0 ? frame_bytes(p, frame - 1, out)
                     : read_at(p->fd, out, p->page_size, (int64_t)(page - 1) * p->page_size);
}

Image pages_image(Pages *p, int64_t i)
{
    const bool file = i < p->file_pages;
    const int64_t frame = i - p->file_pages;
    Image image = {.bytes = p->window, .page = file ? (uint32_t)(i + 1) : p->frames[frame]};
    image.current = image.page != 0 && p->latest[image.page] == (file ? 0 : (int32_t)frame + 1);
    image.start = image.page == 1 ? 100 : 0;
    if (!(file ? read_at(p->fd, p->window, p->page_size, i * p->page_size)
               : frame_bytes(p, frame, p->window)))
        p->unread++;
    return image;
}

int image_type(const Image *image)
{
    return image->bytes[image->start];
}

static uint32_t header_bytes(const Image *image)
{
    return image->start + (image_type(image) == PAGE_INDEX_INTERIOR ? 12 : 8);
}

int image_cells(const Pages *p, const Image *image)
{
    const int type = image_type(image), cells = (int)big(image->bytes + image->start + 3, 2);
    const bool known =
        type == PAGE_INDEX_INTERIOR || type == PAGE_INDEX_LEAF || type == PAGE_TABLE_LEAF;
    return known && header_bytes(image) + 2 * (uint32_t)cells <= p->usable ? cells : -1;
}

uint32_t image_content(const Pages *p, const Image *image)
{
    const int cells = image_cells(p, image);
    const uint32_t least = header_bytes(image) + 2 * (uint32_t)(cells > 0 ? cells : 0);
    const uint32_t said = big(image->bytes + image->start + 5, 2);
    return cells > 0 && said >= least && said < p->usable ? said : image->start;
}

static size_t cell_at(const Pages *p, const Image *image, int i)
{
    const size_t at = big(image->bytes + header_bytes(image) + 2 * (size_t)i, 2);
    return at >= header_bytes(image) && at + 4 <= p->usable ? at : 0;
}

uint32_t image_child(const Pages *p, const Image *image, int i)
{
    if (image_type(image) != PAGE_INDEX_INTERIOR)
        return 0;
    const size_t at = i == image_cells(p, image) ? image->start + 8 : cell_at(p, image, i);
    return at > 0 ? big(image->bytes + at, 4) : 0;
}

/* How many bytes of a payload of `total` stand in the page itself (section 1.6: U, X, M, K). */
static size_t local_bytes(const Pages *p, uint64_t total, bool table)
{
    const uint64_t u = p->usable, x = table ? u - 35 : (u - 12) * 64 / 255 - 23;
    const uint64_t m = (u - 12) * 32 / 255 - 23, k = m + (total - m) % (u - 4);
    return (size_t)(total <= x ? total : k <= x ? k : m);
}

/* Puts a payload together that goes on in a chain of pages; false where the chain is broken. */
static bool chain_read(Pages *p, const uint8_t *local, size_t here, uint64_t total)
{
    uint32_t next = big(local + here, 4);
    uint8_t *page = p->window + p->page_size;
    size_t done = here;
    memcpy(p->payload, local, here);
    while (done < total) {
        const size_t n = total - done < p->usable - 4 ? total - done : p->usable - 4;
        if (next < 2 || next > p->page_max || !page_bytes(p, next, page))
            return false;
        memcpy(p->payload + done, page + 4, n);
        done += n;
        next = big(page, 4);
    }
    return true;
}

/* The record of `total` bytes of which the first stand at `at`. */
static bool payload_read(Pages *p, const Image *image, size_t at, uint64_t total, Record *record)
{
    uint64_t is;
    const uint8_t *b = image->bytes + at;
    if (total > RECORD_BYTES_MAX || total == 0)
        return false;
    const size_t here = local_bytes(p, total, false);
    if (at + here + (here < total ? 4 : 0) > p->usable)
        return false;
    if (here < total) {
        if (!chain_read(p, b, here, total))
            return false;
        b = p->payload;
    }
    if (!header_read(b, total, record, &is) || is != total)
        return false;
    body_read(b, total, record);
    return true;
}

/* Of a table with rowids: what stands in the page will do. */
static bool table_read(const Pages *p, const Image *image, size_t at, uint64_t total, Record *r)
{
    uint64_t rowid, is;
    const size_t step = varint(image->bytes + at, p->usable - at, &rowid);
    at += step;
    if (step == 0 || total > INT32_MAX)
        return false;
    const size_t here = local_bytes(p, total, true);
    if (at + here > p->usable || !header_read(image->bytes + at, here, r, &is) || is != total)
        return false;
    body_read(image->bytes + at, here, r);
    return true;
}

bool image_record(Pages *p, const Image *image, int i, Record *record)
{
    uint64_t total;
    size_t at = cell_at(p, image, i);
    if (at == 0)
        return false;
    at += image_type(image) == PAGE_INDEX_INTERIOR ? 4 : 0;
    const size_t step = varint(image->bytes + at, p->usable - at, &total);
    if (step == 0)
        return false;
    return image_type(image) == PAGE_TABLE_LEAF ? table_read(p, image, at + step, total, record)
                                                : payload_read(p, image, at + step, total, record);
}

bool image_record_at(Pages *p, const Image *image, size_t at, Record *record)
{
    uint64_t total;
    return header_read(image->bytes + at, p->usable - at, record, &total) &&
           payload_read(p, image, at, total, record);
}

/* ---- the write-ahead log ---- */

/* Section 4.2: two sums over pairs of words. */
static void wal_sum(const uint8_t *b, size_t n, bool big_end, uint32_t s[2])
{
    for (size_t i = 0; i + 8 <= n; i += 8) {
        uint32_t x[2];
        for (int j = 0; j < 2; j++) {
            const uint8_t *w = b + i + 4 * (size_t)j;
            x[j] = big_end ? big(w, 4)
                           : (uint32_t)w[0] | (uint32_t)w[1] << 8 | (uint32_t)w[2] << 16 |
                                 (uint32_t)w[3] << 24;
        }
        s[0] += x[0] + s[1];
        s[1] += x[1] + s[0];
    }
}

/* The salt that marks the frames of today: that of the header, or, where the header is damaged, the
 * first that two frames in a row have. */
static void salt_read(const Pages *p, int64_t step, int64_t count, uint8_t salt[8])
{
    uint8_t header[WAL_HEADER], next[8];
    uint32_t s[2] = {0, 0};
    read_at(p->wal, header, sizeof header, 0);
    memcpy(salt, header + 16, 8);
    wal_sum(header, 24, big(header, 4) == 0x377f0683, s);
    if (s[0] == big(header + 24, 4) && s[1] == big(header + 28, 4))
        return;
    for (int64_t i = 0; i < count; i++) {
        read_at(p->wal, salt, 8, WAL_HEADER + i * step + 8);
        read_at(p->wal, next, 8, WAL_HEADER + (i + 1) * step + 8);
        if (memcmp(salt, next, 8) == 0)
            return;
    }
}

/* SQLite stops at the first frame that its chain of sums doesn't reach. Here a frame counts by its
 * salt, up to the last one that ends a transaction: where one in between is damaged, the others are
 * still whole. What follows the last end was never said to be written. */
static void frames_read(Pages *p, int64_t wal_size)
{
    uint8_t salt[8], frame[FRAME_HEADER];
    const int64_t step = FRAME_HEADER + (int64_t)p->page_size;
    const int64_t count = wal_size > WAL_HEADER ? (wal_size - WAL_HEADER) / step : 0;
    p->frames = memory_get((size_t)(count + 1) * sizeof *p->frames);
    salt_read(p, step, count, salt);
    for (int64_t i = 0; i < count; i++) {
        read_at(p->wal, frame, sizeof frame, WAL_HEADER + i * step);
        const bool ours = memcmp(frame + 8, salt, 8) == 0;
        const uint32_t page = ours ? big(frame, 4) : 0;
        p->frames[i] = (uint32_t)(page <= p->file_pages + count ? page : 0);
        p->page_max = p->frames[i] > p->page_max ? p->frames[i] : p->page_max;
        p->frame_count = ours && big(frame + 4, 4) != 0 ? i + 1 : p->frame_count;
        p->torn = ours && p->frame_count <= i;
    }
    p->torn = p->torn || (wal_size > 0 && wal_size < WAL_HEADER);
    const int64_t rest = wal_size - WAL_HEADER - count * step;
    if (rest > 0) { /* a frame that was cut */
        const size_t got = (size_t)(rest < FRAME_HEADER ? rest : FRAME_HEADER);
        p->torn = p->torn || got < 16 ||
                  (read_at(p->wal, frame, got, WAL_HEADER + count * step) &&
                   memcmp(frame + 8, salt, 8) == 0);
    }
}

static void wal_open(Pages *p, const char *path)
{
    Str name = {0};
    struct stat info;
    str_addf(&name, "%s-wal", path);
    p->wal = open(name.s, O_RDONLY | O_CLOEXEC);
    str_finish(&name);
    p->page_max = (uint32_t)p->file_pages;
    if (p->wal >= 0 && fstat(p->wal, &info) == 0)
        frames_read(p, info.st_size);
    p->latest = memory_get(((size_t)p->page_max + 1) * sizeof *p->latest);
    for (int64_t i = 0; i < p->frame_count; i++)
        if (p->frames[i] != 0)
            p->latest[p->frames[i]] = (int32_t)i + 1;
}

/* ---- opening ---- */

static void size_set(Pages *p, uint32_t page_size, uint32_t reserved)
{
    p->page_size = page_size;
    p->usable = page_size - reserved;
    p->file_pages = (p->size + page_size - 1) / page_size;
}

/* How well a page size fits: asked of 64 KiB here and there. */
static int64_t size_fits(Pages *p, PagesFit fits)
{
    enum { CHUNKS = 16 };
    uint32_t none = 0;
    int64_t good = 0;
    const int64_t each = PAGE_MAX / p->page_size;
    p->latest = (int32_t *)&none; /* page_max is 0: there are no frames yet */
    for (int i = 0; i < CHUNKS; i++) {
        const int64_t from = p->size / PAGE_MAX * i / CHUNKS * each;
        for (int64_t j = from; j < from + each && j < p->file_pages; j++) {
            read_at(p->fd, p->window, p->page_size, j * p->page_size);
            const Image image = {.bytes = p->window, .start = j == 0 ? 100 : 0};
            good += fits(p, &image);
        }
    }
    p->latest = NULL;
    return good;
}

static void size_find(Pages *p, PagesFit fits)
{
    uint8_t header[100];
    read_at(p->fd, header, sizeof header, 0);
    const uint32_t said = big(header + 16, 2) == 1 ? PAGE_MAX : big(header + 16, 2);
    const bool can_be =
        said >= PAGE_MIN && (said & (said - 1)) == 0 && said - header[20] >= USABLE_MIN;
    uint32_t best = can_be ? said : 4096, reserved = can_be ? header[20] : 0;
    int64_t most = 0;
    if (can_be) {
        size_set(p, said, header[20]);
        most = size_fits(p, fits);
    }
    for (uint32_t size = PAGE_MIN; size <= PAGE_MAX; size *= 2) {
        size_set(p, size, 0);
        const int64_t good = size_fits(p, fits);
        if (good > most) {
            most = good;
            best = size;
            reserved = 0;
        }
    }
    size_set(p, best, reserved);
}

bool pages_open(Pages *p, const char *path, PagesFit fits, Fault *fault)
{
    struct stat info;
    *p = (Pages){.wal = -1, .fd = open(path, O_RDONLY | O_CLOEXEC)};
    if (p->fd < 0 || fstat(p->fd, &info) != 0 || !S_ISREG(info.st_mode)) {
        fault_set(fault, FAULT_REFUSED, "%s can't be read: %s.", path,
                  p->fd < 0 ? strerror(errno) : "it is no file");
        pages_close(p);
        return false;
    }
    p->size = info.st_size;
    p->window = memory_get((size_t)2 * PAGE_MAX);
    p->payload = memory_get(RECORD_BYTES_MAX);
    size_find(p, fits);
    wal_open(p, path);
    return true;
}

void pages_close(Pages *p)
{
    if (p->fd >= 0)
        close(p->fd);
    if (p->wal >= 0)
        close(p->wal);
    free(p->frames);
    free(p->latest);
    free(p->window);
    free(p->payload);
}
