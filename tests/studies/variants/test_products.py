"""Every combination, worked out from its number; ``itertools.product`` is the independent check."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.bounds import Dimension, Spec
from hydrokit.errors import InputError
from hydrokit.files import demonstration
from hydrokit.studies.variants.products import Axis, Product, product_of

PUMP = "lines.intake.lift-pump"


@given(sizes=st.lists(st.integers(1, 5), min_size=1, max_size=4), data=st.data())
def test_any_run_of_variants_is_that_of_the_whole_product(sizes: list[int], data: st.DataObject) -> None:
    spec = Spec(Dimension.NUMBER, "x")
    axes = [Axis(f"a{place}", spec, np.arange(float(size)) + 10.0 * place) for place, size in enumerate(sizes)]
    whole = list(product(*(axis.values.tolist() for axis in axes)))
    found = Product(tuple(axes))
    assert len(found) == len(whole)
    first = data.draw(st.integers(0, len(whole) - 1))
    last = data.draw(st.integers(first + 1, len(whole)))
    varied = found.variation(found.places(first, last))
    assert list(zip(*(values.tolist() for values in varied.values()), strict=True)) == whole[first:last]


def test_far_out_in_a_huge_product() -> None:
    spec = Spec(Dimension.NUMBER, "x")
    huge = Product(tuple(Axis(name, spec, np.arange(1000.0)) for name in "abc"))
    assert len(huge) == 10**9
    assert huge.places(987_654_321, 987_654_322).tolist() == [[987, 654, 321]]


def mistakes_of(wanted: dict[str, object], held: dict[str, float] | None = None) -> list[tuple[str, str, str]]:
    with pytest.raises(InputError) as caught:
        product_of(demonstration(), "filling", wanted, held or {})
    return [(each.place, each.found, each.instead) for each in caught.value.mistakes]


def test_an_unknown_address_is_told_the_nearest() -> None:
    ((place, _, instead),) = mistakes_of({"lines.intake.suction-hose.boer": "19 mm"})
    assert (place, instead) == ("lines.intake.suction-hose.boer", "lines.intake.suction-hose.bore")


def test_all_mistakes_at_once() -> None:
    found = mistakes_of({f"{PUMP}.hieght": "1 m", f"{PUMP}.height": "1 kg", "site.altitude": "1 m, 2 parsec"})
    assert [place for place, _, _ in found] == [f"{PUMP}.hieght", f"{PUMP}.height", "site.altitude"]


def test_nothing_to_vary() -> None:
    assert mistakes_of({})[0][:2] == ("variation", "nothing to vary")


def test_set_and_varied() -> None:
    address = f"{PUMP}.height"
    assert mistakes_of({address: "1 m"}, {address: 2.0})[0][0] == address


def test_values_out_of_bounds_before_anything_is_computed() -> None:
    ((place, found, _),) = mistakes_of({"lines.intake.suction-hose.bore": [0.019, -0.001]})
    assert place == "lines.intake.suction-hose.bore"
    assert found == "-0.001 m"


@pytest.mark.parametrize(
    ("wanted", "held", "place"),
    [
        ({f"{PUMP}.cut_in": [1.0e5, 2.9e5]}, {}, f"{PUMP}.cut_in"),
        ({f"{PUMP}.cut_in": [1.0e5, 2.5e5], f"{PUMP}.cut_out": [2.4e5, 2.8e5]}, {}, f"{PUMP}.cut_in"),
        ({"tanks.near.level": [0.1, 0.3]}, {"tanks.near.depth": 0.2}, "tanks.near.level"),
    ],
)
def test_values_that_cannot_stand_together_in_one_part(
    wanted: dict[str, object], held: dict[str, float], place: str
) -> None:
    assert place in [found for found, _, _ in mistakes_of(wanted, held)]


def test_values_of_one_part_that_can_stand_together() -> None:
    wanted = {f"{PUMP}.cut_in": [1.0e5, 2.0e5], f"{PUMP}.cut_out": [2.4e5, 2.8e5]}
    assert len(product_of(demonstration(), "filling", wanted, {})) == 4


def test_more_than_a_billion() -> None:
    many = np.linspace(0.0, 1.0, 100_000)
    found = mistakes_of({"sources.pond.surface": many, f"{PUMP}.height": many})
    assert found == [("variation", "10000000000 variants", "")]


def test_values_that_cannot_stand_together_are_told_once() -> None:
    """A cut-in above the cut-out in every combination of two values each is one mistake, not four."""
    rig = demonstration()
    pump = next(address for address, part in rig.pumps().items() if getattr(part, "cut_out", None) is not None)
    wanted = {f"{pump}.cut_in": "2.5 bar, 3 bar", f"{pump}.cut_out": "1 bar, 1.5 bar"}
    with pytest.raises(InputError) as caught:
        product_of(rig, "filling", wanted, {})
    assert len(caught.value.mistakes) == 1
