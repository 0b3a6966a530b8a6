"""What an interrupted sweep has left, and what may have become of it since."""

from __future__ import annotations

import json
import tempfile
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Final, NoReturn

from hydrokit.errors import HydrokitError
from hydrokit.files import read_rig
from hydrokit.studies import sweep
from tests.fuzz.attacks import any_value, word
from tests.fuzz.documents import places

if TYPE_CHECKING:
    from collections.abc import Mapping
    from random import Random

__all__ = ["SWEPT", "left_by", "tampered"]

SWEPT: Final = {"site.altitude": "0 m, 900 m"}
"""What an interrupted sweep varies."""
_CHUNK: Final = "chunk-000000"
_NESTED: Final = (b"[" * 100_000, b'{"a":' * 100_000, b"[" * 900 + b"]" * 900)
_BYTES: Final = (
    b"",
    b"\n",
    b"{",
    b"{}",
    b"[]",
    b"1",
    b"null",
    b"NaN",
    b'"x"',
    b"\xff\xfe",
    b"\x00" * 40,
    *_NESTED,
    b"9" * 5000,
)


class _Stopped(Exception):
    pass


def _stop(_: float) -> NoReturn:
    raise _Stopped


@cache
def left_by(text: str, form: str) -> Mapping[str, bytes]:
    """Return the files that a sweep of a rig leaves when it is stopped; none where the rig cannot be swept."""
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder, f"made.{form}")
        try:
            sweep(read_rig(text), SWEPT, out=out, progress=_stop)
        except _Stopped:
            kept = out.with_name(f"{out.name}.unfinished")
            return {f"{kept.name}/{path.name}": path.read_bytes() for path in kept.iterdir()}
        except HydrokitError:
            return {}
    return {}


def _changed(data: bytes, random: Random) -> bytes:
    """Return a document with something in it dropped, replaced or added."""
    tree = json.loads(data)
    found = list(places(tree))
    at, key = random.choice(found)
    kind = random.randrange(4)
    if kind == 0:
        del at[key]
    elif kind == 1 and isinstance(at, dict):
        at[word(random)] = at.pop(key)
    elif kind == 2:
        at[key] = random.choice((None, -1, 1e308, [], {}, True, 10**400, "x"))
    else:
        at[key] = json.loads(json.dumps(any_value(random), default=str))
    return json.dumps(tree, ensure_ascii=random.random() < 0.5).encode("utf-8", "surrogatepass")


def _torn(data: bytes, random: Random) -> bytes:
    at, size = random.randint(0, len(data)), random.choice((0, 1, 3, 300, len(data)))
    return data[:at] + random.choice((b"", b"\n", b"\x00", b"\xff", random.choice(_BYTES))) + data[at + size :]


def tampered(files: Mapping[str, bytes], random: Random) -> dict[str, bytes]:
    """Return what an interrupted sweep left, with one of its files or its folder no longer as it was."""
    changed = dict(files)
    name = random.choice(list(changed))
    kind = random.randrange(7)
    if kind == 0:
        del changed[name]
    elif kind == 1:
        changed[name] = random.choice(_BYTES)
    elif kind == 2:
        changed[name] = _torn(changed[name], random)
    elif kind == 3:
        changed[f"{name.partition('/')[0]}/{random.choice(('chunk-000001', 'chunk-x', '.x.part', 'notes.txt'))}"] = b"x"
    else:
        head, end, rest = changed[name].partition(b"\n") if name.endswith(_CHUNK) else (changed[name], b"", b"")
        changed[name] = _changed(head, random) + end + rest
    return changed
