"""Work handed out piece by piece, here or to whatever runs pieces elsewhere, and taken back in order."""

from __future__ import annotations

from collections import deque
from concurrent.futures import BrokenExecutor
from typing import TYPE_CHECKING, Any, Protocol, TypeVar, runtime_checkable

from hydrokit.errors import SolverError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

__all__ = ["Executor", "Promise", "in_order"]

_Task = TypeVar("_Task")
_Done = TypeVar("_Done")


class Promise(Protocol):
    """What an executor gives for work handed in, as the futures of ``concurrent.futures``."""

    def result(self) -> Any:
        """Wait for the work, and return what came of it."""

    def cancel(self) -> Any:
        """Have the work not done, if nobody has begun it."""


@runtime_checkable
class Executor(Protocol):
    """What runs work elsewhere, as the executors of ``concurrent.futures``."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Promise:
        """Hand work in."""


def in_order(
    work: Callable[[_Task, int], _Done], task: _Task, numbers: Iterable[int], executor: Executor | None, *, ahead: int
) -> Iterator[_Done]:
    """Yield what comes of pieces of work, in the order of their numbers.

    Parameters
    ----------
    work : callable
        Takes a task and a number; must pickle, as must the task, where the executor is elsewhere.
    task : object
        What all pieces are of.
    numbers : iterable of int
        Of the pieces.
    executor : Executor or None
        What runs them; None: here, one by one.
    ahead : int
        How many pieces are handed out before the first of them is waited for.

    Raises
    ------
    SolverError
        If what runs the pieces has broken down.
    """
    if executor is None:
        for number in numbers:
            yield work(task, number)
        return
    waiting: deque[Promise] = deque()
    try:
        for number in numbers:
            waiting.append(executor.submit(work, task, number))
            if len(waiting) >= ahead:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()
    except BrokenExecutor as error:
        raise SolverError(
            "a process that worked on it has ended from outside; what was done till then is kept"
        ) from error
    finally:
        for promise in waiting:
            promise.cancel()
