"""python -m calculators: standard library only until it is sure that pint is there."""

from __future__ import annotations

import sys

FIRST = "python3 -m build_tools build"


def main(arguments: list[str]) -> int:
    """Run the command line, or say in one line what to run first. Returns the exit status."""
    if sys.version_info < (3, 11):  # noqa: UP036 - read by any Python 3, to say so
        print(f"Python {sys.version_info[0]}.{sys.version_info[1]} is too old, 3.11 is needed; run first: {FIRST}", file=sys.stderr)
        return 2
    try:
        from calculators.calls.command_line import main as run
    except ModuleNotFoundError as error:
        if (error.name or "").startswith("calculators"):
            raise
        print(f"the Python package {error.name} is missing here; run first: {FIRST}", file=sys.stderr)
        return 2
    try:
        return run(arguments)
    except BrokenPipeError:
        sys.stderr.close()  # the reader of the output has gone; nothing is left to say
        return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
