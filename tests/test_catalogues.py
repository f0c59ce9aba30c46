"""Parts catalogues: headings, units, price layouts, problems with their address, the cache, the invented examples."""

import json

import numpy as np
import openpyxl
import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator
from referencing import Registry, Resource

from recap.cli import recap
from recap.parts import reading
from recap.parts.catalogue import Catalogue
from recap.parts.headings import match
from recap.parts.numerals import decimal_mark
from recap.parts.reading import read_catalogues
from recap.problems import RecapError, UnreadableFile
from recap.sources import data_folder
from tests.make_catalogue import EXAMPLES, FILES


@pytest.fixture(autouse=True)
def _own_cache(tmp_path_factory, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))


def catalogue(tmp_path, text, name="parts.csv", **options):
    path = tmp_path / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_catalogues([path], **options)


def only_part(tmp_path, text, **options):
    found, problems = catalogue(tmp_path, text, **options)
    assert len(found) == 1
    return found.part(0), problems


def validator(name):
    schemas = {path.name: json.loads(path.read_text("utf-8")) for path in (data_folder() / "schemas").glob("*.json")}
    registry = Registry().with_resources([(key, Resource.from_contents(value)) for key, value in schemas.items()])
    return Draft202012Validator(schemas[name], registry=registry)


@pytest.mark.parametrize(
    ("heading", "field", "unit", "frequency", "quantity"),
    [
        ("Ripple mA 120Hz", "ripple", "mA", 120.0, None),
        ("Ripple current (mA) @105°C 100kHz", "ripple", "mA", 100e3, None),
        ("ESR (Ω) @ 120 Hz 20°C", "esr", "Ω", 120.0, None),
        ("Z max 100 kHz 20 °C Ω", "impedance", "Ω", 100e3, None),
        ("Capacitance µF", "capacitance", "µF", None, None),
        ("nF", "capacitance", "nF", None, None),
        ("ØD mm", "diameter_mm", "mm", None, None),
        ("Price 10", "price", "", None, 10.0),
        ("Price EUR 100+", "price", "", None, 100.0),
        ("1,000+", "price", "", None, 1000.0),
        ("Unit price", "price", "", None, None),
        ("Endurance h @105°C", "endurance", "h", None, None),
    ],
)
def test_headings_with_what_they_say_besides(heading, field, unit, frequency, quantity):
    column = match(heading, {})
    assert column is not None
    assert (column.field, column.bare_unit or "", column.frequency_hz, column.break_quantity) == (
        field, unit, frequency, quantity,
    )  # fmt: skip


def test_units_in_headings_and_units_in_cells_read_alike(tmp_path):
    in_headings, _ = only_part(
        tmp_path,
        "MPN,Cap (µF),V,Ripple mA 100kHz,ESR mΩ 100kHz,Dia mm,Height mm,Life h,Temp range,Pitch mm\n"
        "A,1000,16,1200,22,10,20,5000,-40/+105,5\n",
    )
    in_cells, _ = only_part(
        tmp_path,
        "MPN;Value;Voltage;Ripple current;Impedance;Size;Lifetime @ temp;Operating temperature;Pitch\n"
        "A;1 mF;16 V;1,2 A @ 100 kHz;22 mΩ @ 100 kHz;10 x 20 mm;5000 h @ 105 °C;-40 to +105 °C;5 mm\n",
        # the two differ in nothing that counts but the temperature of the endurance, which only one states
    )
    names = ("capacitance_f", "rated_voltage_v", "ripple_high_a", "ripple_high_hz", "esr_high_ohm", "esr_high_hz",
             "diameter_mm", "length_mm", "endurance_h", "upper_category_temperature_c",
             "lower_category_temperature_c", "lead_spacing_mm")  # fmt: skip
    assert [getattr(in_headings, name) for name in names] == [getattr(in_cells, name) for name in names]
    assert in_headings.capacitance_f == 0.001
    assert in_headings.ripple_high_a == 1.2
    assert in_headings.endurance_temperature_c is None
    assert in_cells.endurance_temperature_c == 105


