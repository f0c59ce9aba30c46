"""A plan written by hand for the documents' tests: an invented machine, two boards, every case once."""

from __future__ import annotations

from dataclasses import replace

from recap.model import (
    Basis,
    Board,
    BoardWork,
    Body,
    Condition,
    Decision,
    Documented,
    Face,
    Input,
    Inspection,
    Judgement,
    Kind,
    LeftOut,
    Legible,
    LifeEstimate,
    Marked,
    MarkMeaning,
    Measured,
    Mounting,
    NetBy,
    NotAssessed,
    OrderLine,
    Orientation,
    Plan,
    PlusAt,
    Polarity,
    Position,
    PositionKey,
    Rail,
    Reason,
    Relation,
    Requirement,
    Role,
    Specification,
    Strength,
    Sundry,
    SupplyKind,
    Tristate,
    Unit,
    mark_governing,
)
from recap.problems import Location, Problem, Severity

UNIT = "Halden 8 (invented)"
POWER = "Power supply"
LOGIC = "Main logic"


def key(board: str, designator: str, section: str = "") -> PositionKey:
    return PositionKey(UNIT, board, designator, section)


def because(result: str, rule: str, operation: str = "looked at", *inputs: Input) -> Reason:
    return Reason(inputs, operation, result, rule, "common-practice")


def volts(marked: float, working: float) -> tuple[Requirement, ...]:
    """Return two demands on the rated voltage, the larger governing."""
    rating = Requirement(
        "rated_voltage_v",
        Relation.AT_LEAST,
        marked,
        "V",
        Strength.MUST,
        because(
            f"rated voltage at least {marked:g} V",
            "voltage-marked",
            "never below the marking",
            Input("marked voltage", f"{marked:g} V", Basis.MARKED),
        ),
        Basis.MARKED,
    )
    peak = Requirement(
        "rated_voltage_v",
        Relation.AT_LEAST,
        working / 0.8,
        "V",
        Strength.PREFER,
        Reason(
            (
                Input("working voltage", f"{working:g} V", Basis.MEASURED),
                Input("derating", "0.8", Basis.ASSUMED),
            ),
            "working voltage / derating",
            f"rated voltage at least {working / 0.8:g} V",
            "voltage-derating",
            "our-judgement",
        ),
        Basis.MEASURED,
    )
    esr = Requirement(
        "esr_ohm",
        Relation.AT_MOST,
        0.08,
        "ohm",
        Strength.MUST,
        because("ESR at most 0.08 Ω at 120 Hz", "esr-dissipation"),
        Basis.CALCULATED,
        frequency_hz=120.0,
    )
    kinds = Requirement(
        "kind",
        Relation.ONE_OF,
        ("wet aluminium", "hybrid"),
        "",
        Strength.MUST,
        because("wet aluminium or hybrid", "kind-exchange"),
        Basis.MARKED,
    )
    return mark_governing((rating, peak, esr, kinds))[0]


LIFE = LifeEstimate(20000.0, 64000.0, 131400.0, "ten-degree rule", Basis.ASSUMED)

C1_MAINS = Judgement(
    Position(
        key(POWER, "C1"),
        marked=Marked(1e-7, 250.0, ac=True, text="0.1µF 250V~ X2", safety_class="X2"),
        body=Body(Kind.METALLISED_PAPER, Mounting.RADIAL, 8.0, 18.0, 20.0, x_mm=14.0, y_mm=18.0),
        role=Role.MAINS_SAFETY,
        conditions=frozenset({Condition.CRACKED}),
        photo="P1001",
        zone="beside the inlet",
    ),
    Decision.REPLACE,
    Decision.REPLACE,
    (because("replace before power is applied", "mains-paper", "metallised paper across the mains"),),
    9.8,
    specification=Specification(
        1e-7,
        (1e-7, 1.2e-7),
        275.0,
        ("film",),
        "radial",
        lead_spacings_mm=(20.0,),
        diameter_max_mm=9.0,
        height_max_mm=20.0,
        safety_classes=("X2", "X1", "Y2"),
        ac=True,
        upper_category_temperature_c=100.0,
    ),
    hazards=("mains across this part",),
    fitting_notes=("Check that a discharge resistor stands across it.",),
)

