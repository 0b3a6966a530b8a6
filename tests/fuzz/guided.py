"""Fuzzing that follows which lines of the program it reaches, by atheris; it is no dependency, and needs clang's run time only.

    .venv/bin/pip install atheris        (wheels for Linux and Python 3.11 to 3.13)
    .venv/bin/python -m tests.fuzz.guided -runs=20000 -len_control=0 -max_len=256

The bytes that it tries serve as the random numbers of a case, so that a change of a few bytes is a change of a few choices.
"""

from __future__ import annotations

import sys
import tempfile
import warnings
from pathlib import Path
from random import Random
from typing import Any

import atheris

with atheris.instrument_imports(
    include=["hydrokit.files", "hydrokit.parts", "hydrokit.units", "hydrokit.rig", "hydrokit_cli"]
):
    import hydrokit_cli.main  # noqa: F401  both are looked into as they load
    from tests.fuzz.cases import drawn_case
    from tests.fuzz.judge import Place, faults_of, run

PLACE = Place(Path(tempfile.mkdtemp(prefix="fuzz-")).resolve())


class Chosen(Random):
    """Random numbers out of bytes, drawn by lot where they end: that lot is the bytes' own."""

    def __init__(self, data: bytes) -> None:
        self.data, self.at = data, 0
        super().__init__()
        super().seed(data)

    def getrandbits(self, k: int, /) -> int:
        size = (k + 7) // 8
        if self.at + size > len(self.data):
            return super().getrandbits(k)
        piece = self.data[self.at : self.at + size]
        self.at += size
        return int.from_bytes(piece, "little") & ((1 << k) - 1)

    def random(self) -> float:
        return self.getrandbits(16) / 65536.0

    def seed(self, *_: Any) -> None:
        pass


def tried(data: bytes) -> None:
    case = drawn_case(Chosen(data), quick=True)
    faults = faults_of(case, run(case, PLACE))
    assert not faults, (case.line, faults)


if __name__ == "__main__":
    warnings.simplefilter("error", RuntimeWarning)
    atheris.Setup(sys.argv, tried)
    atheris.Fuzz()
