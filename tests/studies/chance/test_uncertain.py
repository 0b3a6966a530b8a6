"""Samples against scipy's own distributions; standard uncertainties of JCGM 100:2008, 4.3.7, 4.3.9 and 4.3.4 (from memory)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from hydrokit.errors import InputError
from hydrokit.files import demonstration
from hydrokit.rig import replaced
from hydrokit.studies.chance.uncertain import METHODS, SHAPES, draw_samples, uncertain_values

LENGTH = "lines.intake.suction-hose.length"
LOADING = "lines.intake.carbon.loading"


def _drawn(rig, shape="rectangular", *, samples=4096, seed=1, method="latin-hypercube", **tolerances):
    inputs = uncertain_values(rig, "filling", {}, {name.replace("__", "."): t for name, t in tolerances.items()}, shape)
    return draw_samples(rig, inputs, samples=samples, seed=seed, shape=shape, method=method)


@pytest.fixture(scope="module")
def rig():
    return demonstration()


DISTRIBUTIONS = {
    "rectangular": (stats.uniform(-1.0, 2.0), 3.0**-0.5),
    "triangular": (stats.triang(0.5, -1.0, 2.0), 6.0**-0.5),
    "normal": (stats.norm(0.0, 0.5), 0.5),
}


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("shape", SHAPES)
def test_samples_are_those_of_the_distribution(rig, shape: str, method: str) -> None:
    drawn = _drawn(rig, shape, method=method)
    assert set(drawn) == set(rig.tolerances)
    distribution, deviation = DISTRIBUTIONS[shape]
    for address, values in drawn.items():
        owner, _, name = address.rpartition(".")
        off = (values - getattr(rig.by_address[owner], name)) / rig.tolerances[address]
        assert stats.kstest(off, distribution.cdf).pvalue > 0.5  # evenly drawn samples fit better than chance would
        assert off.mean() == pytest.approx(0.0, abs=2e-3)
        assert off.std() == pytest.approx(deviation, rel=5e-3)


@pytest.mark.parametrize("shape", SHAPES)
def test_what_a_field_cannot_be_is_cut_off_and_not_heaped_up(rig, shape: str) -> None:
    loaded = replaced(rig, {LOADING: 0.05})
    inputs = uncertain_values(loaded, "filling", {}, {LOADING: 0.2}, shape)
    values = draw_samples(loaded, inputs, samples=4096, seed=3, shape=shape, method="latin-hypercube")[LOADING]
    assert values.min() >= 0.0
    middle = DISTRIBUTIONS[shape][0]
    gone = middle.cdf(-0.25)

    def below(value):
        return (middle.cdf((value - 0.05) / 0.2) - gone) / (1.0 - gone)

    assert stats.kstest(values, below).pvalue > 0.5


def test_a_latin_hypercube_has_one_sample_in_every_equal_part(rig) -> None:
    for address, values in _drawn(rig, samples=500).items():
        owner, _, name = address.rpartition(".")
        share = 0.5 + 0.5 * (values - getattr(rig.by_address[owner], name)) / rig.tolerances[address]
        assert sorted(np.floor(share * 500).astype(int).tolist()) == list(range(500))


def test_values_err_independently(rig) -> None:
    matrix = np.corrcoef(np.stack(list(_drawn(rig).values())))
    assert np.abs(matrix - np.eye(len(matrix))).max() < 4.0 / np.sqrt(4096.0)


def test_a_seed_gives_the_same_again_and_another_does_not(rig) -> None:
    first, again, other = (_drawn(rig, samples=200, seed=seed) for seed in (7, 7, 8))
    assert all((first[address] == again[address]).all() for address in first)
    assert all((first[address] != other[address]).any() for address in first)


def test_the_order_of_the_file_does_not_matter(rig) -> None:
    turned = replace(rig, tolerances=dict(reversed(rig.tolerances.items())))
    first, again = _drawn(rig, samples=200), _drawn(turned, samples=200)
    assert all((first[address] == again[address]).all() for address in first)


def test_a_width_of_nothing_holds_the_value(rig) -> None:
    inputs = uncertain_values(rig, "filling", {}, {LENGTH: 0.0}, "normal")
    drawn = draw_samples(rig, inputs, samples=100, seed=1, shape="normal", method="latin-hypercube")
    assert set(drawn[LENGTH]) == {6.0}


def test_a_width_stays_around_the_value_that_is_set(rig) -> None:
    inputs = {each.address: each for each in uncertain_values(rig, "filling", {LENGTH: 9.0}, {}, "rectangular")}
    assert (inputs[LENGTH].low, inputs[LENGTH].value, inputs[LENGTH].high) == pytest.approx((8.8, 9.0, 9.2))


def test_nothing_with_plus_or_minus_is_one_mistake_that_says_what_to_write(rig) -> None:
    with pytest.raises(InputError) as caught:
        uncertain_values(replace(rig, tolerances={}), "filling", {}, {}, "rectangular")
    (mistake,) = caught.value.mistakes
    assert mistake.found == "no value with ±"
    assert 'length = "2.5 ± 0.3 m"' in mistake.instead


def test_every_wrong_width_is_told_at_once(rig) -> None:
    wrong = {"lines.intake.suction-hose.lenght": 0.1, LENGTH: -0.1, "site.ph": 0.2}
    with pytest.raises(InputError) as caught:
        uncertain_values(rig, "filling", {}, wrong, "rectangular")
    told = {mistake.place: mistake for mistake in caught.value.mistakes}
    assert told["lines.intake.suction-hose.lenght"].instead == LENGTH
    assert told[f"± of {LENGTH}"].expected.startswith("0 to")
    assert told["site.ph"].expected == "a value as well"


def test_a_width_that_reaches_the_impossible_is_refused(rig) -> None:
    level = "tanks.near.level"
    full = replaced(rig, {level: 0.44})
    with pytest.raises(InputError, match="a ± that reaches") as caught:
        _drawn(full, samples=100, tanks__near__level=0.02)
    (mistake,) = caught.value.mistakes
    assert (mistake.place, mistake.instead) == (level, "a smaller ±")


@pytest.mark.parametrize(
    ("options", "place"),
    [
        ({"samples": 50}, "samples"),
        ({"samples": 10**6}, "samples"),
        ({"samples": 1000, "method": "sobol"}, "samples"),
        ({"method": "dice"}, "method"),
        ({"seed": -1}, "seed"),
    ],
    ids=["few", "many", "no power of two", "method", "seed"],
)
def test_what_cannot_be_drawn_is_refused(rig, options: dict, place: str) -> None:
    with pytest.raises(InputError) as caught:
        _drawn(rig, **options)
    assert [mistake.place for mistake in caught.value.mistakes] == [place]


def test_an_unknown_shape_is_refused(rig) -> None:
    with pytest.raises(InputError, match="shape"):
        _drawn(rig, "square")
