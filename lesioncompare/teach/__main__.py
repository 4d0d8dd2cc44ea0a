"""Take and measure the practice photos: ``python -m lesioncompare.teach FOLDER``.

Without a folder, those that come with the program are made again; it takes some ten minutes.
"""

import argparse
import sys
from pathlib import Path

from lesioncompare.teach.practice.album import FOLDER
from lesioncompare.teach.practice.make import write_album


def main(arguments: list[str] | None = None) -> None:
    """Write photos, truth and measurements."""
    parser = argparse.ArgumentParser(prog="python -m lesioncompare.teach", description=__doc__)
    parser.add_argument("folder", type=Path, nargs="?", default=FOLDER)
    folder: Path = parser.parse_args(arguments).folder
    for case in write_album(folder):
        sys.stdout.write(f"{case.key} {case.level} {case.kind}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
