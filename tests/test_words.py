"""The languages of the report: whole, and as they are compiled."""

from __future__ import annotations

import io
import re
from gettext import GNUTranslations
from importlib.machinery import SourceFileLoader
from importlib.util import module_from_spec, spec_from_loader
from pathlib import Path
from types import ModuleType

import pytest
from django.conf import settings
from django.utils.translation import gettext, override

from school.models import Language

WORDS = Path(settings.BASE_DIR) / ".ci" / "words"
PLACEHOLDER = re.compile(r"{\w*}|%\(\w+\)[sd]|%%")
OTHERS = [language for language in Language.values if language != Language.ENGLISH]


@pytest.fixture(scope="module")
def words() -> ModuleType:
    spec = spec_from_loader("words", SourceFileLoader("words", str(WORDS)))
    assert spec is not None
    assert spec.loader is not None
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_there_is_a_file_of_words_for_each_language_of_a_report(words: ModuleType) -> None:
    assert list(words.LANGUAGES) == OTHERS
    assert {code for code, _ in settings.LANGUAGES} == {settings.LANGUAGE_CODE, *Language.values}


@pytest.mark.parametrize("language", OTHERS)
def test_every_text_is_translated_and_no_translation_is_left_over(
    words: ModuleType, language: str
) -> None:
    for name, texts in words.used().items():
        translated = words.translated(language, name)
        assert sorted(texts - translated.keys()) == []
        assert sorted(translated.keys() - texts) == []
        assert [text for text, strings in translated.items() if not all(strings)] == []


@pytest.mark.parametrize("language", OTHERS)
def test_a_translation_has_the_placeholders_of_its_text(words: ModuleType, language: str) -> None:
    for name in words.used():
        for text, strings in words.translated(language, name).items():
            for form, string in zip(text.forms, strings, strict=True):
                assert sorted(PLACEHOLDER.findall(string)) == sorted(PLACEHOLDER.findall(form))


@pytest.mark.parametrize("language", OTHERS)
def test_what_is_compiled_is_what_was_translated(words: ModuleType, language: str) -> None:
    stored = GNUTranslations(io.BytesIO(words.mo_of(language).read_bytes()))
    for name in words.used():
        for text, strings in words.translated(language, name).items():
            assert compiled(stored, *text) == strings


def compiled(stored: GNUTranslations, forms: tuple[str, ...], context: str) -> tuple[str, ...]:
    one, several = forms[0], forms[-1]
    if len(forms) == 1:
        return (stored.pgettext(context, one) if context else stored.gettext(one),)
    return tuple(
        stored.npgettext(context, one, several, number)
        if context
        else stored.ngettext(one, several, number)
        for number in (1, 2)
    )


def test_what_a_house_edited_prints_as_it_was_edited() -> None:
    with override("de"):
        assert gettext("Measure again") == "Noch einmal messen"
        assert gettext("Measure again, if you like") == "Measure again, if you like"
