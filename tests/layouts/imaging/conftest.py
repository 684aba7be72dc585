"""Pure tests: nothing here needs Django, a store or a queue."""

import pytest


@pytest.fixture(autouse=True)
def own_store():
    """Takes the place of the store that tests of the portal get."""


@pytest.fixture(autouse=True)
def no_messages():
    """Takes the place of the quiet queue that tests of the portal get."""
