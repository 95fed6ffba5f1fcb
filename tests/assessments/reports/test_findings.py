"""What is said of a difference: never more than can be known."""

from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assessments.models import Entry, Measure
from assessments.queries.findings import Finding, Group, finding_of, reasons_kept_out
from assessments.stations import registry
from assessments.stations.base import MeasureKind
from assessments.statistics.spreads import ONE_FRAME, TWO_FRAMES
from assessments.units import Units

OFFSET = MeasureKind("forearm_line_offset_bd", "forearm-line offset", "bd", 1, primary=True)
LEAN = MeasureKind("shaft_lean_deg", "shaft lean", "deg", 1)
CARRY = MeasureKind("carry", "carry", "m", 0, better="higher")
IRON, FLIGHT = Group("impact", False, "iron"), Group("ball_flight")

values = st.lists(st.floats(-20, 20), min_size=1, max_size=6)


def rows(*numbers: float, u: float | None = 0.5) -> list[Measure]:
    arm = None if u is None else 1.96 * u
    return [
        Measure(
            value=value,
            standard_uncertainty=u,
            low=None if arm is None else value - arm,
            high=None if arm is None else value + arm,
        )
        for value in numbers
    ]


def compared(
    intake: Sequence[Measure],
    exit_: Sequence[Measure],
    measure: MeasureKind = OFFSET,
    group: Group = IRON,
) -> Finding:
    return finding_of(group, "Station", measure, intake, exit_)


def said(finding: Finding) -> str:
    """The sentence with plain spaces."""
    return finding.sentence.replace("\N{NO-BREAK SPACE}", " ")


def claims(finding: Finding) -> bool:
    return "real change" in finding.sentence or "indication" in finding.sentence


@given(values, values, st.sampled_from([OFFSET, LEAN]))
def test_nothing_is_claimed_within_the_threshold(
    intake: list[float], exit_: list[float], measure: MeasureKind
) -> None:
    finding = compared(rows(*intake), rows(*exit_), measure)
    assert finding.change is not None
    past = abs(finding.change.difference) > finding.change.threshold
    assert claims(finding) == past


@given(st.floats(-50, 50), st.floats(-50, 50), st.floats(0.1, 20), st.floats(0.1, 20))
def test_nor_at_another_station(before: float, after: float, u1: float, u2: float) -> None:
    finding = compared(rows(before, u=u1), rows(after, u=u2), CARRY, FLIGHT)
    if claims(finding):
        assert abs(after - before) > 2.5 * (u1**2 + u2**2) ** 0.5


@given(st.floats(-20, 20), values)
def test_a_single_swing_is_never_more_than_an_indication(one: float, many: list[float]) -> None:
    assert "real change" not in compared(rows(one), rows(*many)).sentence


def test_a_real_change_gives_its_size_and_the_threshold() -> None:
    sentence = said(compared(rows(-1.2, -1.0, -1.4), rows(2.4, 2.2, 2.6)))
    assert sentence.startswith("Up by 3.6 ball diameters: a real change, past the 0.")


def test_a_difference_within_says_how_much_would_count() -> None:
    sentence = said(compared(rows(1.0, 1.2, 0.8), rows(1.3, 1.1, 1.5)))
    assert sentence == (
        "Up by 0.3 ball diameters, within what we can measure: only more than 0.9 counts."
    )


def test_none_within_is_called_none() -> None:
    sentence = said(compared(rows(1.0, 1.2, 0.8), rows(1.0, 1.2, 0.8)))
    assert sentence == "No difference, within what we can measure: only more than 0.9 counts."


def test_a_change_for_the_worse_is_called_so() -> None:
    sentence = said(compared(rows(130, u=1), rows(110, u=1), CARRY, FLIGHT))
    assert sentence.startswith("Down by 20 m, for the worse: an indication")


def test_the_primary_measure_is_held_to_five_percent_and_others_to_one() -> None:
    swings = rows(0.0, 0.4, 0.8), rows(1.0, 1.4, 1.8)
    as_primary = compared(*swings)
    as_other = compared(*swings, MeasureKind("forearm_line_offset_bd", "offset", "bd", 1))
    assert as_primary.change is not None
    assert as_other.change is not None
    assert as_other.change.threshold > as_primary.change.threshold


@pytest.mark.parametrize(
    ("intake", "exit_", "day"), [(rows(1.0), [], "last"), ([], rows(1.0), "first")]
)
def test_a_side_that_was_not_measured_is_said(
    intake: list[Measure], exit_: list[Measure], day: str
) -> None:
    finding = compared(intake, exit_)
    assert finding.sentence == f"Not measured on the {day} day, so nothing is compared."
    assert finding.change is None


def test_an_unknown_uncertainty_claims_nothing() -> None:
    finding = compared(rows(100, u=None), rows(200, u=None), CARRY, FLIGHT)
    assert "nothing is claimed" in finding.sentence


def test_the_mean_of_several_is_surer_than_one() -> None:
    finding = compared(rows(1.0, 1.0, 1.0, 1.0, u=0.8), rows(1.0, u=0.8))
    assert finding.intake is not None
    assert finding.intake.mean.standard_uncertainty == pytest.approx(0.4)


def test_ends_of_one_interval_are_kept_as_they_came() -> None:
    share = Measure(value=100.0, standard_uncertainty=5.0, low=69.0, high=100.0)
    finding = compared([share], [], CARRY, FLIGHT)
    assert finding.intake is not None
    assert (finding.intake.mean.low, finding.intake.mean.high) == (69.0, 100.0)


def test_every_measure_of_a_still_has_an_assumed_spread() -> None:
    measured = {measure.name for measure in registry()["impact"].measures}
    assert measured <= ONE_FRAME.keys() == TWO_FRAMES.keys()


def test_what_other_stations_warn_of_keeps_nothing_out() -> None:
    assert reasons_kept_out(Entry(kind="putting", warnings=["wet_green"])) == []
    assert len(reasons_kept_out(Entry(kind="impact", warnings=["shaft_bent", "ball_soft"]))) == 1


def test_the_sentence_is_in_the_units_that_the_golfer_reads() -> None:
    sides = rows(130, u=1), rows(110, u=1)
    kind = replace(CARRY, is_long=True)
    finding = finding_of(FLIGHT, "Station", kind, *sides, units=Units("yd", "mph"))
    assert said(finding).startswith("Down by 22 yd, for the worse: an indication, past the 3 yd")
    assert finding.change is not None
    assert finding.change.difference == -20


@pytest.mark.parametrize(("is_primary", "threshold"), [(True, 2.77), (False, 3.64)])
def test_other_stations_too_hold_their_primary_measure_to_five_percent(
    is_primary: bool, threshold: float
) -> None:
    kind = replace(CARRY, primary=is_primary)
    finding = compared(rows(100, u=1), rows(103, u=1), kind, FLIGHT)
    assert finding.change is not None
    assert finding.change.threshold == pytest.approx(threshold, abs=0.01)
    assert claims(finding) == is_primary
