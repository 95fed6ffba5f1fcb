from django.apps import AppConfig


class AssessmentsConfig(AppConfig):
    name = "assessments"

    def ready(self) -> None:
        from assessments import receivers  # noqa: F401
