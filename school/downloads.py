"""Names for what is downloaded."""

import unicodedata
from urllib.parse import quote

# Letters that do not come apart into a plain one and a mark.
PLAIN = str.maketrans(
    {"Ł": "L", "ł": "l", "Ø": "O", "ø": "o", "Đ": "D", "đ": "d", "ß": "ss", "Æ": "Ae", "æ": "ae"}
)


def attachment(name: str) -> str:
    """A header that gives every browser a name: plain letters, and the true ones beside them."""
    apart = unicodedata.normalize("NFKD", name.translate(PLAIN))
    plain = apart.encode("ascii", "ignore").decode()
    plain = "".join(c for c in plain if c.isprintable() and c not in '"\\/')
    return f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(name, safe='')}"
