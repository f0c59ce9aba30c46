"""How a command runs and ends: letters for any terminal, one clear line when something is wrong, the exit codes."""

from __future__ import annotations

import codecs
import io
import os
import sys
from typing import NoReturn

import click

from recap.problems import RecapError, UnreadableFile
from recap.units import quoted

INTERRUPTED = 130
LONGEST_MESSAGE = 400

_IN_PLAIN_LETTERS = {
    "Ω": "ohm", "\u2126": "ohm", "µ": "u", "μ": "u", "°": " deg ", "℃": " deg C", "⌀": "dia ", "Ø": "dia ", "ø": "dia ",
    "π": "pi", "δ": "delta", "Δ": "delta", "τ": "tau", "λ": "lambda", "φ": "phi", "ω": "omega", "η": "eta",
    "−": "-", "‐": "-", "‑": "-", "–": "-", "—": "-", "×": "x", "·": "*", "÷": "/", "√": "sqrt", "±": "+/-",
    "¹": "^1", "²": "^2", "³": "^3", "½": "1/2", "≤": "<=", "≥": ">=", "≈": "~", "∞": "infinity", "→": "->",
    "…": "...", "“": '"', "”": '"', "„": '"', "’": "'", "•": "*", "€": "EUR", "£": "GBP", "¥": "JPY",
    "ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss", "é": "e",
}  # fmt: skip


class ReaderGone(Exception):
    """What reads the output has stopped reading, as `head` does; nothing is wrong."""


def run(command: click.Command) -> NoReturn:
    """Run the command line and leave with the exit code of the contract."""
    _take_every_letter()
    try:
        code = command.main(prog_name="recap", standalone_mode=False)
        sys.stdout.flush()
    except (ReaderGone, BrokenPipeError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # or the last flush would complain
        sys.exit(0)
    except (click.Abort, KeyboardInterrupt):
        _end("Stopped; nothing was changed.", INTERRUPTED)
    except click.exceptions.NoArgsIsHelpError as error:
        error.show()
        sys.exit(error.exit_code)
    except click.UsageError as error:
        path = error.ctx.command_path if error.ctx else "recap"
        _end(f"{path}: {_one_line(error.format_message())} (see {path} --help)", error.exit_code)
    except click.ClickException as error:
        _end(f"recap: {_one_line(error.format_message())}", error.exit_code)
    except RecapError as error:
        _end(f"recap: {quoted(str(error), LONGEST_MESSAGE * 5)}", error.exit_code)
    except OSError as error:
        place = f"{quoted(str(error.filename), 200)}: " if error.filename else ""
        _end(f"recap: {place}{error.strerror or error}", UnreadableFile.exit_code)
    sys.exit(code if isinstance(code, int) else 0)


def _end(message: str, exit_code: int) -> NoReturn:
    click.echo(message, err=True)
    sys.exit(exit_code)


def _one_line(message: str) -> str:
    return quoted(" ".join(message.split()).removesuffix("."), LONGEST_MESSAGE)


def _take_every_letter() -> None:
    """Let streams that lack a letter, as an old code page does, write it in plain ones instead of failing."""
    codecs.register_error("plain-letters", _plain_letters)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="plain-letters")


def _plain_letters(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    lacking = error.object[error.start : error.end]
    return "".join(_IN_PLAIN_LETTERS.get(letter, "?") for letter in lacking), error.end
