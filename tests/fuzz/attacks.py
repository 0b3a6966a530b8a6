"""What no honest rig file holds: texts that attack units, names, paths, terminals and pages."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from random import Random

__all__ = ["NAMES", "PATHS", "QUANTITIES", "UNITS", "Raw", "any_value", "quantity", "word"]


class Raw(str):
    """A value that is written into the file as it is."""

    __slots__ = ()


UNITS: Final = (
    "m", "mm", "in", "ft", "L", "gal", "US gal", "L/min", "gpm", "bar", "kPa", "psi", "psig", "bar vacuum", "m water", "%",
    "°C", "°F", "F", "K", "V", "A", "W", "Ah", "Wh", "mm²", "AWG", "kg", "mg/L", "NTU", "min", "s", "rpm", "mJ/cm²", "Pa s",
    "", "µm", "Kv", "Cv", "furlong", "m**9999", "10^10^10 m", "m/m/m/m", "m^-1", "()", "degC", "L per min", "mca", "e5",
)  # fmt: skip
QUANTITIES: Final = (
    "1e400 L", "10^10^10 m", "9**9**9 m", "m**9999", "(" * 90 + "1" + ")" * 90 + " m", "nan", "nan m", "inf L", "-inf bar", "-0",
    "-0 m", "1_000 m", "1_000", "٣ m", "１２ m", "³ m", "1\u202e m", "\u200f6 m", "6\x00 m", "6 m\n", "6\tm", "0x10 m", "1e-400 m",
    "9" * 99 + " m", "9" * 400, "1/0 m", "0/0 m", "1/3/5 m", "1e30 m", "1e31 m", "1e-30 m", "1,5 m", "1.000,5 m", "1 000 m",
    "5 ft 6 in", "5 ft -6 in", "5'6\"", "2/0 AWG", "999/0 AWG", "0 AWG", "-3 AWG", "6 ± m", "6 ± -1 m", "6 ± 1e400 m", "6 ± nan m",
    "6 ± 1 ± 1 m", "± 1 m", "6 m ± 200 %", "6 m ± 5 kg", "6 - 7 m", "6 m m", "6 m²", "%", "± ", "", " ", "-", "+", ".", "e", "½ m",
    "½½ m", "1½/2 m", "1 1/2 1/2 in", "0.1.2 m", "6..5 m", "6 m; drop", "$(6) m", "{6} m", "%s m", "__import__('os') m", "6 m # x",
    "6 \\u006d", "6 &nbsp;m", "<b>6</b> m", "none", "null", "true m", "6 M", "6 Mm", "6 metres", "six m", "6 m a lot", "-273.16 °C",
    "-274 °C", "1e9 °C", "0 K", "-500 °F", "100 %", "101 %", "1e5 %", "0 %", "-1 %", "1e-12 bar", "1e12 bar", "-1.02 bar", "0 bar",
    "1e-9 mm", "3000 m", "0 L", "1e-20 L", "1e20 L", "0 V", "1e-9 V", "1e9 A", "1e-30 L/min", "1e30 L/min", "4e300 m", "1e-310 m",
)  # fmt: skip
NAMES: Final = (
    "", " ", ".", "..", "a.b", "lines.intake", "../../x", "/etc/passwd", "a/b", "a\\b", "con", "nul", "x" * 60, "x" * 61, "x" * 5000,
    "<script>alert(1)</script>", "<b>", "&amp;", "a&b", '"', "'", '"><svg onload=x>', "`id`", "$(id)", "%s", "{0}", "{flow}", "[bold]",
    "[red]x[/red]", "\x1b[31mred", "\x1b]0;title\x07", "\x07", "\x08\x08\x08", "\r", "\n", "a\nb", "\t", "\x00", "\x7f", "\x9b31m",
    "\u202eabc", "\u2066x", "\u200b", "\u200d", "\ufeff", "\u2028", "\u0085", "😀", "👩‍👩‍👧", "ñandú", "ταμείο", "水槽", "٣", "ª", "ſ", "İ", "ﬁ", "e\u0301",
    "\udc9b", "-", "--", "--json", "-h", "_", "__class__", "__init__", "self", "None", "nan", "0", "1", "true", "near", "pond",
    "hose-1", "part", "format", "parts", "as drawn", "site", "all", "rig", "filters", "1e5", "a" + "\u0300" * 50,
)  # fmt: skip
PATHS: Final = (
    "", ".", "..", "folder", "folder/", "../x", "../../x", "no-folder/x", "kept.txt", "link", "broken-link", "/dev/full", "/dev/null",
    "/dev/stdin", "/proc/self/mem", "/proc/self/environ", "x" * 255, "x" * 256, "x" * 5000, "a\x00b", "-", "--", "~", "~/x", "*", "?", "con",
    "rig.toml", "other.toml", "pumps.toml", "readings.toml", "nowhere.toml", "rig.toml/x", "\x1b[31m", "\u202e.toml", "<b>.toml", "a b.toml",
    "file:///etc/passwd", "http://x/y.toml", "\udc9b.toml", "\n.toml",
)  # fmt: skip
_SHORT: Final = (
    "0",
    "1",
    "-1",
    "0.0",
    "1e308",
    "-1e308",
    "5e-324",
    "nan",
    "inf",
    "true",
    "false",
    "1979-05-27",
    "07:32:00",
    "9" * 400,
)


def quantity(random: Random) -> str:
    """Return a text where a quantity belongs."""
    if random.random() < 0.5:
        return random.choice(QUANTITIES)
    number = random.choice((
        str(random.randint(-3, 100)), f"{random.uniform(-1, 50):.3g}", f"{10 ** random.uniform(-30, 30):.3g}", random.choice(_SHORT),
    ))  # fmt: skip
    tolerance = f" ± {random.choice(('0', '1', '5 %', '1e3', '-1', number))}" if random.random() < 0.15 else ""
    return f"{number}{tolerance} {random.choice(UNITS)}"


def word(random: Random) -> str:
    """Return a text where a name belongs."""
    first = random.choice(NAMES)
    return first if random.random() < 0.8 else first + random.choice(NAMES)


def _nested(random: Random) -> Any:
    depth = random.choice((3, 31, 32, 33, 200, 2000))
    opened, closed = random.choice((("[", "]"), ("{a=", "}")))
    return Raw(opened * depth + random.choice(("1", "", '"6 m"')) + closed * depth)


def any_value(random: Random) -> Any:
    """Return anything that may stand behind an equals sign, and much that may not."""
    kind = random.randrange(10)
    if kind < 4:
        return quantity(random)
    if kind < 6:
        return word(random)
    if kind < 8:
        return Raw(random.choice(_SHORT))
    if kind == 8:
        pairs = [[quantity(random), quantity(random)] for _ in range(random.choice((0, 1, 2, 3, 3, 40)))]
        return random.choice(
            ([], {}, [[]], [{}], {"part": "hose"}, pairs, [True], {"": ""}, {"a": {"b": {"c": "6 m"}}})
        )
    return _nested(random)
