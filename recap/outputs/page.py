"""The work order of one board as a page that needs nothing but a browser or a printer."""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from recap.bench.bring_up_fields import WORK_ORDER
from recap.bench.expected import expected_of_board
from recap.bench.expected_json import as_text
from recap.bench.work_fields import BOARD_FIELDS, READINGS_FORMAT, READINGS_VERSION, REMARKS, RESULT, STOP_FIELDS
from recap.model import Condition, Decision
from recap.outputs import drawings, steps
from recap.outputs.bring_up_words import dummy_loaded, large_banks, limits_reached
from recap.outputs.inspection_rows import with_sheets
from recap.outputs.life_picture import life_picture
from recap.outputs.life_table import life_table
from recap.outputs.words import capital, old_part, place, sentences, short_part, why
from recap.sources import cite
from recap.units import farads, plain, si, volts

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup

    from recap.model import BoardWork, Plan
    from recap.model.bench import MakeSafe

MAKE_SAFE = (
    "Switch off and pull the mains plug. Take out batteries.",
    "Wait. Then measure the voltage across every large capacitor with a meter rated for it.",
    "If there is voltage: discharge through a resistor with insulated leads, never with a screwdriver.",
    "Measure again, and once more after some minutes: charge creeps back into a discharged capacitor.",
    "Work with one hand where you can, without metal jewellery, and with eye protection.",
    "Mains wiring, picture tubes and flash tubes, microwave ovens and medical equipment: leave to people "
    "with the licence and the training for them. Local electrical codes come first.",
)
TOOLS = (
    "meter for volts and ohms, and one for capacitance and ESR whose test frequency is known",
    "soldering iron with a tip that suits the joints, and fresh solder",
    "cutters, pliers and lead former",
    "camera: one picture before anything comes out",
)


def work_order_page(plan: Plan, work: BoardWork, digest: str) -> str:
    """Return the page of one board as HTML text."""
    unit = plan.inspection.unit(work.unit)
    board = unit.board(work.board)
    belongs = [p for p in plan.inspection.positions if p.key.unit == work.unit]
    board_map = drawings.map_board(board, belongs)
    life = life_picture(plan, work)
    return render(
        "work_order.html.j2",
        plan=plan,
        unit=unit,
        board=board,
        work=work,
        digest=digest,
        board_notes=steps.board_notes(board),
        symbols=board_map.symbols(),
        stops=[_stop(plan, judgement, board_map) for judgement in work.stops],
        cards=[(card, board_map.locator(card.first.judgement)) for card in steps.cards(plan, work)],
        left_alone=[(place(j.key), old_part(j.position), why(j)) for j in work.left_alone],
        do_not_fit=[(place(p.key), p.zone, p.note) for p in work.do_not_fit],
        sundries=plan.sundries,
        safe=make_safe_of(plan, work.unit, work.board),
        make_safe=make_safe_steps(plan, work.unit, work.board),
        expected=embedded(as_text(with_sheets(plan, expected_of_board(plan, work, digest)))),
        life=life,
        life_table=life_table(life.rows),
        tools=TOOLS,
        board_fields=BOARD_FIELDS,
        result=RESULT,
        remarks=REMARKS,
        stop_fields=STOP_FIELDS,
        saved={"format": READINGS_FORMAT, "version": READINGS_VERSION, "document": WORK_ORDER},
    )


def make_safe_of(plan: Plan, unit: str, board: str = "") -> MakeSafe | None:
    """Return what may be charged on a board, or in a whole unit."""
    return next((safe for safe in plan.make_safe if (safe.unit, safe.board) == (unit, board)), None)


def make_safe_steps(plan: Plan, unit: str, board: str = "") -> tuple[str, ...]:
    """Return how to take the charge out, from the positions where they were worked out."""
    safe = make_safe_of(plan, unit, board)
    return safe.steps if safe else MAKE_SAFE


def embedded(json_text: str) -> Markup:
    """Return JSON to stand in a page's script element: no text in it can end that element."""
    from markupsafe import Markup

    return Markup(json_text.replace("<", "\\u003c"))


def labels_page(plan: Plan) -> str:
    """Return a sheet of labels: one for the bag of each part that comes out, one for each part that goes in."""
    boards = [(work, [label for step in steps.steps(plan, work) for label in _labels(step)]) for work in plan.work]
    return render("labels.html.j2", boards=boards)


def _labels(step: steps.Step) -> list[tuple[steps.Step, str, str]]:
    """Return the step with "out" or "in" and what the label says, for each label it needs."""
    judgement = step.judgement
    labels = []
    taken_out = judgement.decision in (Decision.REPLACE, Decision.REFORM)
    if taken_out and Condition.MISSING not in judgement.position.conditions:
        labels.append((step, "out", old_part(judgement.position)))
    if judgement.decision is Decision.REPLACE and judgement.specification is not None:
        what = step.goes_in if step.part_chosen else short_part(judgement.specification)
        labels.append((step, "in", f"{step.line}: {what}"))
    return labels


def _stop(plan: Plan, judgement: Any, board_map: drawings.BoardMap) -> tuple[Any, drawings.Locator | None]:
    return steps.step(plan, judgement), board_map.locator(judgement, with_plus=False)


@cache
def _environment() -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined, select_autoescape

    environment = Environment(
        loader=PackageLoader("recap.outputs"),
        autoescape=select_autoescape(("html", "html.j2"), default=True),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.globals["asset"] = _asset
    environment.filters.update(
        unbroken=_unbroken, si=si, farads=farads, volts=volts, plain=plain, cite=cite, capitalize_first=capital
    )
    environment.filters.update(large_banks=large_banks, limits_reached=limits_reached)
    environment.filters["sentences"] = sentences
    environment.tests["dummy_loaded"] = dummy_loaded
    return environment


def render(name: str, **values: Any) -> str:
    """Return one of our templates filled in."""
    return str(_environment().get_template(name).render(**values))


def _unbroken(text: str) -> str:
    """Return text in which no line ends after the sign of a rail such as -12 V."""
    return re.sub(r"(?<!\S)-(?=\S)", "\N{NON-BREAKING HYPHEN}", text)


def _asset(name: str) -> Any:
    """Return one of our own files, to be put into the page as it stands."""
    from markupsafe import Markup

    return Markup(files("recap.outputs").joinpath("templates", name).read_text(encoding="utf-8"))
