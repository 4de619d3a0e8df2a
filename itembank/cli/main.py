"""The command group, and the one place where errors become words and exit codes.

Exit status: 0 all well (doubtful alone is well), 1 the input is wrong, 2 wrong usage, 3 our own contradiction,
130 interrupted
(143, 129 where asked to end by SIGTERM, SIGHUP).
"""

from __future__ import annotations

import contextlib
import importlib
import os
import sys
from typing import TextIO

import click

from itembank import __version__
from itembank.cli.interrupts import Interrupts
from itembank.errors import Contradiction, InputError, ItembankError
from itembank.garbage import collect_seldom

_COMMANDS = {
    "new": "A commented template to start from.",
    "check": "Everything wrong or doubtful in templates or banks, and what each template can produce.",
    "show": "Items of a template as text, with key, slips and proof.",
    "approve": "Keep who looked at which templates and found them fit for pupils.",
    "build": "Draw, prove and write the items of a bank.",
    "assemble": "Parallel test forms that hold what a blueprint asks for.",
    "sampler": "One item of each kind, to try on a platform before importing a bank.",
    "verify": "Audit exported packages from the files alone.",
    "analyse": "After the test: which items worked, and what to reteach.",
    "learnt": "After the test: who has learnt which method, and practice for the others.",
    "calibrate": "After several sittings: how hard items were, on one scale, and what marks are worth.",
    "markers": "After the marking: where markers of the same scripts agree, and what to mark again.",
    "passmark": "Where the pass mark lies, or a grade's, from what judges and teachers say.",
    "record": "Keep in the bank what a group has sat, and when, with its items whole.",
    "used": "What was sat: sittings, and how often each item was used.",
    "restore": "Bring a form that was sat back as it was.",
    "unrecord": "Take a sitting back that was recorded by mistake.",
    "coverage": "What a bank covers: strand, demand and kind of response, and curriculum statements.",
    "schema": "The JSON Schema of a file that people write, or of built items.",
}
OK, WRONG, USAGE, CONTRADICTION = 0, 1, 2, 3
_INTERRUPTS = Interrupts()


class _Group(click.Group):
    """Loads a command's module only when it is called, so that help is quick."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in _COMMANDS:
            return None
        found: click.Command = importlib.import_module(f"itembank.cli.{cmd_name}").command
        return found

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in _COMMANDS and not args[0].startswith("-"):
            from itembank.expressions.vocabulary import nearest

            near = nearest(args[0], _COMMANDS)
            ctx.fail(f"there is no command `{args[0]}`" + (f"; did you mean `{near}`?" if near else ""))
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(_COMMANDS.items()))


@click.group(cls=_Group, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="itembank")
def group() -> None:
    """Algebra items from YAML templates, each proved right, as QTI packages and printed papers."""


def main(arguments: list[str] | None = None) -> int:
    """Runs a command line and returns its exit status; never a traceback for wrong input."""
    _make_output_safe()
    try:
        status = _run(arguments)
        sys.stdout.flush()
        return status
    except (BrokenPipeError, SystemExit):
        _to_nobody()
        return OK
    except OSError as failed:
        return _untold(failed)


def _to_nobody() -> None:
    """Nobody reads any more, as after `| head -1`; click ends by itself then."""
    for stream in (sys.stdout, sys.stderr):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def _untold(failed: OSError) -> int:
    """Where not even what is wrong can be written, as on a full disk, one line says so beside it, if it can."""
    with contextlib.suppress(OSError):
        print(f"itembank: standard output: {failed.strerror or failed}", file=sys.stderr, flush=True)
    _to_nobody()
    return WRONG


def _run(arguments: list[str] | None) -> int:
    try:
        result = group.main(args=arguments, prog_name="itembank", standalone_mode=False)
        sys.stdout.flush()  # here, for what goes wrong then is told as the rest is
        return result if isinstance(result, int) else OK
    except click.exceptions.Exit as ended:
        return ended.exit_code
    except click.ClickException as wrong:
        from itembank.cli.report import tell

        wrong_usage = wrong.format_message().replace("a valid integer range", "a whole number")
        if isinstance(wrong, getattr(click.exceptions, "NoArgsIsHelpError", ())):
            tell(wrong_usage)
            return USAGE
        context = getattr(wrong, "ctx", None)
        tell(f"itembank: {wrong_usage}")
        if context is not None:
            tell(f"Try `{context.command_path} --help`.")
        return USAGE
    except (click.Abort, KeyboardInterrupt):
        return _INTERRUPTS.status
    except BrokenPipeError:
        raise
    except (ItembankError, OSError) as failed:
        return _failed(failed, as_json=_asks_for_json(arguments))
    except RuntimeError as failed:
        if not _is_a_lost_worker(failed):
            raise
        if _INTERRUPTS.asked:  # as the workers were
            return _INTERRUPTS.status
        _tell_failure(_LOST_WORKER, "", _asks_for_json(arguments))
        return WRONG


_LOST_WORKER = "a worker process was ended from outside, perhaps for want of memory; try fewer --workers"


def _is_a_lost_worker(failed: RuntimeError) -> bool:
    pools = sys.modules.get("concurrent.futures.process")  # not imported by commands that work in one process
    return pools is not None and isinstance(failed, pools.BrokenProcessPool)


def _asks_for_json(arguments: list[str] | None) -> bool:
    options = sys.argv[1:] if arguments is None else arguments
    return "--json" in (options[: options.index("--")] if "--" in options else options)


def _failed(failed: ItembankError | OSError, *, as_json: bool) -> int:
    """Tells what went wrong, as text on standard error or as JSON on standard output; the exit status."""
    from itembank.cli import report

    match failed:
        case Contradiction() as ours:
            if as_json:
                report.say_json({"contradiction": report.contradiction_as_data(ours)})
            else:
                report.tell_contradiction(ours)
            return CONTRADICTION
        case InputError(diagnostics=diagnostics):
            if as_json:
                report.say_json({"diagnostics": [report.as_data(each) for each in diagnostics]})
            else:
                report.tell_diagnostics(diagnostics)
        case ItembankError():
            _tell_failure(str(failed), "", as_json)
        case OSError(filename=filename, strerror=strerror):
            from itembank.cli.remedies import remedy_for

            _tell_failure(strerror or str(failed), str(filename or ""), as_json, remedy_for(failed))
    return WRONG


def _tell_failure(message: str, path: str, as_json: bool, hint: str = "") -> None:
    from itembank.cli import report
    from itembank.errors import Diagnostic, Span

    if as_json:
        told = Diagnostic("failed", message, Span(path, 1, 1) if path else None, hint=hint)
        report.say_json({"diagnostics": [report.as_data(told)]})
    else:
        report.tell(f"itembank: {f'{report.in_a_line(path)}: ' if path else ''}{message}")
        if hint:
            report.tell(f"  hint: {hint}")


def _make_output_safe() -> None:
    """A terminal that cannot print √ gets a replacement instead of a crash; what is closed is written to nobody."""
    sys.stdout = sys.stdout or _nobody()
    sys.stderr = sys.stderr or _nobody()
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")


def _nobody() -> TextIO:
    """Where what is closed is written; like Python's own streams it is left open to the end."""
    return open(os.open(os.devnull, os.O_WRONLY), "w", encoding="utf-8", closefd=False)


def run() -> None:
    """The program `itembank`."""
    collect_seldom()
    _INTERRUPTS.listen()
    sys.exit(main())


if __name__ == "__main__":
    run()
