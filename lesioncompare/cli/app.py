"""The one Typer application that the command modules hang their commands on."""

import typer

app = typer.Typer(
    name="lesioncompare",
    help="Measure a cat's skin spot from photographs taken beside a reference sticker, and say "
    "whether it changed by more than the measurement could err. It is no diagnosis.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)

USABLE, WRONG_USE, PHOTO_REFUSED = 0, 2, 3  # exit codes
