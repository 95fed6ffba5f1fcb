"""The columns of a bank's table and the headings they go by, in the languages of the trade's
larger markets."""

from dataclasses import dataclass

from school.folding import fold


@dataclass(frozen=True)
class Column:
    """`title` is the heading we print; of several that mean the same, the first named wins."""

    key: str
    title: str
    also: tuple[str, ...]


DATE = Column(
    "date",
    "date",
    (
        *("booking date", "booked on", "booked", "date booked", "transaction date"),
        *("posting date", "posted", "date posted", "completed date", "entry date"),
        *("buchungstag", "buchungsdatum", "datum", "date operation", "date de l operation"),
        *("date comptable", "fecha", "fecha operacion", "data", "data contabile"),
        *("value date", "valuta", "wertstellung", "date de valeur", "fecha valor"),
    ),
)
AMOUNT = Column(
    "amount",
    "amount",
    ("sum", "value", "betrag", "umsatz", "montant", "importe", "importo", "bedrag"),
)
CREDIT = Column(
    "credit",
    "credit",
    (
        *("money in", "paid in", "credit amount", "amount credited", "deposits", "in"),
        *("haben", "gutschrift", "credits", "abono", "haber", "entrate", "avere"),
    ),
)
DEBIT = Column(
    "debit",
    "debit",
    (
        *("money out", "paid out", "debit amount", "amount debited", "withdrawals", "out"),
        *("soll", "lastschrift", "debits", "cargo", "debe", "uscite", "dare"),
    ),
)
DIRECTION = Column(
    "direction",
    "debit or credit",
    ("credit or debit", "credit debit", "debit credit", "dr cr", "cr dr", "direction", "sign"),
)
CURRENCY = Column("currency", "currency", ("ccy", "wahrung", "devise", "divisa", "moneda"))
# All of these together are the line's text: the payer's name and what the payer wrote.
TEXT = Column(
    "text",
    "text",
    (
        *("description", "details", "reference", "payment reference", "narrative", "memo"),
        *("transaction description", "particulars", "message", "payee", "payer", "name"),
        *("counterparty", "counter party", "remittance information", "verwendungszweck"),
        *("buchungstext", "auftraggeber", "beguenstigter zahlungspflichtiger"),
        *("name zahlungsbeteiligter", "libelle", "intitule", "concepto", "descripcion"),
        *("ordenante", "descrizione", "causale", "omschrijving"),
    ),
)
COLUMNS = (DATE, AMOUNT, CREDIT, DEBIT, DIRECTION, CURRENCY, TEXT)

_BY_HEADING = {
    name: (column, rank)
    for column in COLUMNS
    for rank, name in enumerate((column.title, *column.also))
}


def column_called(heading: str) -> tuple[Column, int] | None:
    """The column a heading means, whatever its case, accents and punctuation, and its rank."""
    words = "".join(letter if letter.isalnum() else " " for letter in fold(heading))
    return _BY_HEADING.get(" ".join(words.split()))


def count_known(headings: list[str]) -> int:
    return sum(column_called(heading) is not None for heading in headings)
