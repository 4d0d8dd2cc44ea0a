"""The command line: reads arguments and files, prints words and tables, computes nothing."""

import sys
from importlib import import_module

from lesioncompare.cli.app import app
from lesioncompare.errors import LesionCompareError

COMMANDS = {  # module by its commands: only the one asked for is loaded, which saves seconds
    "keeping": ("open", "backup", "restore", "check"),
    "photos": ("sticker", "read", "compare", "demo"),
    "handover": ("report", "archive", "import", "dicom"),
    "teach": ("sun", "calendar", "handout"),
}


def main() -> None:
    """Run the command line; what cannot go on ends in two sentences, not a traceback."""
    load(sys.argv[1] if len(sys.argv) > 1 else "")
    try:
        app()
    except LesionCompareError as cause:
        sys.stderr.write(f"{cause}\n")
        sys.exit(2)


def load(command: str = "") -> None:
    """Register the module of a command, or all of them for any other word."""
    named = [module for module, commands in COMMANDS.items() if command in commands]
    for module in named or COMMANDS:
        import_module(f"lesioncompare.cli.{module}")
