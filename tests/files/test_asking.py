"""The questions for a new rig: whatever is answered, the file is good, and nonsense is told as files tell it."""

from __future__ import annotations

import re
import tomllib
from random import Random

import pytest

from hydrokit.errors import InputError
from hydrokit.files.asking import OWN
from hydrokit.files.composing import composed
from hydrokit.files.questions import QUESTIONS, following
from hydrokit.files.reading import read_rig

CURVES = {
    "pump.points": "11 L/min at 0 bar; 6 L/min at 2.8 bar",
    "pump.heads": "0 L/min at 9 m; 16 L/min at 0.5 m",
    "tap-pump.points": "11 L/min at 0 bar; 0 L/min at 2.8 bar",
    "tap-pump.heads": "0 L/min at 30 ft; 16 L/min at 1.6 ft",
}
DROPS = "4 L/min at 3 kPa; 8 L/min at 8 kPa"


def answered(**given: str) -> dict[str, str]:
    """Return answers, those not given being the suggested ones; dots in keys written as double underscores."""
    wanted = {key.replace("__", ".").replace("_N", "-"): text for key, text in given.items()}
    answers: dict[str, str] = {}
    while (question := following(answers)) is not None:
        answers[question.key] = question.accept(wanted.get(question.key, ""), answers)
    return answers


def test_what_is_suggested_makes_a_rig_and_says_what_was_suggested() -> None:
    text = composed(answered())
    rig = read_rig(text)
    assert (rig.title, [*rig.tanks], rig.mode_names()) == ("My rig", ["near", "far"], ("filling", "drawing"))
    assert 'altitude = "100 m"' in text
    assert rig.outlets["tap"].height < rig.tanks["near"].floor  # water falls to it
    assert text.count("(suggested)") >= 8
    assert '# turbidity = "6 NTU"' in text
    given = composed(answered(site__altitude="250 m", site__turbidity="8 NTU"))
    assert re.search(r'altitude = "250 m" +# of the site above the sea\n', given)
    assert re.search(r'^turbidity = "8 NTU" ', given, re.MULTILINE)


def test_filters_go_by_what_they_are_and_by_number_where_two_are_alike() -> None:
    given = {"filter-1.use": "filter-sediment-10", "filter-2.use": "filter-carbon-block", "filter-3.use": "none"}
    assert list(read_rig(composed(answered(**given))).lines["filling"].labels()[-2:]) == [
        "filter-sediment-10",
        "filter-carbon-block",
    ]
    twice = composed(answered(**{**given, "filter-2.use": "filter-sediment-10"}))
    assert list(read_rig(twice).lines["filling"].labels()[-2:]) == ["filter-1", "filter-2"]


def test_of_the_tails_that_fit_a_hose_the_widest_is_taken() -> None:
    """12.5 and 15 mm both go into 18.5 mm."""
    parts = read_rig(composed(answered(delivery__use=OWN, delivery__bore="18.5 mm"))).lines["filling"].parts
    assert [part.bore for part in parts if part.kind == "hose tail"] == [0.015, 0.015]


def test_each_mode_shuts_the_lines_and_stops_the_pump_of_the_other() -> None:
    modes = read_rig(composed(answered(**{"tap-pump.use": "diaphragm-pump-11"}))).modes
    assert modes["filling"].closed == ("lines.from-near", "lines.from-far", "lines.to-tap")
    assert modes["filling"].off == ("lines.to-tap.diaphragm-pump-11",)
    assert modes["drawing"].closed == ("lines.filling", "lines.to-near", "lines.to-far")
    assert modes["drawing"].off == ("lines.filling.diaphragm-pump-11",)


def test_what_is_left_out_can_be_put_in_by_taking_off_the_sign() -> None:
    text = composed(answered())
    put_in = re.sub(r"^# (\w+ = )", r"\1", text, flags=re.MULTILINE)
    assert put_in != text
    assert read_rig(put_in).batteries["main"].capacity == 75 * 3600.0


