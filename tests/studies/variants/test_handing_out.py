"""Work handed out and taken back in order, a bounded number of pieces ahead."""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from typing import TYPE_CHECKING, Any

import pytest

from hydrokit.errors import SolverError
from hydrokit.studies.variants.handing_out import in_order

if TYPE_CHECKING:
    from collections.abc import Callable


class Watched:
    """Does the work when its result is first asked for, the last handed in first, and counts what is under way."""

    def __init__(self) -> None:
        self.waiting: list[tuple[Future[Any], Callable[..., Any], tuple[Any, ...]]] = []
        self.most = 0
        self.done: list[int] = []

    def submit(self, fn: Callable[..., Any], /, *args: Any) -> Future[Any]:
        watched = self

        class Late(Future[Any]):
            def result(self, timeout: float | None = None) -> Any:
                watched.work()
                return super().result(timeout)

        future: Future[Any] = Late()
        self.waiting.append((future, fn, args))
        self.most = max(self.most, len(self.waiting))
        return future

    def work(self) -> None:
        while self.waiting:
            future, fn, args = self.waiting.pop()
            future.set_result(fn(*args))
            self.done.append(args[-1])


def times(task: int, number: int) -> int:
    return task * number


@pytest.mark.parametrize("executor", [None, "threads", "watched"])
def test_results_come_in_order(executor: str | None) -> None:
    if executor == "threads":
        with ThreadPoolExecutor(3) as threads:
            found = list(in_order(times, 7, range(20), threads, ahead=4))
    else:
        found = list(in_order(times, 7, range(20), Watched() if executor else None, ahead=4))
    assert found == [7 * number for number in range(20)]


def test_no_more_pieces_are_under_way_than_wanted() -> None:
    watched = Watched()
    list(in_order(times, 1, range(50), watched, ahead=4))
    assert watched.most == 4
    assert watched.done != sorted(watched.done)


def test_what_nobody_waits_for_any_more_is_called_off() -> None:
    handed: list[Future[Any]] = []

    class First:
        """Does the first piece, and leaves all others lying."""

        def submit(self, fn: Callable[..., Any], /, *args: Any) -> Future[Any]:
            handed.append(Future())
            if len(handed) == 1:
                handed[0].set_result(fn(*args))
            return handed[-1]

    pieces = in_order(times, 1, range(50), First(), ahead=4)
    assert next(pieces) == 0
    pieces.close()
    assert [future.cancelled() for future in handed] == [False, True, True, True]


def test_a_process_that_has_ended_is_told_as_no_answer() -> None:
    class Broken:
        def submit(self, fn: Callable[..., Any], /, *_args: Any) -> Future[Any]:
            del fn
            future: Future[Any] = Future()
            future.set_exception(BrokenProcessPool("gone"))
            return future

    with pytest.raises(SolverError, match="ended from outside"):
        list(in_order(times, 1, range(3), Broken(), ahead=2))


def test_what_goes_wrong_in_a_piece_is_raised_as_it_is() -> None:
    with ThreadPoolExecutor(1) as threads, pytest.raises(ZeroDivisionError):
        list(in_order(lambda task, number: task / number, 1, range(3), threads, ahead=2))
