"""Run every command that writes, each in a child of this process, with something in its way; print how each ended."""

from __future__ import annotations

import json
import os
import signal
import sys
from pathlib import Path
from shutil import rmtree

from hydrokit_cli.main import main

WRITING = {
    "new": ["new", "made.toml", "--force"],
    "report": ["report", "rig.toml", "--out", "made.html", "--force"],
    "sweep": ["sweep", "rig.toml", "--vary", "site.altitude=0 m, 900 m", "--out", "made.csv", "--force"],
    "drawing": ["check", "rig.toml", "--drawing", "made.svg"],
    "plot": ["check", "rig.toml", "--plot", "made.svg"],
}
OLD = "what stood there before\n"


def die(*_: object) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def interrupt(*_: object) -> None:
    raise KeyboardInterrupt


def stand_in_the_way(trouble: str) -> None:
    if trouble == "killed":
        os.fsync = die
    elif trouble == "interrupted":
        os.fsync = interrupt
    elif trouble == "full":
        import resource

        resource.setrlimit(resource.RLIMIT_FSIZE, (100, 100))
    elif trouble == "locked":
        Path().chmod(0o555)
        if os.geteuid() == 0:
            os.setegid(65534)
            os.seteuid(65534)


def seen() -> dict[str, str]:
    return {
        path.name: path.read_text("utf-8") if path.is_file() else " ".join(sorted(each.name for each in path.iterdir()))
        for path in Path().iterdir()
        if path.name != "rig.toml"
    }


def tried(line: list[str], trouble: str) -> dict[str, object]:
    for path in Path().iterdir():
        if path.is_dir():
            rmtree(path)
        elif path.name != "rig.toml":
            path.unlink()
    made = Path(next(word for word in line if word.startswith("made.")))
    made.write_text(OLD, encoding="utf-8")
    child = os.fork()
    if child == 0:
        quiet = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(quiet, stream)
        stand_in_the_way(trouble)
        os._exit(main(line))
    _, status = os.waitpid(child, 0)
    Path().chmod(0o755)
    return {"code": os.waitstatus_to_exitcode(status), "left": {name: text for name, text in seen().items() if name != made.name},
            "whole": made.read_text("utf-8") == OLD}  # fmt: skip


if __name__ == "__main__":
    for line in WRITING.values():
        main(line)  # loads all that the children need
    ended = {f"{name} {trouble}": tried(line, trouble) for trouble in sys.argv[1:] for name, line in WRITING.items()}
    sys.stdout.write(f"\n{json.dumps(ended)}\n")
