"""Reading what a bank lets one download, and finding out whose money it is. Pure.

`read_bank` takes the table of any bank: headings in other words and in several languages, a
signed amount or a column for each direction, decimal point or comma. Only money that came in is
kept. It guesses only where a wrong guess shows; what could be read two ways is refused.
`suggest` scores which enrolment a line pays for and says why in words. Both only read: what is
done with a line is decided by the front desk.
"""

from school.bank_csv.match import Candidate, Suggestion, WaitingLine, suggest
from school.bank_csv.read import MAX_ROWS, SAMPLE, BankRow, BankSheet, read_bank
from school.bank_csv.reference import payment_reference, references_in

__all__ = [
    "MAX_ROWS",
    "SAMPLE",
    "BankRow",
    "BankSheet",
    "Candidate",
    "Suggestion",
    "WaitingLine",
    "payment_reference",
    "read_bank",
    "references_in",
    "suggest",
]
