"""Reading a list of golfers that somebody pasted or uploaded.

`read_golfers` takes whatever a spreadsheet program writes: any of three separators, the usual
encodings, headings in other words. It guesses only where a wrong guess shows: a date that could
be read two ways in a file that contradicts itself is refused, never chosen. It knows neither
the database nor the school; what a row will do is planned elsewhere.
"""

from school.golfer_csv.read import MAX_ROWS, SAMPLE, CellError, Sheet, SheetRow, read_golfers

__all__ = ["MAX_ROWS", "SAMPLE", "CellError", "Sheet", "SheetRow", "read_golfers"]
