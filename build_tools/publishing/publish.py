"""Put a finished build into its folder: wholly, or not at all. Nothing there that a build did not make is touched.

`SHA256SUMS` at the site's top lists the files that a build made (build_tools/exchange/checksums.py). It is how the next build
knows what it may replace, and how anyone can check that a copy on a stick is whole.

A publication has two halves. First all files that differ are copied beside the site's own, into `.handbook-publishing`
on the same disk; the site stays as it was. Then the journal is written there, in one stroke, and from then on the
publication can only be finished: each file is renamed into its place, the list last. Whatever stops it, `finish_or_undo` at the
next command undoes the first half or finishes the second. Standard library only.
"""

from __future__ import annotations

import errno
import json
import os
import shutil
import time
from collections.abc import Callable, Iterator
from collections.abc import Set as AbstractSet
from contextlib import AbstractContextManager, ExitStack, contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path

from build_tools.errors import FolderError, explaining_a_full_disk
from build_tools.exchange import shop_data
from build_tools.exchange.checksums import LIST, STAGE, name_problem, sha256, written
from build_tools.exchange.shop_data import NAME as SHOP_DATA
from build_tools.paths import SCRATCH

OLD_LIST = "files.sha256"  # what version 0.1.0 called the list; such a folder is built over too
JOURNAL = "journal.json"  # in STAGE; its being there says that every file is ready
FORMAT = "wheel-end-publishing/1"
PATIENCE = 60  # seconds to wait for another command that publishes
TRIES = 10  # for a file that Windows will not let go of, a fifth of a second each


@dataclass(frozen=True)
class Journal:
    """What a publication does: `new` is the whole new site, `ready` the files that lie in STAGE, by number."""

    new: dict[str, str]  # name → digest, the list among them
    ready: list[str]  # names out of `new`; the file of ready[7] is STAGE/7
    gone: list[str]  # names that the new build no longer has
    empty_shop_data: str = ""  # digest of the empty file that version 0.1.0 shipped, which goes while it is still that


def publish(fresh: Path, site: Path) -> list[str]:
    """Copy the build in `fresh` to `site`; return the shop's files that were kept. Raises FolderError, OSError.

    No build makes a `shop-data.js`: the one in `site` is the shop's and stays, unless it is the empty one of version 0.1.0.
    """
    with alone():
        cut_off = _finish_or_undo(site, _journal_of(site)) if has_remains(site) else None
        new = checksums(fresh)
        old = check_folder(site, new, also=set(cut_off.new) | set(cut_off.gone) if cut_off else set())
        text = written(new).encode()
        has_shop_data = (site / SHOP_DATA).is_file()
        empty = sha256((site / SHOP_DATA).read_bytes()) if has_shop_data and is_shipped_empty(site / SHOP_DATA, old) else ""
        gone = sorted(name for name in set(old) - {*new, LIST} if not is_shop_data(name))
        if (site / OLD_LIST).is_file() and not (site / LIST).exists():
            gone.append(OLD_LIST)
        whole = {**new, LIST: sha256(text)}
        ready = [name for name in whole if digest_of(site / name) != whole[name]]
        stage = site / STAGE
        if cut_off:
            shutil.rmtree(stage)
        with _explaining_a_full_disk(site, fresh, ready):
            try:
                stage.mkdir(parents=True)
                for number, name in enumerate(ready):
                    _copy(text if name == LIST else (fresh / name).read_bytes(), stage / str(number))
                _copy(json.dumps({"format": FORMAT, **asdict(Journal(whole, ready, gone, empty))}).encode(), stage / f"{JOURNAL}.half")
                os.replace(stage / f"{JOURNAL}.half", stage / JOURNAL)
            except OSError:
                shutil.rmtree(stage, ignore_errors=True)
                raise
        _finish(site, Journal(whole, ready, gone, empty))
        return [SHOP_DATA] if has_shop_data and not empty else []


def finish_or_undo(site: Path) -> str:
    """Undo or finish a publication that was cut off; return one line that says so, empty where there was none.

    Raises FolderError, with what to do, where it can do neither.
    """
    if not has_remains(site):
        return ""
    try:
        with alone():
            if not has_remains(site):  # whoever had the lock has done it
                return ""
            journal = _journal_of(site)
            if _finish_or_undo(site, journal):
                raise FolderError(
                    f"{site}: publishing was cut off, and its files are damaged since. Build into this folder again before anyone uses it."
                )
    except OSError as problem:
        raise FolderError(
            f"{site}: publishing was cut off here and cannot be finished ({problem.strerror or problem}). Do not use this copy. "
            f"Run “python3 -m build_tools verify” on it where you may write in it, or copy the handbook again."
        ) from None
    how = (
        "It is finished now: this is the new build."
        if journal
        else "What was left of it is removed: no file of the handbook was half replaced."
    )
    return f"{site}: publishing was cut off here. {how}"


def has_remains(site: Path) -> bool:
    """Whether a publication is under way in a folder, or was cut off."""
    return (site / STAGE).is_dir()


