"""Units against the factors of NIST Special Publication 811 (2008), appendix B.8."""

import pytest

from assessments.statistics.sizes import SIZES


@pytest.mark.parametrize(
    ("unit", "size"), [("yd", 0.9144), ("ft", 0.3048), ("mph", 0.44704), ("km/h", 0.2777778)]
)
def test_a_unit_is_as_large_as_is_published(unit: str, size: float) -> None:
    assert SIZES[unit] == pytest.approx(size, rel=1e-7)
