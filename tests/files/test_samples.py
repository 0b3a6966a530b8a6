from __future__ import annotations

import subprocess
import sys
import tomllib

import pytest

from hydrokit.files import demonstration, demonstration_text, hand_check, read_rig, starter
from hydrokit.parts import DiaphragmPump, Filter, Hose


def test_the_demonstration_says_that_it_is_invented() -> None:
    assert "ALL DATA ARE INVENTED" in demonstration_text()
    assert demonstration().note.startswith("All data invented for this demonstration")
    assert "invented" in hand_check().note
    assert "All values below are invented" in starter()


def test_the_demonstration_is_a_whole_trailer() -> None:
    rig = demonstration()
    assert list(rig.tanks) == ["near", "far"]
    assert rig.mode_names() == ("filling", "tap")
    assert list(rig.pumps()) == ["lines.intake.lift-pump", "lines.to-tap.tap-pump"]
    media = [part.medium for part in rig.lines["intake"].parts if isinstance(part, Filter)]
    assert media == ["sediment", "sediment", "carbon", "membrane"]


@pytest.mark.parametrize("name", ["lift-pump", "tap-pump"])
def test_its_pumps_are_within_what_is_usual(name: str) -> None:
    """12 V diaphragm pumps: open flow falls by 12 to 20 % per bar, cut-out 1.4 to 4.1 bar, cut-in about 1 bar lower (common practice, from memory)."""
    pump = next(pump for address, pump in demonstration().pumps().items() if address.endswith(name))
    assert isinstance(pump, DiaphragmPump)
    assert pump.points is not None
    assert pump.cut_in is not None
    assert pump.cut_out is not None
    (open_flow, _), (flow, pressure) = pump.points
    assert 0.12 <= (open_flow - flow) / open_flow / (pressure / 1e5) <= 0.20
    assert 1.4e5 <= pump.cut_out <= 4.1e5
    assert pump.cut_out - pump.cut_in == pytest.approx(1e5, rel=0.15)


def test_what_it_only_guesses_it_says() -> None:
    rig = demonstration()
    assert rig.origins["site.turbidity"] == "guess"
    assert rig.tolerances["site.water_temperature"] == 3.0
    lift_pump = rig.pumps()["lines.intake.lift-pump"]
    assert lift_pump.npsh_required is None  # an honest unknown


def test_the_hand_check_is_as_its_heading_says() -> None:
    rig = hand_check()
    _, suction, pump, *filters, delivery = rig.lines["intake"].parts
    assert isinstance(suction, Hose)
    assert isinstance(delivery, Hose)
    assert isinstance(pump, DiaphragmPump)
    assert pump.points is not None
    (open_flow, _), (flow, pressure) = pump.points
    assert (open_flow - flow) * 60_000 / (pressure / 1e5) == pytest.approx(2.15)
    assert (suction.length, suction.bore, delivery.length, delivery.bore) == (6.0, 0.019, 4.0, 0.0125)
    drops = [dict(part.points)[8 / 60_000] for part in filters if isinstance(part, Filter)]
    assert drops == [5e3, 8e3, 50e3, 60e3]
    assert rig.tanks["twins"].inlet_height == pytest.approx(pump.height + 0.8)  # type: ignore[operator]


def test_every_line_of_the_starter_is_explained() -> None:
    bare = [line for line in starter().split("\n") if line.strip() and "#" not in line]
    allowed = (
        "  {",
        "]",
        "from",
        "to",
        "title",
        "note",
        "volume",
        "closed",
        "[modes",
        "[lines",
        "off",
        "[site]",
        "parts",
    )
    assert [line for line in bare if not line.startswith(allowed)] == []


def test_the_starter_shows_each_thing_a_file_may_hold() -> None:
    raw = tomllib.loads(starter())
    assert {"format", "title", "note", "site", "sources", "tanks", "outlets", "parts", "lines", "modes"} <= set(raw)
    rig = read_rig(starter())
    assert rig.tolerances
    assert rig.origins["lines.filling.diaphragm-pump-11.points"] == "catalogue"
    assert rig.modes["drawing"].values == {"tanks.tank.level": 0.4}


def test_reading_loads_nothing_heavy() -> None:
    code = (
        "import sys; from hydrokit.files import demonstration; 'pydantic' in sys.modules and sys.exit('pydantic at import');"
        "demonstration(); print([name for name in ('pint', 'scipy', 'fluids', 'CoolProp', 'rich') if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env={"PYTHONPATH": "."}
    )
    assert done.stdout.strip() == "[]"
