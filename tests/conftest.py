"""What several test files need: a short series of the simulated cat, measured once."""

import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from lesioncompare.cli.photos import demo_folder
from lesioncompare.series.demo import TRUTH, add_demo
from lesioncompare.store import Store


@pytest.fixture(scope="session")
def program() -> Callable[..., str]:
    """Where a program lies that a test needs; without it the test is skipped, and fails in CI."""

    def path(*names: str, package: str) -> str:
        for found in filter(None, map(shutil.which, names)):
            return found
        missing = f"{names[0]} is missing: apt-get install {package}"
        if os.environ.get("CI", "").lower() in {"1", "true"}:
            pytest.fail(missing)
        pytest.skip(missing)

    return path


@pytest.fixture(scope="session")
def demo_photos(tmp_path_factory) -> Path:
    """The folder of the simulated cat with its first, a middle and its last photo only."""
    source, folder = demo_folder(), tmp_path_factory.mktemp("demo-photos")
    truth = json.loads((source / TRUTH).read_text())
    names = truth["photos"]
    truth["photos"] = [names[0], names[len(names) // 2 - 1], names[-1]]
    (folder / TRUTH).write_text(json.dumps(truth))
    for name in truth["photos"]:
        shutil.copy(source / name, folder)
    return folder


@pytest.fixture(scope="session")
def demo_home(tmp_path_factory, demo_photos) -> Path:
    """The folder of a store with that cat; copy it before changing anything."""
    home = tmp_path_factory.mktemp("demo-store")
    store = Store(home)
    for _ in add_demo(store, demo_photos, spot="the dark spot"):
        pass
    store.close()
    return home


@pytest.fixture
def store(demo_home, tmp_path, monkeypatch):
    """A copy of the store with the simulated cat, the one the screens open."""
    shutil.copytree(demo_home, tmp_path / "home")
    monkeypatch.setenv("LESIONCOMPARE_HOME", str(tmp_path / "home"))
    kept = Store(tmp_path / "home")
    yield kept
    kept.close()