C2_PRIMARY = Judgement(
    Position(
        key(POWER, "C2"),
        marked=Marked(2.2e-4, 400.0, tolerance=(-0.1, 0.5), temperature_c=85.0, text="220µF 400V"),
        measured=Measured(in_circuit=False, capacitance_f=1.31e-4, esr_ohm=1.9, esr_frequency_hz=1e5),
        body=Body(Kind.WET_ALUMINIUM, Mounting.SNAP_IN, 30.0, 40.0, 10.0, x_mm=45.0, y_mm=28.0),
        polarity=Polarity("left", PlusAt.A, PlusAt.A, PlusAt.A, NetBy.METER),
        role=Role.PRIMARY_RESERVOIR,
        rail="HV",
        conditions=frozenset({Condition.BULGED_TOP}),
        photo="P1002",
    ),
    Decision.REPLACE,
    Decision.REPLACE,
    (because("measured capacitance 131 µF is 60 % of the marking", "capacitance-lost"),),
    9.1,
    requirements=volts(400.0, 325.0),
    not_assessed=(NotAssessed("ripple-current", ("ripple current", "load")),),
    orientation=Orientation("Plus to the left pad. Minus to the right pad.", plus_at=PlusAt.A),
    specification=Specification(
        2.2e-4,
        (2.0e-4, 3.3e-4),
        400.0,
        ("wet aluminium",),
        "snap-in",
        105.0,
        2000.0,
        105.0,
        (10.0,),
        30.0,
        42.0,
        ripple_current_a=1.1,
        ripple_frequency_hz=120.0,
        esr_max_ohm=0.6,
        esr_frequency_hz=120.0,
    ),
    life_as_found=LifeEstimate(0.0, 900.0, 4000.0, "ten-degree rule", Basis.CALCULATED),
    life_planned=LIFE,
    hazards=("up to 400 V may remain here after unplugging",),
    fitting_notes=("Leave 3 mm above the vent.",),
)

C3_AXIAL = Judgement(
    Position(
        key(POWER, "C3"),
        marked=Marked(4.7e-3, 16.0, text="4700/16"),
        documented=Documented(5e-3, 15.0),
        body=Body(Kind.WET_ALUMINIUM, Mounting.AXIAL, 16.0, 40.0, 45.0, x_mm=95.0, y_mm=22.0),
        polarity=Polarity("nearer C2", PlusAt.MARK_A, PlusAt.A, PlusAt.RAIL_A, NetBy.SCHEMATIC),
        role=Role.RESERVOIR,
        rail="+5 V",
        conditions=frozenset({Condition.LEAKED, Condition.CORRODED_JOINT}),
        photo="P1003",
    ),
    Decision.REPLACE,
    Decision.REPLACE,
    (because("leaked", "condition-leak"),),
    8.0,
    requirements=volts(16.0, 8.6),
    orientation=Orientation("Plus to the pad nearer C2. Minus to the other pad.", plus_at=PlusAt.A),
    specification=Specification(
        4.7e-3,
        (4.2e-3, 7.0e-3),
        16.0,
        ("wet aluminium",),
        "axial",
        105.0,
        2000.0,
        105.0,
        (45.0,),
        18.0,
        42.0,
        lead_diameter_max_mm=0.9,
        ripple_current_a=2.4,
        ripple_frequency_hz=100.0,
    ),
    life_planned=LIFE,
    fitting_notes=(
        "Sleeve both leads; the body lies flat.",
        "Or a radial part lying down: insulate, form and fix it.",
    ),
)

C4_NEGATIVE = Judgement(
    Position(
        key(POWER, "C4"),
        marked=Marked(1e-3, 16.0, text="1000µF 16V"),
        body=Body(Kind.WET_ALUMINIUM, Mounting.RADIAL, 10.0, 20.0, 5.0, x_mm=120.0, y_mm=55.0),
        polarity=Polarity("nearer R12", PlusAt.OTHER, PlusAt.OTHER, PlusAt.OTHER, NetBy.METER),
        role=Role.REGULATOR_OUTPUT,
        rail="-12 V",
        conditions=frozenset({Condition.SOUND}),
        photo="P1004",
    ),
    Decision.REPLACE,
    Decision.REPLACE,
    (because("as old as its leaking neighbours", "age-and-heat"),),
    5.0,
    requirements=volts(16.0, 12.1),
    orientation=Orientation(
        "Minus to the pad nearer R12, which is on −12 V. "
        "Plus to the other pad, which is ground: this rail is negative.",
        plus_at=PlusAt.OTHER,
    ),
    specification=Specification(
        1e-3,
        (8e-4, 1.5e-3),
        16.0,
        ("wet aluminium",),
        "radial",
        105.0,
        2000.0,
        105.0,
        (5.0,),
        10.0,
        22.0,
    ),
    life_planned=LIFE,
)

