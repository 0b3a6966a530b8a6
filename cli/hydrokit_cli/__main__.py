"""Run the command line as ``python -m hydrokit_cli``."""

from __future__ import annotations

from hydrokit_cli.entry import run

if __name__ == "__main__":
    run()
