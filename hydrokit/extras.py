"""Optional libraries: loaded where they are needed; where one is missing, the error says what to install."""

from __future__ import annotations

from importlib import import_module

from hydrokit.errors import MissingExtra

__all__ = ["require_extra"]


def require_extra(extra: str, library: str, *modules: str) -> None:
    """Load an optional library, so that the code after this call can import it.

    A library may be installed and yet not load: it was built for another numpy, or a library that it needs is missing.

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
    except (ImportError, OSError, AttributeError) as error:  # also raised by a library built for another version
        absent = isinstance(error, ModuleNotFoundError) and error.name == library
        raise MissingExtra(extra, library, "" if absent else str(error)) from error
