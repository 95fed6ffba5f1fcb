"""The look keeps its word: legible on every ground, names drawn right, nothing written inline."""

import re
import subprocess
from pathlib import Path

import pytest
from django.conf import settings
from django.test import RequestFactory
from django.views.defaults import bad_request, server_error

TEMPLATES = settings.BASE_DIR / "templates"
STATIC = settings.BASE_DIR / "school" / "static" / "school"
TOKENS = (STATIC / "tokens.css").read_text()
WORDS = ["ink", "faint", "flag", "moss", "slate"]
NAME = "Łukasz Żółć"


def theme(name: str) -> dict[str, str]:
    block = re.search(rf'\[data-bs-theme="{name}"\] {{\n(.*?)}}', TOKENS, re.DOTALL)
    assert block
    return dict(re.findall(r"--([\w-]+): ([^;]+);", block[1]))


def channels(colour: str) -> list[int]:
    return [int(colour[i : i + 2], 16) for i in (1, 3, 5)]


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    shares = [c / 255 for c in channels(colour)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in shares)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: str, other: str) -> float:
    dark, bright = sorted((luminance(one), luminance(other)))
    return (bright + 0.05) / (dark + 0.05)


def test_contrast_of_the_published_extremes() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("name", ["light", "dark"])
@pytest.mark.parametrize("ground", ["paper", "sheet"])
@pytest.mark.parametrize("word", WORDS)
def test_words_stand_out_from_every_ground(name: str, ground: str, word: str) -> None:
    tokens = theme(name)
    assert contrast(tokens[word], tokens[ground]) >= 4.5


@pytest.mark.parametrize("name", ["light", "dark"])
def test_bootstrap_mixes_the_same_colours(name: str) -> None:
    tokens = theme(name)
    for token in ["paper", "sheet", "rule", *WORDS]:
        assert tokens[f"{token}-rgb"] == ", ".join(map(str, channels(tokens[token])))


@pytest.mark.parametrize("stack", ["text", "title"])
def test_print_draws_a_name_as_its_letters(stack: str, tmp_path: Path) -> None:
    """One word set in the stack looks like its letters set one by one from the right subset."""
    assert drawn(NAME, stack, tmp_path) == drawn(by_letter(stack), stack, tmp_path)


def by_letter(stack: str) -> str:
    family = {"text": "Atkinson Hyperlegible Next", "title": "Bitter"}[stack]
    subsets = [f"{family}{' Ext' if letter > 'ÿ' else ''}" for letter in NAME]
    return "".join(
        f"<span style=\"font-family:'{subset}'\">{letter}</span>"
        for subset, letter in zip(subsets, NAME, strict=True)
    )


def drawn(words: str, stack: str, folder: Path) -> bytes:
    from weasyprint import CSS, HTML
    from weasyprint.text.fonts import FontConfiguration

    fonts = FontConfiguration()
    sheets = [STATIC / "fonts" / "print.css", TEMPLATES / "pdf" / "base.css"]
    page = f'<html lang="en"><p style="font-family:var(--{stack});font-kerning:none">{words}</p>'
    pdf = HTML(string=page).write_pdf(
        stylesheets=[CSS(filename=sheet, font_config=fonts) for sheet in sheets], font_config=fonts
    )
    (folder / "name.pdf").write_bytes(pdf)
    subprocess.run(
        ["pdftoppm", "-r", "150", "-png", "-singlefile", "name.pdf", "name"], cwd=folder, check=True
    )
    return (folder / "name.png").read_bytes()


def test_pages_carry_nothing_inline() -> None:
    """The content policy forbids it: an inline script or style would silently do nothing."""
    printed = (TEMPLATES / "pdf", TEMPLATES / "assessments" / "reports")
    inline = re.compile(r'<style|<script(?![^>]*\bsrc=)[^>]*>|\sstyle="|\son[a-z]+="')
    pages = [p for p in TEMPLATES.rglob("*.html") if not any(map(p.is_relative_to, printed))]
    assert [str(p) for p in pages if inline.search(p.read_text())] == []
    assert pages


def test_a_broken_page_needs_nothing_that_may_be_broken(rf: RequestFactory) -> None:
    answer = server_error(rf.get("/"))
    assert answer.status_code == 500
    assert "What was saved before is safe." in answer.content.decode()


def test_a_page_for_what_cannot_be_understood(rf: RequestFactory) -> None:
    answer = bad_request(rf.get("/"), ValueError())
    assert "Nothing was changed." in answer.content.decode()
