"""What a builder is asked for a new rig, in the order of the water; words, units and limits are those of the parts."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from hydrokit.bounds import Dimension, Spec
from hydrokit.catalogue import generic_parts
from hydrokit.files.asking import (
    NO,
    OWN,
    YES,
    Answers,
    Question,
    about_field,
    about_name,
    about_part,
    about_quantity,
    about_text,
    about_word,
)
from hydrokit.parts import Filter, Hose, Outlet, Source, Tank
from hydrokit.parts.electrics import Battery
from hydrokit.parts.pumps import CentrifugalPump, DiaphragmPump, HandPump, PoweredPump
from hydrokit.parts.vehicles import Vehicle
from hydrokit.rig import Site
from hydrokit.units import measured, show

__all__ = ["MOST_FILTERS", "PUMP_KINDS", "QUESTIONS", "SUPPORTS", "following", "hosed", "kind_of_pump"]

MOST_FILTERS: Final = 6
_MOST_TANKS: Final = 4
PUMP_KINDS: Final = {cls.kind: cls for cls in (DiaphragmPump, CentrifugalPump, HandPump)}
SUPPORTS: Final = {"trailer": ("hitch", "axle"), "two axles": ("front axle", "rear axle")}
"""What the two supports of a vehicle are called, by what it is."""
_WHEELBASE: Final = Spec(
    Dimension.LENGTH, "along the vehicle, level, from the front support to the rear one", low=0.1, high=20.0,
    example='"2.4 m"',
)  # fmt: skip
_FRONT_MASS: Final = Spec(
    Dimension.MASS, "what scales show under the front support, empty of all that this rig lists", low=0.0, high=1e5,
    example='"12 kg"',
)  # fmt: skip
_REAR_MASS: Final = Spec(
    Dimension.MASS, "what scales show under the rear support, empty of all that this rig lists", low=1.0, high=1e5,
    example='"220 kg"',
)  # fmt: skip
_TAKEN: Final = frozenset(
    {"split", "meet", "tap", "tank", "near", "far", *(f"tank-{n}" for n in range(1, _MOST_TANKS + 1))}
)
_HEIGHTS: Final = "Heights count from any level you pick, the same for all, up positive; the water's surface will do, which then is at 0 m"

_When = Callable[[Answers], bool]


def _is(key: str, *words: str) -> _When:
    return lambda answers: answers.get(key) in words


def _both(*conditions: _When) -> _When:
    return lambda answers: all(each(answers) for each in conditions)


def _stated(key: str) -> _When:
    return lambda answers: answers.get(key, "none") != "none"


def _given(key: str) -> _When:
    return lambda answers: bool(answers.get(key))


def _above(key: str, by: float) -> Callable[[Answers], str]:
    """Suggest a height some metres above one that was answered."""
    return lambda answers: show(measured(answers[key], Dimension.LENGTH).value + by, Dimension.LENGTH, unit="m")


def kind_of_pump(group: str, answers: Answers) -> str:
    """Return the kind of a pump: as answered, else that of its entry in the catalogue; empty where there is none."""
    use = answers.get(f"{group}.use", "none")
    return answers.get(f"{group}.kind", "") if use == OWN else generic_parts()[use].kind if use != "none" else ""


def _powered(group: str) -> _When:
    return lambda answers: issubclass(PUMP_KINDS.get(kind_of_pump(group, answers), HandPump), PoweredPump)


def hosed(group: str, answers: Answers) -> str:
    """Return the bore of a hose that was answered, as text."""
    use = answers[f"{group}.use"]
    return answers[f"{group}.bore"] if use == OWN else str(generic_parts()[use].fields["bore"])


def _hose(group: str, subject: str, ask: str, use: str, length: str, when: _When, rating: str) -> list[Question]:
    own = _both(when, _is(f"{group}.use", OWN))
    return [
        about_part(f"{group}.use", subject, ask, ("hose",), suggest=use, when=when),
        about_field(Hose, group, "bore", subject, when=own),
        about_field(Hose, group, rating, subject, when=own, optional=True),
        about_field(Hose, group, "length", subject, suggest=length, when=when),
    ]


def _own_pump(group: str, subject: str) -> list[Question]:
    """Return the questions for the data of a pump that the catalogue does not have."""

    def field(kind: type[Any], name: str, *, optional: bool = False, suggest: str = "") -> Question:
        when = _both(_is(f"{group}.use", OWN), lambda answers: issubclass(PUMP_KINDS[answers[f"{group}.kind"]], kind))
        return about_field(kind, group, name, subject, when=when, optional=optional, suggest=suggest)

    kinds = {kind: (cls.__doc__ or "").partition("\n")[0] for kind, cls in PUMP_KINDS.items()}
    return [
        about_word(
            f"{group}.kind", subject, "its kind", kinds, suggest="diaphragm pump", when=_is(f"{group}.use", OWN)
        ),
        field(DiaphragmPump, "points"),
        field(CentrifugalPump, "heads"),
        field(HandPump, "stroke_volume"),
        field(DiaphragmPump, "cut_in", optional=True),
        field(DiaphragmPump, "cut_out", optional=True),
        field(PoweredPump, "rated_voltage", optional=True),
        *(field(cls, "dry_lift", optional=True) for cls in (PoweredPump, HandPump)),
    ]


def _supply(group: str, subject: str, when: _When) -> list[Question]:
    return [
        about_field(DiaphragmPump, group, name, subject, when=when, optional=True)
        for name in ("cable_area", "cable_length", "fuse")
    ]


def _battery() -> list[Question]:
    subject = "The battery"
    powered = _powered("pump")
    driven = _both(powered, _is("battery", YES))
    words = {YES: "", NO: "it runs on mains or an engine, or you leave that out"}
    return [
        about_word("battery", subject, "Does a battery drive the pump?", words, suggest=YES, when=powered),
        about_field(Battery, "main", "nominal_voltage", subject, suggest="12 V", when=driven),
        about_field(Battery, "main", "capacity", subject, when=driven, optional=True),
        about_field(Battery, "main", "chemistry", subject, when=driven, optional=True),
        *_supply("pump", "The pump's cable", driven),
    ]


def _filters() -> list[Question]:
    subject = "Filters and lamps, in the order in which the water meets them"
    suggested = ["filter-sediment-5", "filter-hollow-fibre"]
    found: list[Question] = []
    for number in range(1, MOST_FILTERS + 1):
        group = f"filter-{number}"
        when = _stated(f"filter-{number - 1}.use") if number > 1 else _stated("pump.use")
        suggest = suggested[number - 1] if number <= len(suggested) else "none"
        ask = f"number {number}"
        own = _is(f"{group}.use", OWN)
        found += [
            about_part(f"{group}.use", subject, ask, ("filter", "lamp"), suggest=suggest, none=True, when=when),
            about_field(Filter, group, "medium", subject, suggest="sediment", when=own),
            about_field(Filter, group, "points", subject, when=own),
            about_field(Filter, group, "rated_flow", subject, when=own, optional=True),
            about_field(Filter, group, "pressure_rating", subject, when=own, optional=True),
        ]
    height = about_field(
        Filter, "filters", "height", subject, suggest=lambda answers: answers["pump.height"], when=_stated("filter-1.use"),
        ask="their height",
    )  # fmt: skip
    return [*found, height]


def _tanks() -> list[Question]:
    subject = "The tanks"
    several = _is("tanks", *map(str, range(2, _MOST_TANKS + 1)))
    counts = {str(number): "" for number in range(1, _MOST_TANKS + 1)}
    joined = {YES: "their levels even out", NO: ""}
    bores = {"vent": "the vent, which lets air out and in", "overflow": "the overflow, 0 mm where there is none"}
    openings = [
        question
        for name, told in bores.items()
        for question in (
            about_field(Tank, "tank", f"{name}_bore", subject, optional=True, ask=f"bore of {told}"),
            about_field(
                Tank, "tank", f"{name}_length", subject, suggest="1 m", when=_given(f"tank.{name}_bore"),
                ask=f"length of the {name}'s pipe or hose",
            ),
        )
    ]  # fmt: skip
    return [
        about_word("tanks", subject, "How many, all alike?", counts, suggest="2"),
        about_field(Tank, "tank", "volume", subject, suggest="60 L", ask="volume of each when full"),
        about_field(Tank, "tank", "depth", subject, suggest="0.45 m"),
        about_field(Tank, "tank", "floor", subject, suggest=_above("pump.height", 0.1)),
        about_field(Tank, "tank", "inlet", subject, suggest="top"),
        *openings,
        about_field(
            Hose,
            "branch",
            "length",
            subject,
            suggest="0.6 m",
            when=several,
            ask="length of the hose from the split to each",
        ),
        about_word("balance", subject, "Does a hose join them at the floor?", joined, suggest=NO, when=several),
        about_field(
            Hose,
            "join",
            "length",
            subject,
            suggest="0.5 m",
            when=_is("balance", YES),
            ask="length of the hose between them",
        ),
    ]


def _tap() -> list[Question]:
    subject = "The tap"
    tap, own = _is("tap", YES), _powered("tap-pump")
    kinds = tuple(PUMP_KINDS)
    driven = _both(own, _is("battery", YES))
    return [
        about_word("tap", subject, "Is there a tap?", {YES: "", NO: "the tanks are filled and no more"}, suggest=YES),
        about_field(Outlet, "outlet", "height", subject, suggest=_above("tank.floor", -0.4), when=tap),
        *_hose("tap-hose", subject, "hose to it", "hose-12-5", "1.5 m", tap, "pressure_rating"),
        about_part("tap-pump.use", subject, "pump to it, where water does not fall to it", kinds, suggest="none", none=True, when=tap),
        *_own_pump("tap-pump", subject),
        about_field(
            HandPump, "tap-pump", "height", subject, suggest=lambda answers: answers["outlet.height"],
            when=_stated("tap-pump.use"),
        ),
        *_supply("tap-pump", subject, driven),
    ]  # fmt: skip


def _vehicle() -> list[Question]:
    subject = "What carries it; positions count backwards from the front support"
    words = {
        "trailer": "on a hitch and an axle",
        "two axles": "a van, a pickup, a cart",
        "none": "it stands on the ground, or weights are left out",
    }
    carried = _is("vehicle", *SUPPORTS)

    def load(where: str, spec: Spec) -> Question:
        name = where.replace("hitch or ", "")
        return about_quantity(
            f"vehicle.{name}_mass", spec, subject, f"what the {where} axle carries, empty", when=carried, optional=True
        )

    return [
        about_word("vehicle", subject, "What is it on?", words, suggest="none"),
        about_quantity(
            "vehicle.wheelbase", _WHEELBASE, subject, "wheelbase: from the hitch or front axle to the axle behind it",
            when=carried,
        ),
        load("hitch or front", _FRONT_MASS),
        load("rear", _REAR_MASS),
        *(
            about_field(Vehicle, "vehicle", name, subject, when=carried, optional=True, ask=ask)
            for name, ask in (
                ("front_rating", "rating of the hitch or front axle"),
                ("rear_rating", "rating of the rear axle"),
                ("rating", "greatest mass of all that is loaded"),
            )
        ),
        about_field(
            Tank, "tank", "position", subject, when=carried, optional=True,
            ask="middle of the tanks, behind the hitch or front axle",
        ),
    ]  # fmt: skip


def _all() -> list[Question]:
    water, suction, pump, delivery = "The water", "Up to the pump", "The pump", "Behind the pump"
    ends = {
        "both": "a strainer, and a foot valve that keeps the hose full",
        "strainer": "a coarse basket",
        "foot valve": "it keeps the hose full when the pump stands",
        "none": "the bare end of the hose",
    }
    tails = {YES: "spigots pushed inside the hose, narrower than it", NO: "threads or couplings of full bore"}
    return [
        about_text("title", "The rig", "What do you call it?", suggest="My rig", more="any text; it heads every answer"),
        about_name("water", water, "Where does it come from? One word", suggest="pond", taken=_TAKEN, more="pond, river, lake, tub …"),
        about_field(Site, "site", "altitude", water, suggest="100 m"),
        about_field(Site, "site", "water_temperature", water, suggest="10 ± 5 °C", ask="its temperature, ± as far as it varies"),
        about_field(Site, "site", "turbidity", water, optional=True),
        about_field(Source, "source", "surface", _HEIGHTS, suggest="0 m"),
        about_word("end", suction, "What is at the end of the hose in the water?", ends, suggest="both"),
        *_hose("suction", suction, "suction hose", "suction-hose-19", "5 m", lambda _: True, "vacuum_rating"),
        about_part("pump.use", pump, "which", tuple(PUMP_KINDS), suggest="diaphragm-pump-11"),
        *_own_pump("pump", pump),
        about_field(HandPump, "pump", "height", pump, suggest=_above("source.surface", 1.5)),
        about_word("tails", pump, "Do the hoses go onto hose tails there?", tails, suggest=YES),
        *_battery(),
        *_hose("delivery", delivery, "hose to the filters and tanks", "hose-12-5", "2.5 m", lambda _: True, "pressure_rating"),
        *_filters(),
        *_tanks(),
        *_tap(),
        about_field(Site, "site", "daily_use", "The use", optional=True),
        *_vehicle(),
    ]  # fmt: skip


QUESTIONS: Final = tuple(_all())


def following(answers: Answers) -> Question | None:
    """Return the first question that arises and has no answer yet; None where all are answered."""
    return next((each for each in QUESTIONS if each.key not in answers and each.when(answers)), None)
