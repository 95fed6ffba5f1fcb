from django.apps import AppConfig


class SchoolConfig(AppConfig):
    name = "school"

    def ready(self) -> None:
        from school import checks  # noqa: F401
