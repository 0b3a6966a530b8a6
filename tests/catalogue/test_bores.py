from __future__ import annotations

import pytest

from hydrokit.catalogue import hose_bores
from hydrokit.errors import InputError
from hydrokit.units import si


@pytest.mark.parametrize("series", ["metric", "inch", "all"])
def test_bores_rise_and_are_what_their_labels_say(series: str) -> None:
    bores = hose_bores(series)  # type: ignore[arg-type]
    widths = [bore for _, bore in bores]
    assert widths == sorted(set(widths))
    assert all(si(label, "length") == bore for label, bore in bores)  # type: ignore[arg-type]


def test_all_is_both_series() -> None:
    assert set(hose_bores("all")) == {*hose_bores("metric"), *hose_bores("inch")}


def test_metric_series_holds_the_bores_of_the_trade() -> None:
    """ISO 1307 as quoted in makers' tolerance sheets, from memory."""
    labels = {
        "6.3 mm",
        "8 mm",
        "10 mm",
        "12.5 mm",
        "16 mm",
        "19 mm",
        "20 mm",
        "25 mm",
        "31.5 mm",
        "38 mm",
        "40 mm",
        "51 mm",
    }
    assert labels <= {label for label, _ in hose_bores()}


def test_unknown_series_names_the_nearest() -> None:
    with pytest.raises(InputError, match=r"series: found 'metrik', expected one of metric, inch, all; write metric"):
        hose_bores("metrik")  # type: ignore[arg-type]
