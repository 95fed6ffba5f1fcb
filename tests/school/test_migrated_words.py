"""A house that kept its messages gets new words where it had not changed the old ones."""

from importlib import import_module

import pytest
from django.apps import apps

from school.message_words import shipped_words
from school.models import MessageKind, MessageTemplate

pytestmark = pytest.mark.django_db
migration = import_module("school.migrations.0005_units_language_and_paper")


@pytest.mark.parametrize("was", [migration.WERE, "Come and fetch it: {{ link }}"])
def test_unchanged_words_of_a_ready_report_say_that_its_address_ends(was: str) -> None:
    MessageTemplate.objects.update_or_create(
        kind=MessageKind.REPORT_READY, defaults={"subject": "Ready", "body": was}
    )
    migration.put_right_the_words(apps, None)
    is_ours = was == migration.WERE
    now = MessageTemplate.objects.get(kind=MessageKind.REPORT_READY).body
    assert now == (shipped_words()[MessageKind.REPORT_READY].body if is_ours else was)
