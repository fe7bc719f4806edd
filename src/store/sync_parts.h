/* sync_parts.h - what the rooms of sync share. Private to src/store/sync*.c.
 *
 * sync_folder.c is the folder, its files and what is remembered of them; sync_look.c the look that
 * writes nothing, and what follows where nothing remembered holds; sync_in.c reads the others;
 * sync_out.c writes this machine's own file; sync.c is one round of it all.
 */
#ifndef ULLAGE_STORE_SYNC_PARTS_H
#define ULLAGE_STORE_SYNC_PARTS_H

#include "store/inside.h"
#include "store/sync.h"
#include "store/sync_line.h"

#include <sys/stat.h>

/* What is remembered of a file. Only what the bytes prove is believed: size and times serve to tell
 * that there is nothing to look at. */
typedef struct {
    int64_t size, changed_ns, mended_ns;
    int64_t offset;    /* read to here; before the first line that waits */
    uint32_t tail;     /* CRC-32C of the TAIL_BYTES before */
    Tally before, all; /* entries before the offset; in the whole file */
    int64_t bad, ahead;
    Machine machine; /* "": not known */
} Memory;

typedef struct {
    char *name;
    Memory memory;
    bool known, unread, own;
} File;

typedef struct {
    Log *log;
    int folder;
    Str path; /* of the folder */
    Moment now, heard;
    SyncTell tell;
    SyncCount *count;
    Machine machine;
    Str own_name;
    Memory own;
    Str own_stored; /* the text of what is stored of it */
    bool whole;     /* every file is read from its beginning; what is in none is written */
    bool anew;      /* this machine needs another name */
    bool adopted;   /* its file was longer than stored, by its own lines */
    File *files;
    int file_count;
} Sync;

/* Tells somebody, and is true. */
bool sync_say(Sync *s, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* What was stored of a file; false, and nothing is remembered, where it is none of this program. */
bool sync_memory_read(const char *text, Memory *m);
bool sync_memory_store(Sync *s, const char *name, const Memory *m,
                       Fault *fault); /* NULL: its own */
void sync_memory_stat(Memory *m, const struct stat *info);
bool sync_memory_fits(const Memory *m, const struct stat *info);
/* CRC-32C of the last bytes before `offset`, as many as prove that they are the same. False with
 * errno where the disk refuses them, and 0 in it where there are not as many. */
bool sync_tail_of(int fd, int64_t offset, uint32_t *tail);

bool sync_folder_open(Sync *s, const char *folder, Fault *fault);
bool sync_folder_list(Sync *s, Fault *fault);
/* -1: see errno; ENOENT stands also for what is no regular file. */
int sync_file_open(const Sync *s, const char *name, struct stat *info);

bool sync_look(Sync *s, Fault *fault);
/* Nothing that was remembered holds; what no file has is written at the end, also if a kill comes
 * in between. */
bool sync_begin_whole(Sync *s, Fault *fault);
bool sync_file_in(Sync *s, File *f, Fault *fault);
bool sync_own_write(Sync *s, Fault *fault);

#endif
