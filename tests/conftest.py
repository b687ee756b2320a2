"""Settings of the property tests: the same examples each time, and no deadline on a loaded machine."""

from hypothesis import settings

settings.register_profile("rungwise", deadline=None, derandomize=True)
settings.load_profile("rungwise")

pytest_plugins = ["tests.brokers.fixtures"]