def _finish_or_undo(site: Path, journal: Journal | None) -> Journal | None:
    """Undo or finish; return the journal where neither can be done, since files were damaged after the cut."""
    stage = site / STAGE
    if stage.is_symlink():
        raise FolderError(f"{stage} is a link. Remove it, then run the command again.")
    if journal is None:
        shutil.rmtree(stage)
        return None
    places = {name: stage / str(number) for number, name in enumerate(journal.ready)}
    if all(digest in (digest_of(site / name), name in places and digest_of(places[name])) for name, digest in journal.new.items()):
        _finish(site, journal)
        return None
    return journal


def _finish(site: Path, journal: Journal) -> None:
    """Rename every file that is ready into its place, the list last; what is done already is passed over."""
    stage = site / STAGE
    try:
        if journal.empty_shop_data and digest_of(site / SHOP_DATA) == journal.empty_shop_data:
            _patiently(lambda: (site / SHOP_DATA).unlink(missing_ok=True))
        for name in journal.gone:
            if not (site / name).is_file() and not (site / name).is_symlink():
                continue  # gone before the cut; where a file was, a folder of the new build may stand by now
            _patiently(lambda: (site / name).unlink(missing_ok=True))  # noqa: B023  called at once
        _remove_empty_parents(site, journal.gone)
        for number, name in sorted(enumerate(journal.ready), key=lambda entry: entry[1] == LIST):
            if (stage / str(number)).exists():
                (site / name).parent.mkdir(parents=True, exist_ok=True)
                _patiently(lambda: os.replace(stage / str(number), site / name))  # noqa: B023  called at once
        (stage / JOURNAL).unlink()
        stage.rmdir()
    except OSError as problem:
        raise FolderError(
            f"{problem.filename2 or problem.filename or site}: {problem.strerror or problem}. The site is half published. "
            "Close what holds the file open, then run the same command again: it finishes."
        ) from None


def _patiently(action: Callable[[], object]) -> None:
    """Windows refuses to replace a file that a browser or a virus scanner holds open: wait a little for it."""
    for left in reversed(range(TRIES)):
        try:
            action()
            return
        except PermissionError:
            if not left or os.name != "nt":
                raise
            time.sleep(0.2)


def _journal_of(site: Path) -> Journal | None:
    """The journal of a publication that was cut off; None where it had not come so far. Raises FolderError.

    It may come from anywhere, with a stick, so it is believed only where it names files inside the site.
    """
    path = site / STAGE / JOURNAL
    if not path.is_file():
        return None
    try:
        data = json.loads(path.read_bytes())
        if data.pop("format") != FORMAT:
            raise ValueError
        journal = Journal(**data)
        names = [*journal.new, *journal.gone]
        texts = [*names, *journal.ready, *journal.new.values(), journal.empty_shop_data]
        sound = (
            isinstance(journal.new, dict)
            and LIST in journal.new
            and all(isinstance(text, str) for text in texts)
            and not any(name_problem(name) or is_shop_data(name) or name.split("/")[0] == STAGE for name in names)
            and set(journal.ready) <= set(journal.new)
            and set(journal.gone).isdisjoint(journal.new)
            and not any(leads_out(site, name) for name in names)
        )
    except (ValueError, TypeError, KeyError, AttributeError):
        sound = False
    if not sound:
        raise FolderError(
            f"{path} is damaged, so the publication that was cut off here cannot be finished. Build into an empty folder, and copy {SHOP_DATA} there."
        )
    return journal


@contextmanager
def alone() -> Iterator[None]:
    """One publication at a time on this machine. The lock is gone with its process, whatever ends it. Raises FolderError, OSError."""
    SCRATCH.mkdir(exist_ok=True)
    with locked(SCRATCH / "publishing.lock", PATIENCE) as mine:
        if not mine:
            raise FolderError("Another command is publishing a handbook. Wait until it is done, then run this one again.")
        yield


@contextmanager
def locked(path: Path, patience: float = 0) -> Iterator[bool]:
    """Hold a lock file; gives whether it could be had. By SQLite, whose locks hold on every system. Raises OSError."""
    import sqlite3

    lock = None
    try:
        try:
            lock = sqlite3.connect(path, timeout=patience, isolation_level=None)
            lock.execute("PRAGMA journal_mode = MEMORY")  # no second file beside it
            lock.execute("BEGIN EXCLUSIVE")
            mine = True
        except sqlite3.Error as problem:
            if "locked" not in str(problem):
                raise OSError(errno.EACCES, str(problem), str(path)) from None
            mine = False
        yield mine
    finally:
        if lock:
            lock.close()


@contextmanager
def building_place() -> Iterator[Path]:
    """A new folder to build in, gone afterwards. What earlier builds left there when they were killed is cleared."""
    SCRATCH.mkdir(exist_ok=True)
    place = SCRATCH / f"site-{os.urandom(6).hex()}"
    lock = _lock_of(place)
    with ExitStack() as held:
        held.callback(_remove, lock)
        with locked(SCRATCH / "building.lock", PATIENCE):  # so that no other build takes a new place for one left over
            clear_left_over()
            held.enter_context(locked(lock))
            place.mkdir()
        held.callback(shutil.rmtree, place, ignore_errors=True)
        yield place


