"""Records of one step: wheel, belt, drive, settings, and what the physics needs to know."""

from typing import Annotated, Final, Literal, TypeAlias

from pydantic import BaseModel, ConfigDict

from evenlay.job.amounts import CHOOSE, Amount, Quantity
from evenlay.job.fields import GritType, Name, Offsets, Whole, Word
from evenlay.quantities.grit import Grit

WHEELS: Final = ("solid", "pneumatic", "expander", "slack", "platen", "nonwoven")
MINERALS: Final = ("aluminium oxide", "ceramic", "zirconia", "silicon carbide", "non-woven")
JOINTS: Final = ("butt tape", "lap", "none")
DRIVES: Final = ("servo", "air")
NOT_ENTERED: Final = "not entered"
NOT_DONE: Final = "not done"


class Record(BaseModel):
    """Base of all records: unknown keys refused, nothing changes after reading, no NaN."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False, defer_build=True)


Setting: TypeAlias = Quantity | Literal["choose"]


class Wheel(Record):
    """``[step.wheel]``."""

    kind: Annotated[str, Word(WHEELS, "what backs the belt")]
    diameter: Annotated[Quantity | None, Amount("length", "10 mm", "2 m", "wheel diameter")] = None
    width: Annotated[Quantity | None, Amount("length", "1 mm", "3 m", "face width of the wheel")] = None
    crown: Annotated[Quantity | str | None, Amount("length", "5 mm", "1000 m", "radius of the crown across the face", words=("flat",))] = (
        None
    )
    hardness: Annotated[
        Quantity | None,
        Amount("shore_a", "20 Shore A", "98 Shore A", "hardness of the cover; give modulus if it is softer", known="handbook"),
    ] = None
    modulus: Annotated[
        Quantity | None, Amount("pressure", "10 kPa", "10 GPa", "elastic modulus of the cover, if known", known="handbook")
    ] = None
    poisson: Annotated[Quantity | None, Amount("ratio", "0", "0.5", "Poisson's ratio of the cover", known="handbook")] = None
    cover: Annotated[Quantity | None, Amount("length", "0.1 mm", "500 mm", "thickness of the cover", known="handbook")] = None
    inflation: Annotated[Quantity | None, Amount("pressure", "0 bar", "10 bar", "pressure in the wheel over the air outside, warm")] = None
    casing_stiffness: Annotated[
        Quantity | None,
        Amount("casing_stiffness", "0 kPa/mm", "10000 kPa/mm", "pressure the casing adds per depth pressed in", known="handbook"),
    ] = None
    plate_speed: Annotated[
        Quantity | str | None, Amount("speed", "1 m/s", "200 m/s", "highest rim speed on the wheel's plate", words=(NOT_ENTERED,))
    ] = None
    plate_rpm: Annotated[
        Quantity | str | None, Amount("rotation", "10 rpm", "100000 rpm", "highest rpm on the wheel's plate", words=(NOT_ENTERED,))
    ] = None
    sleeve_minimum: Annotated[
        Quantity | None,
        Amount("speed", "0 m/s", "100 m/s", "lowest rim speed at which the sleeve is held, from the plate", known="handbook"),
    ] = None
    slip_test: Annotated[
        Quantity | str | None,
        Amount("speed", "0.1 m/s", "100 m/s", "lowest rim speed at which a slip test held", words=(NOT_DONE,), known="measured"),
    ] = None
    edge_ramp: Annotated[
        Quantity | None, Amount("length", "0.05 mm", "500 mm", "full ramp (0-100 %) at the belt's edges", known="handbook")
    ] = None
    runout: Annotated[Quantity | None, Amount("length", "0 mm", "10 mm", "run-out of the wheel at working speed", known="handbook")] = None
    closing_pressure: Annotated[
        Quantity | None, Amount("pressure", "0 Pa", "1 MPa", "pressure that closes an expander's clearance", known="handbook")
    ] = None
    grip_friction: Annotated[Quantity | None, Amount("ratio", "0.01", "2", "friction between expander and sleeve", known="handbook")] = None
    rubber_density: Annotated[
        Quantity | None, Amount("density", "100 kg/m³", "5000 kg/m³", "density of an expander's rubber", known="handbook")
    ] = None
    rubber_thickness: Annotated[
        Quantity | None,
        Amount("length", "0.5 mm", "500 mm", "thickness of an expander's rubber that is free to move out", known="handbook"),
    ] = None
    rubber_radius: Annotated[Quantity | None, Amount("length", "1 mm", "1 m", "mean radius of that rubber", known="handbook")] = None


class Belt(Record):
    """``[step.belt]``."""

    length: Annotated[Quantity | None, Amount("length", "50 mm", "50 m", "once round the belt")] = None
    width: Annotated[Quantity | None, Amount("length", "1 mm", "3 m", "width of the belt")] = None
    grit: Annotated[Grit | None, GritType("grit, always with its scale")] = None
    mineral: Annotated[str | None, Word(MINERALS, "abrasive mineral")] = None
    joint: Annotated[str | None, Word(JOINTS, "how the belt is joined")] = None
    joint_step: Annotated[Quantity | None, Amount("length", "0 mm", "3 mm", "how much thicker the joint is", known="handbook")] = None
    rated_speed: Annotated[
        Quantity | str | None, Amount("speed", "1 m/s", "200 m/s", "highest speed printed on the belt", words=(NOT_ENTERED,))
    ] = None
    wander: Annotated[Quantity | None, Amount("length", "0 mm", "200 mm", "sideways wander of the belt on the wheel", known="handbook")] = (
        None
    )
    tension: Annotated[Quantity | None, Amount("line_load", "0 N/m", "100 N/mm", "pull in the belt per width", known="handbook")] = None
    area_mass: Annotated[Quantity | None, Amount("area_mass", "0.05 kg/m²", "20 kg/m²", "mass of the belt per area", known="handbook")] = (
        None
    )
    grain_density: Annotated[
        Quantity | None, Amount("area_density", "0.001 /mm²", "100000 /mm²", "abrasive grains per area", known="handbook")
    ] = None
    grain_height_sd: Annotated[
        Quantity | None, Amount("length", "0.05 µm", "1 mm", "spread (one standard deviation) of grain heights", known="handbook")
    ] = None
    grain_tip_radius: Annotated[
        Quantity | None, Amount("length", "0.05 µm", "2 mm", "radius at which a grain presses", known="handbook")
    ] = None
    texture_memory: Annotated[
        Quantity | None, Amount("length", "10 nm", "1 mm", "depth of metal moved that renews the texture", known="handbook")
    ] = None
    roughness: Annotated[
        Quantity | None, Amount("length", "0.005 µm", "100 µm", "Ra across the grain that this belt leaves", known="handbook")
    ] = None


class Drive(Record):
    """``[step.drive]``."""

    kind: Annotated[str, Word(DRIVES, "what turns the wheel")]
    power: Annotated[Quantity | None, Amount("power", "1 W", "500 kW", "rated power")] = None
    torque: Annotated[Quantity | None, Amount("torque", "0.001 N·m", "10000 N·m", "highest lasting torque at the wheel")] = None
    rpm_max: Annotated[Quantity | None, Amount("rotation", "1 rpm", "100000 rpm", "highest wheel rpm of a servo")] = None
    free_rpm: Annotated[Quantity | None, Amount("rotation", "1 rpm", "100000 rpm", "free-running rpm of an air motor")] = None
    stall_torque: Annotated[Quantity | None, Amount("torque", "0.001 N·m", "10000 N·m", "torque at which an air motor stops")] = None
    loaded_rpm: Annotated[Quantity | None, Amount("rotation", "1 rpm", "100000 rpm", "rpm read under load", known="measured")] = None
    loaded_torque: Annotated[Quantity | None, Amount("torque", "0.001 N·m", "10000 N·m", "torque at that reading", known="measured")] = None


class Settings(Record):
    """``[step.settings]``."""

    force: Annotated[Setting, Amount("force", "0.1 N", "5 kN", "normal force of the wheel on the part", (CHOOSE,))] = CHOOSE
    speed: Annotated[Setting, Amount("speed", "0.2 m/s", "100 m/s", "belt speed", (CHOOSE,))] = CHOOSE
    feed: Annotated[Setting, Amount("speed", "0.1 mm/s", "10 m/s", "speed of the wheel over the part", (CHOOSE,))] = CHOOSE
    step_over: Annotated[Setting, Amount("length", "0.1 mm", "3 m", "distance between neighbouring passes of a round", (CHOOSE,))] = CHOOSE
    rounds: Annotated[int | Literal["choose"], Whole(1, 50, "complete coverings of the face", (CHOOSE,))] = CHOOSE
    offsets: Annotated[tuple[Quantity, ...] | str, Offsets("sideways shift of each round")] = CHOOSE
    taper: Annotated[Setting, Amount("ratio", "0.2", "1", "force of each later round over the one before", (CHOOSE,))] = CHOOSE
    dither: Annotated[Quantity | None, Amount("length", "0 mm", "100 mm", "amplitude of a side-to-side motion along each pass")] = None
    dither_length: Annotated[Quantity | None, Amount("length", "1 mm", "20 m", "length of one side-to-side motion")] = None


class Model(Record):
    """``[step.model]``: what the physics needs to know of this belt on this metal."""

    removal_coefficient: Annotated[
        Quantity | None,
        Amount("removal_coefficient", "1e-16 m²/N", "1e-7 m²/N", "volume removed per force and sliding distance", known="handbook"),
    ] = None
    groove_coefficient: Annotated[
        Quantity | None,
        Amount("removal_coefficient", "1e-16 m²/N", "1e-7 m²/N", "metal that grains move, taken off or pushed aside", known="handbook"),
    ] = None
    friction: Annotated[Quantity | None, Amount("ratio", "0.01", "2", "pull along the belt over the normal force", known="handbook")] = None
    pressure_exponent: Annotated[
        Quantity | None, Amount("ratio", "-0.5", "2", "how slope roughness follows pressure, as a power", known="handbook")
    ] = None
    feed_exponent: Annotated[
        Quantity | None, Amount("ratio", "-1", "1", "how slope roughness follows feed at equal pressure, as a power", known="handbook")
    ] = None
    slope_across: Annotated[
        Quantity | None, Amount("ratio", "0.0005", "2", "slope rms across the grain on the optical band", known="handbook")
    ] = None
    slope_along: Annotated[
        Quantity | None, Amount("ratio", "0.0005", "2", "slope rms along the grain on the optical band", known="handbook")
    ] = None
    facet_spread: Annotated[Quantity | None, Amount("ratio", "0.0001", "1", "spread of facets finer than that band", known="handbook")] = (
        None
    )
    unrepeated_share: Annotated[
        Quantity | None,
        Amount("share", "0 %", "100 %", "share of the texture that does not repeat from turn to turn of the belt", known="handbook"),
    ] = None
    attack_angle: Annotated[
        Quantity | None, Amount("angle", "1 °", "60 °", "angle of a grain's flank from the surface", known="handbook")
    ] = None
    line_gain: Annotated[
        Quantity | None, Amount("ratio", "0.05", "20", "power of the belt's own texture lines over the law", known="handbook")
    ] = None
    luminance_floor: Annotated[
        Quantity | None,
        Amount("share", "0 %", "100 %", "brightness without a facet in place, in parts of the lobe's peak", known="handbook"),
    ] = None


class Step(Record):
    """``[[step]]``."""

    id: Annotated[str, Name("name of the step")]
    wheel: Wheel
    belt: Belt = Belt.model_construct()
    drive: Drive = Drive.model_construct(kind="servo")
    settings: Settings = Settings.model_construct()
    model: Model = Model.model_construct()
