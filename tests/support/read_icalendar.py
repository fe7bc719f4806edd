"""What the package icalendar makes of a calendar file, for tests/cli/test_due.c: the same lines as
read_libical.c. usage: read_icalendar.py FILE. Exit 3 where the package is not installed."""

import sys

try:
    import icalendar
except ImportError:
    sys.exit(3)


def moment(value):
    """A date or a time as iCalendar writes it."""
    if hasattr(value, "hour"):
        utc = value.tzinfo is not None and not value.utcoffset()
        return ("utc " if utc else "local ") + value.strftime("%Y%m%dT%H%M%S") + ("Z" if utc else "")
    return "day " + value.strftime("%Y%m%d")


def main():
    with open(sys.argv[1], "rb") as file:
        text = file.read()
    calendars = icalendar.Calendar.from_ical(text, multiple=True)
    if len(calendars) != 1 or calendars[0].name != "VCALENDAR":
        sys.exit("read_icalendar: not one calendar")
    out = []
    for part in calendars[0].subcomponents:
        if part.errors:
            sys.exit("read_icalendar: %s" % part.errors)
        out.append(part.name)
        if part.name == "VTIMEZONE":
            continue
        out.append("  uid %s" % part["UID"])
        out.append("  stamp %s" % moment(part["DTSTAMP"].dt)[4:])
        out.append("  %s" % moment(part["DUE" if part.name == "VTODO" else "DTSTART"].dt))
        out.append("  summary %s" % part["SUMMARY"])
        out.append("  description %s" % part["DESCRIPTION"])
        for alarm in part.subcomponents:
            if alarm.name != "VALARM" or alarm.errors or alarm["ACTION"] != "DISPLAY":
                sys.exit("read_icalendar: no alarm that is shown")
            trigger = alarm["TRIGGER"]
            out.append(
                "  alarm %s %d %s"
                % (
                    trigger.params.get("RELATED", "START"),
                    trigger.dt.total_seconds(),
                    alarm["DESCRIPTION"],
                )
            )
    sys.stdout.buffer.write(("\n".join(out) + "\n").encode("utf-8"))


main()
