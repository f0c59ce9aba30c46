"""The order in which boards go back: what others depend on first, what can be replaced before what cannot."""

from __future__ import annotations

from collections.abc import Sequence

from recap.bench.work_order import natural
from recap.model import Board, Downstream, Judgement, Unit
from recap.model.bench import RefitStage


def refit_stages(unit: Unit, judgements: Sequence[Judgement]) -> tuple[RefitStage, ...]:
    """Return the stages after the supply has been proven by itself.

    A board comes after every board that makes a rail for it; among those that may come, the order of the
    Boards sheet counts, which puts what can be replaced before what cannot.
    """
    names = sorted(_boards(unit, judgements), key=lambda name: _key(unit.board(name)))
    others = frozenset(names)
    needs = {name: _needs_boards(unit, name) & others - {name} for name in names}
    done: list[str] = []
    finished: set[str] = set()
    stages = []
    while names:
        free = next((name for name in names if needs[name] <= finished), None)
        name = free or names[0]
        stages.append(_stage(unit, name, tuple(done), free is not None))
        done.append(name)
        finished.add(name)
        names.remove(name)
    return tuple(stages)


def supply_boards(unit: Unit) -> frozenset[str]:
    """Return the boards that feed others and need none of those others' rails."""
    makers = {rail.made_on for rail in unit.rails if rail.made_on and set(rail.feeds) - {rail.made_on}}
    makers = makers or {rail.made_on for rail in unit.rails if rail.made_on}
    first = frozenset(name for name in makers if not _needs_boards(unit, name) - {name})
    return first or frozenset(makers)


def made_by_supply(unit: Unit, made_on: str) -> bool:
    """Return whether a rail is proven on the supply alone; one without a board is."""
    return not made_on or made_on in supply_boards(unit)


def _boards(unit: Unit, judgements: Sequence[Judgement]) -> list[str]:
    used = [item.key.board for item in judgements if item.key.unit == unit.name]
    fed = [name for rail in unit.rails for name in rail.feeds]
    every = dict.fromkeys((*(board.name for board in unit.boards), *used, *fed))
    supplies = supply_boards(unit)
    return [name for name in every if name not in supplies]


def _needs_boards(unit: Unit, board: str) -> set[str]:
    needed = {name for name, _ in unit.board(board).rails_needed}
    return {
        rail.made_on for rail in unit.rails if rail.made_on and (board in rail.feeds or rail.name in needed)
    }


def rails_at(unit: Unit, board: str) -> tuple[str, ...]:
    """Return the rails that a board needs or makes."""
    needed = {name for name, _ in unit.board(board).rails_needed}
    return tuple(
        rail.name for rail in unit.rails if board in rail.feeds or rail.name in needed or rail.made_on == board
    )


def _key(board: Board) -> tuple[float, object]:
    return (float("inf") if board.refit_place is None else board.refit_place, natural(board.name))


def _stage(unit: Unit, name: str, done: tuple[str, ...], free: bool) -> RefitStage:
    board = unit.board(name)
    rails = rails_at(unit, name)
    feeding = sorted(_needs_boards(unit, name) - {name})
    if not free:
        why = "its rails and those of another board depend on each other: settle by hand which comes first"
    elif board.refit_place is not None:
        why = f"place {board.refit_place} on the Boards sheet"
    else:
        why = "no place on the Boards sheet; after those that have one"
    if feeding:
        why += f"; fed by {', '.join(feeding)}"
    return RefitStage(name, done, rails, why, _hold(unit, board))


def _hold(unit: Unit, board: Board) -> str:
    if unit.downstream is not Downstream.IRREPLACEABLE:
        return ""
    gets = [name for name in rails_at(unit, board.name) if (rail := unit.rail(name)) and rail.made_on != board.name]
    names = ", ".join(gets) or "every rail it gets (none is listed for it: find out which)"
    return (
        f"HOLD. What stands on {board.name} cannot be replaced. Do not connect it before {names} "
        f"{'has' if len(gets) == 1 else 'have'} passed loaded, warm and after the soak, "
        "and a second person has read the figures and signed."
    )
