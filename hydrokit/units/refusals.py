"""Why a text is no quantity of the wanted dimension, and what to write instead."""

from __future__ import annotations

import re
from typing import Final

from hydrokit.bounds import Dimension, nearest
from hydrokit.errors import Mistake, RangeError, UnitError
from hydrokit.units.gallons import bare_gallon
from hydrokit.units.listed import LISTED, PRESSURES
from hydrokit.units.pressures import MARKS, find_pressure
from hydrokit.units.spelling import find_unit, spellings_of, tidy

__all__ = ["EXAMPLES", "no_number", "no_unit", "refuse", "too_large", "wanted", "with_units"]

EXAMPLES: Final[dict[Dimension, str]] = {
    Dimension.NUMBER: "2.5",
    Dimension.FRACTION: "85 %",
    Dimension.ANGLE: "15°",
    Dimension.LENGTH: "19 mm, 6 m or 3/4 in",
    Dimension.AREA: "2.5 cm²",
    Dimension.WIRE_AREA: "2.5 mm² or 14 AWG",
    Dimension.VOLUME: "60 L, 16 US gal or 13 imperial gal",
    Dimension.FLOW: "10 L/min, 2.6 US gpm or 2.2 imperial gpm",
    Dimension.FLOW_COEFFICIENT: "5 Kv or 5.8 Cv",
    Dimension.VELOCITY: "1.5 m/s or 5 ft/s",
    Dimension.TIME: "90 s, 20 min or 1.5 h",
    Dimension.ROTATION: "3000 rpm",
    Dimension.MASS: "12 kg or 26 lb",
    Dimension.MASS_PER_LENGTH: "180 g/m or 0.12 lb/ft",
    Dimension.DENSITY: "998 kg/m³",
    Dimension.VISCOSITY: "1.0 mPa s",
    Dimension.PRESSURE_DROP: "18 kPa, 0.18 bar or 2.6 psi",
    Dimension.GAUGE_PRESSURE: "2.8 bar or 40 psi",
    Dimension.ABSOLUTE_PRESSURE: "101.3 kPa absolute or 14.7 psia",
    Dimension.VACUUM: "21 kPa vacuum or 6 inHg vacuum",
    Dimension.TEMPERATURE: "9 °C or 48 °F",
    Dimension.TEMPERATURE_DIFFERENCE: "3 K or 5 °F",
    Dimension.VOLTAGE: "12.6 V",
    Dimension.CURRENT: "7.5 A",
    Dimension.RESISTANCE: "12 mΩ",
    Dimension.POWER: "90 W",
    Dimension.ENERGY: "600 Wh",
    Dimension.CHARGE: "50 Ah",
    Dimension.ENERGY_PER_VOLUME: "0.2 Wh/L",
    Dimension.CHARGE_PER_VOLUME: "15 mAh/L",
    Dimension.TURBIDITY: "6 NTU",
    Dimension.CONCENTRATION: "0.5 mg/L",
    Dimension.DOSE: "40 mJ/cm²",
    Dimension.FORCE: "200 N or 45 lbf",
}
_COMMA: Final = re.compile(r"([+-]?[0-9]+)((?:,[0-9]+)+)(\.[0-9]+)?(.*)", re.DOTALL)
_SPACED: Final = re.compile(r"([+-]?[0-9]{1,3}(?: [0-9]{3})+)(?![0-9/])(.*)", re.DOTALL)
_RANGE: Final = re.compile(r"([0-9.]+)[^-]*? ?(?:-|to) ?([0-9.]+) ?([^0-9.+-]*)")
_ABOUT: Final = re.compile(r"(?:~|≈|ca\.?|circa|about|approx\.?|approximately|etwa|environ) ?([0-9].*)", re.IGNORECASE)
_POWER: Final = re.compile(r"[+-]?[0-9.]+ ?(?:\*\*|\^|[⁰¹²³⁴⁵⁶⁷⁸⁹⁻×*x]).*", re.DOTALL)
_SHOWN: Final = 60


def _article(word: str) -> str:
    return f"an {word}" if word[0] in "aeiou" else f"a {word}"


def _quoted(text: str) -> str:
    return repr(text if len(text) <= _SHOWN else text[:_SHOWN] + "…")


def wanted(dimension: Dimension) -> str:
    """Return the dimension and how it is written, such as ``a turbidity, such as 6 NTU``."""
    return f"{_article(dimension.value)}, such as {EXAMPLES[dimension]}"


def refuse(text: str, dimension: Dimension, instead: str = "", *, why: str = "") -> UnitError:
    """Return the error for a text, with its reason and what to write instead."""
    return UnitError([Mistake("", f"{_quoted(text)}{', ' if why else ''}{why}", wanted(dimension), instead)])


def too_large(text: str) -> RangeError:
    """Return the error for a number no rig can meet."""
    return RangeError([Mistake("", _quoted(text), "a finite number between 1e-30 and 1e30 in size", "")])