def clear_left_over() -> None:
    """Remove the folders of builds that no longer run: whoever still builds holds the lock of its own."""
    for place in sorted({SCRATCH / path.name.removesuffix(".lock") for path in SCRATCH.glob("site-*")}):
        with locked(_lock_of(place)) as mine:
            if mine:
                shutil.rmtree(place, ignore_errors=True)
        if mine:
            _remove(_lock_of(place))


def _lock_of(place: Path) -> Path:
    return place.with_name(f"{place.name}.lock")


def _remove(lock: Path) -> None:
    try:
        lock.unlink(missing_ok=True)
    except OSError:
        pass  # another build looks at it just now, and removes it


def _explaining_a_full_disk(site: Path, fresh: Path, ready: list[str]) -> AbstractContextManager[None]:
    size = sum((fresh / name).stat().st_size for name in ready if name != LIST) / 1e6
    return explaining_a_full_disk(site, f"Free {size + 1:.0f} MB there, or give another place with --out. What was there is as it was.")


def _copy(content: bytes, target: Path) -> None:
    """Write a file, and wait until the disk has it."""
    with target.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def digest_of(path: Path) -> str | None:
    """The digest of a file; None where there is none, or a link."""
    return sha256(path.read_bytes()) if path.is_file() and not path.is_symlink() else None


def check_folder(site: Path, new: dict[str, str], also: AbstractSet[str] = frozenset()) -> dict[str, str]:
    """The files an earlier build made in `site`. Raises FolderError if the folder holds someone else's work.

    `also` are names of a publication that was cut off: they are a build's too.
    """
    if site.is_file():
        raise FolderError(f"{site} is a file. Give a folder, for example: --out handbook")
    if not site.exists() or not any(site.iterdir()):
        return {}
    manifest = next((site / name for name in (LIST, OLD_LIST) if (site / name).is_file()), None)
    if manifest is None and not also:
        raise FolderError(
            f"{site} holds files that the handbook did not make. "
            "Give an empty folder, or one of an earlier build, for example: --out handbook"
        )
    old = dict.fromkeys(also - {LIST}, "") | (listed(manifest) if manifest else {})
    ours = {*old, LIST}
    folders = {parent.as_posix() for name in old for parent in Path(name).parents}
    for name in (*new, LIST):
        if leads_out(site, name):
            raise FolderError(f"{(site / name).parent} is a link that leads out of the site. Remove it, then build again.")
        for path in (Path(name), *Path(name).parents[:-1]):
            place, inside = site / path, path.as_posix()
            if not place.exists() or inside in ours or (place.is_dir() and inside != name):
                continue
            if place.is_dir() and {below.relative_to(site).as_posix() for below in place.rglob("*")} <= {*ours, *folders}:
                continue  # a folder of the earlier build, which goes with its files
            raise FolderError(f"{place} is in the way and was not made by the handbook. Move it, then build again.")
    return old


def is_shop_data(name: str) -> bool:
    """Whether a name is the shop's own file, on a system that ignores case too."""
    return name.casefold() == SHOP_DATA


def leads_out(site: Path, name: str) -> bool:
    """Whether a name inside the site is a place elsewhere, by a link."""
    return not (site / name).parent.resolve().is_relative_to(site.resolve())


def checksums(folder: Path) -> dict[str, str]:
    """The SHA-256 of every file that a build made under a folder by its name, in the order of the names."""
    files = {path.relative_to(folder).as_posix(): path for path in folder.rglob("*") if path.is_file()}
    return {name: sha256(files[name].read_bytes()) for name in sorted(files) if name not in (LIST, SHOP_DATA)}


def listed(manifest: Path) -> dict[str, str]:
    """What a list holds. Names that lead out of the site are passed over."""
    site = manifest.parent.resolve()
    entries = {}
    for line in manifest.read_text("utf-8", errors="replace").splitlines():
        digest, _, name = line.partition("  ")
        if name and not name_problem(name) and name.split("/")[0] != STAGE and not leads_out(site, name):
            entries[name] = digest
    return entries


def is_shipped_empty(path: Path, old: dict[str, str]) -> bool:
    """Whether nothing was saved over the empty file that version 0.1.0 shipped, and listed."""
    content = path.read_bytes()
    try:
        return shop_data.read(content).empty
    except shop_data.ShopDataError:
        return sha256(content) == old.get(SHOP_DATA)


def _remove_empty_parents(site: Path, names: list[str]) -> None:
    """Remove the folders that files which are gone have left empty."""
    for folder in sorted({parent for name in names for parent in Path(name).parents[:-1]}, reverse=True):
        if (site / folder).is_dir() and not any((site / folder).iterdir()):
            (site / folder).rmdir()
