"""Locators: where on its board a body sits, drawn to scale from x, y and sizes.

A board is drawn like a map sheet: a frame with a millimetre scale along two edges, faint outlines for what
stands around, and two hairlines that lead from the scales to the one dark body. Shade alone carries no meaning.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from markupsafe import Markup, escape

from recap.model import Board, Face, Judgement, Mounting, Position
from recap.outputs.landmarks import Direction, pad_a_side, plus_direction, spot
from recap.units import plain

UNKNOWN_RADIUS_MM = 2.5
CLOSE_UP_MM = 44.0
ROOM_AROUND_MM = 10.0
INK = "#111"
FAINT = "#767676"
FAINT_INK = "#444"


@dataclass(frozen=True, slots=True)
class Mapped:
    """A body on the drawing, in mm from the left and top edges of the face that is looked at."""

    label: str
    x: float
    y: float
    radius: float
    half_length: float
    known_size: bool
    along: Direction | None


@dataclass(frozen=True, slots=True)
class Locator:
    """The drawings of one position and the words that go with them."""

    overview: Markup
    close_up: Markup
    caption: str


class BoardMap:
    """One board with everything on it that has coordinates."""

    def __init__(self, board: Board, positions: Iterable[Position]) -> None:
        # The sections of one can are one body.
        self.placed = {p.key.designator: p for p in positions if spot(p) is not None}
        self.spots = {label.upper(): s for label, p in self.placed.items() if (s := spot(p)) is not None}
        self.measured = board.width_mm is not None and board.height_mm is not None
        far_x = max((s.x_mm for s in self.spots.values()), default=0.0)
        far_y = max((s.y_mm for s in self.spots.values()), default=0.0)
        self.width = max(board.width_mm or far_x + ROOM_AROUND_MM, far_x)
        self.height = max(board.height_mm or far_y + ROOM_AROUND_MM, far_y)
        self.faces = [f for f in Face if any(p.body.face is f for p in self.placed.values())]

    def symbols(self) -> Markup:
        """Return the board's faces as hidden symbols, drawn once and used by every step."""
        if not self.placed:
            return Markup("")
        symbols = "".join(
            f'<g id="{_face_id(face)}">{self._sheet()}'
            + "".join(_outline(body) for body in self._bodies(face))
            + "</g>"
            for face in self.faces
        )
        return Markup(f'<svg width="0" height="0" aria-hidden="true" class="symbols"><defs>{symbols}</defs></svg>')

    def locator(self, judgement: Judgement, with_plus: bool = True) -> Locator | None:
        """Return the drawings of one position; None when it has no coordinates."""
        position = judgement.position
        label = position.key.designator
        if label not in self.placed:
            return None
        face = position.body.face
        plus = plus_direction(judgement, self.spots) if with_plus else None
        here = self._mapped(label, position)
        if face is Face.SOLDER_SIDE and plus is not None:
            plus = (-plus[0], plus[1])
        overview = "".join(
            self._overview(shown, face, here, label)
            for shown in sorted(self.faces, key=lambda shown: shown is not face)
        )
        return Locator(Markup(overview), Markup(self._close_up(here, face, plus, label)), self._caption(judgement))

    def _caption(self, judgement: Judgement) -> str:
        position, orientation = judgement.position, judgement.orientation
        words = []
        if position.body.face is Face.SOLDER_SIDE:
            words.append("It sits on the solder side, drawn with the board turned over left to right.")
        if _any_direction(self._mapped(position.key.designator, position)):
            words.append("Dashed ring: how far the body reaches, whichever way it lies.")
        if not self.measured:
            words.append("The board's own edges were not recorded.")
        if orientation.text is None and (orientation.conflicts or orientation.missing):
            words.append("No plus side is drawn: it is not settled.")
        return " ".join(words)

    def _sheet(self) -> str:
        unit = self._unit
        step = next((s for s in (5, 10, 20, 50, 100) if max(self.width, self.height) / s <= 22), 500)
        dash = "" if self.measured else f' stroke-dasharray="{3 * unit:.2f} {2 * unit:.2f}"'
        marks = [
            f"M{x} {self.height:g}v{(2.4 if x % (5 * step) == 0 else 1.3) * unit:.2f}"
            for x in range(0, int(self.width) + 1, step)
        ] + [
            f"M0 {self.height - y:g}h{(-2.4 if y % (5 * step) == 0 else -1.3) * unit:.2f}"
            for y in range(0, int(self.height) + 1, step)
        ]
        return (
            f'<rect width="{self.width:g}" height="{self.height:g}" fill="#fff" stroke="{INK}"'
            f' stroke-width="{0.7 * unit:.2f}"{dash}/>'
            f'<path d="{"".join(marks)}" stroke="{INK}" stroke-width="{0.35 * unit:.2f}" fill="none"/>'
        )

    @property
    def _unit(self) -> float:
        return max(self.width, self.height) / 100

    def _overview(self, shown: Face, face: Face, here: Mapped, label: str) -> str:
        unit = self._unit
        on_this_face = shown is face
        # The other face is drawn at half the width, so its figures are larger to be read as well.
        letters = (4 if on_this_face else 7) * unit
        margin = letters + 3 * unit
        box = f"{-margin:.2f} {-margin:.2f} {self.width + 1.5 * margin:.2f} {self.height + 2 * margin:.2f}"
        x = here.x if on_this_face else self.width - here.x
        lines = f"M{x:g} {self.height:g}V{here.y:g}M0 {here.y:g}H{x:g}"
        dash = "" if on_this_face else f' stroke-dasharray="{1.5 * unit:.2f}"'
        radius = max(here.radius, 1.6 * unit)
        mark = (
            f'<circle cx="{x:g}" cy="{here.y:g}" r="{radius + 2.2 * unit:.2f}" fill="none" stroke="{INK}"'
            f' stroke-width="{0.5 * unit:.2f}"{dash}/>'
        )
        if on_this_face:
            mark += f'<circle cx="{x:g}" cy="{here.y:g}" r="{radius:.2f}" fill="{INK}"/>'
        name = f"{label} on the {shown}" if on_this_face else f"{label} seen through from the {shown}"
        left, below = -3 * unit, self.height + 2 * unit + letters
        scales = (
            f'<text x="{x:g}" y="{below:.2f}" text-anchor="middle">{plain(x)}</text>'
            f'<text x="{left:.2f}" y="{here.y:g}" text-anchor="middle"'
            f' transform="rotate(-90 {left:.2f} {here.y:g})">{plain(self.height - here.y)}</text>'
            f'<text x="{self.width:g}" y="{-1.4 * unit:.2f}" text-anchor="end">{shown}</text>'
        )
        return (
            f'<svg class="overview" role="img" aria-label="{escape(name)}" viewBox="{box}" font-size="{letters:.2f}">'
            f'<use href="#{_face_id(shown)}"/><path d="{lines}" stroke="{INK}" stroke-width="{0.3 * unit:.2f}"'
            f' fill="none"{dash}/>{mark}{scales}</svg>'
        )

    def _close_up(self, here: Mapped, face: Face, plus: Direction | None, label: str) -> str:
        half = max(CLOSE_UP_MM / 2, here.radius * 2.2, (here.half_length + 4) if here.half_length else 0)
        box = (here.x - half, here.y - half, here.x + half, here.y + half)
        bodies = [b for b in self._bodies(face) if b.label != label and _meets(b, box)]
        edge = (
            f'<rect width="{self.width:g}" height="{self.height:g}" fill="#fff" stroke="{INK}"'
            f' stroke-width="{half / 40:.2f}"/>'
        )
        size = half / 8
        names = "".join(_name(b, size, FAINT_INK) for b in bodies)
        title = f"Close-up of {label}, {plain(2 * half)} mm across"
        if plus is not None:
            title += ", with its plus side"
        return (
            f'<svg class="close-up" role="img" aria-label="{escape(title)}" font-size="{size:.2f}"'
            f' viewBox="{box[0]:.2f} {box[1]:.2f} {2 * half:.2f} {2 * half:.2f}">'
            f'<rect x="{box[0]:.2f}" y="{box[1]:.2f}" width="{2 * half:.2f}" height="{2 * half:.2f}" fill="#e4e4e0"/>'
            f"{edge}{''.join(_outline(b, half / 22) for b in bodies)}{names}"
            f"{_dark(here, half / 22)}{_name(here, 1.15 * size, INK, dark=True, plus=plus)}"
            f"{_plus_sign(here, plus, half / 22)}</svg>"
        )

    def _bodies(self, face: Face) -> list[Mapped]:
        return [self._mapped(name, p) for name, p in self.placed.items() if p.body.face is face]

    def _mapped(self, label: str, position: Position) -> Mapped:
        body, at = position.body, self.spots[label.upper()]
        mirrored = body.face is Face.SOLDER_SIDE
        axial = body.mounting is Mounting.AXIAL and body.length_mm is not None
        return Mapped(
            label,
            self.width - at.x_mm if mirrored else at.x_mm,
            self.height - at.y_mm,
            body.diameter_mm / 2 if body.diameter_mm else UNKNOWN_RADIUS_MM,
            (body.length_mm or 0.0) / 2 if axial else 0.0,
            body.diameter_mm is not None,
            _square(pad_a_side(position)),
        )


