"""What holds for every test."""

from hypothesis import settings

# A busy machine is not a fault: how long an example takes is measured in benchmarks, never asserted.
settings.register_profile("project", deadline=None)
settings.load_profile("project")
