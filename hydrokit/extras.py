"""Libraries that are installed by choice: loaded where they are needed, or named as what is missing."""

from __future__ import annotations

from importlib import import_module

from hydrokit.errors import MissingExtra

__all__ = ["require_extra"]


def require_extra(extra: str, library: str, *modules: str) -> None:
    """Load an optional library, so that it can be imported from here on.

    A library may be there and yet not load: it was built for another numpy, or something that it needs itself is gone.

    Parameters
    ----------
    extra : str
        Name of the extra that brings the library.
    library : str
        Name under which it is imported.
    *modules : str
        Modules of it that are needed too.

    Raises
    ------
    MissingExtra
        If one is not installed or cannot be loaded; then with the reason.

    Examples
    --------
    >>> require_extra("parquet", "no_such_library")
    Traceback (most recent call last):
        ...
    hydrokit.errors.MissingExtra: this needs no_such_library: pip install 'hydrokit[parquet]'
    """
    try:
        for module in (library, *modules):
            import_module(module)
    except (ImportError, OSError, AttributeError) as error:  # a shared object or a name of another version is not found
        absent = isinstance(error, ModuleNotFoundError) and error.name == library
        raise MissingExtra(extra, library, "" if absent else str(error)) from error
