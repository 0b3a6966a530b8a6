"""Long work kept in chunks beside the file that it is for, so that it can be gone on with.

The folder ``FILE.unfinished`` holds a manifest, which says what is being worked out, and each chunk that is done, in a
file of its own with what is to be remembered of it and a check sum of both; a chunk is there whole or not at all. When all are
there, they are joined in order into a file that takes its place in one step; then the folder goes.
"""

from __future__ import annotations

import json
from contextlib import suppress
from dataclasses import dataclass
from errno import EINVAL
from typing import TYPE_CHECKING, Any, BinaryIO, Final, NamedTuple
from zlib import crc32

from hydrokit.errors import InputError, Mistake, OutputError
from hydrokit.files.saving import save_bytes, save_text, saving

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping
    from pathlib import Path

__all__ = ["Chunks", "Kept", "open_chunks"]

_MANIFEST: Final = "manifest.json"
_CHUNK: Final = "chunk-"
_AGAIN: Final = "--restart (from Python restart=True) to throw them away and start anew"


_NO_JSON: Final = (ValueError, RecursionError)
"""What comes of reading as JSON what is none, or is nested without end."""


class Kept(NamedTuple):
    """What is remembered of a chunk, and its bytes."""

    summary: dict[str, Any]
    data: bytes


def _sum_of(kept: Kept) -> int:
    """Return the check sum of a chunk and of what is to be remembered of it, the same after it is read back."""
    return crc32(kept.data, crc32(json.dumps(kept.summary).encode()))


def _opened(path: Path) -> BinaryIO:
    """Open a file to read; a pipe put in its place would be waited for without end."""
    if path.exists() and not path.is_file():
        raise OSError(EINVAL, "no ordinary file")
    return path.open("rb")


@dataclass(frozen=True, slots=True)
class Chunks:
    """Chunks of one piece of work, by number from 0.

    Parameters
    ----------
    target : Path
        The file that they are for.
    """

    target: Path

    @property
    def folder(self) -> Path:
        """Where they are kept until the file is whole."""
        return self.target.with_name(f"{self.target.name}.unfinished")

    def _path(self, number: int) -> Path:
        return self.folder / f"{_CHUNK}{number:06d}"

    def save(self, number: int, kept: Kept) -> None:
        """Keep a chunk.

        Raises
        ------
        OutputError
            If it cannot be written.
        """
        head = {"bytes": len(kept.data), "crc32": _sum_of(kept), "summary": kept.summary}
        line = json.dumps(head, ensure_ascii=False, allow_nan=False)
        save_bytes(line.encode() + b"\n" + kept.data, self._path(number), force=True)

    def read(self, number: int) -> Kept | None:
        """Return a chunk; None where there is none, or not a whole one."""
        try:
            with _opened(self._path(number)) as file:
                head, data = json.loads(file.readline()), file.read()
            kept = Kept(head["summary"], data)
            return kept if len(data) == head["bytes"] and _sum_of(kept) == head["crc32"] else None
        except (FileNotFoundError, *_NO_JSON, TypeError, KeyError):  # whatever stands there is no chunk of ours
            return None
        except OSError as error:
            raise OutputError(
                f"{self._path(number)} cannot be read: {(error.strerror or str(error)).lower()}"
            ) from error

    def _pieces(self, count: int) -> Iterator[bytes]:
        for number in range(count):
            kept = self.read(number)
            if kept is None:
                raise OutputError(f"{self._path(number)} is gone or damaged; run the same again to work it out anew")
            yield kept.data

    def join(self, count: int, write: Callable[[Iterator[bytes], BinaryIO], None], *, force: bool) -> None:
        """Make the file out of all its chunks, and take the folder away.

        Parameters
        ----------
        count : int
            How many chunks there are.
        write : callable
            Writes the pieces, in order, to a file.
        force : bool
            Write over a file that is there.

        Raises
        ------
        OutputError
            If it cannot be written; the chunks stay.
        """
        with saving(self.target, force=force) as file:
            write(self._pieces(count), file)
        self.clear()

    def clear(self) -> None:
        """Take away what was put into the folder, and the folder if nothing else is in it."""
        with suppress(OSError):
            for path in (*self.folder.glob(f"{_CHUNK}*"), *self.folder.glob(".*.part"), self.folder / _MANIFEST):
                path.unlink(missing_ok=True)
            self.folder.rmdir()

    def manifest(self) -> dict[str, Any] | None:
        """Return what the chunks that are there are of; None where there are none.

        Raises
        ------
        InputError
            If what lies there was put there by somebody else.
        """
        path = self.folder / _MANIFEST
        try:
            with _opened(path) as file:
                found = json.loads(file.read())
        except (FileNotFoundError, NotADirectoryError):
            self._check_ours()
            return None
        except (OSError, *_NO_JSON):
            found = None
        return found if isinstance(found, dict) else {}

    def _check_ours(self) -> None:
        if self.folder.exists() and not (self.folder.is_dir() and not any(self.folder.iterdir())):
            raise InputError(
                [
                    Mistake(
                        "out", f"{self.folder}, which is not of this program", "no such file or folder, or an empty one"
                    )
                ]
            )


def open_chunks(target: Path, manifest: Mapping[str, Any], *, restart: bool = False) -> Chunks:
    """Return the chunks of one piece of work, those that are there already among them.

    Parameters
    ----------
    target : Path
        The file that they are for.
    manifest : mapping of str to plain data
        What is worked out; chunks of anything else are refused.
    restart : bool
        Throw away what is there.

    Raises
    ------
    InputError
        If the chunks that are there are of something else.
    OutputError
        If the folder cannot be made.
    """
    chunks = Chunks(target)
    wanted = json.loads(json.dumps(manifest))
    there = chunks.manifest()
    if there is not None and restart:
        chunks.clear()
        there = None
    if there is not None and there != wanted:
        differing = [key for key in (wanted | there) if wanted.get(key) != there.get(key)]
        found = f"{chunks.folder} with chunks of another sweep, which differs in: {', '.join(differing)}"
        raise InputError([Mistake("out", found, "chunks of this very sweep, or none", _AGAIN)])
    if there is None:
        try:
            chunks.folder.mkdir(exist_ok=True)
        except OSError as error:
            told = (error.strerror or str(error)).lower()
            raise OutputError(f"{target} cannot be written: {told}") from error
        try:
            save_text(json.dumps(manifest, indent=2, ensure_ascii=False) + "\n", chunks.folder / _MANIFEST, force=True)
        except BaseException:  # Ctrl-C as well: nothing is done yet that would be worth keeping
            chunks.clear()
            raise
    return chunks