C5_STOP = Judgement(
    Position(
        key(POWER, "C5"),
        marked=Marked(1e-3, 16.0, text="1000µF 16V"),
        body=Body(Kind.WET_ALUMINIUM, Mounting.RADIAL, 10.0, 20.0, 5.0, x_mm=138.0, y_mm=55.0),
        polarity=Polarity("nearer R14", PlusAt.A, PlusAt.OTHER, PlusAt.NOT_SEEN),
        role=Role.REGULATOR_OUTPUT,
        rail="+12 V",
        photo="P1005",
    ),
    Decision.STOP,
    Decision.REPLACE,
    (because("the silkscreen and the old part disagree", "polarity-conflict"),),
    9.0,
    requirements=volts(16.0, 12.1),
    orientation=Orientation(
        None,
        ("The silkscreen says plus nearer R14; the part found sits the other way.",),
        ("the net's polarity by meter",),
    ),
    stops=(
        "Polarity: the silkscreen says plus nearer R14, the part found sits the other way. "
        "Measure which pad is ground before fitting.",
    ),
    specification=C4_NEGATIVE.specification,
)

C6_SOLDER_SIDE = Judgement(
    Position(
        key(POWER, "C6"),
        marked=Marked(4.7e-5, 25.0, text="47 25V"),
        body=Body(Kind.WET_ALUMINIUM, Mounting.SMD_CAN, 6.3, 5.4, face=Face.SOLDER_SIDE, x_mm=70.0, y_mm=80.0),
        polarity=Polarity("top", PlusAt.NOT_SEEN, PlusAt.A, PlusAt.A, NetBy.METER),
        role=Role.DECOUPLING,
        rail="+12 V",
    ),
    Decision.REPLACE,
    Decision.REPLACE,
    (because("a family known to leak", "era-leak"),),
    6.0,
    orientation=Orientation("Plus to the top pad.", plus_at=PlusAt.A),
    specification=Specification(
        4.7e-5,
        (4.7e-5, 6.8e-5),
        25.0,
        ("wet aluminium",),
        "SMD can",
        105.0,
        diameter_max_mm=6.3,
        height_max_mm=5.8,
    ),
)

C7_REFORM = Judgement(
    Position(
        key(POWER, "C7", "A"),
        marked=Marked(2.2e-2, 40.0, text="22000µF 40V", date_code="8114", year=1981),
        body=Body(Kind.WET_ALUMINIUM, Mounting.SCREW, 35.0, 80.0, 12.7, x_mm=138.0, y_mm=24.0),
        polarity=Polarity("red dot", PlusAt.A, PlusAt.A, PlusAt.A, NetBy.METER),
        role=Role.RESERVOIR,
        conditions=frozenset({Condition.SOUND}),
    ),
    Decision.REFORM,
    Decision.REFORM,
    (because("a sound screw can, idle for years", "reform-screw"),),
    4.0,
    orientation=Orientation("Plus to the terminal with the red dot.", plus_at=PlusAt.A),
)

C8_FILM = Judgement(
    Position(
        key(POWER, "C8"),
        marked=Marked(1e-7, 100.0, text="0.1 100V"),
        body=Body(Kind.FILM, Mounting.RADIAL, 7.0, 10.0, 10.0, x_mm=95.0, y_mm=75.0),
        role=Role.DECOUPLING,
    ),
    Decision.KEEP,
    Decision.KEEP,
    (because("film does not dry out", "keep-film"),),
    0.1,
)

L1_TANTALUM = Judgement(
    Position(
        key(LOGIC, "C1"),
        marked=Marked(1e-5, 16.0, text="10 16+"),
        body=Body(Kind.SOLID_TANTALUM, Mounting.RADIAL, 5.0, 9.0, 2.5),
        polarity=Polarity("nearer U7", PlusAt.A, PlusAt.A, PlusAt.RAIL_A, NetBy.SCHEMATIC),
        role=Role.DECOUPLING,
        rail="+12 V",
        zone="upper left, between U7 and the edge connector",
    ),
    Decision.REPLACE,
    Decision.REPLACE,
    (because("dipped tantalum on a stiff rail", "tantalum-rail"),),
    7.0,
    orientation=Orientation(
        "Plus to the pad nearer U7. The old part's stripe marks plus; a wet part's stripe marks minus.",
        plus_at=PlusAt.A,
    ),
    specification=Specification(
        1e-5,
        (1e-5, 2.2e-5),
        25.0,
        ("wet aluminium", "solid tantalum"),
        "radial",
        105.0,
        lead_spacings_mm=(2.5, 2.0),
        diameter_max_mm=6.3,
        height_max_mm=12.0,
        notes=("A tantalum needs 35 V here, a wet part 25 V.",),
    ),
    fitting_notes=("Marks: tantalum stripe = plus, wet aluminium stripe = minus.",),
)

