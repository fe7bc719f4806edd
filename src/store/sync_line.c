#include "store/sync_line.h"

#include "base/crc.h"
#include "store/port.h"
#include "store/port_json.h"

#include <errno.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>
#include <sys/random.h>

enum { FORMAT = 1, SYNC_LINE_MEMBERS_MAX = 8, TAIL = 19 }; /* ,"seal":"01234567"} */

bool machine_make(Machine *machine, Fault *fault)
{
    uint8_t random[MACHINE_DIGITS / 2];
    if (getrandom(random, sizeof random, 0) != (ssize_t)sizeof random)
        return fault_set(fault, FAULT_LOG, "the system gives no random numbers: %s.",
                         strerror(errno));
    for (size_t i = 0; i < sizeof random; i++)
        snprintf(machine->s + 2 * i, 3, "%02x", random[i]);
    return true;
}

bool machine_read(Text text, Machine *machine)
{
    if (text.n != MACHINE_DIGITS || strspn(text.s, "0123456789abcdef") < MACHINE_DIGITS)
        return false;
    memcpy(machine->s, text.s, MACHINE_DIGITS);
    machine->s[MACHINE_DIGITS] = '\0';
    return true;
}

uint32_t machine_mark(const Machine *machine)
{
    unsigned mark = 0;
    sscanf(machine->s, "%6x", &mark);
    return mark;
}

/* ---- reading ---- */

/* Takes the seal off the end of a line. */
static bool seal_off(Text *line, uint32_t *seal)
{
    static const char lead[] = ",\"seal\":\"";
    if (line->n < TAIL + 2)
        return false;
    const char *tail = line->s + line->n - TAIL;
    if (memcmp(tail, lead, sizeof lead - 1) != 0 || memcmp(tail + TAIL - 2, "\"}", 2) != 0 ||
        strspn(tail + sizeof lead - 1, "0123456789abcdef") != 8)
        return false;
    *seal = 0;
    for (const char *c = tail + sizeof lead - 1; *c != '"'; c++)
        *seal = *seal << 4 | (uint32_t)(*c <= '9' ? *c - '0' : *c - 'a' + 10);
    line->n -= TAIL;
    return true;
}

static bool damaged(Fault *fault)
{
    return fault_set(fault, FAULT_REFUSED, "it is cut or damaged.");
}

static bool seen_read(JsonReader *reader, const JsonMember *of, SyncLine *out, Fault *fault)
{
    JsonMember items[SEEN_MAX];
    int count;
    if (of->type != JSON_ARRAY)
        return damaged(fault);
    if (!json_list(reader, of->text, items, SEEN_MAX, &count, fault))
        return fault->kind != FAULT_LOG ? damaged(fault) : false;
    for (int i = 0; i < count; i++) {
        Seen *seen = &out->seen[i];
        char words[64];
        snprintf(words, sizeof words, "%.*s", (int)(items[i].text.n < 63 ? items[i].text.n : 63),
                 items[i].text.s);
        Text rest = text_of(words), name = text_cut(&rest, ' ');
        if (!machine_read(name, &seen->machine) ||
            sscanf(rest.s, "%" SCNd64 " %" SCNx64, &seen->tally.entries, &seen->tally.sum) != 2)
            return damaged(fault);
    }
    out->seen_count = count;
    return true;
}

static bool own_line(JsonReader *reader, const JsonMember *members, int count, SyncLine *out,
                     Fault *fault)
{
    int zone;
    if (count == 3 && text_is(members[0].key, "ullage") && text_is(members[2].key, "machine")) {
        out->type = SYNC_HEADER;
        if (!text_is(members[1].text, "1"))
            return fault_set(fault, FAULT_REFUSED,
                             "it is of a newer version of this program. Install that version.");
        return machine_read(members[2].text, &out->machine) || damaged(fault);
    }
    if (count == 2 && text_is(members[0].key, "seen") && text_is(members[1].key, "of")) {
        out->type = SYNC_SEEN;
        return moment_parse_rfc3339(members[0].text, &out->at, &zone, fault) &&
               seen_read(reader, &members[1], out, fault);
    }
    return fault_set(fault, FAULT_REFUSED, "it is no line of this program.");
}

bool sync_line_read(JsonReader *reader, Text line, SyncLine *out, Fault *fault)
{
    JsonMember members[SYNC_LINE_MEMBERS_MAX];
    Str text = {0};
    uint32_t seal;
    int count;
    if (!seal_off(&line, &seal))
        return damaged(fault);
    str_add(&text, line);
    str_addc(&text, '}');
    const Text whole = text_slice(text.s, text.n);
    bool good;
    if (!text_starts(whole, "{\"id\":")) {
        good = (crc32c(0, line.s, line.n) == seal || damaged(fault)) &&
               json_object(reader, whole, members, SYNC_LINE_MEMBERS_MAX, &count, fault) &&
               own_line(reader, members, count, out, fault);
    } else {
        out->type = SYNC_ENTRY;
        good = json_entry(reader, whole, (Moment){MOMENT_MAX_MS}, &out->e, fault) &&
               (event_seal(&out->e) == seal || damaged(fault));
    }
    str_finish(&text);
    if (!good && fault->kind != FAULT_LOG)
        fault->kind = FAULT_REFUSED;
    return good;
}

/* ---- writing ---- */

static void sealed(Str *out, uint32_t seal)
{
    str_addf(out, ",\"seal\":\"%08x\"}\n", (unsigned)seal);
}

void sync_line_header(const Machine *machine, Str *out)
{
    const size_t from = out->n;
    str_addf(out, "{\"ullage\":\"sync\",\"format\":%d,\"machine\":\"%s\"", FORMAT, machine->s);
    sealed(out, crc32c(0, out->s + from, out->n - from));
}

void sync_line_entry(const Event *e, Str *out)
{
    port_json(e, NULL, out);
    out->n--; /* the bracket stands behind the seal */
    sealed(out, event_seal(e));
}

void sync_line_seen(Moment at, const Seen *seen, int count, Str *out)
{
    char words[48];
    const size_t from = out->n;
    str_addf(out, "{\"seen\":\"%s\",\"of\":[", moment_print_utc(at, words));
    for (int i = 0; i < count; i++)
        str_addf(out, "%s\"%s %" PRId64 " %016" PRIx64 "\"", i > 0 ? "," : "", seen[i].machine.s,
                 seen[i].tally.entries, seen[i].tally.sum);
    str_adds(out, "]");
    sealed(out, crc32c(0, out->s + from, out->n - from));
}
