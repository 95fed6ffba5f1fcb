"""Instruments for tests."""

import factory
from factory.django import DjangoModelFactory

from assessments.models import Instrument


class InstrumentFactory(DjangoModelFactory[Instrument]):
    """An instrument whose table gives the carry in metres and no more."""

    class Meta:
        model = Instrument

    name = factory.Sequence(lambda n: f"Instrument {n}")
    columns = factory.LazyFunction(lambda: {"carry_m": "Carry"})
    units = factory.LazyFunction(lambda: {"carry_m": "m"})
