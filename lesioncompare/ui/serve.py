"""Starting the app on this computer, or for the home network when asked to."""

import socket
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

from lesioncompare.store.home import home_folder
from lesioncompare.ui.texts import SERVE

ENTRY = Path(__file__).parent / "entry.py"
LOOPBACK, EVERYWHERE = "127.0.0.1", "0.0.0.0"  # noqa: S104  only when sharing was asked for
USUAL_PORT = 8501


def serve(
    *, port: int = USUAL_PORT, share: bool = False, say: Callable[[str], None] = print
) -> int:
    """Run the app until it is stopped; the exit code of the server.

    Parameters
    ----------
    port
        TCP port to listen on.
    share
        Listen on the home network too, and say what that exposes; otherwise on this computer only.
    say
        Where the words for the person at the keyboard go.
    """
    for line in words(port, share=share):
        say(line)
    command = server_command(port, share=share)
    try:
        return subprocess.run(command, check=False).returncode  # noqa: S603  our own interpreter
    except KeyboardInterrupt:
        return 0


def server_command(port: int, *, share: bool = False) -> list[str]:
    """The command line that starts the server; the rest is in the config file beside the entry."""
    address = EVERYWHERE if share else LOOPBACK
    options = {"server.port": port, "server.address": address}
    flags = [f"--{name}={value}" for name, value in options.items()]
    return [sys.executable, "-m", "streamlit", "run", str(ENTRY), *flags]


def words(port: int, *, share: bool) -> list[str]:
    """What is said before the start: where to look, and what sharing exposes."""
    lines = [SERVE["open"].format(url=f"http://localhost:{port}"), SERVE["stop"]]
    if share:
        url = f"http://{own_address()}:{port}"
        folder = home_folder()
        lines += [line.format(url=url, folder=folder) for line in SERVE["exposes"]]
    return lines


def own_address() -> str:
    """The address of this computer on the home network, told without asking anyone."""
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            probe.connect(("192.0.2.1", 9))  # RFC 5737 example address: nothing is sent
            return str(probe.getsockname()[0])
    except OSError:
        return socket.gethostname()
