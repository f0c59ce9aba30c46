"""Units of the formulas: every parameter states one that pint knows, and results scale as their units say.

The second check is dimensional analysis by trial. The sizes of volt, ampere, second, millimetre and kelvin are
changed by arbitrary factors; a formula that is dimensionally right then gives its old result times the factor of
its own unit, whatever it computes inside.
"""

import importlib
import inspect
import pkgutil
import re

import numpy as np
import pint
import pytest

import recap.formulas

UREG = pint.UnitRegistry()
_PARAMETER = re.compile(r"((?:[a-z][a-z_0-9]*(?:, |\b))+) ?\[([^\]\n]+)\]")
_DIMENSIONLESS = ("1", "–")
_NO_NUMBER = {
    "row", "equation", "part", "duty", "models", "conditions", "keep_models", "lines", "limits", "topology",
    "circuit", "rows", "sets", "style", "components", "lamp",
}  # fmt: skip
"""Parameters that are records, tables or words."""
_RESULT = {"_v": "V", "_a": "A", "_w": "W", "_ohm": "ohm", "_f": "F", "_s": "s", "_j": "J", "_k": "K", "_cm2": "cm**2"}
_EMPIRICAL = {
    "root_leakage_limit_a": "the factor is given for 1 µF·V",
    "ripple_for_rise_a": "the heat transfer's exponent is empirical",
    "can_surface_cm2": "turns millimetres into square centimetres",
}


def formulas():
    for module in pkgutil.iter_modules(recap.formulas.__path__):
        loaded = importlib.import_module(f"recap.formulas.{module.name}")
        for name, function in sorted(vars(loaded).items()):
            if inspect.isfunction(function) and function.__module__ == loaded.__name__ and not name.startswith("_"):
                yield pytest.param(function, id=f"{module.name}.{name}")


def stated_units(function):
    found = {}
    for names, unit in _PARAMETER.findall(inspect.getdoc(function) or ""):
        found.update(dict.fromkeys((name.strip() for name in names.split(",")), unit))
    return {name: found.get(name) for name in inspect.signature(function).parameters if name not in _NO_NUMBER}


def pint_unit(text):
    parsed = UREG.parse_expression("1" if text in _DIMENSIONLESS else text)
    return parsed.units if isinstance(parsed, pint.Quantity) else UREG.dimensionless


@pytest.mark.parametrize("function", list(formulas()))
def test_every_parameter_states_a_unit_that_pint_knows(function):
    for name, unit in stated_units(function).items():
        assert unit, f"{name} has no unit"
        pint_unit(unit)


def result_unit(function):
    return next((unit for ending, unit in _RESULT.items() if function.__name__.endswith(ending)), None)


def scalable():
    for parameter in formulas():
        function = parameter.values[0]
        units = stated_units(function)
        parameters = inspect.signature(function).parameters
        plain = set(units) == set(parameters) and not any(p.kind is p.VAR_POSITIONAL for p in parameters.values())
        steady = not {"degC", "eV"} & set(units.values())
        if plain and steady and result_unit(function) and function.__name__ not in _EMPIRICAL:
            yield parameter


SCALES = {"[length]": 3.0, "[mass]": 0.7, "[time]": 1.7, "[current]": 2.3, "[temperature]": 1.3}


def scale_of(unit):
    powers = pint_unit(unit).dimensionality
    return float(np.prod([SCALES[dimension] ** power for dimension, power in powers.items()]))


@pytest.mark.parametrize("function", list(scalable()))
def test_results_scale_as_their_units_say(function):
    units, draw = stated_units(function), np.random.default_rng(7)
    tried = 0
    for _ in range(60):
        values = {name: float(draw.uniform(0.05, 3.0)) for name in units}
        try:
            plain = np.asarray(function(**values), float)
            scaled = np.asarray(function(**{n: v * scale_of(units[n]) for n, v in values.items()}), float)
        except (ValueError, TypeError):
            continue  # outside the formula's range, or a whole number is wanted
        if not np.all(np.isfinite(plain)) or not np.any(plain):
            continue
        tried += 1
        np.testing.assert_allclose(scaled, plain * scale_of(result_unit(function)), rtol=1e-9)
    assert tried >= 3, "no values within the formula's range were drawn"


def test_enough_formulas_are_held_to_their_dimensions():
    assert len(list(scalable())) >= 25