L2_LEAKED = Judgement(
    Position(
        key(LOGIC, "C2"),
        marked=Marked(4.7e-6, 35.0, text="=4,7/35"),
        body=Body(Kind.WET_ALUMINIUM, Mounting.RADIAL, 5.0, 11.0, 2.0),
        polarity=Polarity("nearer U3", PlusAt.A, PlusAt.A, PlusAt.A, NetBy.METER),
        role=Role.COUPLING,
        conditions=frozenset({Condition.LEAKED, Condition.CRUST}),
        zone="behind the keyboard plug",
        note='=HYPERLINK("http://example.invalid","see here") <b>crust</b>',
    ),
    Decision.REPLACE,
    Decision.REPLACE,
    (because("leaked", "condition-leak"),),
    6.5,
    orientation=Orientation("Plus to the pad nearer U3.", plus_at=PlusAt.A),
    specification=Specification(
        4.7e-6,
        (4.7e-6, 5.6e-6),
        35.0,
        ("wet aluminium",),
        "radial",
        105.0,
        lead_spacings_mm=(2.0,),
        diameter_max_mm=5.0,
        height_max_mm=12.0,
    ),
)

L3_EMPTY = Judgement(
    Position(
        key(LOGIC, "C3"), conditions=frozenset({Condition.EMPTY_BY_DESIGN}), zone="beside U3", note="never fitted"
    ),
    Decision.KEEP,
    Decision.KEEP,
    (because("empty by design", "empty-by-design"),),
    0.0,
)


L4_UNKNOWN = Judgement(
    Position(key(LOGIC, "C4"), marked=Marked(text="?? µF", legible=Legible.NO), zone="under the shield"),
    Decision.STOP,
    Decision.MEASURE,
    (because("nothing can be read", "marking-illegible"),),
    3.0,
    not_assessed=(
        NotAssessed("voltage-derating", ("rated voltage", "working voltage", "rail")),
        NotAssessed("capacitance-window", ("capacitance", "role")),
    ),
    orientation=Orientation(None, missing=("the position's pad A", "the net")),
    stops=("The marking cannot be read: take the part out, measure it, and look in the schematic.",),
)

L5_MEASURE = Judgement(
    Position(
        key(LOGIC, "C5"),
        marked=Marked(4.7e-7, 50.0, text="0.47/50"),
        body=Body(Kind.WET_ALUMINIUM, Mounting.RADIAL, 5.0, 11.0, 2.0),
        role=Role.TIMING,
        zone="beside the oscillator",
        conditions=frozenset({Condition.SOUND}),
    ),
    Decision.MEASURE,
    Decision.MEASURE,
    (because("sound, timing: measure first", "measure-timing"),),
    2.0,
)

L6_NON_POLAR = Judgement(
    Position(
        key(LOGIC, "C6"),
        marked=Marked(2.2e-6, 50.0, text="2.2µF 50V NP"),
        body=Body(Kind.NON_POLAR_ALUMINIUM, Mounting.RADIAL, 6.3, 11.0, 2.5),
        role=Role.COUPLING,
        zone="at the jack",
        conditions=frozenset({Condition.MISSING}),
    ),
    Decision.REPLACE,
    Decision.REPLACE,
    (because("the part is missing", "condition-missing"),),
    2.5,
    orientation=Orientation("No polarity: either way round."),
    specification=Specification(
        2.2e-6,
        (2.2e-6, 2.7e-6),
        50.0,
        ("non-polar aluminium", "film"),
        "radial",
        85.0,
        lead_spacings_mm=(2.5, 5.0),
    ),
)

JUDGEMENTS = (
    C1_MAINS,
    C2_PRIMARY,
    C3_AXIAL,
    C4_NEGATIVE,
    C5_STOP,
    C6_SOLDER_SIDE,
    C7_REFORM,
    C8_FILM,
    L1_TANTALUM,
    L2_LEAKED,
    L3_EMPTY,
    L4_UNKNOWN,
    L5_MEASURE,
    L6_NON_POLAR,
)

