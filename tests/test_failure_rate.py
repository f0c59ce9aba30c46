"""Random failures by the handbook's two editions, and switched off."""

import pytest

from recap.formulas.failure_rate import base_rate_217f, base_rate_notice_2, dormant_failure_rate, failure_rate
from recap.ruledata import table
from tests.handbook_factors import equation

# Computed for the evidence from the restated equation, 85 °C class: temperature, then stress .1 .3 .5 .7 .9
CU_85 = {
    0.0: (0.0095, 0.0115, 0.0189, 0.0353, 0.0645),
    20.0: (0.0166, 0.0200, 0.0329, 0.0616, 0.1125),
    40.0: (0.0345, 0.0416, 0.0684, 0.128, 0.234),
    60.0: (0.0886, 0.107, 0.176, 0.329, 0.601),
}
CE_40 = (0.0179, 0.0207, 0.0312, 0.0546, 0.0960)
STRESSES = (0.1, 0.3, 0.5, 0.7, 0.9)


def factor(edition: str, style: str, kind: str, name: str) -> float:
    rows = table("failure_rate_factors")
    wanted = (edition, style, kind, name)
    return next(float(r["value"]) for r in rows if (r["edition"], r["style"], r["kind"], r["name"]) == wanted)


@pytest.mark.parametrize("temperature_c", CU_85)
def test_cu_base_rates_of_the_1991_edition(temperature_c: float) -> None:
    cu = equation("217F", "cu")
    found = [base_rate_217f(temperature_c, stress, 85.0, cu) for stress in STRESSES]
    assert found == pytest.approx(CU_85[temperature_c], rel=0.006)


def test_ce_has_a_fixed_reference_temperature() -> None:
    ce = equation("217F", "ce")
    found = [base_rate_217f(40.0, stress, 105.0, ce) for stress in STRESSES]
    assert found == pytest.approx(CE_40, rel=0.005)
    assert base_rate_217f(40.0, 0.5, 85.0, ce) == base_rate_217f(40.0, 0.5, 125.0, ce)


def test_the_editions_differ_four_to_tenfold() -> None:
    def rate(edition: str, style: str) -> float:
        constants = equation(edition, style)
        base = (
            base_rate_217f(40.0, 0.6, 85.0, constants)
            if edition == "217F"
            else base_rate_notice_2(40.0, 0.6, constants)
        )
        quality, fixed = (factor(edition, style, *each) for each in (("quality", "commercial"), ("environment", "GF")))
        return failure_rate(base, 1000e-6, quality, fixed, constants)

    assert rate("217F", "cu") == pytest.approx(2.20, rel=0.005)
    assert rate("217F", "ce") == pytest.approx(0.97, rel=0.005)
    assert rate("217F-2", "cu") == pytest.approx(0.226, rel=0.01)


def test_switched_off_only_frequent_cycling_counts() -> None:
    assert dormant_failure_rate(0.0064, 1.0, 0.2, 0.16, 0.3) == 0.0064
    assert dormant_failure_rate(0.0064, 1.0, 0.3, 0.16, 0.3) == pytest.approx(0.0064 * 1.048)
    assert dormant_failure_rate(0.0064, 1.0, 1.0, 0.16, 0.3) == pytest.approx(0.0064 * 1.16)