def map_board(board: Board, positions: Sequence[Position]) -> BoardMap:
    """Return the map of a board, from the positions that belong to it."""
    return BoardMap(board, (p for p in positions if p.key.board == board.name))


def _square(along: Direction | None) -> Direction | None:
    """Return the direction only where it runs along an edge: a body lying askew is not guessed."""
    return along if along is not None and min(abs(along[0]), abs(along[1])) < 0.2 else None


def _face_id(face: Face) -> str:
    return f"face-{'part' if face is Face.PART_SIDE else 'solder'}"


def _meets(body: Mapped, box: tuple[float, float, float, float]) -> bool:
    return box[0] < body.x < box[2] and box[1] < body.y < box[3]


def _shape(body: Mapped, style: str) -> str:
    if body.half_length and body.along is not None:
        across, half = body.radius, body.half_length
        wide, high = (half, across) if abs(body.along[0]) > abs(body.along[1]) else (across, half)
        return (
            f'<rect x="{body.x - wide:g}" y="{body.y - high:g}" width="{2 * wide:g}" height="{2 * high:g}"'
            f' rx="{across / 3:g}" {style}/>'
        )
    return f'<circle cx="{body.x:g}" cy="{body.y:g}" r="{body.radius:g}" {style}/>'


def _outline(body: Mapped, unit: float = 1.0) -> str:
    dash = "" if body.known_size else f' stroke-dasharray="{unit:.2f}"'
    return _shape(body, f'fill="none" stroke="{FAINT}" stroke-width="{0.3 * unit:.2f}"{dash}')


