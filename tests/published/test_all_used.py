"""Every published entry has a test named by its id, and every figure in the file can be read."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from hydrokit.water import water


def _tests() -> set[str]:
    sources = "".join(path.read_text(encoding="utf-8") for path in Path(__file__).parent.glob("test_*.py"))
    return set(re.findall(r"^def (test_\w+)\(", sources, re.MULTILINE))


def _test_of(entry: dict) -> str:
    name = Path(entry["inputs"]["rig"]).stem if "rig" in entry["inputs"] else entry["id"]
    return f"test_{name.replace('-', '_')}"


def test_every_entry_has_its_test(published_entries) -> None:
    assert {id_ for id_, entry in published_entries.items() if _test_of(entry) not in _tests()} == set()


def test_the_table_has_every_quantity_and_no_other(published_entries) -> None:
    text = (Path(__file__).with_name("README.md")).read_text(encoding="utf-8")
    shown = {(id_, words.replace(" ", "_")) for id_, words in re.findall(r"\| `([\w-]+)` ([^|]+) \|", text)}
    stated = {(id_, item["quantity"]) for id_, entry in published_entries.items() for item in entry["expected"]}
    assert shown == stated
    assert set(re.findall(r"`(test_\w+)`", text)) <= _tests()


def test_every_figure_with_a_unit_is_read(published_entries, published) -> None:
    for id_, entry in published_entries.items():
        example = published(id_)
        for name, value in entry["inputs"].items():
            items = value if isinstance(value, list) else [value]
            if all(re.match(r"^[-+]?[\d.]+(e[-+]?\d+)?( [A-Za-z].*)?$", str(item)) for item in items):
                example.given(name)
        for expected in entry["expected"]:
            example.leaves_out(expected["quantity"], because="only the reading of figures is tested here")


def test_a_value_outside_its_tolerance_fails_with_its_source(published) -> None:
    example = published("water-iapws-if97-saturation")
    with pytest.raises(
        pytest.fail.Exception, match=r"vapour_pressure\n  source: IAPWS R7-97.*\n  published: 3536"
    ) as caught:
        example.agrees("vapour_pressure", 3536.58941 * 1.0003)
    assert "difference: 1.06" in str(caught.value)
    example.agrees("vapour_pressure", 3536.58941 * 1.0001)


def test_a_forgotten_quantity_is_noticed(published) -> None:
    example = published("tee-crane-7-35")
    example.agrees("k_run", 0.325)
    assert example.unchecked == ["branch_head_loss", "k_branch", "run_head_loss"]
    for quantity in example.unchecked:
        example.leaves_out(quantity, because="the fixture itself is tested here")


def test_a_figure_that_the_table_does_not_show_is_noticed(published) -> None:
    example = published("water-iapws-if97-saturation")
    example.test = "test_water_iapws_if97_saturation"
    example.agrees("vapour_pressure", water(300.0).vapour_pressure)
    assert example.untold == []
    example.agrees("vapour_pressure", water(300.0).vapour_pressure * 1.00005)
    assert example.untold == ["vapour_pressure"]
