"""Where the command line begins: a key that stops it is heeded from here on, before anything large is loaded."""

from __future__ import annotations

import os
import signal
import sys

__all__ = ["run"]

_INTERRUPTED = 130  # as in exits, which only the rest of the program loads


def _stop(*_: object) -> None:
    os._exit(_INTERRUPTED)  # nothing is open yet; an exception would be lost or shown by whatever is being loaded


def run() -> None:
    """Run the command that was typed, and exit with its code."""
    heeded = signal.getsignal(signal.SIGINT) is signal.default_int_handler  # not where a shell has it ignored
    if heeded:
        signal.signal(signal.SIGINT, _stop)
    from hydrokit_cli.main import main
    from hydrokit_cli.printing import settle_streams

    settle_streams()
    try:
        if heeded:
            signal.signal(signal.SIGINT, signal.default_int_handler)
        code = main(sys.argv[1:])
    except KeyboardInterrupt:  # before or after the command itself
        code = _INTERRUPTED
    if heeded:
        signal.signal(signal.SIGINT, _stop)
    sys.exit(code)
