"""What the sheet says of batteries whose pumps run where their data sheets do not say what they take."""

from __future__ import annotations

from hydrokit.files import demonstration
from hydrokit.rig import replaced
from hydrokit.sheets import render
from hydrokit.studies import check


def test_an_input_that_is_stated_is_not_told_to_be_missing_where_only_the_current_is() -> None:
    worn = {f"lines.intake.{name}.loading": 1.0 for name in ("sediment-20", "sediment-5", "carbon", "membrane")}
    answer = check(replaced(demonstration(), worn))
    assert answer.batteries[0].current is None
    told = " ".join(render(answer).split())
    assert "How much of that the 9 W that comes in on average makes up for is not known." in told
    assert "from sun or alternator is not stated" not in told
