"""The handbook's factors one by one, as its tables print them, from the equations of the rule data."""

from recap.formulas.failure_rate import RateEquation, base_rate_notice_2, failure_rate, rate_equation
from recap.ruledata import table


def equation(edition: str, style: str) -> RateEquation:
    rows = table("failure_rate_equations")
    return next(rate_equation(row) for row in rows if (row["edition"], row["style"]) == (edition, style))


NOTICE_2 = equation("217F-2", "cu")


def notice_2_temperature_factor(temperature_c: float) -> float:
    return base_rate_notice_2(temperature_c, 0.0, NOTICE_2) / NOTICE_2.base_per_1e6_h


def notice_2_voltage_factor(stress: float) -> float:
    return base_rate_notice_2(NOTICE_2.reference_c, stress, NOTICE_2) / NOTICE_2.base_per_1e6_h


def notice_2_capacitance_factor(capacitance_uf: float) -> float:
    return failure_rate(1.0, capacitance_uf * 1e-6, 1.0, 1.0, NOTICE_2)
