"""One rig as pure data: site, ends, lines of parts, modes, and what is known about each value."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING, Annotated, Any, Final, Literal, TypeVar

from hydrokit.arguments import check_kinds
from hydrokit.bounds import Choice, Dimension, Mistakes, Spec, Text, check_fields, require_word
from hydrokit.errors import NetworkError
from hydrokit.parts import Joint, Part, Pump, Vehicle
from hydrokit.parts.base import stated
from hydrokit.rig.soundness import ASIDE, GROUPS, check_rig
from hydrokit.rig.targets import Targets

if TYPE_CHECKING:
    from hydrokit.parts import Battery, End, Load, Outlet, Source, Tank

__all__ = ["AS_DRAWN", "SINGLES", "Line", "Mode", "Rig", "Site"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """Where the rig stands and what water it draws.

    Examples
    --------
    >>> Site(altitude=140.0, water_temperature=282.15).slope
    0.0
    """

    altitude: Annotated[
        float, Spec(Dimension.LENGTH, "of the site above the sea", low=-500.0, high=9000.0, example='"140 m"')
    ] = 0.0
    water_temperature: Annotated[
        float, Spec(Dimension.TEMPERATURE, "of the water", low=273.15, high=372.0, example='"9 °C"')
    ] = 288.15
    turbidity: Annotated[
        float | None, Spec(Dimension.TURBIDITY, "cloudiness of the raw water", low=0.0, high=1e5, example='"6 NTU"')
    ] = None
    solids_per_ntu: Annotated[
        float | None,
        Spec(
            Dimension.CONCENTRATION,
            "suspended solids for each NTU, from a sample dried and weighed",
            low=1e-6,
            high=1.0,
            source="1.5 mg/L within a band of 0.5 to 3: common practice, no source",
            example='"1.5 mg/L"',
        ),
    ] = None
    daily_use: Annotated[
        float | None, Spec(Dimension.VOLUME, "water used in a day", low=1e-9, high=1e9, example='"90 L"')
    ] = None
    ph: Annotated[float | None, Spec(Dimension.NUMBER, "pH of the water", low=0.0, high=14.0, example="7.4")] = None
    transmittance: Annotated[
        float | None,
        Spec(
            Dimension.FRACTION,
            "of ultraviolet at 254 nm through 1 cm of the water that reaches a lamp, measured",
            low=0.0,
            high=1.0,
            example='"80 %"',
        ),
    ] = None
    chlorine_demand: Annotated[
        float | None,
        Spec(
            Dimension.CONCENTRATION,
            "chlorine that the water uses up while it waits, measured",
            low=0.0,
            high=1.0,
            example='"0.8 mg/L"',
        ),
    ] = None
    slope: Annotated[
        float,
        Spec(
            Dimension.ANGLE,
            "of the ground where the vehicle stands, up towards its rear",
            low=-0.5,
            high=0.5,
            example='"3°"',
        ),
    ] = 0.0
    density: Annotated[
        float | None,
        Spec(Dimension.DENSITY, "of the liquid, where it is not water", low=1.0, high=2e4, example='"1030 kg/m³"'),
    ] = None
    viscosity: Annotated[
        float | None,
        Spec(Dimension.VISCOSITY, "of the liquid, where it is not water", low=1e-6, high=1e3, example='"1.3 mPa s"'),
    ] = None
    vapour_pressure: Annotated[
        float | None,
        Spec(
            Dimension.ABSOLUTE_PRESSURE,
            "of the liquid, where it is not water",
            low=0.0,
            high=1e6,
            example='"1.7 kPa absolute"',
        ),
    ] = None
    air_pressure: Annotated[
        float | None,
        Spec(
            Dimension.ABSOLUTE_PRESSURE,
            "as measured, instead of that of the altitude",
            low=1e3,
            high=2e5,
            example='"98.2 kPa absolute"',
        ),
    ] = None

    __repr__ = stated

    def __post_init__(self) -> None:
        check_fields(self, "site")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A run of parts between two ends, in the order the water meets them.

    Examples
    --------
    >>> from hydrokit.parts import Hose
    >>> Line(start="pond", end="tap", parts=(Hose(length=6.0, bore=0.019),)).labels()
    ('hose-1',)
    """

    start: str
    end: str
    parts: tuple[Part, ...] = ()
    enters: Annotated[
        Literal["", "top", "bottom"],
        Choice("how it enters the tank it ends in, where that is not the tank's own inlet"),
    ] = ""
    note: Annotated[str, Text("anything worth remembering")] = ""

    def __post_init__(self) -> None:
        check_kinds(self)
        object.__setattr__(self, "parts", tuple(self.parts))
        check_fields(self, "line")

    def labels(self) -> tuple[str, ...]:
        """Return each part's word in addresses: its name, else its kind and ordinal from 1.

        Returns
        -------
        tuple of str
            In the order of the parts.

        Examples
        --------
        >>> from hydrokit.parts import Elbow, Hose
        >>> hose, elbow = Hose(length=1.0, bore=0.019), Elbow(bore=0.019)
        >>> Line(start="pond", end="can", parts=(hose, elbow, hose)).labels()
        ('hose-1', 'elbow-1', 'hose-2')
        """
        counts: Counter[str] = Counter()
        words = []
        for part in self.parts:
            if part.name:
                words.append(part.name)
            else:
                kind = part.kind.replace(" ", "-")
                counts[kind] += 1
                words.append(f"{kind}-{counts[kind]}")
        return tuple(words)


