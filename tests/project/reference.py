"""Build the reference: every part and field, rules, glossary and the functions of the library, all from the code itself.

``python tests/project/reference.py FOLDER`` writes sources and pages below the folder; a warning is an error. The pages
need no network: formulae are MathML, the theme is plain.
"""

from __future__ import annotations

import inspect
import re
import sys
from dataclasses import is_dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import hydrokit
from hydrokit.parts import END_KINDS, PART_KINDS
from hydrokit.parts.describing import FieldText, described, first_line
from hydrokit.rig import ASIDE, SINGLES
from hydrokit.rules import RULES
from hydrokit.terms import all_terms

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from sphinx.application import Sphinx

ROOT: Final = Path(__file__).parents[2]
LAWS: Final = sorted(
    path.stem for path in (ROOT / "hydrokit" / "laws").glob("*.py") if path.stem not in {"__init__", "elementwise"}
)
_CAUTION: Final = (
    "A calculation can show that a rig cannot work; it never shows that water is safe to drink. Local codes and licensed"
    " practitioners go before anything printed here."
)
_STYLE: Final = """
div.document, div.body { max-width: 76em; width: auto; }
div.body { font-size: 16px; }
table.docutils { width: 100%; border-collapse: collapse; font-size: 14px; box-shadow: none; }
table.docutils th, table.docutils td { border: 1px solid #999; padding: 4px 6px; vertical-align: top; }
table.docutils p { margin: 0; }
pre { white-space: pre-wrap; font-size: 13px; }
div.body { min-width: 0; overflow-wrap: anywhere; }
dl.py { margin-bottom: 2em; }
dt.sig { background: #f2f2f2; padding: 4px 6px; overflow-wrap: anywhere; }
math[display=block] { margin: 1em 0; }
@media (max-width: 700px) { table.docutils { display: block; overflow-x: auto; overflow-wrap: normal; } }
@media print { div.sphinxsidebar { display: none; } div.bodywrapper { margin: 0; } }
"""


def _escaped(text: str) -> str:
    return re.sub(r"([\\*`|_<>])", r"\\\1", text.replace("`", "'"))


def _code(text: str) -> str:
    return f"``{text}``" if text else ""


def _title(text: str, line: str) -> list[str]:
    return [text, line * (len(text) + 2), ""]


def _list_table(heads: Sequence[str], widths: Sequence[int], rows: Sequence[Sequence[str]]) -> list[str]:
    lines = [".. list-table::", "   :header-rows: 1", f"   :widths: {' '.join(map(str, widths))}", ""]
    for row in (heads, *rows):
        lines += [f"   {'*' if place == 0 else ' '} - {cell}" for place, cell in enumerate(row)]
    return [*lines, ""]


def _field_row(field: FieldText) -> list[str]:
    meaning = _escaped(field.doc) + (f"; source: {_escaped(field.source)}" if field.source else "")
    left_out = "must be stated" if field.needed else _escaped(field.default)
    limits = _escaped(field.limits)
    return [_code(field.name), meaning, _escaped(field.takes), limits, left_out, _code(field.example)]


def _table_of(word: str, cls: type[Any]) -> Iterator[str]:
    yield from _title(word, "-")
    yield from [_escaped(first_line(cls)), ""]
    heads = ("field", "meaning", "takes", "may be", "left out", "example")
    yield from _list_table(heads, (15, 27, 24, 13, 9, 12), [_field_row(field) for field in described(cls)])


def _parts_page() -> Iterator[str]:
    yield from _title("Every part and field", "=")
    yield (
        "What a rig file may hold. A field that is left out takes what stands under *left out*, and where that is empty its"
        " meaning says what happens, or it counts as not known. Every value may carry a tolerance, as in ``2.5 ± 0.3 m``."
    )
    yield from ["", ".. contents::", "   :local:", "   :depth: 2", ""]
    for title, kinds in (
        ("Parts of a line", PART_KINDS),
        ("Ends of lines", END_KINDS),
        ("Other tables", {**SINGLES, **ASIDE}),
    ):
        yield from _title(title, "~")
        for word, cls in kinds.items():
            yield from _table_of(word, cls)


def _rules_page() -> Iterator[str]:
    yield from _title("Rules", "=")
    yield from [_escaped(_CAUTION), ""]
    for rule in RULES:
        yield from _title(rule.name, "-")
        yield from [_escaped(rule.doc), "", f"   {_code(rule.formula)}", ""]
        needs = f"Needs: {_escaped('; '.join(rule.needs))}. " if rule.needs else ""
        advice = " Advice only: it can be close, and never fails." if rule.advisory else ""
        yield from [f"{needs}Source: {_escaped(rule.source)}.{advice}", ""]


def _glossary_page() -> Iterator[str]:
    yield from _title("Glossary", "=")
    group = ""
    for term in all_terms():
        if term.group != group:
            group = term.group
            yield from _title(group, "-")
        yield _escaped(term.word)
        unit = f" [{term.unit}]" if term.unit else ""
        counts = f", {term.sign}" if term.sign else ""
        yield f"   {_escaped(term.meaning)}{_escaped(unit + counts)}."
        yield from ["", f"   {_code(term.formula)}"] if term.formula else []
        names = f"In code: {', '.join(map(_code, term.names))}. " if term.names else ""
        yield from ["", f"   {names}Source: {_escaped(term.source)}.", ""]


