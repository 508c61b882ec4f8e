"""The commands of `python3 -m build_tools`.

Read by any Python 3.11 before set-up, so this module imports only the standard library at its top.
Each command imports what it needs when it runs, inside `.venv`.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from build_tools import __version__
from build_tools.errors import BuildFailed
from build_tools.paths import PROJECT

if TYPE_CHECKING:
    from build_tools.content.problems import Problem

# What commands were called in version 0.1.0; to go with the release after the next.
EARLIER = {"take": "import-pages", "gather": "collect-jobs", "changes": "compare"}


def parse(arguments: list[str]) -> argparse.Namespace:
    """The command and its options; `setup` says what must be installed first. Ends the program on a wrong option."""
    top = argparse.ArgumentParser(prog="python3 -m build_tools", description="Make the wheel-end service handbook.")
    commands = top.add_subparsers(metavar="COMMAND", required=True)

    def command(
        run: Callable[[argparse.Namespace], int], text: str, *, setup: str | None = "build", shop: bool = False
    ) -> argparse.ArgumentParser:
        added = commands.add_parser(run.__name__.rstrip("_").replace("_", "-"), help=text, description=text, allow_abbrev=False)
        added.set_defaults(run=run, setup=setup)
        if shop:
            added.add_argument("--shop", type=folder, metavar="DIR", help="a shop's folder with its own pages and procedures")
        return added

    built = command(build, "Build the handbook.", shop=True)
    built.add_argument("--out", type=Path, default=PROJECT / "site", metavar="DIR", help="where to put it (default: site)")
    built.add_argument(
        "--since", type=Path, metavar="OLD_SITE", help="an older site or its zip: what changed since gets a page and bars at the steps"
    )
    command(serve, "Show the handbook while it is being written; reloads on a change.", shop=True).add_argument(
        "--port", type=int, default=8000, metavar="N", help="the local port (default: 8000)"
    )
    command(check, "Check the content; print every problem with its place.", shop=True)
    command(render, "Write the pages as plain Markdown.", shop=True).add_argument(
        "folder", type=Path, metavar="DIR", help="where to write them"
    )
    command(rules, "Write the rules of the decision as JSON.", shop=True).add_argument(
        "file", type=Path, nargs="?", metavar="FILE.json", help="where to write them (default: the stock rules beside the calculators)"
    )
    command(list_, "Count and list what the handbook holds.", shop=True).add_argument(
        "--json", action="store_true", help="as JSON, for other programs"
    )
    packed = command(pack, "Put a built site into one zip, to pass on.", setup=None)
    packed.add_argument("source", type=Path, metavar="DIR_OR_ZIP", help="the built site")
    packed.add_argument("--out", type=Path, metavar="FILE.zip", help="where to put it (default: handbook-BUILD.zip)")
    command(verify, "Check that a copy of the site is whole.", setup=None).add_argument(
        "copy", type=Path, metavar="PATH", help="a folder, such as a stick, or a zip that pack wrote"
    )
    compared = command(compare, "Say what changed between two built sites.", setup=None)
    compared.add_argument("old", type=Path, metavar="OLD", help="the older site, a folder or a zip")
    compared.add_argument("new", type=Path, nargs="?", default=PROJECT / "site", metavar="NEW", help="the newer one (default: site)")
    collected = command(collect_jobs, "Take the job files of many bays into one database.")
    collected.add_argument("folder", type=folder, metavar="FOLDER", help="where the job files lie, in folders below it too")
    collected.add_argument("--into", type=Path, required=True, metavar="jobs.sqlite", help="the database; made where there is none")
    collected.add_argument("--csv", type=Path, metavar="DIR", help="also write each table as CSV for a spreadsheet")
    judged = command(job, "Say what a saved job lacks, and whether it may be completed and handed over.", shop=True)
    judged.add_argument("file", type=Path, metavar="FILE.json", help="a job as the page saved it")
    judged.add_argument("--page", metavar="ID", help="only this page of the job, such as front-brake-service")
    judged.add_argument("--json", action="store_true", help="the whole state as JSON, for other programs")
    command(new_shop, "Start a shop's own folder; it builds as it is.").add_argument(
        "folder", type=Path, metavar="DIR", help="where to make it; nothing is ever written over"
    )
    commands.choices["new-shop"].add_argument(
        "--start",
        action="append",
        choices=("windows", "posix"),
        default=[],
        help="also make files that check, build and preview by double click",
    )
    started = command(new, "Start one more file in a shop's folder; it builds as it is.")
    started.add_argument("kind", choices=("procedure", "vehicle", "caution", "page", "calculator", "change"), help="what to start")
    started.add_argument(
        "name", metavar="NAME", help="the file's name, or its title in quotes; for a change, the handbook's step: procedure/step"
    )
    started.add_argument("--shop", type=folder, required=True, metavar="DIR", help="the shop's folder")
    imported = command(import_pages, "Take pages that were written in the browser into a shop's folder.", setup=None)
    imported.add_argument("file", type=Path, metavar="shop-data.js", help="the file that “Write a page” saved")
    imported.add_argument(
        "folder", type=Path, metavar="DIR", help="the shop's folder; made where there is none, and nothing in it is written over"
    )
    command(bench, "Measure how long a page takes to its first verdict.", setup="test")
    command(test, "Run the tests; every other option goes to pytest.", setup="test")
    mutated = command(mutants, "Put small mistakes into the calculators and count those the tests notice.", setup="mutants")
    mutated.add_argument("--module", action="append", metavar="NAME", help="a module of calculators/; may be given again (default: all)")
    mutated.add_argument("--sample", type=at_least_one, metavar="N", help="N of each module's mutants, drawn at random (default: all)")
    mutated.add_argument("--seed", type=int, default=1, metavar="N", help="another draw (default: 1)")
    mutated.add_argument("--again", action="store_true", help="only those that the last run did not kill")
    command(format_, "Format Python and scripts, and mend what the linters can.", setup="test")
    command(rooms, "Print the rooms of the code and what each imports from.", setup=None)
    command(version, "Print the version.", setup=None)

    options, rest = top.parse_known_args([EARLIER.get(word, word) for word in arguments[:1]] + arguments[1:])
    if rest and options.run is not test:
        top.error(f"unrecognized arguments: {' '.join(rest)}")
    options.pytest = rest
    return options


def at_least_one(text: str) -> int:
    """A whole number above 0, for argparse."""
    if not text.isdecimal() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"not a number above 0: {text} (example: 40)")
    return int(text)


def folder(text: str) -> Path:
    """An existing folder, for argparse."""
    if not Path(text).is_dir():
        raise argparse.ArgumentTypeError(f"no such folder: {text} (example: --shop build_tools/example_shop)")
    return Path(text).resolve()


def run(options: argparse.Namespace) -> int:
    """Run a parsed command; return the exit code: 0 done, 1 mistakes in the content, 2 the command itself failed."""
    from build_tools.errors import FolderError
    from build_tools.exchange.untrusted import CopyError

    try:
        code: int = options.run(options)
        return code
    except FolderError as failed:
        return report([str(failed)])
    except (BuildFailed, CopyError) as failed:
        return report(failed.problems)
    except OSError as failed:
        # Of two files the system names the one that was read first, and a disk is full where it writes.
        return report([f"{failed.filename2 or failed.filename or 'The system says'}: {failed.strerror or failed}"])
    except ValueError as failed:
        if options.setup is None:  # such a command runs where no package is, and reads no content
            raise
        from build_tools.content.problems import ContentError

        if not isinstance(failed, ContentError):
            raise
        return report_mistakes(failed.problems)


def report(problems: list[str]) -> int:
    """Print what to mend, a line each; return the exit code."""
    for problem in problems:
        print(problem, file=sys.stderr)
    print(f"{len(problems)} problem{'s' * (len(problems) != 1)}.", file=sys.stderr)
    return 2


def report_mistakes(problems: list[Problem]) -> int:
    """Print the mistakes in the content, each with its place, and where they are explained; return the exit code."""
    from build_tools.content.report import report

    color = sys.stderr.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    page = PROJECT / "site" / "mistakes" / "index.html"
    explained = (
        f"Each code is explained in {page}"
        if page.is_file()
        else "Each code is explained in the built handbook, on the page mistakes/index.html"
    )
    print(report(problems, color=color, explained=explained), file=sys.stderr)
    return 1


def build(options: argparse.Namespace) -> int:
    from build_tools.publishing.mkdocs_build import build_site

    started = time.monotonic()
    finish_publication_or_say(options.out)
    if options.since:
        finish_publication(options.since)
    print("Building the handbook", flush=True)
    for name in build_site(options.out, options.shop, options.since):
        print(f"Kept {name}. {shop_line(options.out / name)}")
    files = [path for path in options.out.rglob("*") if path.is_file()]
    pages = sum(path.suffix == ".html" for path in files)
    size = sum(path.stat().st_size for path in files) / 1e6
    print(f"{pages} pages, {size:.1f} MB, in {time.monotonic() - started:.0f} s.")
    print(f"Open by double click: {options.out.resolve() / 'index.html'}")
    return 0


def finish_publication(site: Path) -> None:
    """Finish or undo what was cut off while it was published, and say so. Raises FolderError where that cannot be."""
    from build_tools.publishing.publish import finish_or_undo

    if line := finish_or_undo(site):
        print(line, flush=True)


def finish_publication_or_say(site: Path) -> None:
    """The same for a command that does not rest on what stands there."""
    from build_tools.errors import FolderError

    try:
        finish_publication(site)
    except FolderError as problem:
        print(problem, file=sys.stderr, flush=True)


def shop_line(path: Path) -> str:
    """What a `shop-data.js` holds, in one line."""
    from build_tools.exchange import shop_data

    try:
        return shop_data.read(path.read_bytes()).says()
    except shop_data.ShopDataError as error:
        return f"It runs on every page, and is not what the handbook saves: {error}"


def serve(options: argparse.Namespace) -> int:
    from build_tools.publishing.mkdocs_build import serve_site

    finish_publication_or_say(PROJECT / "site")
    return serve_site(options.port, options.shop)


def check(options: argparse.Namespace) -> int:
    from build_tools.checks import page_links
    from build_tools.checks.check import counts, load_and_check
    from build_tools.checks.vehicles import sheet_notices
    from build_tools.content import decision_rules, json_schema, source_list
    from build_tools.content.problems import ContentError
    from build_tools.content.report import in_full
    from build_tools.content.shop import shop_changes
    from build_tools.pages.render import uris

    handbook, layouts = load_and_check(shop=options.shop)
    if handbook.shop_pages:
        dead = list(page_links.dead_links(handbook, {*uris(handbook), "reference/licences.md"}))
        if dead:
            raise ContentError(dead)
    if options.shop is None and not (decision_rules.is_up_to_date(handbook) and source_list.is_up_to_date(handbook)):
        raise BuildFailed(
            [
                "What is packed beside the calculators is older than decisions.yml, rules.yml or sources.yml. Run: python3 -m build_tools rules"
            ]
        )
    for name, count in {**counts(handbook), "layouts walked": layouts}.items():
        print(f"{count:8,} {name}")
    if options.shop and (options.shop / json_schema.FOLDER).is_dir():
        json_schema.write(options.shop)
    again = list(shop_changes.stale(handbook))
    for problem in again:
        print(f"\n{in_full(problem)}\n")
    odd = sheet_notices(handbook)
    for problem in odd:
        print(f"\n{in_full(problem)}\n")
    if odd:
        print(
            f"Notice: {len(odd)} figure{'s' * (len(odd) != 1)} of the shop's sheets as above. What cannot be is left out of the pages; from the next release on these are mistakes."
        )
    print(f"No problems; {len(again)} of the shop's changes to look at again." if again else "No problems.")
    return 0


def new_shop(options: argparse.Namespace) -> int:
    from build_tools.content.shop.scaffold import new_shop

    written = new_shop(options.folder, tuple(options.start))
    print(f"{len(written)} files written to {options.folder}: examples that build, and say how to go on.")
    print(f"See them: python3 -m build_tools serve --shop {options.folder}")
    return 0


def new(options: argparse.Namespace) -> int:
    from build_tools.content.shop.scaffold import new

    path = new(options.kind, options.name, options.shop)
    print(f"Written: {path.relative_to(options.shop.parent)}. It builds as it is; change it line by line.")
    return 0


def render(options: argparse.Namespace) -> int:
    from build_tools.pages.render import main

    return main(options.folder, options.shop)


def rules(options: argparse.Namespace) -> int:
    from build_tools.checks.check import load_and_check
    from build_tools.content import decision_rules, source_list

    if options.shop and options.file is None:
        raise BuildFailed(["A shop's rules need a place of their own. Try: rules --shop our-shop our-shop-rules.json"])
    handbook, _ = load_and_check(shop=options.shop)
    path = options.file or decision_rules.STOCK
    changed = decision_rules.write(handbook, path)
    if options.shop is None and options.file is None:
        source_list.write(handbook)
    print(f"{len(handbook.rules)} rules on {len(handbook.findings)} parts {'written to' if changed else 'stand already in'} {path}.")
    return 0


def list_(options: argparse.Namespace) -> int:
    from build_tools.checks.check import counts, load_and_check

    handbook, _ = load_and_check(shop=options.shop)
    if options.json:
        procedures = [
            {"id": p.id, "title": p.title, "kind": p.kind, "revision": p.revision, "shop": ("procedures", p.id) in handbook.from_shop}
            for p in handbook.procedures.values()
        ]
        calculators = [{"id": c.name, "title": c.title} for c in handbook.catalogue.values()]
        print(json.dumps({"counts": counts(handbook), "procedures": procedures, "calculators": calculators}, ensure_ascii=False, indent=2))
        return 0
    for name, number in counts(handbook).items():
        print(f"{number:>6}  {name}")
    rows: list[tuple[str, str, str]] = [
        (p.kind, p.id, p.title + " (this shop's)" * (("procedures", p.id) in handbook.from_shop)) for p in handbook.procedures.values()
    ]
    rows += [("calculator", c.name, c.title) for c in handbook.catalogue.values()]
    for kind, name, title in rows:
        print(f"{kind:<11}{name:<{max(len(row[1]) for row in rows) + 2}}{title}")
    return 0


def pack(options: argparse.Namespace) -> int:
    from build_tools.exchange.zip_site import pack

    finish_publication(options.source)
    target, found = pack(options.source, options.out)
    print(f"{target}: {target.stat().st_size / 1e6:.1f} MB. Build {found.build}.")
    if found.shop or found.shop_problem:
        print("Left out, this shop's own pages: 'shop-data.js'. Pass it on by itself, or take its pages into the shop's folder first.")
    for name in found.own:
        print(f"Left out, not made by a build: {name!a}")
    print(f"Checksum of its list: {found.list_digest}")
    return 0


def verify(options: argparse.Namespace) -> int:
    from build_tools.exchange.verify import verify

    finish_publication(options.copy)
    found = verify(options.copy)
    if not found.whole:
        problems = [*found.problems(), *([found.shop_problem] if found.shop_problem else [])]
        return report([*problems, "This copy is damaged: copy it again, and check it before use."])
    print("\n".join(found.summary()))
    return report([found.shop_problem]) if found.shop_problem else 0


def compare(options: argparse.Namespace) -> int:
    from build_tools.exchange.compare_sites import compare, read

    finish_publication(options.old)
    finish_publication(options.new)
    found = compare(read(options.old), read(options.new))
    print(f"From {found.since} to build {found.new.build} of {found.new.newest}")
    for _, heading, listed in found.shown():
        print(f"\n{heading}")
        print("\n".join(f"  {change.how:<8} {found.place(change)}: {change.item.says}" for change in listed))
    if not found.changes:
        print("Nothing changed.")
    return 0


def collect_jobs(options: argparse.Namespace) -> int:
    from build_tools.jobs import database

    try:
        done = database.collect(options.folder, options.into)
        for path in database.write_csv(options.into, options.csv) if options.csv else []:
            print(f"Written: {path}")
    except database.DatabaseError as problem:
        raise BuildFailed([str(problem)]) from None
    print(f"{done.files} files taken: {done.jobs} new jobs, {done.entries} new entries in {options.into}.")
    return report(done.problems) if done.problems else 0


def job(options: argparse.Namespace) -> int:
    from build_tools.jobs.job_command import main

    return main(options.file, options.page, options.shop, as_json=options.json)


def import_pages(options: argparse.Namespace) -> int:
    from build_tools.content.shop import import_pages

    try:
        fresh, kept = import_pages.import_pages(options.file, options.folder)
    except import_pages.ImportPagesError as problem:
        raise BuildFailed([str(problem)]) from None
    print(f"{len(fresh)} files taken into {options.folder}{': ' if fresh else ''}{', '.join(fresh)}")
    return (
        report(
            [
                f"{options.folder / name}: stands there with other words, and was left. Move it away to take the one of {options.file.name}."
                for name in kept
            ]
        )
        if kept
        else 0
    )


def bench(options: argparse.Namespace) -> int:
    from build_tools.dev.benchmark import main

    return main()


def test(options: argparse.Namespace) -> int:
    import pytest

    from build_tools.dev import browsers

    try:
        paths = browsers.require()
        for variable, path in paths.items():
            print(f"{variable}={path}: {browsers.version(path)}", flush=True)
    except browsers.BrowserError as problem:
        raise BuildFailed([str(problem)]) from None
    os.environ.update(paths)
    os.chdir(PROJECT)
    # A file's tests stay together: they share what they build. `-n 0` runs them one after another.
    # One process more than there are cores, since a browser's test waits half of its time.
    together = ["-n", str(min(4, (os.cpu_count() or 1) + 1)), "--dist", "loadfile"]
    return int(pytest.main([*together, *options.pytest]))


def mutants(options: argparse.Namespace) -> int:
    from build_tools.dev.mutants import main

    try:
        return main(options)
    except (ValueError, RuntimeError) as problem:
        raise BuildFailed([str(problem)]) from None


def format_(options: argparse.Namespace) -> int:
    from build_tools.dev.formatters import run_all

    return run_all()


def rooms(options: argparse.Namespace) -> int:
    from build_tools.dev.rooms import as_text, look

    house = look(PROJECT)
    print(as_text(house))
    return 1 if house.faults else 0


def version(options: argparse.Namespace) -> int:
    print(f"Wheel-end service handbook {__version__}")
    return 0


if __name__ == "__main__":
    # By its own name, so that modules that import this one know the same BuildFailed.
    from build_tools import commands

    sys.exit(commands.run(commands.parse(sys.argv[1:])))
