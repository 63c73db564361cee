"""The job: closed, frozen records, one per thing a lab person would name."""

import datetime
from typing import Annotated, Final

from evenlay.job.amounts import STATED, Amount, FieldType, Quantity
from evenlay.job.fields import Day, Direction, Grain, Name, Names, Sides, Size, Switch, Text, Whole, Word, Words
from evenlay.job.step_records import NOT_DONE, NOT_ENTERED, Belt, Drive, Model, Record, Settings, Step, Wheel
from evenlay.quantities.known import Value
from evenlay.quantities.units import format_quantity

__all__ = [
    "ALLOYS",
    "COLLECTORS",
    "METALS",
    "NOT_DONE",
    "NOT_ENTERED",
    "SCHEMA",
    "SECTIONS",
    "About",
    "Belt",
    "Device",
    "Drive",
    "Dust",
    "Face",
    "Job",
    "Limits",
    "Model",
    "Part",
    "Path",
    "Record",
    "Settings",
    "Step",
    "Viewing",
    "Wheel",
    "key_register",
]

SCHEMA: Final = 1
"""Version of the job file that this program writes."""

ALLOYS: Final = ("304", "316", "430", "5052", "6061", "carbon steel")
ALLOY_HINTS: Final = {
    "1.4301": "304", "1.4307": "304", "304L": "304", "1.4401": "316", "1.4404": "316", "316L": "316", "1.4016": "430",
    "EN AW-5052": "5052", "5052-H32": "5052", "EN AW-6061": "6061", "6061-T6": "6061", "steel": "carbon steel",
    "mild steel": "carbon steel",
}  # fmt: skip
INCOMING: Final = ("2B", "2D", "BA", "hot rolled", "mill", "ground", "No.3", "No.4", "unknown")
CURVATURES: Final = ("flat", "convex along", "convex across", "hollow along", "hollow across")
EDGES: Final = ("start", "end", "left", "right")
METALS: Final = ("aluminium", "stainless steel", "carbon steel")
COLLECTORS: Final = ("aluminium only", "iron and steel only", "mixed", "not declared")


class About(Record):
    """``[job]``."""

    name: Annotated[str, Name("short name of the job")]
    asked: Annotated[str, Text("what the customer asked for, word for word")] = ""
    created: Annotated[datetime.date | None, Day("day the folder was made")] = None
    target: Annotated[Quantity | None, Amount("ratio", "0.05", "100", "how visible a line may be, in times just-visible")] = None
    probability: Annotated[
        Quantity | None, Amount("share", "50 %", "99.9 %", "how sure the plan must be that every line stays under the target")
    ] = None
    seed: Annotated[int, Whole(0, 2**32 - 1, "seed of the draws: same seed, same answer")] = 1


class Part(Record):
    """``[part]``."""

    alloy: Annotated[str, Word(ALLOYS, "alloy of the part", ALLOY_HINTS)]
    sheet: Annotated[Quantity | None, Amount("length", "0.1 mm", "500 mm", "thickness of the metal")] = None
    incoming: Annotated[str, Word(INCOMING, "finish the part arrives with")] = "unknown"
    incoming_slope: Annotated[
        Quantity | None, Amount("ratio", "0", "20", "slope roughness of the incoming surface over that of the finish", known="handbook")
    ] = None


class Face(Record):
    """``[[face]]``."""

    id: Annotated[str, Name("name of the face")]
    size: Annotated[Size, Sides("the two sides of the face")]
    grain: Annotated[Grain, Direction("side that the grain runs along")]
    curvature: Annotated[str, Word(CURVATURES, "shape; along and across are meant to the grain")] = "flat"
    radius: Annotated[Quantity | None, Amount("length", "2 mm", "1000 m", "radius of a convex or hollow face")] = None
    free_edges: Annotated[
        tuple[str, ...], Words(EDGES, "sides where the metal ends: start and end along the grain, left and right across it")
    ] = EDGES
    steps: Annotated[tuple[str, ...] | None, Names("ids of the steps done on this face; all of them if left out")] = None

    @property
    def length_along(self) -> Quantity:
        """Length of the face along the grain."""
        return self._side(self._first_is_along)

    @property
    def length_across(self) -> Quantity:
        """Width of the face across the grain."""
        return self._side(not self._first_is_along)

    @property
    def _first_is_along(self) -> bool:
        nearer_first = abs(self.grain.side - self.size.first) <= abs(self.grain.side - self.size.second)
        return nearer_first != self.grain.across

    def _side(self, first: bool) -> Quantity:
        metres = self.size.first if first else self.size.second
        return Quantity(Value.exact(metres, "asked", STATED), "length", format_quantity(metres, "length", digits=5))


