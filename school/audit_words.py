"""The audit trail in sentences: what each verb of the code did, in words. Pure.

A sentence follows the name of whoever did it. `{subject}` stands for the row it was done to,
`{attendee}` for the enrolment it belongs to, the other names for what the action noted; a part in
square brackets is left out if it has an empty name. A test walks the code for verbs and fails on
one without words.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

SENTENCES: dict[str, str] = {
    # tables
    "add": "added {subject} to the tables",
    "change": "changed {subject} in the tables[: {fields}]",
    "delete": "deleted {was} from the tables",
    "set_password": "set the password of {subject}",
    "add_staff": "put {subject} on the staff[ as {jobs}]",
    # golfers
    "add_golfer": "put {subject} on file",
    "set_preferences": "set the units and the language of {subject}[: {fields}]",
    "change_golfer": "changed the details of {subject}[: {fields}]",
    "invite": "made a sign-in link for {subject}",
    "merge_golfers": "merged a second entry of {name} into {subject}",
    # schools
    "open_school": "set up {subject}",
    "open_enrolment": "opened the enrolment of {subject}",
    "change_capacity": "changed the seats of {subject} from {was} to {now}",
    "close_school": "closed {subject}",
    "import_golfers": "imported a list into {subject}: {joined} joined of {rows} rows",
    "export": "took the {what} of {subject} as a file of {rows} rows[ with {columns}]",
    # enrolments
    "enrol": "enrolled {subject}",
    "seat": "gave seat {seat} to {subject}",
    "cancel_enrolment": "cancelled {subject}[, giving up seat {seat}][: {why}][; kept: {kept}]",
    "offer": "offered seat {seat} to {subject}",
    "accept_offer": "took the offered seat {seat} for {subject}",
    "decline_offer": "declined seat {seat} for {subject}",
    "expire_offer": "let the offer of seat {seat} to {subject} end[: {why}]",
    "take_back_offer": "took back the offer of seat {seat} to {subject}[: {why}]",
    "seat_out_of_turn": "seated {subject} out of turn on seat {seat}[: {why}]",
    "offer_out_of_turn": "offered seat {seat} out of turn to {subject}[: {why}]",
    "say_otherwise": "enrolled {subject}, who typed other details than are on file[: {typed}]",
    "refuse_draft": "refused an enrolment begun by link ({subject})[: {why}]",
    "move_enrolment": "moved {subject} to {name}[, with {carried}]",
    "arrive": "brought in {subject}, from {name}",
    "give_consent": "recorded consent to “{kind}” for {subject}, given by {by}",
    "withdraw_consent": "withdrew consent to “{kind}” for {subject}",
    # money
    "record_payment": "recorded a payment of {amount} for {subject}",
    "reverse_entry": "reversed entry {entry} of {subject}[: {why}]",
    "discount": "let {subject} off {amount}",
    "refund": "recorded that {amount} was paid back for {subject}",
    "start_checkout": "began an online payment of {amount} for {attendee}",
    "import_bank_lines": "read {lines} lines of a bank's list",
    "match_line": "matched the bank line “{subject}” with entry {entry}",
    "set_aside": "set the bank line “{subject}” aside[: {why}]",
    "take_up_again": "took up the bank line “{subject}” again[: {why}]",
    "close_day": "closed the books of {day}[ with {totals}]",
    "record_earned": "recorded pay of {amount} earned ({subject})",
    "record_paid": "recorded pay of {amount} handed over ({subject})",
    "reverse_pay": "reversed a pay entry ({subject})[: {why}]",
    # messages and sign-ins
    "send_again": "sent {subject} again",
    "mark_bounced": "noted that {subject} came back[: {why}]",
    "sign_in_by_code": "signed in by a code from an e-mail",
    "open_account": "had a sign-in opened for {subject}",
    # teaching
    "make_squads": "made the squads of {subject}",
    "move_attendee": "moved {golfers} to {squad} in {subject}",
    "swap_attendees": "exchanged {golfers} between squads of {subject}",
    "wish_squad": "noted for {subject} that {golfers} are to be {kind}",
    "drop_squad_wish": "dropped the wish for {subject} that {golfers} be {kind}",
    "set_hours": "set the teaching hours of {subject}",
    "take_holds": "held {held}[ for {what}]",
    "release_holds": "let go of {held}[ for {what}]",
    "request_plan": "asked for {subject}",
    "request_replan": "asked for {subject}, planned again from {since}",
    "stop_search": "ended the search for {subject}",
    "note_trouble": "noted a trouble: {what}",
    "drop_trouble": "took back a trouble: {what}",
    "find_plan": "had the planner find {subject}",
    "publish_plan": "published {subject}",
    "copy_plan": "copied {name} to change it by hand, as {subject}",
    "move_session": "changed {subject} by hand: {what}",
    "pin_session": "changed {subject} by hand: {what}",
    "undo_edit": "took back a step in {subject}: {what}",
    # measuring
    "add_place": "set up the filming place {subject}",
    "change_place": "changed the filming place {subject}[: {fields}]",
    "add_instrument": "set up the instrument {subject}",
    "change_instrument": "changed the instrument {subject}[: {fields}]",
    "add_still": "added a still of {attendee}[ at the {phase}][, {club}]",
    "record_entry": "recorded {kind} for {attendee}[ at the {phase}]",
    "correct_entry": "corrected {kind} for {attendee}[ at the {phase}]",
    "mark_again": "marked a still of {attendee} again[ for the study “{study}”]",
    "open_study": "opened the study “{subject}” of {stills} stills from {place}",
    "close_study": "closed the study “{subject}”[ with {tables}]",
    "give_up_study": "closed the study “{subject}” without a result",
    "put_in_force": "put the study “{subject}” in force[ in place of “{instead_of}”]",
    "take_out_of_force": "took the study “{subject}” out of force",
    "add_reference": "kept a still of {attendee} for later schools[, {club}]",
    "remove_reference": "took a still of {attendee} out of the reference set[, {club}]",
    "ask_preview": "had a look at the report of {attendee} made",
    "sign_report": "signed the report of {subject}",
    "queue_reports": "had {count} signed reports made for {subject}",
    "send_report": "sent {subject} to {to}",
    "revoke_link": "took back the address of {subject} that was sent to {to}",
    "ask_bundle": "asked for {what} of {subject}",
    "queue_unsigned": "had {subject} made[, although {although}]",
    "propose_plan": "had a practice plan proposed for {attendee}[: {priorities}]",
    "revise_plan": "changed the practice plan of {attendee}[: {priorities}]",
    "make_report_again": "had {subject} made again",
}

LABELS = {
    "terms": "terms of the school",
    "risk": "assumption of risk",
    "filming": "being filmed for teaching",
    "shown_in_class": "stills shown in class",
    "named_in_class": "name beside the stills in class",
    "reference": "stills kept for later schools",
    "publicity": "stills used in publicity",
    "news": "news by e-mail",
}


def sentence(verb: str, subject: str, detail: Mapping[str, Any], attendee: str = "") -> str:
    """What was done, without who did it. A verb we no longer have words for is shown as it is."""
    pattern = SENTENCES.get(verb)
    if pattern is None:
        return f"{verb.replace('_', ' ')}: {subject}"
    values = {name: _text(value) for name, value in detail.items()}
    if "kind" in values:
        values["kind"] = LABELS.get(values["kind"], values["kind"])
    values |= {"subject": subject, "attendee": attendee or subject}
    kept = re.sub(r"\[([^]]*)\]", lambda part: _if_filled(part[1], values), pattern)
    return _filled(kept, values)


def _if_filled(part: str, values: Mapping[str, str]) -> str:
    names = re.findall(r"{(\w+)}", part)
    return part if all(values.get(name) for name in names) else ""


def _filled(pattern: str, values: Mapping[str, str]) -> str:
    # Not str.format: what was noted is data and may hold braces of its own.
    return re.sub(r"{(\w+)}", lambda name: values.get(name[1], "something"), pattern)


def _text(value: Any) -> str:
    match value:
        case None:
            return ""
        case dict():
            return ", ".join(f"{amount} ({name})" for name, amount in value.items())
        case list():
            return ", ".join(str(each).replace("_", " ") for each in value)
        case _:
            return str(value)