def _public() -> dict[str, list[str]]:
    """Return the public names by what they are, each list in the order of ``hydrokit.__all__``."""
    groups: dict[str, list[str]] = {"Functions": [], "Answers": [], "Parts and rigs": [], "Other classes": []}
    for name in hydrokit.__all__:
        thing = getattr(hydrokit, name)
        if not inspect.isclass(thing):
            groups["Functions"] += [name] if callable(thing) else []
        elif issubclass(thing, hydrokit.Answer):
            groups["Answers"].append(name)
        elif thing.__module__.startswith(("hydrokit.parts", "hydrokit.rig")):
            groups["Parts and rigs"].append(name)
        else:
            groups["Other classes"].append(name)
    return groups


def _public_page() -> Iterator[str]:
    yield from _title("Public names", "=")
    yield from [
        "Inside the library every number is SI. Results are frozen; vary a part with ``dataclasses.replace``.",
        "",
    ]
    for group, names in _public().items():
        yield from _title(group, "-")
        for name in names:
            if group == "Functions":
                yield from [f".. autofunction:: hydrokit.{name}", ""]
            else:
                yield from [f".. autoclass:: hydrokit.{name}", "   :members:", ""]


def _law_page(name: str) -> Iterator[str]:
    yield from _title(name.replace("_", " ").capitalize(), "=")
    yield from [f".. automodule:: hydrokit.laws.{name}", "   :members:", ""]


def _index_page() -> Iterator[str]:
    yield from _title(f"hydrokit {hydrokit.__version__}", "=")
    yield from [_escaped(_CAUTION), "", ".. toctree::", "   :maxdepth: 1", ""]
    yield from [f"   {page}" for page in ("parts", "rules", "glossary", "public")]
    yield from ["", ".. toctree::", "   :caption: Laws", "   :maxdepth: 1", ""]
    yield from [f"   laws-{name}" for name in LAWS]
    yield ""


def pages() -> dict[str, str]:
    """Return the source of every page by its name."""
    made = {
        "index": _index_page(),
        "parts": _parts_page(),
        "rules": _rules_page(),
        "glossary": _glossary_page(),
        "public": _public_page(),
        **{f"laws-{name}": _law_page(name) for name in LAWS},
    }
    return {name: "\n".join(lines) for name, lines in made.items()}


def _plain_data(app: Sphinx, what: str, name: str, thing: object, options: object, lines: list[str]) -> None:
    """Keep napoleon from taking what stands before a colon for the type of a constant."""
    del app, name, thing, options
    if what in {"data", "attribute"}:
        lines[:0] = ["..", ""]  # an empty remark, which has no colon


def _footnotes(app: Sphinx, what: str, name: str, thing: object, options: object, lines: list[str]) -> None:
    """Make footnotes of citations: each page has its own, while citations must differ over all pages."""
    del app, what, name, thing, options
    lines[:] = [
        re.sub(r"\[([a-z]\w*)\]_", r"[#\1]_", re.sub(r"^\.\. \[([a-z]\w*)\]", r".. [#\1]", line)) for line in lines
    ]


def _signature(
    app: Sphinx, what: str, name: str, thing: object, options: object, signature: str | None, returns: str | None
) -> tuple[str | None, str | None]:
    """Shorten the signatures of data classes: what they take stands under them, or on the page of parts."""
    del app, what, name, options
    return ("(**fields)" if is_dataclass(thing) else signature), returns


def _visit_math(translator: Any, node: Any) -> None:
    from docutils import nodes
    from docutils.utils.math.latex2mathml import tex2mathml

    block = isinstance(node, nodes.math_block)
    translator.body.append(tex2mathml(node.astext().replace("°", r"{}^\circ"), as_block=block))
    raise nodes.SkipNode


def setup(app: Sphinx) -> dict[str, bool]:
    """Take part in the build: formulae as MathML, citations as footnotes."""
    app.add_html_math_renderer("mathml", (_visit_math, None), (_visit_math, None))
    app.connect("autodoc-process-docstring", _plain_data, priority=100)  # before napoleon
    app.connect("autodoc-process-docstring", _footnotes, priority=900)  # after napoleon
    app.connect("autodoc-process-signature", _signature)
    return {"parallel_read_safe": True}


def build(folder: Path) -> int:
    """Write sources and pages below a folder; return 0 where all went without a warning."""
    from sphinx.application import Sphinx

    sources = folder / "source"
    (sources / "static").mkdir(parents=True, exist_ok=True)
    (sources / "static" / "own.css").write_text(_STYLE, encoding="utf-8")
    for name, text in pages().items():
        (sources / f"{name}.rst").write_text(text, encoding="utf-8")
    settings = {
        "project": "hydrokit",
        "release": hydrokit.__version__,
        "extensions": ["sphinx.ext.autodoc", "sphinx.ext.napoleon", Path(__file__).stem],
        "autodoc_member_order": "bysource",
        "autodoc_typehints_format": "short",
        "autodoc_type_aliases": {"Real": "Real", "Array": "Array"},
        "napoleon_google_docstring": False,
        "python_maximum_signature_line_length": 100,
        "html_theme": "alabaster",
        "html_theme_options": {"show_powered_by": False},
        "html_math_renderer": "mathml",
        "html_static_path": ["static"],
        "html_css_files": ["own.css"],
        "html_show_sphinx": False,
        "html_show_copyright": False,
        "html_copy_source": False,
        "smartquotes": False,
        "suppress_warnings": ["ref.footnote"],  # a source may be about the whole page
    }
    sys.path.insert(0, str(Path(__file__).parent))
    app = Sphinx(sources, None, folder / "html", folder / "state", "html", settings, warningiserror=True, freshenv=True)
    app.build()
    return app.statuscode


if __name__ == "__main__":
    sys.exit(build(Path(sys.argv[1])))