PROBLEMS = (
    Problem(
        "polarity-conflict",
        "the silkscreen and the part found disagree",
        Location("x.xlsx", "Capacitors", "A9"),
        hint="measure which pad is ground",
    ),
    Problem("kept-column", "nothing reads this column", value="Colour", severity=Severity.NOTE),
)


def sample_plan() -> Plan:
    """Return the plan."""
    unit = Unit(
        UNIT,
        serial="0042",
        year_made=1982,
        mains_voltage_v=230.0,
        mains_frequency_hz=50.0,
        chassis_isolated=Tristate.UNKNOWN,
        assumed=frozenset({"use_h_per_year", "years_wanted"}),
        boards=(
            Board(
                POWER,
                "B",
                width_mm=160.0,
                height_mm=100.0,
                silkscreen_mark="white half",
                mark_meaning=MarkMeaning.PLUS,
                verified_how="meter to ground at C2",
            ),
            Board(LOGIC, description="keyboard and video"),
        ),
        rails=(
            Rail("+5 V", POWER, (LOGIC,), 5.0, supply=SupplyKind.LINEAR_REGULATED),
            Rail("+12 V", POWER, (LOGIC,), 12.0),
            Rail("-12 V", POWER, (LOGIC,), -12.0),
        ),
    )
    positions = tuple(judgement.position for judgement in JUDGEMENTS)
    inspection = Inspection(
        ("halden.xlsx",),
        (unit,),
        positions,
        left_out=(LeftOut(Location("halden.xlsx", "Capacitors", "A20"), "=?", "no designator"),),
        rows_in=len(positions) + 1,
    )
    specs = {judgement.key: judgement.specification for judgement in JUDGEMENTS}
    lines = []
    groups = (
        (C2_PRIMARY,),
        (C3_AXIAL,),
        (C4_NEGATIVE, C5_STOP),
        (L1_TANTALUM,),
        (L2_LEAKED,),
        (L6_NON_POLAR,),
        (C6_SOLDER_SIDE,),
        (C1_MAINS,),
    )
    for number, members in enumerate(groups, start=1):
        specification = specs[members[0].key]
        assert specification is not None
        lines.append(
            OrderLine(
                f"L{number:02}",
                specification,
                tuple(member.key for member in members),
                len(members),
                1,
                merge_notes=("C4 asks for at most 22 mm height, C5 for 25 mm.",) if len(members) > 1 else (),
                may_differ=("rated voltage higher, if it still fits", "temperature higher"),
            )
        )
    work = (
        BoardWork(
            UNIT,
            POWER,
            (C5_STOP,),
            (C1_MAINS, C2_PRIMARY, C3_AXIAL, C4_NEGATIVE, C6_SOLDER_SIDE, C7_REFORM),
            (C8_FILM,),
        ),
        BoardWork(
            UNIT, LOGIC, (L4_UNKNOWN,), (L1_TANTALUM, L2_LEAKED, L5_MEASURE, L6_NON_POLAR), (), (L3_EMPTY.position,)
        ),
    )
    sundries = (
        Sundry("solder, 60/40 or 63/37 tin-lead", "1 reel", "the boards were made with leaded solder"),
        Sundry("heat-shrink sleeving", "1 m", "axial leads"),
        Sundry("discharge resistor, 2.2 kΩ 10 W wire-wound", "1", "stored charge at C2"),
    )
    return Plan(
        inspection,
        "careful",
        (("tantalum on rails", "replace"), ("axial by radial", "with conditions")),
        JUDGEMENTS,
        tuple(lines),
        sundries,
        work,
    )


def hostile_plan() -> Plan:
    """Return the plan with names that must not reach a path, a formula or a page's markup."""
    plan = sample_plan()
    name = '../..\\CON <script>alert("x")</script>'

    def renamed(judgements: tuple[Judgement, ...]) -> tuple[Judgement, ...]:
        return tuple(
            replace(each, position=replace(each.position, key=each.key._replace(unit=name))) for each in judgements
        )

    work = tuple(
        replace(
            work,
            unit=name,
            board="=cmd|' /C calc'!A0",
            stops=renamed(work.stops),
            steps=renamed(work.steps),
            left_alone=renamed(work.left_alone),
        )
        for work in plan.work
    )
    unit = replace(plan.inspection.units[0], name=name)
    inspection = replace(plan.inspection, units=(unit,))
    return replace(plan, inspection=inspection, judgements=renamed(plan.judgements), work=work)
