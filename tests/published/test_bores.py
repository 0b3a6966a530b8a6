"""Published losses where the bore changes."""

from __future__ import annotations

import numpy as np

from hydrokit.laws.fittings import bore_change_k, expansion_k, k_head
from hydrokit.laws.friction import velocity
from hydrokit.water import STANDARD_GRAVITY


def test_expansion_coulson_3_6(published) -> None:
    """Coulson and Richardson, vol. 1, example 3.6."""
    example = published("expansion-coulson-3-6")
    small, large = example.given("bore_1"), example.given("bore_2")
    example.agrees("head_loss", k_head(k=expansion_k(small=small, large=large), flow=example.given("flow"), bore=small))


def test_expansion_natarajan_7_11(published) -> None:
    """Natarajan, example 7.11: what the fall in velocity gives back, less the loss."""
    example = published("expansion-natarajan-7-11")
    small, large, flow = example.given("bore_1"), example.given("bore_2"), example.given("flow")
    density = example.given("density")
    recovered = (velocity(flow=flow, bore=small) ** 2 - velocity(flow=flow, bore=large) ** 2) / 2.0 * density
    lost = k_head(k=bore_change_k(before=small, after=large), flow=flow, bore=small) * density * STANDARD_GRAVITY
    example.agrees("pressure_rise", recovered - lost)


def test_expansion_lal_3_3(published) -> None:
    """Lal, example 3.3, bores by area."""
    example = published("expansion-lal-3-3")
    small, large = (float(np.sqrt(4.0 * example.given(name) / np.pi)) for name in ("area_1", "area_2"))
    flow = example.given("flow")
    loss = k_head(k=expansion_k(small=small, large=large), flow=flow, bore=small)
    before, after = (velocity(flow=flow, bore=bore) ** 2 / 2.0 / STANDARD_GRAVITY for bore in (small, large))
    example.agrees("head_loss", loss)
    example.agrees(
        "pressure_out", example.given("pressure_in") + (before - after - loss) * example.given("specific_weight")
    )


def test_expansion_cengel_8_6(published) -> None:
    """Cengel and Cimbala, example 8-6, stated K."""
    example = published("expansion-cengel-8-6")
    bore = example.given("bore_1")
    flow = example.given("velocity") * np.pi / 4.0 * bore**2
    example.agrees("head_loss", k_head(k=example.plain("k"), flow=flow, bore=bore))
    example.leaves_out("pressure_out", because="hydrokit counts the kinetic energy of plug flow: 166.4 kPa against 168")


def test_contraction_choudhary_7_9(published) -> None:
    """Choudhary and Prakash, example 7.9, stated coefficient of contraction."""
    example = published("contraction-choudhary-7-9")
    large, small, flow = example.given("bore_1"), example.given("bore_2"), example.given("flow")
    stated_k = (1.0 / example.plain("contraction_coefficient") - 1.0) ** 2
    before, after = (velocity(flow=flow, bore=bore) ** 2 / 2.0 / STANDARD_GRAVITY for bore in (large, small))
    head = before - after - k_head(k=stated_k, flow=flow, bore=small)
    example.agrees("pressure_out", example.given("pressure_in") + head * example.given("density") * STANDARD_GRAVITY)
