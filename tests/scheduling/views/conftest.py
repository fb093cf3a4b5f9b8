"""Hands the page fixtures to the tests of this folder."""

from tests.signed_in import season_of_the_file, sign_in  # noqa: F401 (fixtures)