def _any_direction(body: Mapped) -> bool:
    return bool(body.half_length) and body.along is None


def _dark(body: Mapped, unit: float) -> str:
    """Return the body in black; a ring shows how far an axial body reaches if its direction is unknown."""
    ring = ""
    if _any_direction(body):
        ring = (
            f'<circle cx="{body.x:g}" cy="{body.y:g}" r="{body.half_length:g}" fill="none" stroke="{INK}"'
            f' stroke-width="{0.5 * unit:.2f}" stroke-dasharray="{1.5 * unit:.2f} {unit:.2f}"/>'
        )
    return ring + _shape(body, f'fill="{INK}"')


def _name(body: Mapped, size: float, ink: str, dark: bool = False, plus: Direction | None = None) -> str:
    """Return a body's designator: inside where there is room, else below it or, if the plus sign is there, above."""
    weight = ' font-weight="700"' if dark else ""
    if 0.66 * size * len(body.label) < 1.9 * body.radius:
        y, ink = body.y + 0.36 * size, "#fff" if dark else ink
    elif plus is not None and plus[1] > 0.5:
        y = body.y - body.radius - 0.4 * size
    else:
        y = body.y + body.radius + 1.05 * size
    return (
        f'<text x="{body.x:g}" y="{y:.2f}" text-anchor="middle" font-size="{size:.2f}" fill="{ink}"{weight}>'
        f"{escape(body.label)}</text>"
    )


def _plus_sign(body: Mapped, plus: Direction | None, unit: float) -> str:
    if plus is None:
        return ""
    reach = body.radius
    if body.half_length and body.along is not None:
        reach = body.half_length
    x, y, arm = body.x + plus[0] * (reach + 3.4 * unit), body.y + plus[1] * (reach + 3.4 * unit), 1.7 * unit
    return (
        f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{2.7 * unit:.2f}" fill="#fff" stroke="{INK}"'
        f' stroke-width="{0.5 * unit:.2f}"/>'
        f'<path d="M{x - arm:.2f} {y:.2f}h{2 * arm:.2f}M{x:.2f} {y - arm:.2f}v{2 * arm:.2f}" stroke="{INK}"'
        f' stroke-width="{0.9 * unit:.2f}" fill="none"/>'
    )