SINGLES: Final[dict[str, type[Any]]] = {"site": Site, "vehicle": Vehicle, "targets": Targets}
"""Tables of values of which a rig has one each."""

_Value = TypeVar("_Value")

AS_DRAWN: Final = "as drawn"
"""The mode of a rig that states none: everything open, every pump on."""


def _frozen(mapping: Mapping[str, _Value]) -> Mapping[str, _Value]:
    return MappingProxyType(dict(mapping))


def _thawed(instance: Any) -> dict[str, Any]:
    """Return the fields of a data class with plain dicts in place of read-only views, which cannot be pickled."""
    values = {item.name: getattr(instance, item.name) for item in fields(instance)}
    return {name: dict(value) if isinstance(value, MappingProxyType) else value for name, value in values.items()}


def _freeze(instance: Any, state: dict[str, Any]) -> None:
    for name, value in state.items():
        object.__setattr__(instance, name, _frozen(value) if isinstance(value, dict) else value)


@dataclass(frozen=True, kw_only=True)
class Mode:
    """One way of using the rig: which lines are shut, which pumps stand still, which values differ (SI, by address).

    Examples
    --------
    >>> Mode(closed=("lines.to-tap",), values={"tanks.near.level": 0.1}).closed
    ('lines.to-tap',)
    """

    closed: tuple[str, ...] = ()
    off: tuple[str, ...] = ()
    values: Mapping[str, float] = field(default_factory=dict)
    note: Annotated[str, Text("anything worth remembering")] = ""

    def __post_init__(self) -> None:
        check_kinds(self)
        check_fields(self)
        _freeze(self, {"closed": tuple(self.closed), "off": tuple(self.off), "values": dict(self.values)})

    def __getstate__(self) -> dict[str, Any]:
        return _thawed(self)

    def __setstate__(self, state: dict[str, Any]) -> None:
        _freeze(self, state)


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Rig:
    """A portable filtration rig.

    Parameters
    ----------
    title : str
        What the rig is called.
    site : Site
        Altitude, water temperature and the like.
    sources, tanks, outlets, joints : mapping of name to part
        The ends that lines run between; a name used by lines but listed nowhere is a plain joint.
    lines : mapping of name to Line
        At least one.
    modes : mapping of name to Mode
        The first is the default.
    vehicle : Vehicle
        What carries it.
    loads : mapping of name to Load
        What else the vehicle carries.
    batteries : mapping of name to Battery
        What drives the pumps.
    targets : Targets
        Log reductions wanted.
    origins : mapping of address to word
        Where a value comes from: measured, data sheet, guess, …
    tolerances : mapping of address to float
        Half-width in SI units of the range within which the value may lie.
    note : str
        Anything worth remembering.

    Raises
    ------
    NetworkError
        If a line runs from or to nothing, names clash, or an address names nothing; every mistake at once.

    Examples
    --------
    A siphon:

    >>> from hydrokit.parts import Hose, Outlet, Source
    >>> hose = Hose(length=5.0, bore=0.019)
    >>> lines = {"siphon": Line(start="pond", end="end", parts=(hose,))}
    >>> rig = Rig(sources={"pond": Source(surface=0.0)}, outlets={"end": Outlet(height=-1.0)}, lines=lines)
    >>> list(rig.by_address)[-1]
    'lines.siphon.hose-1'
    """

    title: str = "untitled rig"
    site: Site = field(default_factory=Site)
    sources: Mapping[str, Source] = field(default_factory=dict)
    tanks: Mapping[str, Tank] = field(default_factory=dict)
    outlets: Mapping[str, Outlet] = field(default_factory=dict)
    joints: Mapping[str, Joint] = field(default_factory=dict)
    lines: Mapping[str, Line] = field(default_factory=dict)
    modes: Mapping[str, Mode] = field(default_factory=dict)
    vehicle: Vehicle = field(default_factory=Vehicle)
    loads: Mapping[str, Load] = field(default_factory=dict)
    batteries: Mapping[str, Battery] = field(default_factory=dict)
    targets: Targets = field(default_factory=Targets)
    origins: Mapping[str, str] = field(default_factory=dict)
    tolerances: Mapping[str, float] = field(default_factory=dict)
    note: str = ""

    def __post_init__(self) -> None:
        check_kinds(self)
        for name, value in _thawed(self).items():
            if isinstance(value, Mapping):
                object.__setattr__(self, name, _frozen(value))
        mistakes = Mistakes()
        check_rig(self, mistakes)
        mistakes.settle(NetworkError)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Rig):
            return NotImplemented
        same = all(getattr(self, item.name) == getattr(other, item.name) for item in fields(self))
        return same and [*self.modes] == [*other.modes]  # the first mode is the default, so their order tells

    __hash__ = None  # type: ignore[assignment]  # holds mappings

    def __repr__(self) -> str:
        groups = ((len(getattr(self, group)), group) for group in ("sources", "tanks", "outlets", "lines"))
        told = ", ".join(f"{count} {group if count > 1 else group[:-1]}" for count, group in groups if count)
        return f"<Rig {self.title!r}: {told}; modes {', '.join(self.mode_names())}>"

    def __getstate__(self) -> dict[str, Any]:
        return _thawed(self)

    def __setstate__(self, state: dict[str, Any]) -> None:
        _freeze(self, state)

    @cached_property
    def by_address(self) -> Mapping[str, Any]:
        """Everything that holds values, by its address: site, vehicle, targets, every end, load, battery and part."""
        found: dict[str, Any] = {name: getattr(self, name) for name in SINGLES}
        for group in (*GROUPS, *ASIDE):
            found |= {f"{group}.{name}": end for name, end in getattr(self, group).items()}
        for name, line in self.lines.items():
            found |= {f"lines.{name}.{label}": part for label, part in zip(line.labels(), line.parts, strict=True)}
        return MappingProxyType(found)

    @cached_property
    def _ends(self) -> Mapping[str, End]:
        found: dict[str, End] = {**self.sources, **self.tanks, **self.outlets, **self.joints}
        for line in self.lines.values():
            for name in (line.start, line.end):
                found.setdefault(name, Joint())
        return MappingProxyType(found)

    def ends(self) -> Mapping[str, End]:
        """Return every stated end and every plain joint by name, in the order met.

        Returns
        -------
        mapping of str to source, tank, outlet or joint
            Cannot be changed.

        Examples
        --------
        >>> from hydrokit.files import demonstration
        >>> list(demonstration().ends())[:3]
        ['pond', 'near', 'far']
        """
        return self._ends

    def falls_in(self, line: Line) -> bool:
        """Return whether a line ends above the water of a tank, so that water falls in and never comes back.

        Parameters
        ----------
        line : Line
            Of this rig.

        Returns
        -------
        bool
            False where it ends in anything but a tank.

        Examples
        --------
        >>> from hydrokit.files import demonstration
        >>> rig = demonstration()
        >>> rig.falls_in(rig.lines["to-near"])
        True
        """
        tank = self.tanks.get(line.end)
        return tank is not None and (line.enters or tank.inlet) == "top"

    def pumps(self) -> dict[str, Pump]:
        """Return every pump by the address of the part.

        Returns
        -------
        dict of address to pump
            In the order of the lines.

        Examples
        --------
        >>> from hydrokit.files import demonstration
        >>> list(demonstration().pumps())
        ['lines.intake.lift-pump', 'lines.to-tap.tap-pump']
        """
        return {address: part for address, part in self.by_address.items() if isinstance(part, Pump)}

    def mode_names(self) -> tuple[str, ...]:
        """Return the names of the modes, the default first.

        Returns
        -------
        tuple of str
            One at least.

        Examples
        --------
        >>> from hydrokit.files import demonstration
        >>> demonstration().mode_names()
        ('filling', 'tap')
        """
        return tuple(self.modes) or (AS_DRAWN,)

    def mode(self, name: str | None = None) -> tuple[str, Mode]:
        """Return a mode and its name; the default one where none is named.

        Parameters
        ----------
        name : str, optional
            The default where none is given.

        Returns
        -------
        name : str, mode : Mode
            The mode and what it is called.

        Raises
        ------
        InputError
            If the rig has no mode of that name.

        Examples
        --------
        >>> from hydrokit.files import demonstration
        >>> demonstration().mode()[0]
        'filling'
        """
        names = self.mode_names()
        if name is None or (name == AS_DRAWN and not self.modes):
            return names[0], self.modes.get(names[0], Mode())
        require_word("mode", name, names)
        return name, self.modes[name]
