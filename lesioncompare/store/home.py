"""Where the store lives on this machine."""

import os
from pathlib import Path

import platformdirs

VARIABLE = "LESIONCOMPARE_HOME"
URL_VARIABLE = "LESIONCOMPARE_DATABASE"


def home_folder() -> Path:
    """The folder of the store: ``LESIONCOMPARE_HOME``, or the user's own data folder."""
    named = os.environ.get(VARIABLE, "").strip()
    if named:
        return Path(named).expanduser()
    return Path(platformdirs.user_data_dir("lesioncompare", appauthor=False))


def database_url(home: Path) -> str:
    """The database of a clinic if one is named, else the SQLite file in the home folder."""
    named = os.environ.get(URL_VARIABLE, "").strip()
    return named or f"sqlite:///{home / 'store.sqlite'}"
