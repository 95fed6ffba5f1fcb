"""From what was found to six weeks of practice."""

from __future__ import annotations

from assessments.practice.values import Need

__all__ = ["Need"]
