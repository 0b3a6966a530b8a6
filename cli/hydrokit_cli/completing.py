"""What a shell may complete on the line being typed: rig files, modes, addresses, names out of the rig or the catalogue."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from click.shell_completion import CompletionItem

from hydrokit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    import click

    from hydrokit.rig import Rig

__all__ = ["addresses", "filters", "generic", "hoses", "lines", "modes", "pumps", "tanks"]

Completes: TypeAlias = "Callable[[click.Context, click.Parameter, str], list[CompletionItem]]"


def _rig(context: click.Context) -> Rig | None:
    """Return the rig that the line names, else the demonstration rig; None where its file cannot be read."""
    from hydrokit.files import demonstration, load_rig

    stated = [context.params.get("file"), *(context.params.get("files") or ()), *context.args]  # args: of a torn line
    file = next((word for word in stated if word and not word.startswith("-")), None)
    try:
        return demonstration() if file is None else load_rig(file)
    except InputError:  # the shell has no place to tell it; the command will
        return None


def _batch_of(words: Iterable[str], begun: str) -> list[CompletionItem]:
    """Return the words that go on from what was typed."""
    return [CompletionItem(word) for word in words if word.startswith(begun)]


def _of_rig(words: Callable[[Rig], Iterable[str]]) -> Completes:
    def complete(context: click.Context, parameter: click.Parameter, begun: str) -> list[CompletionItem]:
        del parameter
        rig = _rig(context)
        return [] if rig is None else _batch_of(words(rig), begun)

    return complete


def _addresses(rig: Rig) -> Iterable[str]:
    from hydrokit.bounds import Spec, specs_of
    from hydrokit.rig import owners

    for address, owner in owners(rig):
        yield from (f"{address}.{name}=" for name, spec in specs_of(type(owner)).items() if isinstance(spec, Spec))


def _hoses(rig: Rig) -> Iterable[str]:
    from hydrokit.parts import Hose

    return (address for address, part in rig.by_address.items() if isinstance(part, Hose))


addresses = _of_rig(_addresses)
modes = _of_rig(lambda rig: rig.mode_names())
lines = _of_rig(lambda rig: rig.lines)
hoses = _of_rig(_hoses)
pumps = _of_rig(lambda rig: rig.pumps())
tanks = _of_rig(lambda rig: rig.tanks)


def generic(context: click.Context, parameter: click.Parameter, begun: str) -> list[CompletionItem]:
    """Complete the name of any generic part."""
    from hydrokit.catalogue import generic_parts

    del context, parameter
    return _batch_of(generic_parts(), begun)


def filters(context: click.Context, parameter: click.Parameter, begun: str) -> list[CompletionItem]:
    """Complete the name of a generic filter."""
    from hydrokit.catalogue import generic_parts

    del context, parameter
    return _batch_of((name for name, entry in generic_parts().items() if entry.kind == "filter"), begun)
