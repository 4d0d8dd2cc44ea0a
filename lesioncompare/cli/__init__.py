"""The command line: reads arguments and files, prints words and tables, computes nothing."""

import sys

from lesioncompare.cli import (  # noqa: F401  register their commands
    handover,
    keeping,
    photos,
    teach,
)
from lesioncompare.cli.app import app
from lesioncompare.errors import LesionCompareError


def main() -> None:
    """Run the command line; what cannot go on ends in two sentences, not a traceback."""
    try:
        app()
    except LesionCompareError as cause:
        sys.stderr.write(f"{cause}\n")
        sys.exit(2)
