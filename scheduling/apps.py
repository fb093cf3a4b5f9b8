"""The app that holds the people, the sessions, the rosters and the papers."""

from django.apps import AppConfig


class SchedulingConfig(AppConfig):
    """Registers the people and the days."""

    name = "scheduling"
    verbose_name = "People and sessions"
