"""Which tests run, in which order, and the fixtures of the store."""

import pytest

import axlewright  # noqa: F401 - before numpy is: it holds the linear algebra to one thread

# Named here once: each conftest that imported them would make, and end, a server of its own.
pytest_plugins = ["tests.fleet.databases", "tests.fleet.yard"]


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Deselect tests marked ``long`` unless a marker expression is given; begin with the campaigns.

    One that ran last would keep one worker busy alone for minutes.
    """
    items.sort(key=lambda item: "fuzz" not in item.path.parts)
    if config.getoption("markexpr"):
        return
    long = [item for item in items if item.get_closest_marker("long")]
    if long:
        config.hook.pytest_deselected(items=long)
        items[:] = [item for item in items if not item.get_closest_marker("long")]
