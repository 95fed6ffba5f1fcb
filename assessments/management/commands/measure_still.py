"""Measure one still from a file of landmarks and print the measures as JSON."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from assessments.impact.cases import CaseUnreadable, read_filmed_case
from assessments.impact.errors import StillRefused
from assessments.impact.filmed import Filmed, measure_filmed

REFUSED = 2


class Command(BaseCommand):
    help = (
        "Measures a still from a JSON file with its size, handedness, club and landmarks in "
        "pixels and prints each measure under its name; with landmarks_before, the marks of the "
        "frame before the strike, and camera, what is known of it, as these are filmed. Exit "
        "status 2 if the still is refused, 1 if the file cannot be read."
    )
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("case", type=Path, metavar="CASE.json")

    def handle(self, *, case: Path, **_options: object) -> None:
        try:
            known = read_filmed_case(json.loads(case.read_text(encoding="utf-8")))
            found = measure_filmed(*known)
        except StillRefused as refused:
            self._print(
                {
                    "error": refused.codes[0],
                    "errors": refused.codes,
                    "words": refused.sentences,
                }
            )
            raise SystemExit(REFUSED) from refused
        except (OSError, UnicodeDecodeError) as error:
            raise CommandError(f"{case} cannot be read: {error}") from error
        except (json.JSONDecodeError, RecursionError) as error:
            raise CommandError(f"{case} is not JSON: {error}") from error
        except CaseUnreadable as error:
            raise CommandError(f"{case} does not describe a still: {error}") from error
        self._print(_answer(found))

    def _print(self, answer: dict[str, Any]) -> None:
        self.stdout.write(json.dumps(answer, indent=1))


def _answer(found: Filmed) -> dict[str, Any]:
    """`strike_weight` is how far from the first frame to the second the strike lies; `yaw_deg` how
    far round the camera stood, and `gain` what squaring it moved."""
    result = found.result
    return {
        **{name: m.value for name, m in result.measures.items()},
        "standard_uncertainty": {n: m.standard_uncertainty for n, m in result.measures.items()},
        "warnings": result.warnings,
        "roll_measured": result.roll_measured,
        "frames": result.frames,
        "strike_weight": result.strike_weight,
        "yaw_deg": found.pose.yaw_deg if found.pose else None,
        "gain": found.gain,
        "definitions_version": result.definitions_version,
    }
