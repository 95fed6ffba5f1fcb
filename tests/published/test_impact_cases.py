"""Our ten worked stills, to 1e-6."""

import json
from pathlib import Path
from typing import Any

import pytest

from assessments.impact.cases import read_case
from assessments.impact.errors import StillRefused
from assessments.impact.measures import measure_still

CASES = [
    json.loads(path.read_text())
    for path in sorted((Path(__file__).parent / "impact_cases").glob("*.json"))
]
MEASURED = [case for case in CASES if "expected" in case]
REFUSED = [case for case in CASES if "expected_error" in case]


def name(case: dict[str, Any]) -> str:
    return str(case["name"])


def test_all_ten_are_here() -> None:
    assert (len(MEASURED), len(REFUSED)) == (7, 3)


@pytest.mark.parametrize("case", MEASURED, ids=name)
def test_values_and_uncertainties(case: dict[str, Any]) -> None:
    result = measure_still(read_case(case))
    values = {name: m.value for name, m in result.measures.items()}
    u = {name: m.standard_uncertainty for name, m in result.measures.items()}
    expected_u = case["expected_standard_uncertainty"]
    assert values == pytest.approx(case["expected"], abs=case["tolerance"])
    assert {name: u[name] for name in expected_u} == pytest.approx(expected_u, abs=1e-6)


@pytest.mark.parametrize("case", MEASURED, ids=name)
def test_warnings(case: dict[str, Any]) -> None:
    assert list(measure_still(read_case(case)).warnings) == case["expected_warnings"]


@pytest.mark.parametrize("case", REFUSED, ids=name)
def test_refused_for_the_named_reason(case: dict[str, Any]) -> None:
    with pytest.raises(StillRefused) as refused:
        measure_still(read_case(case))
    assert refused.value.codes[0] == case["expected_error"]
