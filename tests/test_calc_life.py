"""`recap calc life` as a user runs it."""

import json

import pytest
from click.testing import CliRunner

from recap.cli.calc.life import command
from recap.problems import RecapError
from recap.sources import bibliography

BASE = ["--endurance", "2000h", "--rated-temperature", "105C"]


def run(*options: str) -> dict:
    done = CliRunner().invoke(command, [*BASE, *options, "--json"], catch_exceptions=False)
    assert done.exit_code == 0, done.output
    return json.loads(done.stdout)


def refused(*options: str) -> str:
    done = CliRunner().invoke(command, [*BASE, *options])
    assert done.exit_code != 0
    if isinstance(done.exception, RecapError):
        assert done.exception.exit_code == 2
        return str(done.exception)
    assert done.exit_code == 2
    return done.output


def test_fields_of_the_result() -> None:
    result = run("--ambient", "65C")["result"]
    assert set(result["estimated_life_h"]) == set(result["uncapped_h"]) == {"low", "nominal", "high"}
    assert result["uncapped_h"]["nominal"] == 32000.0
    assert result["ceiling_h"] == 131400.0
    assert result["core_temperature_c"] is None
    assert result["endurance_basis"] == "endurance"
    assert "equivalent_ambient_c" not in result
    assert result["clamps"] == []
    assert {model["id"] for model in result["models"]} >= {"T1", "T4 12 K", "T3 0.83 eV"}
    named = {model["source"] for model in result["models"]}
    named |= {source for model in result["models"] for source in model["further_sources"]}
    assert named <= set(bibliography())


def test_known_ripple_gives_a_core_temperature_and_names_the_ripple_model() -> None:
    result = run("--ambient", "65C", "--rated-ripple", "1A@120Hz", "--ripple", "0.5A@120Hz")["result"]
    assert result["core_temperature_c"] == 66.25
    assert result["ripple_at_rating_a"] == 0.5
    assert result["models"][0]["id"] == "T1+R2"


def test_several_frequencies_are_summed_through_the_class() -> None:
    # 048 RML, 63 V: 1.6 from 10 kHz on; 136 RVI, 63 V, up to 12.5 mm: 0.35 at 100 Hz
    low = ["--rated-voltage", "63V", "--rated-ripple", "1A@100Hz", "--ripple", "0.3A@100Hz", "--ripple", "0.64A@50kHz"]
    assert run("--ambient", "65C", *low)["result"]["ripple_at_rating_a"] == pytest.approx(0.5)
    high = ["--rated-voltage", "63V", "--rated-ripple", "1A@100kHz", "--ripple", "0.35A@100Hz"]
    assert run("--ambient", "65C", *high)["result"]["ripple_at_rating_a"] == pytest.approx(1.0)


def test_the_parts_own_multipliers_come_first() -> None:
    own = ["--rated-ripple", "1A@120Hz", "--ripple", "0.7A@20kHz", "--multiplier", "1.4@20kHz"]
    answer = run("--ambient", "65C", *own)
    assert answer["result"]["ripple_at_rating_a"] == pytest.approx(0.5)
    assert answer["problems"] == []


def test_an_unknown_voltage_takes_the_cautious_multiplier_and_says_so() -> None:
    answer = run("--ambient", "65C", "--rated-ripple", "1A@100Hz", "--ripple", "0.6A@20kHz")
    assert answer["result"]["ripple_at_rating_a"] == pytest.approx(0.6 / 1.2)
    assert [problem["code"] for problem in answer["problems"]] == ["multiplier-class-wide"]


def test_one_missing_frequency_is_taken_as_the_others_and_said() -> None:
    answer = run("--ambient", "65C", "--rated-ripple", "1A", "--ripple", "0.5A@100kHz")
    assert answer["result"]["ripple_at_rating_a"] == 0.5
    assert [problem["code"] for problem in answer["problems"]] == ["ripple-frequency-missing"]


