"""Units: the only table of them. Text at the edge, SI floats inside."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from evenlay.quantities.decimals import format_number

System = Literal["metric", "inch"]

INCH: Final = 0.0254
FOOT: Final = 0.3048
POUND: Final = 0.45359237
POUND_FORCE: Final = 4.4482216152605
PSI: Final = POUND_FORCE / INCH**2
CELSIUS_ZERO: Final = 273.15

LARGEST: Final = 1e30
"""No quantity of a job is larger than this in SI; beyond it a number is a slip of the pen."""


class UnitError(ValueError):
    """
    Text that is not the quantity asked for.

    Parameters
    ----------
    found : str
        What stands there, and what is wrong with it.
    allowed : str
        What may stand there.
    nearest : str
        Nearest unit or word; empty if none is near.
    """

    def __init__(self, found: str, allowed: str, nearest: str = "") -> None:
        self.found = found
        self.allowed = allowed
        self.nearest = nearest
        super().__init__(f"{found}; {allowed}")


@dataclass(frozen=True)
class Kind:
    """
    A kind of quantity: its units and how it is shown.

    Parameters
    ----------
    word : str
        With its article, as it stands in a sentence.
    example : str
        A text that is accepted.
    units : mapping of str to float
        Unit to its factor: SI = number × factor (temperatures also have an offset). [SI per unit]
    metric, inch : tuple of (float, str)
        Units for showing, each from a size in SI upwards, ascending. [SI]
    """

    word: str
    example: str
    units: Mapping[str, float]
    metric: tuple[tuple[float, str], ...]
    inch: tuple[tuple[float, str], ...] = ()

    @property
    def bare(self) -> bool:
        """Whether a number without a unit is accepted (ratios and counts)."""
        return "" in self.units


KINDS: Final[Mapping[str, Kind]] = {
    "length": Kind(
        "a length",
        "50 mm",
        {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "µm": 1e-6, "nm": 1e-9, "in": INCH, "ft": FOOT, "µin": INCH * 1e-6},
        ((0.0, "µm"), (1e-4, "mm"), (2.0, "m")),
        ((0.0, "µin"), (1e-5, "in"), (20 * FOOT, "ft")),
    ),
    "force": Kind("a force", "35 N", {"N": 1.0, "kN": 1e3, "lbf": POUND_FORCE}, ((0.0, "N"),), ((0.0, "lbf"),)),
    "line_load": Kind(
        "a force per width",
        "2 N/mm",
        {"N/mm": 1e3, "N/m": 1.0, "kN/m": 1e3, "lbf/in": POUND_FORCE / INCH},
        ((0.0, "N/m"), (1e3, "N/mm")),
        ((0.0, "lbf/in"),),
    ),
    "speed": Kind(
        "a speed",
        "120 mm/s",
        {
            "m/s": 1.0,
            "mm/s": 1e-3,
            "m/min": 1 / 60,
            "mm/min": 1e-3 / 60,
            "ft/min": FOOT / 60,
            "ft/s": FOOT,
            "in/s": INCH,
            "in/min": INCH / 60,
        },
        ((0.0, "mm/s"), (1.0, "m/s")),
        ((0.0, "in/s"), (1.0, "ft/min")),
    ),
    "rotation": Kind("a speed of rotation", "2300 rpm", {"rpm": 1 / 60, "1/min": 1 / 60, "1/s": 1.0}, ((0.0, "rpm"),)),
    "pressure": Kind(
        "a pressure",
        "0.5 bar",
        {"bar": 1e5, "mbar": 1e2, "Pa": 1.0, "kPa": 1e3, "MPa": 1e6, "GPa": 1e9, "psi": PSI, "ksi": 1e3 * PSI},
        ((0.0, "Pa"), (1e3, "kPa"), (1e6, "MPa"), (1e9, "GPa")),
        ((0.0, "psi"), (1e9, "ksi")),
    ),
    "casing_stiffness": Kind(
        "a pressure per depth",
        "20 kPa/mm",
        {"kPa/mm": 1e6, "MPa/m": 1e6, "Pa/m": 1.0, "bar/mm": 1e8, "N/mm³": 1e9, "psi/in": PSI / INCH},
        ((0.0, "Pa/m"), (1e3, "kPa/mm")),
        ((0.0, "psi/in"),),
    ),
    "angle": Kind("an angle", "15 °", {"°": math.pi / 180, "rad": 1.0, "mrad": 1e-3}, ((0.0, "°"),)),
    "time": Kind(
        "a time", "2 s", {"s": 1.0, "ms": 1e-3, "min": 60.0, "h": 3600.0}, ((0.0, "ms"), (0.1, "s"), (120.0, "min"), (7200.0, "h"))
    ),
    "mass": Kind(
        "a mass",
        "812.4 g",
        {"g": 1e-3, "mg": 1e-6, "kg": 1.0, "lb": POUND, "oz": POUND / 16},
        ((0.0, "mg"), (1e-4, "g"), (1.0, "kg")),
        ((0.0, "oz"), (POUND, "lb")),
    ),
    "power": Kind("a power", "1.5 kW", {"W": 1.0, "kW": 1e3, "hp": 550 * FOOT * POUND_FORCE}, ((0.0, "W"), (1e3, "kW")), ((0.0, "hp"),)),
    "torque": Kind(
        "a torque",
        "3 N·m",
        {"N·m": 1.0, "N·mm": 1e-3, "lbf·ft": POUND_FORCE * FOOT, "lbf·in": POUND_FORCE * INCH},
        ((0.0, "N·m"),),
        ((0.0, "lbf·in"), (POUND_FORCE * FOOT, "lbf·ft")),
    ),
    "frequency": Kind("a frequency", "50 Hz", {"Hz": 1.0, "kHz": 1e3}, ((0.0, "Hz"), (1e4, "kHz"))),
    "ratio": Kind("a ratio", "0.4", {"": 1.0, "%": 1e-2}, ((0.0, ""),)),
    "share": Kind("a share", "20 %", {"%": 1e-2, "": 1.0}, ((0.0, "%"),)),
    "count": Kind("a whole number", "4", {"": 1.0}, ((0.0, ""),)),
    "removal_coefficient": Kind(
        "a removal coefficient",
        "0.01 mm³/(N·m)",
        {"m²/N": 1.0, "mm³/(N·m)": 1e-9, "in³/(lbf·ft)": INCH**3 / (POUND_FORCE * FOOT)},
        ((0.0, "mm³/(N·m)"),),
        ((0.0, "in³/(lbf·ft)"),),
    ),
    "specific_energy": Kind(
        "a specific energy",
        "40 J/mm³",
        {"J/mm³": 1e9, "J/m³": 1.0, "hp·min/in³": 550 * FOOT * POUND_FORCE * 60 / INCH**3},
        ((0.0, "J/mm³"),),
        ((0.0, "hp·min/in³"),),
    ),
    "area_density": Kind(
        "a number per area", "15 /mm²", {"/mm²": 1e6, "/cm²": 1e4, "/m²": 1.0, "/in²": INCH**-2}, ((0.0, "/mm²"),), ((0.0, "/in²"),)
    ),
    "curvature": Kind("a curvature", "0.005 /mm", {"/mm": 1e3, "/m": 1.0, "/in": 1 / INCH}, ((0.0, "/m"),), ((0.0, "/in"),)),
    "area": Kind(
        "an area", "800 mm²", {"mm²": 1e-6, "cm²": 1e-4, "m²": 1.0, "in²": INCH**2}, ((0.0, "mm²"), (1e-2, "m²")), ((0.0, "in²"),)
    ),
    "volume": Kind("a volume", "60 mm³", {"mm³": 1e-9, "cm³": 1e-6, "m³": 1.0, "in³": INCH**3}, ((0.0, "mm³"),), ((0.0, "in³"),)),
    "area_mass": Kind("a mass per area", "0.8 kg/m²", {"kg/m²": 1.0, "g/m²": 1e-3}, ((0.0, "kg/m²"),)),
    "density": Kind(
        "a density",
        "8000 kg/m³",
        {"kg/m³": 1.0, "g/cm³": 1e3, "lb/in³": POUND / INCH**3},
        ((0.0, "kg/m³"),),
        ((0.0, "lb/in³"),),
    ),
    "conductivity": Kind("a thermal conductivity", "16.2 W/(m·K)", {"W/(m·K)": 1.0}, ((0.0, "W/(m·K)"),)),
    "heat_capacity": Kind("a heat capacity", "500 J/(kg·K)", {"J/(kg·K)": 1.0}, ((0.0, "J/(kg·K)"),)),
    "temperature_difference": Kind("a rise of temperature", "20 K", {"K": 1.0}, ((0.0, "K"),)),
    "temperature": Kind("a temperature", "340 °C", {"°C": 1.0, "K": 1.0, "°F": 5 / 9}, ((0.0, "°C"),), ((0.0, "°F"),)),
    "illuminance": Kind("an illuminance", "1000 lx", {"lx": 1.0, "klx": 1e3}, ((0.0, "lx"),)),
    "luminance": Kind("a luminance", "150 cd/m²", {"cd/m²": 1.0}, ((0.0, "cd/m²"),)),
    "shore_a": Kind("a rubber hardness", "40 Shore A", {"Shore A": 1.0}, ((0.0, "Shore A"),)),
    "hardness": Kind("a metal hardness", "129 HV", {"HV": 9.80665e6, "HB": 9.80665e6, "GPa": 1e9}, ((0.0, "HV"),)),
}
"""Every kind of quantity. SI: rotation is in turns per second, so rim speed is pi × diameter × rotation; Shore A stays a number."""

OFFSETS: Final[Mapping[str, float]] = {"°C": CELSIUS_ZERO, "°F": 459.67 * 5 / 9}
"""SI = number × factor + offset. [K]"""

SPELLINGS: Final[Mapping[str, str]] = {
    "um": "µm", "micron": "µm", "microns": "µm", "uin": "µin", "inch": "in", "inches": "in", '"': "in", "″": "in",
    "feet": "ft", "foot": "ft",
    "deg": "°", "degree": "°", "degrees": "°", "sec": "s", "hr": "h", "Nm": "N·m", "Nmm": "N·mm", "ft·lbf": "lbf·ft", "in·lbf": "lbf·in",
    "lbf·in": "lbf·in", "fpm": "ft/min", "sfpm": "ft/min", "ipm": "in/min", "ips": "in/s", "mpm": "m/min", "U/min": "rpm", "rev/min": "rpm",
    "rev/s": "1/s", "mm³/Nm": "mm³/(N·m)", "mm³/(Nm)": "mm³/(N·m)", "mm³/N/m": "mm³/(N·m)", "mm³/N·m": "mm³/(N·m)",
    "1/mm²": "/mm²", "1/cm²": "/cm²", "1/m²": "/m²", "1/in²": "/in²", "1/mm": "/mm", "1/m": "/m", "1/in": "/in", "per·mm²": "/mm²",
    "C": "°C", "degC": "°C", "F": "°F", "degF": "°F", "lux": "lx", "ShoreA": "Shore A", "Shore·A": "Shore A", "shore·A": "Shore A",
    "shore·a": "Shore A", "ShA": "Shore A", "A": "Shore A", "W/m/K": "W/(m·K)", "W/mK": "W/(m·K)",
    "J/kg/K": "J/(kg·K)", "J/kgK": "J/(kg·K)",
    "percent": "%", "lbs": "lb", "RPM": "rpm", "PSI": "psi", "BAR": "bar",
}  # fmt: skip
"""Other ways of writing a unit, after `plain_unit`, and the one we write."""

_NUMBER = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3})?")


def plain_unit(unit: str) -> str:
    """
    One spelling of a unit: powers raised, one micro sign, products with a middle dot.

    Examples
    --------
    >>> plain_unit("mm^3/(N m)"), plain_unit("ft-lbf"), plain_unit("um"), plain_unit("cd/m2")
    ('mm³/(N·m)', 'lbf·ft', 'µm', 'cd/m²')
    """
    text = unit.strip().replace("μ", "µ").replace("º", "°").replace("⋅", "·").replace("*", "·").replace("^", "")
    text = re.sub(r"\s*([/()·])\s*", r"\1", text).replace("-", "·")
    text = re.sub(r"(?<=m|n)2(?![0-9])", "²", text)
    text = re.sub(r"(?<=m|n)3(?![0-9])", "³", text)
    text = re.sub(r"\s+", "·", text)
    return SPELLINGS.get(text, text)


def units_in_words(kind: str) -> str:
    """
    What is accepted for a kind, as the end of a sentence.

    Examples
    --------
    >>> units_in_words("force")
    'a force is a number with one of the units N, kN, lbf, for example "35 N"'
    """
    of = KINDS[kind]
    named = [unit for unit in of.units if unit]
    if not named:
        return f'{of.word} has no unit, for example "{of.example}"'
    either = "may carry the unit" if of.bare else ("is a number with the unit" if len(named) == 1 else "is a number with one of the units")
    return f'{of.word} {either} {", ".join(named)}, for example "{of.example}"'


def kind_of_unit(unit: str) -> str:
    """Kind that a unit belongs to; empty if it is not in the table."""
    return next((kind for kind, of in KINDS.items() if unit and unit in of.units), "")


def parse_quantity(text: str, kind: str) -> float:
    """
    Read a quantity.

    Parameters
    ----------
    text : str
        A decimal number and a unit.
    kind : str
        One of `KINDS`.

    Returns
    -------
    float
        The value. [SI; rotation in turns per second; Shore A as a number]

    Raises
    ------
    UnitError
        If the text has no number, no unit, a unit of another kind or one we do not know, or if the number is not
        finite or absurdly large.

    Examples
    --------
    >>> parse_quantity("35 N", "force"), parse_quantity("16.5 in", "length"), parse_quantity("2400 rpm", "rotation")
    (35.0, 0.4191, 40.0)
    """
    of = KINDS[kind]
    shown = _shown(text)
    match = _NUMBER.match(text.strip())
    if match is None:
        raise UnitError(f"{shown} does not begin with a number", units_in_words(kind))
    rest = text.strip()[match.end() :]
    if rest[:1] == "," or (rest[:1] == "." and rest[1:2].isdigit()):
        raise UnitError(f"{shown} is not a decimal number", "write a decimal point and no thousands mark, for example 1.5 or 1500")
    if rest[:1] == "/" and rest[1:2].isdigit():
        raise UnitError(f"{shown} is a fraction", "write a decimal number, for example 0.5")
    unit = plain_unit(rest)
    if unit not in of.units:
        raise _wrong_unit(shown, unit, kind)
    value = float(match.group()) * of.units[unit] + OFFSETS.get(unit, 0.0)
    if not abs(value) <= LARGEST:
        raise UnitError(f"{shown} is absurdly large", units_in_words(kind))
    return value


def _shown(text: str) -> str:
    short = text if len(text) <= 60 else text[:57] + "..."
    return '"' + "".join(c if c.isprintable() else "?" for c in short) + '"'


def _wrong_unit(shown: str, unit: str, kind: str) -> UnitError:
    if not unit:
        return UnitError(f"{shown} has no unit", units_in_words(kind))
    other = kind_of_unit(unit)
    if other:
        return UnitError(f"{shown} is {KINDS[other].word}", units_in_words(kind), "lbf" if (unit, kind) == ("lb", "force") else "")
    from difflib import get_close_matches

    known = [name for name in KINDS[kind].units if name]
    same = [name for name in known if name.lower() == unit.lower()]
    near = same or get_close_matches(unit, known, n=1, cutoff=0.5)
    return UnitError(f"{shown} has an unknown unit", units_in_words(kind), near[0] if near else "")


def parse_size(text: str) -> tuple[float, float]:
    """
    Read a size of two lengths.

    Parameters
    ----------
    text : str
        ``"420 mm x 300 mm"``, ``"420 x 300 mm"`` or with a multiplication sign.

    Returns
    -------
    tuple of float
        Both lengths, in the order written. [m]

    Raises
    ------
    UnitError
        If there are not two lengths.

    Examples
    --------
    >>> parse_size("420 mm × 300 mm"), parse_size("16.5 x 12 in")
    ((0.42, 0.3), (0.4191, 0.30479999999999996))
    """
    parts = [part.strip() for part in re.split(r"[x×X*]", text)]
    if len(parts) != 2 or not all(parts):
        raise UnitError(f"{_shown(text)} is not two lengths", 'write a size as "420 mm x 300 mm"')
    first, second = parts
    if _NUMBER.fullmatch(first):
        unit = second[match.end() :] if (match := _NUMBER.match(second)) else ""
        first = f"{first} {unit}"
    return parse_quantity(first, "length"), parse_quantity(second, "length")


def format_ratio(value: float) -> str:
    """
    Write a factor or a strength with two digits.

    Examples
    --------
    >>> format_ratio(0.0471), format_ratio(1.0), format_ratio(163.0)
    ('0.047', '1', '160')
    """
    return format_quantity(value, "ratio", digits=2) if math.isfinite(value) else "infinite"


def format_quantity(value: float, kind: str, system: System = "metric", digits: int | None = 3, unit: str | None = None) -> str:
    """
    Write a quantity.

    Parameters
    ----------
    value : float
        Finite. [SI]
    kind : str
        One of `KINDS`.
    system : str
        ``metric`` or ``inch``: the units of the reader.
    digits : int or None
        Significant digits; None for all of them. [-]
    unit : str or None
        A unit of the table to use whatever the size.

    Returns
    -------
    str
        Text that `parse_quantity` reads.

    Examples
    --------
    >>> format_quantity(0.42, "length"), format_quantity(0.42, "length", "inch"), format_quantity(18.0, "speed", "inch")
    ('420 mm', '16.5 in', '3540 ft/min')
    >>> format_quantity(1e-11, "removal_coefficient"), format_quantity(0.2, "share")
    ('0.01 mm³/(N·m)', '20 %')
    """
    of = KINDS[kind]
    if unit is None:
        ladder = of.inch if system == "inch" and of.inch else of.metric
        at = abs(value) * (1 + 1e-9)
        unit = next(name for start, name in reversed(ladder) if at >= start or start == 0.0)
        if value == 0.0:
            unit = ladder[min(1, len(ladder) - 1)][1] if kind in ("length", "pressure") else ladder[0][1]
    number = format_number((value - OFFSETS.get(unit, 0.0)) / of.units[unit], digits)
    return f"{number} {unit}" if unit else number
