#include "cli/print.h"

#include "base/json_out.h"
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
    json_open(&r->out, NULL, '{');
    json_flag(&r->out, "good", good);
    json_text(&r->out, "text", line);
    str_addc(&r->out, '}');
}
