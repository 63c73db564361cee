"""Cut-off, section and evaluation length by the standard in force, its edition named."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

Edition = Literal["ISO 21920-3:2021", "ISO 4288:1996"]
"""Which edition a number is read by."""

EDITIONS: Final[tuple[Edition, ...]] = ("ISO 21920-3:2021", "ISO 4288:1996")
"""In force, and replaced; drawings of before 2022 mean the latter."""

SECTIONS: Final = 5
"""Sections in an evaluation length, in both editions."""

CUTOFFS: Final = (0.08e-3, 0.25e-3, 0.8e-3, 2.5e-3, 8e-3)
"""Cut-offs of the standards, each also the length of a section. [m]"""

SHORT_WAVES: Final = (2.5e-6, 2.5e-6, 2.5e-6, 8e-6, 25e-6)
"""Short-wave limit that belongs to each cut-off. [m]"""

TIP_RADII: Final = (2e-6, 2e-6, 2e-6, 5e-6, 10e-6)
"""Stylus tip that belongs to each cut-off; 5 um may serve at 0.8 mm where Rz is above 3 um. [m]"""

SPACINGS: Final = (0.5e-6, 0.5e-6, 0.5e-6, 1.5e-6, 5e-6)
"""Largest spacing of points that belongs to each cut-off. [m]"""

TOPS: Final[dict[tuple[Edition, str], tuple[float, ...]]] = {
    ("ISO 4288:1996", "Ra"): (0.02e-6, 0.1e-6, 2e-6, 10e-6, 80e-6),
    ("ISO 4288:1996", "Rz"): (0.1e-6, 0.5e-6, 10e-6, 50e-6, 200e-6),
    ("ISO 4288:1996", "RSm"): (0.04e-3, 0.13e-3, 0.4e-3, 1.3e-3, 4e-3),
    ("ISO 21920-3:2021", "Ra"): (0.02e-6, 0.1e-6, 2e-6, 10e-6, float("inf")),
    ("ISO 21920-3:2021", "Rz"): (0.16e-6, 0.8e-6, 16e-6, 80e-6, float("inf")),
}
"""Upper ends of the classes, which belong to the class; ISO 21920-3 makes no difference between periodic and other profiles. [m]"""

BOTTOMS: Final[dict[tuple[Edition, str], float]] = {
    ("ISO 4288:1996", "Ra"): 0.006e-6,
    ("ISO 4288:1996", "Rz"): 0.025e-6,
    ("ISO 4288:1996", "RSm"): 0.013e-3,
    ("ISO 21920-3:2021", "Ra"): 0.0,
    ("ISO 21920-3:2021", "Rz"): 0.0,
}
"""Lower ends of the first classes, which do not belong to them. [m]"""


@dataclass(frozen=True)
class Setting:
    """
    How a roughness number is read.

    Parameters
    ----------
    edition : str
        One of `EDITIONS`.
    cutoff : float
        Cut-off of the roughness filter (4288), profile L-filter nesting index (21920-3). [m]
    section_length : float
        Sampling length (4288), section length (21920-3). [m]
    sections : int
        How many make the evaluation length.
    short_wave : float
        Short-wave limit. [m]
    tip_radius : float
        Of the stylus. [m]
    spacing : float
        Largest distance between points. [m]
    acceptance : str
        Rule for a limit that nothing is said about: ``"16 %"`` or ``"maximum"``.
    """

    edition: Edition
    cutoff: float
    section_length: float
    sections: int
    short_wave: float
    tip_radius: float
    spacing: float
    acceptance: str

    @property
    def evaluation_length(self) -> float:
        """All sections. [m]"""
        return self.sections * self.section_length

    @property
    def traversing_length(self) -> float:
        """Evaluation length with half a cut-off before and after, which the filter takes. [m]"""
        return self.evaluation_length + self.cutoff


def setting(cutoff: float, *, edition: Edition = "ISO 21920-3:2021") -> Setting:
    """
    All that belongs to a cut-off.

    Parameters
    ----------
    cutoff : float
        One of `CUTOFFS`. [m]
    edition : str
        One of `EDITIONS`.

    Returns
    -------
    Setting

    Raises
    ------
    ValueError
        If the standards have no such cut-off or the edition is unknown.

    References
    ----------
    iso-3274, short-wave limit, tip and spacing; iso-4288 and iso-21920-3, lengths and rule.

    Examples
    --------
    >>> usual = setting(0.8e-3)
    >>> round(usual.evaluation_length * 1e3, 6), round(usual.traversing_length * 1e3, 6), usual.acceptance
    (4.0, 4.8, 'maximum')
    """
    if edition not in EDITIONS:
        raise ValueError(f"edition must be one of {', '.join(EDITIONS)}")
    near = [index for index, each in enumerate(CUTOFFS) if abs(each - cutoff) <= 1e-6 * each]
    if not near:
        raise ValueError(f"a cut-off must be one of {', '.join(f'{each * 1e3:g}' for each in CUTOFFS)} mm")
    at = near[0]
    return Setting(
        edition=edition,
        cutoff=CUTOFFS[at],
        section_length=CUTOFFS[at],
        sections=SECTIONS,
        short_wave=SHORT_WAVES[at],
        tip_radius=TIP_RADII[at],
        spacing=SPACINGS[at],
        acceptance="16 %" if edition == "ISO 4288:1996" else "maximum",
    )


def setting_for(symbol: str, value: float, *, edition: Edition = "ISO 21920-3:2021") -> Setting:
    r"""
    Cut-off and lengths for a value of Ra, Rz or RSm.

    Parameters
    ----------
    symbol : str
        ``"Ra"`` or ``"Rz"``; ``"RSm"`` for periodic profiles by ISO 4288.
    value : float
        By ISO 21920-3 the upper tolerance limit; by ISO 4288 the number that is measured. [m]
    edition : str
        One of `EDITIONS`.

    Returns
    -------
    Setting

    Raises
    ------
    ValueError
        If the edition has no classes for the symbol, or none that holds the value.

    Notes
    -----
    The classes of Ra are the same in both editions; those of Rz are not: 12 µm asks for 2.5 mm by ISO 4288 and 0.8 mm by ISO 21920-3.

    References
    ----------
    iso-4288, tables 1 to 3; iso-21920-3, default settings.

    Examples
    --------
    >>> [setting_for("Rz", 12e-6, edition=edition).cutoff for edition in ("ISO 21920-3:2021", "ISO 4288:1996")]
    [0.0008, 0.0025]
    """
    if (edition, symbol) not in TOPS:
        raise ValueError(f"{edition} has no classes for {symbol}")
    tops, bottom = TOPS[edition, symbol], BOTTOMS[edition, symbol]
    if not bottom < value < float("inf"):
        raise ValueError(f"{edition} has no class for {symbol} = {value:.3g} m")
    for cutoff, top in zip(CUTOFFS, tops, strict=True):
        if value <= top * (1.0 + 1e-12):
            return setting(cutoff, edition=edition)
    raise ValueError(f"{edition} has no class for {symbol} = {value:.3g} m")
