"""The report: everything about one rig on a few printed pages, in one HTML file that needs no network and no script.

The sentences and tables are those of the sheets; this file only says which of them, in which order.
"""

from __future__ import annotations

from base64 import b64encode
from typing import TYPE_CHECKING, Final
from xml.etree.ElementTree import Element, tostring

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Mistakes, nearest
from hydrokit.errors import MissingExtra
from hydrokit.rules import RULES
from hydrokit.sheets.pages.gathering import Gathered, gathered
from hydrokit.sheets.pages.stated import lay_data, lay_hoses, lay_parts
from hydrokit.sheets.pages.style import STYLE
from hydrokit.sheets.pages.web import Section, WebPage, add
from hydrokit.sheets.schematic.front import drawing_tree
from hydrokit.sheets.schematic.svg import printable
from hydrokit.sheets.text import lay_out
from hydrokit.sheets.trust import CAUTIONS, REACHED
from hydrokit.sheets.view import View
from hydrokit.units import SYSTEMS

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hydrokit.answers import Answer
    from hydrokit.rig import Rig

__all__ = ["report", "written"]

_MORE: Final[dict[str, tuple[str, tuple[str, ...], tuple[str, ...]]]] = {
    "lift": ("Suction side", ("Budget of the suction side",), ("depth",)),
    "fill": ("Filling the tanks", ("Tanks",), ("levels",)),
    "draw": ("Drawing from the tanks", ("Tanks",), ("flows",)),
    "wear": ("As the filters load up", ("How long each filter lasts",), ("litres",)),
}
"""Heading of each further answer, what its sections begin with, and its pictures."""

_CURVES: Final = ("Over time", "As the litres pass", "How high it could lift")
"""Sections that say in numbers what a picture shows; written where there is none."""

_PICTURE_WIDTH: Final = 0.086
"""m; of a column on paper."""


def _sections(answer: Answer, system: str) -> list[Section]:
    page = WebPage()
    lay_out(answer, page, View(system))
    return page.sections


def _pictures(answer: Answer, names: Sequence[str], system: str) -> list[tuple[str, str]]:
    """Return what stands above each picture of an answer, and the picture as an address that holds it whole."""
    from hydrokit.sheets.pictures import figures_of, svg_of

    found = []
    for figure in figures_of(answer, system=system, width=_PICTURE_WIDTH, only=names).values():
        data = b64encode(svg_of(figure).encode()).decode()
        found.append((" ".join(figure.get_suptitle().split()), f"data:image/svg+xml;base64,{data}"))
    return found