@pytest.mark.parametrize(
    "text",
    [
        "SKU,Cap,Price 1,Price 10,Price 100\nA,10,0.31,0.24,0.19\n",
        "SKU,Cap,Price\nA,10,1:0.31;10:0.24;100:0.19\n",
        'SKU,Cap,Price\nA,10,"1+ 0.31, 10+ 0.24, 100+ 0.19"\n',
        "SKU;Cap;Preis\nA;10;1: € 0,31 | 10: € 0,24 | 100: € 0,19\n",
        "SKU,Cap,Qty 1,Price 1,Qty 2,Price 2,Qty 3,Price 3\nA,10,1,0.31,10,0.24,100,0.19\n",
        "SKU,Cap,Price break,Price\nA,10,1,0.31\nA,10,10,0.24\nA,10,100,0.19\n",
        "SKU,Cap,100+,1+,10+\nA,10,0.19,0.31,0.24\n",
    ],
)
def test_price_layouts_come_to_the_same(tmp_path, text):
    part, _ = only_part(tmp_path, text)
    assert [(item.quantity, item.unit_price) for item in part.price_breaks] == [(1, 0.31), (10, 0.24), (100, 0.19)]


def test_rows_of_one_code_that_disagree_are_reported(tmp_path):
    found, problems = catalogue(
        tmp_path, "SKU,Cap,Price break,Price\nA,10,1,0.3\nA,22,10,0.2\nB,10,1,0.4\n"
    )  # fmt: skip
    assert len(found) == 2
    said = next(problem for problem in problems if problem.code == "catalogue-rows-disagree")
    assert said.location.cell == "A3"


def test_a_comma_is_a_decimal_mark_where_the_column_shows_it(tmp_path):
    text = "SKU;Cap;V;Unit price\nA;1.000;16;0,31\nB;4,7;16;0,12\n"
    found, _ = catalogue(tmp_path, text)
    assert found.number("capacitance_f").tolist() == pytest.approx([1e-3, 4.7e-6])
    assert decimal_mark(["1.000", "470"]) is None


def test_what_may_be_thousands_or_decimals_stays_unknown_and_asks(tmp_path):
    found, problems = catalogue(tmp_path, "SKU;Cap µF;V\nA;1.000;16\nB;470;16\n")
    assert np.isnan(found.number("capacitance_f")).tolist() == [True, False]
    said = next(problem for problem in problems if problem.code == "ambiguous")
    assert (said.location.cell, said.value) == ("B2", "1.000")


def test_a_cell_that_cannot_be_read_has_its_address_and_the_row_stays(tmp_path):
    found, problems = catalogue(tmp_path, "SKU,Cap,V,Dia mm\nA,10,16,5\nB,blue,16,5\nC,10,16,9000\n")
    assert len(found) == 3
    assert [str(p.location).rsplit(":", 1)[1] for p in problems] == ["B3", "D4"]
    assert [p.code for p in problems] == ["catalogue-cell", "out-of-range"]
    assert found.part(1).capacitance_f is None
    assert found.part(2).diameter_mm is None


def test_missing_columns_and_gaps_fail_nothing(tmp_path):
    part, problems = only_part(tmp_path, "SKU,Cap,V,ESR mΩ 100kHz\nA,,n/a,-\n")
    assert (part.capacitance_f, part.rated_voltage_v, part.esr_high_ohm) == (None, None, None)
    assert not problems


def test_a_figure_without_frequency_stays_without_one(tmp_path):
    part, _ = only_part(tmp_path, "SKU,Cap,Ripple mA,ESR mΩ\nA,10,300,50\n")
    assert (part.ripple_low_a, part.ripple_low_hz, part.ripple_high_a) == (0.3, None, None)
    assert (part.esr_low_ohm, part.esr_low_hz) == (0.05, None)


def test_a_frequency_column_goes_with_its_figure(tmp_path):
    text = "SKU,Cap,Ripple A,Ripple frequency,ESR,ESR frequency\nA,10,0.3,100 kHz,50 mΩ,100000\nB,10,0.2,120,1 Ω,120\n"
    found, _ = catalogue(tmp_path, text)
    assert found.number("ripple_high_a").tolist()[0] == 0.3
    assert found.number("ripple_low_a").tolist()[1] == 0.2
    assert (found.part(1).esr_low_ohm, found.part(1).esr_low_hz) == (1.0, 120.0)


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        ("Invented list\n\nSKU,Cap,V\n\nA,10,16\nB,10\n", [5, 6]),
        ("SKU,Cap,V\nA,10,16\n\nB,22,25\n", [2, 4]),
        ('SKU,Cap,V,Description\nA,10,16,"two\nlines"\nB,22,25,one\n', [2, 3]),
        ("SKU,Cap µF,V\nA,10,16\nB,22,25\n".encode("utf-16"), [2, 3]),
        ("SKU,Cap µF,V\nA,10,16\nB,22,25\n".encode("cp1252"), [2, 3]),
    ],
)
def test_untidy_text_tables_keep_their_rows_and_addresses(tmp_path, text, rows):
    found, _ = catalogue(tmp_path, text)
    assert [found.shelves[0].file_rows[i] for i in range(len(found))] == rows
    assert found.number("capacitance_f")[0] == pytest.approx(1e-5)


