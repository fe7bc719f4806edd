/* read_libical - what libical makes of a calendar file, for tests/cli/test_due.c: the same lines as
 * read_icalendar.py. usage: read_libical FILE. Exit 1 with a sentence where it finds fault. */
#include <libical/ical.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static char *file_text(const char *path)
{
    FILE *f = fopen(path, "rb");
    char *text = calloc(1, 1 << 20);
    if (f == NULL || text == NULL || fread(text, 1, (1 << 20) - 1, f) == 0) {
        fprintf(stderr, "read_libical: %s can't be read\n", path);
        exit(1);
    }
    fclose(f);
    return text;
}

static icalproperty *only(icalcomponent *c, icalproperty_kind kind)
{
    icalproperty *p = icalcomponent_get_first_property(c, kind);
    if (p == NULL || icalcomponent_get_next_property(c, kind) != NULL) {
        fprintf(stderr, "read_libical: no or more than one %s\n",
                icalproperty_kind_to_string(kind));
        exit(1);
    }
    return p;
}

static void alarm_tell(icalcomponent *alarm)
{
    icalproperty *trigger = only(alarm, ICAL_TRIGGER_PROPERTY);
    icalparameter *related = icalproperty_get_first_parameter(trigger, ICAL_RELATED_PARAMETER);
    const bool end = related != NULL && icalparameter_get_related(related) == ICAL_RELATED_END;
    const struct icaltriggertype at = icalproperty_get_trigger(trigger);
    printf("  alarm %s %d %s\n", end ? "END" : "START", icaldurationtype_as_int(at.duration),
           icalproperty_get_description(only(alarm, ICAL_DESCRIPTION_PROPERTY)));
    if (icalproperty_get_action(only(alarm, ICAL_ACTION_PROPERTY)) != ICAL_ACTION_DISPLAY)
        exit(1);
}

static void component_tell(icalcomponent *c)
{
    const icalcomponent_kind kind = icalcomponent_isa(c);
    printf("%s\n", icalcomponent_kind_to_string(kind));
    if (kind == ICAL_VTIMEZONE_COMPONENT)
        return;
    const struct icaltimetype at = kind == ICAL_VTODO_COMPONENT
                                       ? icalproperty_get_due(only(c, ICAL_DUE_PROPERTY))
                                       : icalproperty_get_dtstart(only(c, ICAL_DTSTART_PROPERTY));
    printf("  uid %s\n", icalproperty_get_uid(only(c, ICAL_UID_PROPERTY)));
    printf("  stamp %s\n",
           icaltime_as_ical_string(icalproperty_get_dtstamp(only(c, ICAL_DTSTAMP_PROPERTY))));
    printf("  %s %s\n",
           icaltime_is_date(at)  ? "day"
           : icaltime_is_utc(at) ? "utc"
                                 : "local",
           icaltime_as_ical_string(at));
    printf("  summary %s\n", icalproperty_get_summary(only(c, ICAL_SUMMARY_PROPERTY)));
    printf("  description %s\n", icalproperty_get_description(only(c, ICAL_DESCRIPTION_PROPERTY)));
    for (icalcomponent *alarm = icalcomponent_get_first_component(c, ICAL_VALARM_COMPONENT);
         alarm != NULL; alarm = icalcomponent_get_next_component(c, ICAL_VALARM_COMPONENT))
        alarm_tell(alarm);
}

int main(int argc, char **argv)
{
    if (argc != 2)
        return 1;
    char *text = file_text(argv[1]);
    icalcomponent *all = icalparser_parse_string(text);
    free(text);
    if (all == NULL || icalcomponent_isa(all) != ICAL_VCALENDAR_COMPONENT) {
        fputs("read_libical: no calendar\n", stderr);
        return 1;
    }
    /* what the properties of each component may be, and how often (RFC 5545 section 3.6) */
    if (!icalrestriction_check(all) || icalcomponent_count_errors(all) != 0) {
        fprintf(stderr, "read_libical: not to the rules:\n%s", icalcomponent_as_ical_string(all));
        return 1;
    }
    for (icalcomponent *c = icalcomponent_get_first_component(all, ICAL_ANY_COMPONENT); c != NULL;
         c = icalcomponent_get_next_component(all, ICAL_ANY_COMPONENT))
        component_tell(c);
    icalcomponent_free(all);
    icalmemory_free_ring();
    return 0;
}
