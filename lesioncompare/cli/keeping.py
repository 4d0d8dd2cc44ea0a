"""Commands on the store itself: open the app, back up, restore, check."""

import sys
from pathlib import Path
from typing import Annotated

import typer

from lesioncompare.cli.app import PHOTO_REFUSED, app
from lesioncompare.cli.choosing import the_store
from lesioncompare.cli.tables import err, out
from lesioncompare.errors import SettingsError
from lesioncompare.ui import serve


@app.command("open")
def open_app(
    port: Annotated[int, typer.Option(help="TCP port to listen on.")] = 8501,
    share: Annotated[
        bool, typer.Option("--share", help="Let phones of the home network in; says what it shows.")
    ] = False,
) -> None:
    """Start the app; it opens in a browser on this computer."""
    raise typer.Exit(serve(port=port, share=share, say=typer.echo))


@app.command()
def backup(
    file: Annotated[Path, typer.Argument(help="The zip file to write.")],
) -> None:
    """Write every cat, photo and number of the store into one file."""
    writable_place(file)
    with the_store() as store:
        count = store.backup(file)
    out.print(f"{file}: {count} photos and every row of the store.", highlight=False, markup=False)


@app.command()
def restore(
    file: Annotated[Path, typer.Argument(help="A file written by backup.")],
) -> None:
    """Bring back what a backup holds and the store lacks; nothing here is overwritten."""
    with the_store() as store:
        added = store.restore(file)
    say_added(file, added)


@app.command()
def check() -> None:
    """Read every photo of the store against its hash, and every row against its neighbours."""
    with the_store() as store:
        problems = store.check()
        home = store.home
    for problem in problems:
        err.print(problem, highlight=False, markup=False)
    if problems:
        raise typer.Exit(PHOTO_REFUSED)
    out.print(f"{home}: every photo and row is whole.", highlight=False, markup=False)


def writable_place(file: Path) -> None:
    """Refuse a file whose folder is not there, before any work is done.

    Raises
    ------
    SettingsError
        When there is no such folder.
    """
    if not file.absolute().parent.is_dir():
        raise SettingsError(
            f"There is no folder {file.absolute().parent}.", "Make it first, or choose another."
        )


def say_added(file: Path, added: dict[str, int]) -> None:
    """What was new, by table."""
    new = {table: count for table, count in added.items() if count}
    words = ", ".join(f"{count} {table}" for table, count in new.items())
    out.print(f"{file}: {words or 'nothing new'}.", highlight=False, markup=False)
    sys.stdout.flush()
