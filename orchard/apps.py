"""The app that holds the place, the plan and the people's roles."""

from django.apps import AppConfig


class OrchardConfig(AppConfig):
    """Registers the place and the work it needs."""

    name = "orchard"
    verbose_name = "The orchard"

    def ready(self) -> None:
        """Register the start-up checks."""
        from orchard import checks  # noqa: F401 (importing registers them)
