"""The closed lists of the inspection workbook, in the words a user picks from its drop-downs."""

from __future__ import annotations

from enum import StrEnum


class Kind(StrEnum):
    """What a capacitor is made of."""

    WET_ALUMINIUM = "wet aluminium"
    SOLID_POLYMER = "solid polymer"
    HYBRID = "hybrid"
    SOLID_TANTALUM = "solid tantalum"
    WET_TANTALUM = "wet tantalum"
    NON_POLAR_ALUMINIUM = "non-polar aluminium"
    FILM = "film"
    METALLISED_PAPER = "metallised paper"
    PAPER = "paper"
    CERAMIC = "ceramic"
    UNKNOWN = "unknown"


POLAR_KINDS = frozenset({Kind.WET_ALUMINIUM, Kind.SOLID_POLYMER, Kind.HYBRID, Kind.SOLID_TANTALUM, Kind.WET_TANTALUM})
WET_KINDS = frozenset({Kind.WET_ALUMINIUM, Kind.HYBRID, Kind.NON_POLAR_ALUMINIUM})
PLUS_STRIPE_KINDS = frozenset({Kind.SOLID_TANTALUM, Kind.SOLID_POLYMER})


class Mounting(StrEnum):
    """How a body is held and connected."""

    RADIAL = "radial"
    AXIAL = "axial"
    SMD_CAN = "SMD can"
    SNAP_IN = "snap-in"
    SCREW = "screw"
    TWIST_LOCK = "twist-lock"
    CHIP = "chip"
    UNKNOWN = "unknown"


class Condition(StrEnum):
    """What a body looks like; several may apply."""

    SOUND = "sound"
    BULGED_TOP = "bulged top"
    PUSHED_BUNG = "pushed bung"
    LEAKED = "leaked"
    CRUST = "crust"
    CORRODED_JOINT = "corroded joint"
    BURNT = "burnt"
    CRACKED = "cracked"
    SLEEVE_SHRUNK = "sleeve shrunk"
    REPLACED_BEFORE = "replaced before"
    MISSING = "missing"
    EMPTY_BY_DESIGN = "empty by design"


class Role(StrEnum):
    """What a capacitor does in its circuit."""

    MAINS_SAFETY = "mains safety"
    PRIMARY_RESERVOIR = "primary reservoir"
    RESERVOIR = "reservoir"
    SWITCHER_OUTPUT = "switcher output"
    START_UP = "start-up"
    REGULATOR_INPUT = "regulator input"
    REGULATOR_OUTPUT = "regulator output"
    DECOUPLING = "decoupling"
    COUPLING = "coupling"
    TIMING = "timing"
    DEFLECTION = "deflection"
    CROSSOVER = "crossover"
    BACKUP = "backup"
    UNKNOWN = "unknown"


class SupplyKind(StrEnum):
    """How a rail is made."""

    BRIDGE = "bridge"
    CENTRE_TAP = "centre-tap"
    HALF_WAVE = "half-wave"
    VOLTAGE_DOUBLER = "voltage doubler"
    LINEAR_REGULATED = "linear regulated"
    BUCK = "buck"
    FORWARD = "forward"
    HALF_BRIDGE = "half-bridge/push-pull"
    FLYBACK = "flyback"
    UNKNOWN = "unknown"


RECTIFIED_SUPPLIES = frozenset(
    {SupplyKind.BRIDGE, SupplyKind.CENTRE_TAP, SupplyKind.HALF_WAVE, SupplyKind.VOLTAGE_DOUBLER}
)
SWITCHING_SUPPLIES = frozenset({SupplyKind.BUCK, SupplyKind.FORWARD, SupplyKind.HALF_BRIDGE, SupplyKind.FLYBACK})


class Tristate(StrEnum):
    """An answer that may not be known yet."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


class Stance(StrEnum):
    """How much the owner wants replaced."""

    CONSERVE = "conserve"
    REPAIR = "repair"
    RENEW = "renew"


class Downstream(StrEnum):
    """What a failing supply would take with it."""

    REPLACEABLE = "replaceable"
    IRREPLACEABLE = "irreplaceable"


class Legible(StrEnum):
    """How much of a marking can be read."""

    FULLY = "fully"
    PARTLY = "partly"
    NO = "no"


class Face(StrEnum):
    """The side of a board that a body sits on."""

    PART_SIDE = "part side"
    SOLDER_SIDE = "solder side"


class MarkMeaning(StrEnum):
    """What a board's silkscreen mark was found to mean."""

    PLUS = "plus"
    MINUS = "minus"
    NOT_VERIFIED = "not verified"


class PlusAt(StrEnum):
    """What one witness says about the plus side, seen from the position's pad A.

    A board's silkscreen may only show a mark; "mark at …" becomes a plus once the board's convention is
    verified. A schematic may only show which pad is on the rail; "rail at …" becomes a plus by its sign.
    """

    A = "plus at A"
    OTHER = "plus at the other pad"
    MARK_A = "mark at A"
    MARK_OTHER = "mark at the other pad"
    RAIL_A = "rail at A"
    RAIL_OTHER = "rail at the other pad"
    NOT_SEEN = "not seen"


class NetBy(StrEnum):
    """How the polarity of a net was found."""

    METER = "meter"
    SCHEMATIC = "schematic"


class Decision(StrEnum):
    """What to do at a position."""

    KEEP = "keep"
    MEASURE = "measure"
    REFORM = "reform"
    REPLACE = "replace"
    REFER = "refer"
    STOP = "stop"


class Basis(StrEnum):
    """Where an input came from."""

    MEASURED = "measured"
    MARKED = "marked"
    DOCUMENTED = "documented"
    CALCULATED = "calculated"
    ASSUMED = "assumed"