@pytest.mark.parametrize("seed", range(25))
def test_any_answers_make_a_rig_that_reads(seed: int) -> None:
    random = Random(seed)
    answers: dict[str, str] = {}
    while (question := following(answers)) is not None:
        curve = CURVES.get(question.key, DROPS if question.key.endswith(".points") else "")
        choices = [curve] if curve else [question.suggest(answers) or "-", *question.words]
        for typed in (random.choice(choices), "-", "4 m", *question.words):  # a cut-out at the cut-in is left out
            try:
                answers[question.key] = question.accept(typed, answers)
            except InputError:
                continue
            break
        assert question.key in answers, question.key
    rig = read_rig(composed(answers))
    assert len(rig.tanks) == int(answers["tanks"])
    assert bool(rig.outlets) is (answers["tap"] == "yes")
    assert bool(rig.batteries) is (answers.get("battery") == "yes")
    for name, pump in rig.pumps().items():
        assert pump.height is not None, name


def test_own_parts_stand_in_the_file_as_typed() -> None:
    answers = answered(
        pump__use=OWN,
        pump__points=CURVES["pump.points"],
        pump__dry_lift="6 ft",
        delivery__use=OWN,
        delivery__bore="1/2 in",
    )
    raw = tomllib.loads(composed(answers))
    assert raw["parts"]["lift-pump"]["points"] == [["11 L/min", "0 bar"], ["6 L/min", "2.8 bar"]]
    assert raw["parts"]["lift-pump"]["dry_lift"] == "6 ft"
    assert raw["parts"]["delivery-hose"]["bore"] == "1/2 in"
    assert {"use": "tail-12-5"} in raw["lines"]["filling"]["parts"]


def test_every_question_explains_itself_and_is_asked_once() -> None:
    for question in QUESTIONS:
        assert question.ask
        assert question.more
        alone = [other for other in QUESTIONS if other.key == question.key]
        assert len(alone) == 1 or {other.subject for other in alone} == {question.subject}


@pytest.mark.parametrize(
    ("key", "typed", "found", "instead"),
    [
        ("water", "tap", "'tap'", "pond"),
        ("water", "mill pond", "'mill pond'", "mill-pond"),
        ("site.altitude", "250", "without a unit", "250 m"),
        ("site.altitude", "14 bar", "bar is a unit of pressure", "140 m"),
        ("site.altitude", "1,5 m", "comma", "1.5 m"),
        ("suction.length", "-2 m", "'-2 m'", "6 m"),
        ("suction.use", "suction-hos-25", "'suction-hos-25'", "suction-hose-25"),
        ("end", "footvalve", "'footvalve'", "foot valve"),
        ("tanks", "5", "'5'", ""),
        ("battery", "perhaps", "'perhaps'", ""),
        ("tank.volume", "16 gal", "which gallon", "US gal"),
        ("main.chemistry", "led-acid", "'led-acid'", "lead-acid"),
        ("vehicle", "lorry", "'lorry'", ""),
        ("vehicle", "trailor", "'trailor'", "trailer"),
        ("vehicle.wheelbase", "2,4 m", "comma", "2.4 m"),
        ("vehicle.wheelbase", "240", "without a unit", "240 mm"),  # as many metres no vehicle has
        ("vehicle.wheelbase", "0 m", "'0 m'", "2.4 m"),
        ("vehicle.front_mass", "-12 kg", "'-12 kg'", "12 kg"),
        ("vehicle.front_mass", "120 N", "N is a unit of force", "12 kg"),
        ("vehicle.rear_mass", "220 ± 5 kg", "'220 ± 5 kg'", "220 kg"),
        ("vehicle.front_rating", "75", "without a unit", "75 kg"),
        ("tank.vent_bore", "half an inch", "'half an inch'", "12 mm"),
    ],
)
def test_nonsense_is_told_with_what_to_write(key: str, typed: str, found: str, instead: str) -> None:
    answers = answered()
    question = next(each for each in QUESTIONS if each.key == key)
    with pytest.raises(InputError) as told:
        question.accept(typed, answers)
    (mistake,) = told.value.mistakes
    assert found in mistake.found
    assert mistake.expected
    assert instead in mistake.instead
    assert '"' not in mistake.instead


