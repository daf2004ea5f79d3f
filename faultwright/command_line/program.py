"""The program: gathers the commands and turns every refusal into a message and an exit code."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Sequence

import click

from faultwright.errors import Refused

from .analyse_command import analyse
from .answer_command import check_answer
from .circuit_commands import check, draw, faults, operate, read, spice, table
from .class_commands import demo, lab, mark, set_papers
from .lesson_commands import lesson, self_check
from .moderation_commands import moderate
from .pack_command import pack
from .schema_command import schema
from .suspects_command import suspects
from .template_command import template
from .workshop_commands import card, observation, register, worksheet

WELL, REFUSED, USAGE, STOPPED = 0, 1, 2, 130


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(package_name="faultwright", message="%(prog)s %(version)s")
def program() -> None:
    """Teach, practise and assess electrical fault-finding on switched control circuits.

    A method to learn from, not an authority to work: isolate before ohms, keep clear of what can move, and follow
    local codes and licensed practice.
    """


for _command in (
    check,
    check_answer,
    operate,
    table,
    read,
    faults,
    suspects,
    analyse,
    spice,
    draw,
    schema,
    template,
    set_papers,
    mark,
    lab,
    demo,
    lesson,
    self_check,
    moderate,
    card,
    worksheet,
    observation,
    pack,
    register,
):
    program.add_command(_command)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the program and return its exit code; bad input is a message, never a traceback."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    _speak_utf8()
    try:
        outcome = program.main(words, prog_name="faultwright", standalone_mode=False)
        sys.stdout.flush()
    except Refused as error:
        return _refuse(error, as_json="--json" in words)
    except click.exceptions.Exit as error:
        return error.exit_code
    except click.ClickException as error:
        error.show()
        return USAGE
    except (click.Abort, KeyboardInterrupt):
        click.echo("stopped; nothing was left half-written", err=True)
        return STOPPED
    except BrokenPipeError:
        # The reader (``head``, say) has seen enough; keep Python from complaining when it flushes at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return WELL
    return outcome if isinstance(outcome, int) else WELL


def _refuse(error: Refused, *, as_json: bool) -> int:
    if as_json:
        click.echo(json.dumps({"error": str(error)}, ensure_ascii=False))
    else:
        click.echo(str(error), err=True)
    return REFUSED


def _speak_utf8() -> None:
    """Print Ω also where the terminal's own encoding has none (a Windows console, a C locale)."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
