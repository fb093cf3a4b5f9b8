"""How large a task may be where a site has not said otherwise."""

SESSION_PERSON_MIN = 480.0
"""Four people for two working hours; invented default."""
