"""Hands the demo season, loaded once a file, to the tests of this folder."""

from tests.signed_in import season_of_the_file  # noqa: F401 (fixture)