class Viewing(Record):
    """``[viewing]``."""

    distance: Annotated[Quantity | None, Amount("length", "0.1 m", "50 m", "distance at which the face is judged")] = None
    lux: Annotated[Quantity | None, Amount("illuminance", "1 lx", "200 klx", "light on the face")] = None
    luminance: Annotated[Quantity | None, Amount("luminance", "0.1 cd/m²", "100000 cd/m²", "brightness of the face as seen")] = None
    lamp: Annotated[
        Quantity | str | None,
        Amount("angle", "0 °", "80 °", "tilt of the half vector between lamp and eye from the face's normal", words=("worst",)),
    ] = None
    judge: Annotated[str, Text("who judges, and against what", 2000)] = ""
    eye: Annotated[
        Quantity | None,
        Amount(
            "ratio",
            "0.05",
            "20",
            "what every strength is multiplied by, from a limit sample: 1 over the strength of the sample",
            known="handbook",
        ),
    ] = None


class Path(Record):
    """``[path]``."""

    error: Annotated[Quantity | None, Amount("length", "0 mm", "100 mm", "sideways error of a pass", known="handbook")] = None
    turn_time: Annotated[Quantity | None, Amount("time", "0 s", "120 s", "time to turn from one pass to the next", known="handbook")] = None
    run_on: Annotated[
        Quantity | None, Amount("length", "0 mm", "2 m", "distance each pass runs past the face at both ends", known="handbook")
    ] = None
    feed_dip: Annotated[
        Quantity | None, Amount("share", "0 %", "95 %", "how far the feed dips where the robot slows", known="handbook")
    ] = None
    feed_dip_length: Annotated[
        Quantity | None, Amount("length", "0.5 mm", "10 m", "length over which it dips and recovers", known="measured")
    ] = None
    led_by: Annotated[str, Word(("robot", "hand"), "who leads the tool")] = "robot"
    hand_wander: Annotated[Quantity | None, Amount("length", "0 mm", "200 mm", "sideways wander of a hand, rms", known="handbook")] = None
    hand_wander_length: Annotated[
        Quantity | None, Amount("length", "1 mm", "10 m", "length over which a hand wanders so far", known="handbook")
    ] = None


class Device(Record):
    """``[device]``: what holds the force."""

    stroke: Annotated[Quantity | None, Amount("length", "0 mm", "1 m", "stroke of the force device")] = None
    force_error: Annotated[Quantity | None, Amount("force", "0 N", "1 kN", "error of the force", known="handbook")] = None
    bandwidth: Annotated[
        Quantity | None, Amount("frequency", "0.05 Hz", "5 kHz", "frequency up to which it holds the force", known="handbook")
    ] = None
    moving_mass: Annotated[Quantity | None, Amount("mass", "1 g", "500 kg", "mass that moves with the wheel", known="handbook")] = None
    fixture_error: Annotated[
        Quantity | None, Amount("length", "0 mm", "500 mm", "error of the fixture along the normal", known="handbook")
    ] = None
    form_error: Annotated[
        Quantity | None, Amount("length", "0 mm", "500 mm", "form error of the part along the normal", known="handbook")
    ] = None
    chatter: Annotated[
        Quantity | None, Amount("frequency", "0.1 Hz", "20 kHz", "a chatter frequency, if one is known", known="measured")
    ] = None
    chatter_swing: Annotated[
        Quantity | None, Amount("share", "0 %", "100 %", "swing of the force at that frequency, amplitude over mean", known="measured")
    ] = None