def test_a_column_that_turns_from_numbers_to_texts_is_read_again(tmp_path):
    lines = [f"S{i},{10 + i % 7},16" for i in range(1000)] + ["LAST,4u7,16"]
    found, problems = catalogue(tmp_path, "SKU,Cap,V\n" + "\n".join(lines) + "\n")
    assert len(found) == 1001
    assert found.number("capacitance_f")[-1] == pytest.approx(4.7e-6)
    assert not problems


def test_workbooks_read_like_text_tables(tmp_path):
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Stock"
    for row in (["Invented"], ["SKU", "Cap µF", "V", "Price"], ["A", 10, 16, 0.31], ["B", "4u7", "16 V", "0.2"]):
        sheet.append(row)
    book.save(tmp_path / "parts.xlsx")
    found, problems = read_catalogues([tmp_path / "parts.xlsx"])
    assert found.number("capacitance_f").tolist() == pytest.approx([1e-5, 4.7e-6])
    assert str(found.part(1).location) == f"{tmp_path / 'parts.xlsx'}:Stock!A4"
    assert not problems


def test_headings_can_be_mapped_and_a_wrong_map_is_refused(tmp_path):
    part, _ = only_part(tmp_path, "SKU,Blob,V\nA,10,16\n", headings={"Blob": "Capacitance"})
    assert part.capacitance_f == 1e-5
    with pytest.raises(RecapError, match="is no heading of a catalogue"):
        catalogue(tmp_path, "SKU,Blob\nA,10\n", headings={"Blob": "Nonsense"})


def test_files_that_are_no_catalogue_are_refused_or_reported(tmp_path):
    with pytest.raises(UnreadableFile):
        read_catalogues([tmp_path / "none.csv"])
    found, problems = catalogue(tmp_path, "hello\nworld\n")
    assert len(found) == 0
    assert [problem.code for problem in problems] == ["no-catalogue-headings"]


def test_a_stock_without_price_and_seller_is_the_drawer(tmp_path):
    found, problems = catalogue(tmp_path, "Description,Qty\n100u 25V 105C 6.3x11 P2.5 2000h alu,5\n")
    part = found.part(0)
    assert (part.from_drawer, part.stock, part.capacitance_f, part.kind) == (True, 5, 1e-4, "wet aluminium")
    assert [problem.code for problem in problems] == ["own-drawer"]
    sold, _ = catalogue(tmp_path, "SKU,Cap,Qty,Seller\nA,10,5,Kestrel (invented)\n")
    assert not sold.part(0).from_drawer


def test_several_catalogues_are_one(tmp_path):
    (tmp_path / "a.csv").write_text("SKU,Cap,V,Kind\nA,10,16,polymer\n")
    (tmp_path / "b.csv").write_text("SKU,Cap,Kind,Qty\nB,22,alu,3\nC,,polymer,1\n")
    found, _ = read_catalogues([tmp_path / "a.csv", tmp_path / "b.csv"])
    assert [found.word("kind").at(row) for row in range(3)] == ["solid polymer", "wet aluminium", "solid polymer"]
    assert found.drawer.tolist() == [False, True, True]
    assert [found.part(row).order_code for row in found.find("c")] == ["C"]
    assert found.part(1).rated_voltage_v is None
    assert found.by_capacitance.tolist() == [0, 1, 2]


def test_doubled_codes_and_odd_prices_are_said(tmp_path):
    _, problems = catalogue(tmp_path, "SKU,Cap,Price 1,Price 10\nA,10,0.3,0.4\nA,22,0.3,0.2\n")
    assert {problem.code for problem in problems} == {"catalogue-prices-rise", "catalogue-code-again"}


def big_table(size=6000):
    lines = ["SKU,Kind,Cap µF,V,Tol,Price 1,Price 10,Stock"]
    lines += [f"S{i},alu,{10 + i % 40},{16 + i % 3},±20%,0.{100 + i % 300},0.09,{i % 50}" for i in range(size)]
    return "\n".join([*lines, "LAST,alu,blue,16,±20%,0.3,0.2,1"]) + "\n"


