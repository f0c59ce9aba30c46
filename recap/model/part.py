"""A part as a catalogue or a text describes it; None wherever it does not say."""

from __future__ import annotations

from dataclasses import dataclass, field

from recap.problems import Location


@dataclass(frozen=True, slots=True)
class PriceBreak:
    """From so many pieces on, each costs this much."""

    quantity: int
    unit_price: float


@dataclass(frozen=True, slots=True)
class Part:
    """One orderable part. Ripple and ESR always go with their frequency, endurance with its temperature."""

    mpn: str = ""
    maker: str = ""
    series: str = ""
    kind: str | None = None
    mounting: str | None = None
    bipolar: bool | None = None
    capacitance_f: float | None = None
    tolerance: tuple[float, float] | None = None
    """Signed fractions, low then high."""
    rated_voltage_v: float | None = None
    ac_voltage_v: float | None = None
    safety_class: str = ""
    lower_category_temperature_c: float | None = None
    upper_category_temperature_c: float | None = None
    endurance_h: float | None = None
    endurance_temperature_c: float | None = None
    endurance_basis: str = ""
    ripple_low_a: float | None = None
    ripple_low_hz: float | None = None
    ripple_high_a: float | None = None
    ripple_high_hz: float | None = None
    esr_low_ohm: float | None = None
    esr_low_hz: float | None = None
    esr_high_ohm: float | None = None
    """ESR, or the impedance that a maker gives in its stead, at a high frequency."""
    esr_high_hz: float | None = None
    dissipation_factor: float | None = None
    """At 100 or 120 Hz, as data sheets state it; the largest that the maker allows."""
    leakage_a: float | None = None
    diameter_mm: float | None = None
    length_mm: float | None = None
    lead_spacing_mm: float | None = None
    lead_diameter_mm: float | None = None
    seller: str = ""
    order_code: str = ""
    package_quantity: int | None = None
    minimum_quantity: int | None = None
    multiple: int | None = None
    price_breaks: tuple[PriceBreak, ...] = ()
    currency: str = ""
    stock: int | None = None
    from_drawer: bool = False
    """The user's own stock: limited, and free."""
    date_code: str = ""
    status: str = ""
    """What the seller says of its future, such as obsolete."""
    measured_capacitance_f: float | None = None
    weight_g: float | None = None
    link: str = ""
    text: str = ""
    location: Location = field(default=Location())
