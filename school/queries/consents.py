"""The words of consents and who has given them."""

from dataclasses import dataclass

from school.models import Consent, ConsentKind, ConsentText, Enrolment


@dataclass(frozen=True)
class ConsentLine:
    """One kind of consent: the words that would be agreed to now, and who has given it if any."""

    kind: ConsentKind
    text: ConsentText | None
    given: Consent | None


def latest_texts() -> list[ConsentText]:
    """The newest text of each kind that has one, in the order of the kinds. One query."""
    newest = {text.kind: text for text in ConsentText.objects.order_by("version")}
    return [newest[kind] for kind in ConsentKind.values if kind in newest]


def latest_text(kind: str) -> ConsentText | None:
    """The newest text of this kind. One query."""
    return ConsentText.objects.filter(kind=kind).order_by("-version").first()


def consent_lines(enrolment: Enrolment) -> list[ConsentLine]:
    """Every kind of consent as it stands for this enrolment. Two queries."""
    texts = {text.kind: text for text in latest_texts()}
    live = enrolment.consents.standing().select_related("text")
    given = {consent.text.kind: consent for consent in live.order_by("text__version")}
    return [ConsentLine(kind, texts.get(kind), given.get(kind)) for kind in ConsentKind]
