"""Writes orders.xlsx with openpyxl (PyPI; 3.1.5 made the file that is kept here), as an order system might:

    python3 make_workbook.py orders.xlsx
"""

import datetime
import sys

from openpyxl import Workbook

HEADING = ["Order", "Item", "Qty", "Ship date", "Penalty"]


def sheet(book: Workbook, name: str, heading: list, rows: list) -> None:
    """A title over merged cells, an empty row, a heading, and rows."""
    made = book.create_sheet(name)
    made["A1"] = "Open orders, printed on Monday"
    made.merge_cells("A1:E1")
    for column, title in enumerate(heading, 1):
        made.cell(row=3, column=column, value=title)
    for number, row in enumerate(rows, 4):
        for column, value in enumerate(row, 1):
            cell = made.cell(row=number, column=column)
            if isinstance(value, tuple):
                cell.value, cell.data_type = value[0], "e"
            else:
                cell.value = value
            if isinstance(value, datetime.date):
                cell.number_format = "dd/mm/yyyy"


def main() -> None:
    book = Workbook()
    book.remove(book.active)
    day = datetime.date(2026, 12, 18)
    sheet(
        book,
        "Orders",
        HEADING,
        [
            [4711, "EXAMPLE-1", 12, day, 150.5],
            [],
            ["O-2", "EXAMPLE-1", "1 200", "21.12.2026", "99,50"],
            ["  O-3 ", "EXAMPLE-1", 7.0, datetime.datetime(2026, 12, 22, 0, 0), None],
        ],
    )
    sheet(
        book,
        "Faults",
        HEADING,
        [
            ["O-1", "EXAMPLE-1", 12, "31.02.2026", None],
            ["O-2", "EXAMPLE-1", "1,5", day, None],
            ["O-3", "EXAMPLE-1", ("#REF!",), day, None],
            ["O-4", "EXAMPLE-1", "=C4*2", day, None],
            ["O-5", "EXAMPLE-1", 3, 46374, None],
        ],
    )
    sheet(book, "Merged", HEADING, [["O-1", "EXAMPLE-1", 12, day, None]])
    book["Merged"].merge_cells("C3:D3")
    far = book.create_sheet("Far")
    for column, title in enumerate(HEADING, 1):
        far.cell(row=1, column=column, value=title)
    far["XFD1048576"] = "left behind"
    book.save(sys.argv[1])


if __name__ == "__main__":
    main()
