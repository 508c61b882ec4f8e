"""`python3 -m build_tools COMMAND`: set up once, then run the command in the project's own environment.

Standard library only, and plain enough that an old Python can read it and say what is missing.
"""

import sys

OLDEST = (3, 11)


def main(arguments):  # type: (list[str]) -> int
    """Run one command; return the exit code."""
    if sys.version_info < OLDEST:
        sys.stderr.write(
            "The handbook needs Python %d.%d or later; this is Python %d.%d. "
            "Install a newer one and start with it, for example: python3.13 -m build_tools build\n" % (OLDEST + tuple(sys.version_info[:2]))
        )
        return 2
    from build_tools import commands, setup
    from build_tools.errors import SetupError

    options = commands.parse(arguments)
    if options.setup is None:
        return commands.run(options)
    try:
        setup.prepare(tests=options.setup in ("test", "mutants"), mutants=options.setup == "mutants")
        return setup.run_inside(["-m", "build_tools.commands"] + arguments)
    except SetupError as problem:
        sys.stderr.write("%s\n" % problem)
        return 2
    except KeyboardInterrupt:
        sys.stderr.write("\nStopped. Run the same command again to go on.\n")
        return 130


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
