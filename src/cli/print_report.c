#include "cli/print.h"

void report_begin(Report *report)
{
    if (report->json)
        str_adds(&report->out, "{\"report\":[");
}

void report_line(void *report, bool good, const char *line)
{
    Report *r = report;
    if (!r->json) {
        str_addf(&r->out, "%s  %s\n", good ? "good " : "WRONG", line);
        return;
    }
    const bool first = r->out.s[r->out.n - 1] == '[';
    str_addf(&r->out, "%s{\"good\":%s,\"text\":", first ? "" : ",", good ? "true" : "false");
    str_add_json(&r->out, text_of(line));
    str_addc(&r->out, '}');
}
