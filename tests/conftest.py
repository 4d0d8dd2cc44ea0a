"""What several test files need: the simulated cat, measured once."""

from pathlib import Path

import pytest

from lesioncompare.cli.photos import demo_folder
from lesioncompare.series.demo import add_demo
from lesioncompare.store import Store


@pytest.fixture(scope="session")
def demo_home(tmp_path_factory) -> Path:
    """The folder of a store with the simulated cat; copy it before changing anything."""
    home = tmp_path_factory.mktemp("demo-store")
    store = Store(home)
    for _ in add_demo(store, demo_folder(), spot="the dark spot"):
        pass
    store.close()
    return home