TRAILER = {
    "vehicle": "trailer",
    "vehicle.wheelbase": "2.5 m",
    "vehicle.front_mass": "20 kg",
    "vehicle.rear_mass": "180 kg",
    "vehicle.front_rating": "50 kg",
    "vehicle.rear_rating": "500 kg",
    "tank.position": "2.3 m",
}


def test_what_the_axles_carry_gives_the_mass_of_the_vehicle_and_its_middle() -> None:
    text = composed(answered(**TRAILER))
    vehicle = read_rig(text).vehicle
    assert (vehicle.front, vehicle.rear, vehicle.rear_position) == ("hitch", "axle", 2.5)
    assert vehicle.mass == pytest.approx(200.0)
    assert vehicle.position == pytest.approx(2.5 * 180.0 / 200.0)  # levers about the hitch
    assert "# empty: 20 kg on the hitch and 180 kg on the axle" in text
    assert "# rating = " in text
    assert read_rig(text).tanks["far"].position == 2.3


def test_a_vehicle_whose_loads_are_not_known_says_what_to_put_in() -> None:
    text = composed(answered(vehicle="two axles", vehicle__wheelbase="9 ft"))
    vehicle = read_rig(text).vehicle
    assert (vehicle.front, vehicle.rear, vehicle.mass) == ("front axle", "rear axle", None)
    put_in = read_rig(re.sub(r"^# (\w+ = )", r"\1", text, flags=re.MULTILINE)).vehicle
    assert (put_in.mass, put_in.position, put_in.rating) == (240.0, 2.2, 750.0)


def test_a_rig_on_the_ground_is_asked_nothing_of_axles() -> None:
    asked = [key for key in answered() if key.startswith("vehicle.") or key == "tank.position"]
    assert asked == []
    assert "[vehicle]" not in composed(answered())


def test_how_long_a_vent_is_is_asked_where_there_is_one() -> None:
    assert "tank.vent_length" not in answered()
    given = answered(tank__vent_bore="12 mm", tank__vent_length="60 cm", tank__overflow_bore="0 mm")
    tank = read_rig(composed(given)).tanks["near"]
    assert (tank.vent_bore, tank.vent_length, tank.overflow_bore, tank.overflow_length) == (0.012, 0.6, 0.0, 1.0)


def test_curves_say_how_to_type_them() -> None:
    question = next(each for each in QUESTIONS if each.key == "pump.points")
    for typed, found in (("8 L/min", "'8 L/min'"), ("8 L/min at 2 bar", "1 point"), ("", "nothing")):
        with pytest.raises(InputError) as told:
            question.accept(typed, {"pump.use": OWN, "pump.kind": "diaphragm pump"})
        assert found in str(told.value)
    assert "8 L/min at 1.5 bar; …" in question.ask


def test_what_must_be_known_cannot_be_left_out() -> None:
    question = next(each for each in QUESTIONS if each.key == "tank.floor")
    with pytest.raises(InputError) as told:
        question.accept("-", answered())
    (mistake,) = told.value.mistakes
    assert mistake.found == "a -, which leaves out what must be known"
    assert (mistake.expected, mistake.instead) == (question.ask, "1.6 m")


def test_answers_must_go_together() -> None:
    answers = {"pump.use": OWN, "pump.points": CURVES["pump.points"], "pump.cut_in": "2 bar"}
    question = next(each for each in QUESTIONS if each.key == "pump.cut_out")
    with pytest.raises(InputError, match=r"found 2 bar, expected less than cut_out, 1\.5 bar"):
        question.accept("1.5 bar", answers)
    assert question.accept("2.8 bar", answers) == "2.8 bar"


def test_letters_that_a_word_begins_with_will_do() -> None:
    question = next(each for each in QUESTIONS if each.key == "battery")
    assert question.accept("Y", {}) == "yes"