def test_duty_has_an_equivalent_ambient() -> None:
    result = run("--duty", "8h@45C,8h@55C")["result"]
    assert result["uncapped_h"]["nominal"] == pytest.approx(16 / (8 / 128000 + 8 / 64000))
    assert 50.0 < result["equivalent_ambient_c"] < 55.0


def test_a_case_temperature_stands_for_the_ambient() -> None:
    # Rubycon's ratio for 16 mm is 1.2; the core rises 5 K · 1.2² at 1.2 times the rating
    known = ["--rated-ripple", "1A", "--ripple", "1.2A", "--diameter", "16mm"]
    assert run("--case-temperature", "66C", *known)["result"]["ambient_temperature_c"] == pytest.approx(60.0)
    plain_case = run("--case-temperature", "65C")["result"]
    assert plain_case["ambient_temperature_c"] == 65.0
    assert plain_case["uncapped_h"] == run("--ambient", "65C")["result"]["uncapped_h"]
    widest = run("--case-temperature", "66C", *known[:4], "--diameter", "40mm")["result"]
    assert widest["ambient_temperature_c"] == pytest.approx(66.0 - 7.2 / 1.6)


def test_no_ripple_at_all_is_known_ripple() -> None:
    result = run("--ambient", "65C", "--rated-ripple", "1A@120Hz", "--ripple", "0A@120Hz")["result"]
    assert result["core_temperature_c"] == 65.0
    assert result["uncapped_h"]["nominal"] == pytest.approx(32000.0 * 2**0.5)


def test_cool_air_reads_at_least_and_the_ceiling_holds() -> None:
    answer = run("--ambient", "20C")
    assert [clamp["id"] for clamp in answer["result"]["clamps"]] == ["floor-ambient", "ceiling"]
    assert answer["result"]["estimated_life_h"]["nominal"] == 131400.0
    assert answer["result"]["uncapped_h"] == run("--ambient", "40C")["result"]["uncapped_h"]
    text = CliRunner().invoke(command, [*BASE, "--ambient", "20C"]).output
    assert "at least 131,000 h (15 years) nominal" in text


def test_years_at_hours_of_use_stop_at_the_age_of_the_seal() -> None:
    result = run("--ambient", "85C", "--hours-per-year", "2000h")["result"]
    assert result["years"]["nominal"] == pytest.approx(4.0)
    assert run("--ambient", "85C", "--hours-per-year", "200h")["result"]["years"]["nominal"] == 15.0


def test_beyond_the_rating_is_a_warning() -> None:
    answer = run("--ambient", "110C", "--rated-voltage", "16V", "--voltage", "20V")
    assert [problem["code"] for problem in answer["problems"]] == ["above-rated-temperature", "above-rated-voltage"]


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ([], "one of an ambient temperature, a duty"),
        (["--ambient", "55C", "--duty", "8h@45C"], "one of an ambient temperature, a duty"),
        (["--ambient", "warm"], "is not a number"),
        (["--ambient", "900C"], "between −60 and 250"),
        (["--ambient", "55C", "--ripple", "1A"], "needs the rated ripple"),
        (["--ambient", "55C", "--voltage", "12V"], "needs the rated voltage"),
        (["--duty", "8h"], "write stages as"),
        (["--ambient", "55C", "--rated-ripple", "1A", "--ripple", "1A@100Hz", "--ripple", "1A@1kHz"], "lacks its"),
        (["--ambient", "55C", "--rated-ripple", "0A", "--ripple", "0A"], "must be above zero"),
        (["--ambient", "55C", "--rated-ripple", "1A", "--ripple", "-1A"], "must be above zero"),
        (["--ambient", "55C", "--rated-ripple", "1A@1kHz", "--ripple", "1A", "--multiplier", "1.2"], "lacks its"),
        (["--ambient", "55C", "--style", "button"], "Invalid value"),
    ],
)
def test_wrong_input_is_refused_with_a_reason(options: list[str], message: str) -> None:
    assert message in refused(*options)
