import pytest

from tests.demo_record import Demo, demo


@pytest.fixture(scope="session")
def shown() -> Demo:
    """The example build with both editions; tests only read it."""
    return demo()
