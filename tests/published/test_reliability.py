"""Repeatability against printed tables and a general-purpose statistics library."""

import pytest

from assessments.statistics.repeatability import Interval, repeatability

# P. E. Shrout and J. L. Fleiss, Intraclass correlations: uses in assessing rater reliability,
# Psychological Bulletin 86 (1979) 420-428, tables 2 to 4: six targets, four judges.
SHROUT_FLEISS = [
    [9, 2, 5, 8],
    [6, 1, 3, 2],
    [8, 4, 6, 8],
    [7, 1, 2, 6],
    [10, 5, 6, 9],
    [6, 2, 4, 7],
]

# J. P. Weir, Quantifying test-retest reliability using the intraclass correlation coefficient and
# the SEM, J. Strength Cond. Res. 19 (2005) 231-240, data set A: eight subjects, two trials.
WEIR = [
    *([146, 140], [148, 152], [170, 152], [90, 99]),
    *([157, 145], [156, 153], [176, 167], [205, 218]),
]

# Eight invented stills with three markings, for the comparison with a library.
STILLS = [
    *([-0.87, -0.75, -1.32], [1.15, 1.94, 2.51], [2.23, 2.52, 2.35], [-0.58, 1.59, -0.18]),
    *([0.47, 2.31, -0.8], [-2.02, -1.04, -0.83], [-2.97, -1.51, -1.68], [-1.82, -2.77, -1.25]),
]


def ends(interval: Interval) -> list[float]:
    return [round(interval.low, 2), round(interval.high, 2)]


def test_coefficients_of_shrout_and_fleiss() -> None:
    """Their table 4: ICC(2,1) = 0.29, ICC(3,1) = 0.71."""
    found = repeatability(SHROUT_FLEISS)
    assert round(found.icc_agreement.value, 2) == 0.29
    assert round(found.icc_consistency.value, 2) == 0.71


def test_standard_error_of_weir() -> None:
    """His data set A: SEM = 7.6; and the detectable change that follows by his equation 8."""
    found = repeatability(WEIR)
    assert round(found.click_sd, 1) == 7.6
    assert round(found.sem.value, 1) == 7.6
    assert found.mdc95.value == pytest.approx(1.96 * 2**0.5 * 57.107142857**0.5)


@pytest.mark.parametrize(
    ("table", "agreement", "consistency", "ends_a", "ends_c"),
    [
        (SHROUT_FLEISS, 0.289763780, 0.714840715, [0.02, 0.76], [0.34, 0.95]),
        (STILLS, 0.779909980, 0.801986405, [0.46, 0.95], [0.49, 0.95]),
    ],
)
def test_same_as_the_library(
    table: list[list[float]],
    agreement: float,
    consistency: float,
    ends_a: list[float],
    ends_c: list[float],
) -> None:
    """PyPI pingouin 0.7.0, `intraclass_corr`: ICC(A,1) and ICC(C,1) with `CI95`, run once."""
    found = repeatability(table)
    assert found.icc_agreement.value == pytest.approx(agreement, abs=1e-9)
    assert found.icc_consistency.value == pytest.approx(consistency, abs=1e-9)
    assert (ends(found.icc_agreement), ends(found.icc_consistency)) == (ends_a, ends_c)
