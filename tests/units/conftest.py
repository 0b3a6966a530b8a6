from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hydrokit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Callable


@pytest.fixture(scope="session")
def refusal() -> Callable[..., str]:
    """What a call says when it is refused; fails where it is not."""

    def told(call: Callable[..., object], *args: object, **kwargs: object) -> str:
        with pytest.raises(InputError) as caught:
            call(*args, **kwargs)
        return str(caught.value)

    return told