def _comma(match: re.Match[str], text: str, dimension: Dimension) -> UnitError:
    whole, groups, decimals, rest = match[1], match[2], match[3] or "", match[4]
    joined = f"{whole}{groups.replace(',', '')}{decimals}{rest}"
    point = f"{whole}.{groups[1:]}{rest}"
    thousands = all(len(group) == 3 for group in groups[1:].split(",")) and whole.lstrip("+-0")
    if groups.count(",") > 1 or decimals:
        instead = joined
    else:
        instead = f"{joined} or {point}, whichever is meant" if thousands else point
    return refuse(text, dimension, instead, why="with a comma in the number; a decimal point is a dot")


def _range(match: re.Match[str], text: str, dimension: Dimension) -> UnitError:
    try:
        low, high = float(match[1]), float(match[2])
    except ValueError:
        return refuse(text, dimension, why="in which no number can be read")
    instead = f"{(low + high) / 2:.6g} ± {abs(high - low) / 2:.6g} {match[3]}".strip()
    return refuse(text, dimension, instead, why="a range")


def _no_number_at_all(text: str) -> str:
    if not text:
        return "an empty text"
    if text.casefold().lstrip("+-").startswith(("nan", "inf")):
        return "which is no finite number"
    return "in which no number can be read"


def no_number(text: str, dimension: Dimension) -> UnitError:
    """Return the error for a text whose number cannot be read."""
    if match := _COMMA.fullmatch(text):
        return _comma(match, text, dimension)
    if match := _ABOUT.fullmatch(text):
        return refuse(text, dimension, match[1], why="where ± says how sure a number is, not a word")
    if match := _SPACED.fullmatch(text):
        return refuse(text, dimension, match[1].replace(" ", "") + match[2], why="with a space inside the number")
    if _POWER.fullmatch(text):
        return refuse(text, dimension, why="where powers and products are not computed")
    if match := _RANGE.fullmatch(text):
        return _range(match, text, dimension)
    return refuse(text, dimension, why=_no_number_at_all(text))


def _owner(word: str) -> Dimension | None:
    for dimension in LISTED:
        if find_unit(word, dimension) is not None or bare_gallon(tidy(word), dimension):
            return dimension
    return Dimension.GAUGE_PRESSURE if find_pressure(word)[0] is not None else None


def with_units(number: str, dimension: Dimension) -> str:
    """Return a bare number with each of the units that it most likely was meant in."""
    mark = f" {MARKS[dimension]}" if dimension in MARKS else ""
    names = [f"{number} {unit.name}{mark}" for unit in LISTED[dimension][:3]]
    instead = " or ".join(filter(None, [", ".join(names[:-1]), names[-1]]))
    return f"{instead}, whichever is meant" if len(names) > 1 else instead


def _gallon(number: str, bare: str, text: str, dimension: Dimension) -> UnitError:
    return UnitError(
        [
            Mistake(
                "",
                f"{_quoted(text)}, where {bare} does not say which gallon",
                "US or imperial gallons: the imperial gallon (4.546 L) is 20 % larger than the US one (3.785 L)",
                f"{number} US {bare} or {number} imperial {bare}",
            )
        ]
    )


def no_unit(number: str, word: str, text: str, dimension: Dimension) -> UnitError:
    """Return the error for a number that is followed by no listed unit of the dimension.

    Parameters
    ----------
    number : str
        The number as written.
    word : str
        What follows it; may be empty.
    text : str
        The whole, for the message.
    dimension : Dimension
        What was wanted.
    """
    if not word:
        return refuse(text, dimension, with_units(number, dimension), why="a number without a unit")
    if word[0] in "0123456789.,/^*+-×⁰¹²³⁴⁵⁶⁷⁸⁹⁻_" or re.match(r"(?:to|x) ?[0-9]|[a-z]+ to [0-9]", word):
        return no_number(text, dimension)
    if bare := bare_gallon(tidy(word), dimension):
        return _gallon(number, bare, text, dimension)
    owner = _owner(word)
    if owner is not None:
        kind = "pressure" if owner in PRESSURES else owner.value
        instead = f"{number} m of water" if dimension in PRESSURES and tidy(word) == "m" else ""
        if (owner, dimension) == (Dimension.ANGLE, Dimension.TEMPERATURE):
            instead = f"{number} °C or {number} °F, whichever is meant"
        return refuse(text, dimension, instead, why=f"where {word} is a unit of {kind}")
    close = nearest(word[:30], spellings_of(dimension))
    known = None if dimension in PRESSURES else find_unit(close, dimension)
    close = known.name if known is not None else close  # litres are called L, however they were written
    return refuse(text, dimension, f"{number} {close}" if close else "", why=f"where {_quoted(word)} is no listed unit")
