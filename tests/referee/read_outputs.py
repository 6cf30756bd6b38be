"""Opens everything in a plan's folder with other people's libraries and prints what they found.

    python3 read_outputs.py FOLDER

CSV with the standard library's csv module (strict), workbook with openpyxl, calendars with icalendar.
Prints one JSON object; a library that is not installed is named under "missing" and its part left out.
"""

import csv
import json
import pathlib
import sys


def read_csv(path):
    with path.open(newline="", encoding="utf-8") as file:
        rows = list(csv.reader(file, strict=True))
    widths = {len(row) for row in rows}
    return {"header": rows[0], "rows": len(rows) - 1, "even": len(widths) == 1}


def read_workbook(path, openpyxl):
    book = openpyxl.load_workbook(path, data_only=False)
    sheets = {}
    for sheet in book.worksheets:
        kinds = {}
        for row in sheet.iter_rows(min_row=2):
            for cell in row:
                if cell.value is not None:
                    name = type(cell.value).__name__
                    kinds[name] = kinds.get(name, 0) + 1
        formulas = sum(
            1 for row in sheet.iter_rows() for cell in row if cell.data_type == "f"
        )
        sheets[sheet.title] = {
            "header": [cell.value for cell in sheet[1]],
            "rows": sheet.max_row - 1,
            "kinds": kinds,
            "formulas": formulas,
        }
    return sheets


def read_calendar(path, icalendar):
    calendar = icalendar.Calendar.from_ical(path.read_bytes())
    events = [part for part in calendar.walk("VEVENT")]
    return {
        "errors": [str(error) for part in [calendar, *events] for error in part.errors],
        "events": [
            {
                "summary": str(event["SUMMARY"]),
                "start": event["DTSTART"].dt.isoformat(),
                "end": event["DTEND"].dt.isoformat(),
            }
            for event in events
        ],
    }


def main():
    folder = pathlib.Path(sys.argv[1])
    found = {"missing": [], "csv": {}, "calendars": {}, "workbook": None}
    for path in sorted(folder.glob("*.csv")):
        found["csv"][path.name] = read_csv(path)
    try:
        import openpyxl

        found["workbook"] = read_workbook(folder / "lists.xlsx", openpyxl)
    except ModuleNotFoundError:
        found["missing"].append("openpyxl")
    try:
        import icalendar

        for path in sorted(folder.glob("calendar-*.ics")):
            found["calendars"][path.name] = read_calendar(path, icalendar)
    except ModuleNotFoundError:
        found["missing"].append("icalendar")
    json.dump(found, sys.stdout)


if __name__ == "__main__":
    main()
