"""A mains supply beside its steady state: the rush of switching on, and the time that it carries its load alone."""

from __future__ import annotations

import math
from typing import Any

from recap.formulas.holdup import hold_up_time_s
from recap.formulas.inrush import inrush_change, inrush_i2t_a2s, inrush_peak_a
from recap.formulas.rectifier import TOPOLOGIES, RectifierState
from recap.units import farads, plain, si, volts


def switching_on(
    supply: str,
    rms_v: float,
    value_f: float,
    path_ohm: float,
    drop_v: float,
    original_f: float | None,
) -> tuple[dict[str, Any], list[str]]:
    """Return peak and I²t of charging the empty reservoir, and the change against the original value.

    `path_ohm` holds everything in the charging path: source, diodes and ESR. At nominal mains, switched on at the
    crest; a doubler charges one of its two at a time.
    """
    crest_v = max(rms_v * math.sqrt(2) - TOPOLOGIES[supply].diodes_in_series * drop_v, 0.0)
    peak_a = float(inrush_peak_a(crest_v, path_ohm)) if path_ohm > 0 else None
    i2t = float(inrush_i2t_a2s(value_f, crest_v, path_ohm)) if path_ohm > 0 else None
    # With the same ESR before and after, the resistance of the path does not count.
    ratio = None if original_f is None else float(inrush_change(original_f, value_f, 1.0).i2t)
    lines = []
    if peak_a is not None and i2t is not None:
        lines.append(
            f"  switching on at the crest into the empty reservoir: at most {si(peak_a, 'A')}, I²t at most "
            f"{plain(i2t, 3)} A²s for rectifier, fuse and switch, at nominal mains"
        )
    if ratio is not None and original_f is not None:
        lines.append(
            f"  against the original {farads(original_f)}: I²t of switching on {plain(ratio, 3)} times, "
            "peak unchanged by the value alone (a lower ESR raises both)"
        )
    return {"inrush_peak_a": peak_a, "inrush_i2t_a2s": i2t, "inrush_i2t_ratio": ratio}, lines


def hold_up(
    supply: str, value_f: float, esr_ohm: float, state: RectifierState, watts: float, end_v: float
) -> tuple[float, str]:
    """Return how long the reservoir carries its load after the mains fails in the trough of the ripple."""
    stack = TOPOLOGIES[supply].stack
    trough_v = float(state.highest_v) - float(state.ripple_vpp)
    power_w = watts or float(state.dc_v) * float(state.load_current_a)
    seconds = float(hold_up_time_s(value_f / stack, trough_v, end_v, power_w, esr_ohm * stack))
    return seconds, (
        f"  without mains from the trough at {volts(trough_v)} down to {volts(end_v)} with {si(power_w, 'W')}: "
        f"{si(seconds, 's')}; reckon with the value left at the end of life, and with low mains"
    )
