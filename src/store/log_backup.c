/* The copy of a log, looked at before it takes the place of an older one. */
#include "store/backup.h"
#include "store/inside.h"

#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

static bool same_file(const char *a, const char *b)
{
    struct stat one, two;
    return stat(a, &one) == 0 && stat(b, &two) == 0 && one.st_dev == two.st_dev &&
           one.st_ino == two.st_ino;
}

/* The copy as its reader would find it: file, entries, seals, stored states. */
static bool copy_sound(Log *log, const char *part, bool *wrong, Fault *fault)
{
    Log *copy = log_open_tuned(part, log->db.asserted ? LOG_READ | LOG_ASSERTED : LOG_READ,
                               log->tuning, fault);
    *wrong = false;
    const bool good = copy != NULL && log_proved(copy, wrong, fault);
    log_close(copy);
    return good;
}

/* Why the copy is no backup. `there`: an older one is. */
static bool not_proved(const char *target, bool there, bool wrong, const Fault *why, Fault *fault)
{
    if (there)
        return fault_set(fault, FAULT_LOG,
                         wrong
                             ? "%s was left as it was: the log is damaged, and so is its copy. Run "
                               "ullage verify; keep the older backup."
                             : "%s was left as it was: the new copy can't be proved. %s",
                         target, why->text);
    return fault_set(fault, FAULT_LOG,
                     wrong
                         ? "The log is damaged: it was copied to %s as it is, and the copy is not "
                           "sound. Run ullage verify."
                         : "The log was copied to %s, and the copy can't be proved. %s",
                     target, why->text);
}

static bool copied(Log *log, const char *target, bool there, bool replace, Fault *fault)
{
    Str part = {0};
    Fault why = {0};
    bool wrong;
    if (!backup_begin(&log->db, target, &part, fault))
        return false;
    /* An unsound copy never takes the place of an older one; where there is none, it is better than
     * nothing, and is not called good. */
    const bool sound = copy_sound(log, part.s, &wrong, &why);
    const bool placed = backup_end(&part, target, sound || !there, replace, fault);
    return sound || (!placed && !there) ? placed : not_proved(target, there, wrong, &why, fault);
}

static bool backup_to(Log *log, const char *target, bool replace, Fault *fault)
{
    struct stat info;
    if (!db_linked(target, fault))
        return false;
    if (same_file(log->db.path, target))
        return fault_set(fault, FAULT_REFUSED,
                         "%s is the log itself. Name another file for the backup.", target);
    const bool there = stat(target, &info) == 0;
    if (there && (!replace || !S_ISREG(info.st_mode)))
        return fault_set(fault, FAULT_REFUSED,
                         S_ISREG(info.st_mode)
                             ? "%s is there already. Name a new file, or say --replace."
                             : "%s is no file. Name a file for the backup.",
                         target);
    return copied(log, target, there, replace, fault);
}

/* A link keeps its place: what it leads to may be on another disk. */
bool log_backup(Log *log, const char *target, bool replace, Fault *fault)
{
    char *real = realpath(target, NULL);
    const bool good = backup_to(log, real != NULL ? real : target, replace, fault);
    free(real);
    return good;
}
