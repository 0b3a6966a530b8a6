"""The sheet of ``diagnose``: what is wrong, what else it could be, what to read next; then the readings and the state."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hydrokit.bounds import Dimension
from hydrokit.sheets.places import lowered, said
from hydrokit.sheets.questions.bench import SHUTTING, reading_words, value_words
from hydrokit.sheets.trust import lay_cautions, lay_trust

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.diagnosing import Diagnosis
    from hydrokit.studies.diagnosis.accusing import Condition, Suspect
    from hydrokit.studies.diagnosis.further import Further

__all__ = ["lay_out"]

_CONDITIONS: Final = {
    "blocked strainer": "blocked",
    "loaded filter": "loaded",
    "worn pump": "worn",
    "air leak": "air drawn in",
    "bad cable": "contacts",
    "flat battery": "charge",
    "slow pump": "speed",
}
_AND: Final = ", and "  # what it joins has commas of its own
_MOST_SPOKEN: Final = 4
"""Suspects of a tie that a sentence names; more stand in the table alone."""


def _bad(suspect: Suspect, view: View) -> str:
    return _AND.join(lowered(view.said(condition)) for condition in suspect.conditions)


def _either(named: Sequence[Suspect], view: View) -> str:
    """Return what some suspects say, what all of them share said once."""
    told = [[lowered(view.said(condition)) for condition in suspect.conditions] for suspect in named]
    shared = [each for each in told[0] if all(each in others and len(others) > 1 for others in told)]
    if len(named) == 1 or not shared:
        return "; or ".join(_AND.join(each) for each in told)
    rest = "; or ".join(_AND.join(each for each in others if each not in shared) for others in told)
    return f"{_AND.join(shared)}, and with that {rest}"


def _wrong(answer: Diagnosis, view: View, where: str) -> str:
    flow, stated = (view.show(each, Dimension.FLOW) for each in (answer.flow, answer.stated_flow))
    if answer.named == 0:
        return f"The readings are those of the rig as stated: {stated} should arrive." if answer.explained else ""
    named = answer.suspects[: answer.named]
    read = next((each.value for each in answer.readings if each.kind == "flow" and not each.at), None)
    came = f"By these readings {flow} arrives" if read is None else f"{view.show(read, Dimension.FLOW)} was read"
    first = f"{came} where {stated} should{' arrive' if read is not None else ''}."
    if answer.named > _MOST_SPOKEN:
        how = "fit the readings equally well" if answer.explained else "come equally near to the readings"
        return f"{first} {answer.named} explanations {how}; they are listed {where}."
    either = _either(named, view)
    if not answer.explained:
        return f"{first} Nearest to the readings comes: {either}."
    if answer.named == 1:
        return f"{first} Most likely: {either}."
    return f"{first} These explain the readings equally well, which do not tell them apart: {either}."


def _unexplained(answer: Diagnosis) -> str:
    if answer.explained:
        return ""
    farthest = max(answer.readings, key=lambda reading: abs(reading.off or 0.0))
    return (
        "No fault that is looked for explains these readings within their spread, alone or with another; farthest off is"
        f" {reading_words(farthest)}. Read it again, check the rig's file, and look for a kinked hose, a valve half shut or"
        " a wrong part."
    )


def _next(answer: Diagnosis, view: View, where: str) -> str:
    if answer.named == 0 or not answer.further:
        none = answer.named > 1
        return "No further reading that could be foretold here would tell them apart." if none else ""
    further = answer.further[0]
    purpose = "To tell them apart" if answer.named > 1 else "To be surer"
    if len(answer.compared) > 2:
        return f"{purpose}, read {reading_words(further)} next: what each foretells is listed {where}."
    told = "; ".join(
        f"{value_words(further, value, further.dimension, view)} with {title}"
        for title, value in zip(answer.compared, further.foretold, strict=True)
    )
    return f"{purpose}, read {reading_words(further)} next: {told}."


def _to_do(answer: Diagnosis) -> str:
    if answer.named != 1 or not answer.explained:
        return ""
    return " ".join(answer.suspects[0].remedies)


def _lay_answer(page: Page, answer: Diagnosis, view: View) -> None:
    page.say(f"{answer.title}, {answer.mode}", "heading")
    page.gap()
    hunting = "Its switch stops the pump again and again: flows are means." if answer.hunts else ""
    where = "in the whole answer" if page.brief else "below"
    told, further = _wrong(answer, view, where), _next(answer, view, where)
    sentences = [told, _unexplained(answer), hunting, further, _to_do(answer)]
    page.say(said(" ".join(text for text in sentences if text)))


def _lay_suspects(page: Page, answer: Diagnosis, view: View) -> None:
    if not answer.suspects:
        return
    page.heading("What may be wrong")
    page.say(
        "Misfit is the sum of squared errors in units of their spread; within 4 of the least fits as well. The rig as stated"
        f" has {answer.stated_misfit:.1f}."
    )
    heads = ["fault", "misfit", ""]
    rows = [
        [said(_bad(suspect, view)), f"{suspect.misfit:.1f}", "fits" if suspect.named else ""]
        for suspect in answer.suspects
    ]
    page.table(heads, rows)


def _lay_readings(page: Page, answer: Diagnosis, view: View) -> None:
    page.heading("What was read")
    rows = [
        [
            reading_words(reading),
            value_words(reading, reading.value, reading.dimension, view),
            value_words(reading, reading.stated, reading.dimension, view),
            value_words(reading, reading.foretold, reading.dimension, view) if answer.named else "",
            "" if reading.off is None else f"{round(reading.off, 1) or 0.0:+.1f}",  # and no -0.0
        ]
        for reading in answer.readings
    ]
    page.table(["reading", "read", "rig as stated", "with the first", "off by\nspreads"], rows)


def _range(condition: Condition, view: View) -> str:
    if not condition.told:
        return "not told by these readings"
    low, high = (view.show(each, condition.dimension, digits=2) for each in (condition.low, condition.high))
    return f"{low} to {high}"


def _lay_state(page: Page, answer: Diagnosis, view: View) -> None:
    if not answer.conditions:
        return
    page.heading("State of the rig, as far as the readings tell")
    rows = [
        [
            said(f"{condition.place}"),
            _CONDITIONS[condition.fault],
            view.show(condition.value, condition.dimension, digits=2),
            _range(condition, view),
        ]
        for condition in answer.conditions
    ]
    page.table(["part", "condition", "likeliest", "may be"], rows)


def _lay_further(page: Page, answer: Diagnosis, view: View) -> None:
    if not answer.further:
        return
    page.heading("What to read next")
    for number, title in enumerate(answer.compared, start=1):
        page.say(said(f"{number}: {title}"), indent=2)
    page.table(
        ["reading", *(str(number) for number in range(1, len(answer.compared) + 1)), "apart by\nspreads"],
        [[reading_words(each), *_foretold(each, view), f"{each.apart:.1f}"] for each in answer.further],
    )
    if any(each.kind == "dead_head" for each in answer.further):
        page.say(SHUTTING)


def _foretold(further: Further, view: View) -> list[str]:
    return [value_words(further, value, further.dimension, view) for value in further.foretold]


def lay_out(answer: Diagnosis, page: Page, view: View) -> None:
    """Write the whole sheet."""
    _lay_answer(page, answer, view)
    _lay_suspects(page, answer, view)
    _lay_further(page, answer, view)
    _lay_readings(page, answer, view)
    _lay_state(page, answer, view)
    lay_trust(page, answer.trust, answer.surroundings, view)
    lay_cautions(page, answer.kinds)
