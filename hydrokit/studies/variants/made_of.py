"""What a file of results is made of, so that only chunks of the very same are joined."""

from __future__ import annotations

from dataclasses import fields
from hashlib import sha256
from importlib.metadata import PackageNotFoundError, version
from typing import TYPE_CHECKING, Any, Final

from hydrokit.studies.variants.swept import columns_of

if TYPE_CHECKING:
    from hydrokit.studies.variants.swept import Question

__all__ = ["made_of"]

_LIBRARIES: Final = ("numpy", "fluids", "numba")
"""What the last digits of results come from."""


def _version(library: str) -> str | None:
    try:
        return version(library)
    except PackageNotFoundError:
        return None


def _hash(text: str) -> str:
    return sha256(text.encode()).hexdigest()


def made_of(question: Question, form: str, chunk: int, shown: int) -> dict[str, Any]:
    """Return what chunks of results are made of, as plain data: versions, and hashes of the rig and of what varies.

    Parameters
    ----------
    question : Question
        What is asked of every variant.
    form : str
        Of the file.
    chunk : int
        Variants in each.
    shown : int
        How many of the best rows each remembers.
    """
    libraries = (*_LIBRARIES, "pyarrow") if form == "parquet" else _LIBRARIES
    return {
        "format": 1,
        "hydrokit": version("hydrokit"),
        "libraries": {library: _version(library) for library in libraries},
        "rig": _hash(repr([(item.name, getattr(question.rig, item.name)) for item in fields(question.rig)])),
        "mode": question.mode,
        "values set": {address: float(value) for address, value in sorted(question.held.items())},
        "variation": {axis.address: _hash(repr(axis.values.tolist())) for axis in question.product.axes},
        "order of the variation": [axis.address for axis in question.product.axes],
        "variants": len(question.product),
        "columns": [column.head for column in columns_of(question)],
        "form": form,
        "variants in a chunk": chunk,
        "best variants remembered": shown,
    }
