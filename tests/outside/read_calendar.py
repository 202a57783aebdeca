"""Reads a calendar feed with the icalendar package (PyPI, BSD) and checks it against RFC 5545.

    python3 -m pip install icalendar
    python3 tests/outside/read_calendar.py http://127.0.0.1:8080/v1/calendars/SECRET.ics

Exits with 1 and says why when the feed does not hold.
"""

import datetime
import sys
import urllib.request

import icalendar


def check(raw: bytes) -> list[str]:
    faults = []
    lines = raw.split(b"\r\n")
    if b"\n" in raw.replace(b"\r\n", b""):
        faults.append("a line does not end in CRLF")
    faults += [f"longer than 75 octets: {line[:40]!r}" for line in lines if len(line) > 75]
    calendar = icalendar.Calendar.from_ical(raw)
    if str(calendar["VERSION"]) != "2.0" or not calendar.get("PRODID"):
        faults.append("VERSION or PRODID is missing")
    uids = set()
    for event in calendar.walk("VEVENT"):
        uid = str(event["UID"])
        if uid in uids:
            faults.append(f"{uid} is there twice")
        uids.add(uid)
        if event.errors:
            faults.append(f"{uid}: {event.errors}")
        stamp = event.decoded("DTSTAMP")
        if stamp.utcoffset() != datetime.timedelta(0):
            faults.append(f"{uid}: DTSTAMP is not UTC")
        start, end = event.decoded("DTSTART"), event.decoded("DTEND")
        if isinstance(start, datetime.datetime) or isinstance(end, datetime.datetime):
            faults.append(f"{uid}: is not a span of days")
        elif end <= start:
            faults.append(f"{uid}: ends on {end}, not after {start}")
        if not str(event["SUMMARY"]).strip():
            faults.append(f"{uid}: no SUMMARY")
    print(f"{len(uids)} events")
    return faults


if __name__ == "__main__":
    with urllib.request.urlopen(sys.argv[1]) as answer:
        kind = answer.headers["content-type"]
        found = check(answer.read())
    if not kind.startswith("text/calendar"):
        found.append(f"media type is {kind}")
    print("\n".join(found))
    sys.exit(bool(found))