class _Report:
    """One report while it is put together."""

    def __init__(self, material: Gathered, system: str) -> None:
        self.material, self.system = material, system
        self.title = f"{material.check.title}, {material.check.mode}"
        self.root = Element("html", {"lang": "en"})
        self.place = self.main = self._frame()
        self.no_plots = ""

    def _frame(self) -> Element:
        head = add(self.root, "head")
        add(head, "meta", charset="utf-8")
        add(head, "meta", name="viewport", content="width=device-width, initial-scale=1")
        add(head, "title", self.title)
        add(head, "style").text = STYLE
        main = add(add(self.root, "body"), "main")
        add(main, "h1", self.title)
        if self.material.rig.note:
            add(main, "p", self.material.rig.note.strip(), class_="note")
        return main

    def columns(self) -> None:
        """Let what follows stand in two columns on paper."""
        self.place = add(self.main, "div", class_="columns")

    def whole_width(self) -> None:
        """Let what follows stand in the whole width."""
        self.place = self.main

    def section(self, heading: str) -> Element:
        """Begin a section under a heading."""
        place = add(self.place, "section")
        add(place, "h2", heading)
        return place

    def put(self, section: Section, parent: Element | None = None) -> None:
        """Write a section of a sheet, within another where one is given."""
        if parent is None:
            self.section(section.heading).extend(section.body)
        else:
            add(parent, "h3", section.heading)
            parent.extend(section.body)

    def pictures(self, answer: Answer, names: Sequence[str], parent: Element) -> bool:
        """Put in the pictures of an answer; return whether there are any."""
        try:
            found = _pictures(answer, names, self.system)
        except MissingExtra as error:
            self.no_plots = str(error)
            return False
        for words, data in found:
            add(add(parent, "figure"), "img", src=data, alt=printable(words))
        return bool(found)

    def answer(self) -> None:
        """Write the verdict, the drawing, and what was found."""
        first, *rest = _sections(self.material.check, self.system)
        for element in first.body[1:]:  # the title stands above
            element.set("class", "verdict")
            self.main.append(element)
        drawing = drawing_tree(self.material.rig, self.material.check, self.system, titled=False)
        add(self.section("The rig, from source to tap"), "figure", class_="drawing").append(drawing)
        self.closing = [section for section in rest if section.heading in {REACHED, CAUTIONS}]
        self.columns()
        for section in rest:
            if section not in self.closing:
                self.put(section)
        self.pictures(self.material.check, ("way", "pump"), self.place)

    def further(self, name: str) -> None:
        """Write the sentences of a further answer, and those of its sections that belong here."""
        heading, wanted, names = _MORE[name]
        answer = getattr(self.material, name)
        if name in self.material.unanswered:
            add(self.section(heading), "p", f"No answer was reached: {self.material.unanswered[name]}")
        if answer is None:
            return
        first, *rest = _sections(answer, self.system)
        same = answer.mode == self.material.check.mode
        place = self.section(heading if same else f"{heading}, mode {answer.mode}")
        place.extend(first.body[1:])
        drawn = self.pictures(answer, names, place)
        for section in rest:
            if section.heading.startswith(wanted if drawn else wanted + _CURVES):
                self.put(section, place)

    def stated(self) -> None:
        """Write hoses, parts and data."""
        page, material = WebPage(), self.material
        lay_hoses(page, material.rig, View(self.system))
        lay_parts(page, material.rig, material.changed, View(self.system))
        lay_data(page, material.rig, material.changed, View(self.system))
        self.whole_width()
        for section in page.sections[1:]:
            self.put(section)

    def sources(self) -> None:
        """Write where the limits come from that were judged."""
        used = {finding.rule for finding in self.material.check.findings}
        by_source: dict[str, list[str]] = {}
        for rule in RULES:
            if rule.name in used:
                by_source.setdefault(rule.source, []).append(rule.name)
        page = WebPage()
        page.heading("Where the limits come from")
        page.table(["source", "limits"], [[source, ", ".join(names)] for source, names in by_source.items()])
        self.put(page.sections[-1])

    def close(self) -> None:
        """Write how all this was reached, and the cautions."""
        self.columns()
        for section in self.closing:
            self.put(section)
            if section.heading == REACHED and self.no_plots:
                add(self.place, "p", f"The report has no plots: {self.no_plots}.", class_="note")


def written(material: Gathered, *, system: str = "metric") -> str:
    """Return the report of what was gathered; see :func:`report`."""
    page = _Report(material, system)
    page.answer()
    for name in _MORE:
        page.further(name)
    page.stated()
    page.sources()
    page.close()
    return f"<!DOCTYPE html>\n{tostring(page.root, encoding='unicode', method='html')}\n"


@as_annotated
def report(
    rig: Rig,
    mode: str | None = None,
    *,
    changed: Mapping[str, float] | None = None,
    system: str = "metric",
) -> str:
    """Return a report of a rig as one HTML file that needs no network and no script, and prints on A4 and Letter.

    Verdict, drawing, what was found, suction side, filling, drawing, how the filters load up, hoses to cut, parts, data with
    their origin, what was assumed or could not be judged, cautions. Where matplotlib is not installed it has no plots.

    Parameters
    ----------
    rig : Rig
    mode : str, optional
        Name of a mode; else the rig's first is checked, and filling and drawing take the first that fills and that draws.
    changed : mapping of address to float, optional
        Values that stand in front of the rig's own, SI.
    system : {"metric", "US", "imperial"}
        Units to show.

    Returns
    -------
    str
        The whole file.

    Raises
    ------
    InputError
        If a mode, an address or a system of units is unknown, or a value is not possible.
    SolverError
        If the network does not settle.

    Examples
    --------
    >>> from hydrokit.files import hand_check
    >>> report(hand_check())[:15]
    '<!DOCTYPE html>'
    """
    mistakes = Mistakes()
    if system not in SYSTEMS:
        mistakes.add("system", repr(system), f"one of {', '.join(SYSTEMS)}", nearest(system, SYSTEMS))
    mistakes.settle()
    return written(gathered(rig, mode, changed, system=system), system=system)