def test_the_cache_gives_back_what_was_read(tmp_path, monkeypatch):
    first, told = catalogue(tmp_path, big_table())
    moved = tmp_path / "elsewhere.csv"
    (tmp_path / "parts.csv").rename(moved)
    monkeypatch.setattr(reading, "read_tables", lambda *_: pytest.fail("read again"))
    again, told_again = read_catalogues([moved])
    assert list(again.parts())[:50] == [_at(part, moved) for part in list(first.parts())[:50]]
    assert list(again.parts())[-1] == _at(first.part(len(first) - 1), moved)
    assert [(p.code, p.location.cell, p.location.file) for p in told_again] == [
        (p.code, p.location.cell, str(moved)) for p in told
    ]


def _at(part, path):
    from dataclasses import replace

    return replace(part, location=replace(part.location, file=str(path)))


def test_the_cache_follows_content_headings_and_damage(tmp_path):
    text = big_table()
    catalogue(tmp_path, text)
    changed, _ = catalogue(tmp_path, text.replace("S0,alu,10", "S0,alu,47"))
    assert changed.number("capacitance_f")[0] == pytest.approx(4.7e-5)
    mapped, _ = catalogue(tmp_path, text.replace("Cap µF", "Blob"), headings={"Blob": "Capacitance"})
    assert mapped.number("capacitance_f")[0] == pytest.approx(1e-5)
    import os
    from pathlib import Path

    for file in Path(os.environ["XDG_CACHE_HOME"]).rglob("*.arrow"):
        file.write_bytes(b"broken")
    mended, _ = catalogue(tmp_path, text)
    assert mended.number("capacitance_f")[0] == pytest.approx(1e-5)


def test_nothing_is_kept_without_the_cache_and_nothing_beside_the_file(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    catalogue(tmp_path, big_table(), cache=False)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["parts.csv"]


@pytest.mark.parametrize("name", FILES)
def test_the_invented_files_are_what_their_generator_makes(name):
    assert (EXAMPLES / name).read_text("utf-8") == FILES[name](), "run python -m tests.make_catalogue"


def test_the_invented_catalogues_behave_like_real_ones():
    found, problems = read_catalogues([EXAMPLES / name for name in FILES], cache=False)
    assert len(found) >= 5000
    assert not [problem for problem in problems if problem.severity != "note"]
    assert all("invented" in name for name in (*found.word("maker").names, *found.word("seller").names))
    wet = found.word("kind").among(("wet aluminium",)) & found.word("mounting").among(("radial",))
    charge = found.number("capacitance_f") * found.number("rated_voltage_v")
    volume = found.number("diameter_mm") ** 2 * found.number("length_mm")
    known = wet & ~np.isnan(volume)
    assert np.corrcoef(np.log(charge[known]), np.log(volume[known]))[0, 1] > 0.8
    ripple, resistance = found.number("ripple_high_a"), found.number("esr_high_ohm")
    known = wet & ~np.isnan(ripple) & ~np.isnan(resistance)
    assert np.corrcoef(np.log(ripple[known]), np.log(resistance[known]))[0, 1] < -0.8
    for name, share in (("dissipation_factor", 0.1), ("lead_diameter_mm", 0.2), ("ripple_low_a", 0.2)):
        assert share / 4 < np.isnan(found.number(name)[wet]).mean() < 0.6, name
    assert found.word("status").among(("obsolete",)).any()
    assert (found.number("stock") == 0).any()
    assert (found.number("minimum_quantity") > 1).any()


def test_the_command_prints_what_its_schema_says():
    shown = CliRunner().invoke(recap, ["parts", str(EXAMPLES / "drawer.csv"), "--json"])
    assert shown.exit_code == 0, shown.output
    document = json.loads(shown.output)
    validator("catalogue.schema.json").validate(document)
    assert document["result"]["count"] == len(document["result"]["parts"]) == 11
    text = CliRunner().invoke(recap, ["parts", str(EXAMPLES / "drawer.csv")])
    assert "11 parts in your own drawer" in text.output
    assert max(map(len, text.output.splitlines())) <= 100


def test_every_invented_part_fits_the_schema():
    from recap.outputs.check_json import part_fields

    found, _ = read_catalogues([EXAMPLES / name for name in FILES], cache=False)
    check = validator("part.schema.json")
    for row in range(0, len(found), 37):
        check.validate(json.loads(json.dumps(part_fields(found.part(row)))))


def test_parts_survive_the_way_through_columns():
    found, _ = read_catalogues([EXAMPLES / "parts-kestrel.csv"], cache=False)
    parts = [found.part(row) for row in range(0, 200, 7)]
    again = Catalogue.of(parts)
    from dataclasses import replace

    assert [replace(part, location=parts[0].location) for part in again.parts()] == [
        replace(part, location=parts[0].location) for part in parts
    ]