class Limits(Record):
    """``[limits]``."""

    ra_max: Annotated[Quantity | None, Amount("length", "0.005 µm", "100 µm", "highest Ra across the grain")] = None
    ra_rule: Annotated[str, Word(("16 %", "max"), "16 %: that share of readings may lie above; max: none may")] = "16 %"
    thickness_min: Annotated[Quantity | None, Amount("length", "0.05 mm", "500 mm", "thinnest the metal may become")] = None
    removal_max: Annotated[Quantity | None, Amount("length", "0.1 µm", "50 mm", "most stock that may be removed")] = None
    feed_min: Annotated[Quantity | None, Amount("speed", "0.1 mm/s", "10 m/s", "slowest feed to consider")] = None
    feed_max: Annotated[Quantity | None, Amount("speed", "0.1 mm/s", "10 m/s", "fastest feed to consider")] = None
    speed_min: Annotated[Quantity | None, Amount("speed", "0.2 m/s", "100 m/s", "slowest belt speed to consider")] = None
    speed_max: Annotated[Quantity | None, Amount("speed", "0.2 m/s", "100 m/s", "fastest belt speed to consider")] = None
    force_min: Annotated[Quantity | None, Amount("force", "0.1 N", "5 kN", "lightest force to consider")] = None
    force_max: Annotated[Quantity | None, Amount("force", "0.1 N", "5 kN", "heaviest force to consider")] = None
    rounds_max: Annotated[int | None, Whole(1, 50, "most rounds to consider")] = None


class Dust(Record):
    """``[dust]``."""

    metals: Annotated[
        tuple[str, ...] | None, Words(METALS, "every metal whose dust this collector takes; this part's alone if left out")
    ] = None
    collector: Annotated[str, Word(COLLECTORS, "what the collector is declared for")] = "not declared"
    wet: Annotated[bool | None, Switch("whether the dust is collected wet")] = None


class Job(Record):
    """The whole job file."""

    job: About
    part: Part
    face: tuple[Face, ...]
    step: tuple[Step, ...]
    viewing: Viewing = Viewing.model_construct()
    path: Path = Path.model_construct()
    device: Device = Device.model_construct()
    limits: Limits = Limits.model_construct()
    dust: Dust = Dust.model_construct()

    def one_face(self, face_id: str) -> Face:
        """Face of that id."""
        return next(face for face in self.face if face.id == face_id)

    def one_step(self, step_id: str) -> Step:
        """Step of that id."""
        return next(step for step in self.step if step.id == step_id)

    def steps_of(self, face_id: str) -> tuple[Step, ...]:
        """Steps done on a face, in the order of the file."""
        wanted = self.one_face(face_id).steps
        return tuple(step for step in self.step if wanted is None or step.id in wanted)


SECTIONS: Final[dict[str, type[Record]]] = {
    "job": About,
    "part": Part,
    "face": Face,
    "viewing": Viewing,
    "step": Step,
    "step.wheel": Wheel,
    "step.belt": Belt,
    "step.drive": Drive,
    "step.settings": Settings,
    "step.model": Model,
    "path": Path,
    "device": Device,
    "limits": Limits,
    "dust": Dust,
}
"""Every section of the file and its record."""


def key_register() -> dict[str, FieldType]:
    """
    Every key of the job file with its field type (meaning, range, words).

    Returns
    -------
    dict
        Dotted key, as ``step.wheel.diameter``, to its type, in the order of the file.

    Examples
    --------
    >>> key_register()["step.settings.force"].meaning
    'normal force of the wheel on the part'
    """
    found: dict[str, FieldType] = {}
    for section, record in SECTIONS.items():
        for name, info in record.model_fields.items():
            for extra in info.metadata:
                if isinstance(extra, FieldType):
                    found[f"{section}.{name}"] = extra
    return found
