"""The places where stills are filmed, and what is known of each."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Count, Prefetch, QuerySet

from assessments.models import FilmingPlace, Study


@dataclass(frozen=True)
class PlaceLine:
    """A place, how many stills were filmed there, and the study in force, if there is one."""

    place: FilmingPlace
    stills: int
    study: Study | None


def in_force() -> QuerySet[Study]:
    return Study.objects.filter(is_in_force=True)


def with_study(places: QuerySet[FilmingPlace]) -> QuerySet[FilmingPlace]:
    """The places with their study in force at hand for `study_in_force`; one query more."""
    return places.prefetch_related(Prefetch("studies", in_force(), to_attr="in_force"))


def study_in_force(place: FilmingPlace) -> Study | None:
    """The study whose spreads hold at the place. 1 query, none after `with_study`."""
    found: list[Study] | None = getattr(place, "in_force", None)
    if found is None:
        return in_force().filter(place=place).first()
    return found[0] if found else None


def place_lines() -> list[PlaceLine]:
    """Every place, those in use first. 3 queries."""
    places = with_study(FilmingPlace.objects.order_by("-is_in_use", "name"))
    stills = dict(FilmingPlace.objects.order_by().values_list("pk").annotate(Count("stills")))
    return [PlaceLine(place, stills.get(place.pk, 0), study_in_force(place)) for place in places]
